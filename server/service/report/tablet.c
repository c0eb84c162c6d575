#include "service/report/tablet.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "derived/judged.h"
#include "service/record/ends.h"
#include "store/record/calibration.h"

static void take_last(const struct grade_reading *from, struct tablet_last *to)
{
	if (from->there) {
		*to = (struct tablet_last){ from->day, from->value, from->u95, from->limit,
			(int)from->verdict, from->open_circuit };
	}
}

static void take_judged(const struct judging *judging, struct tablet_known *to)
{
	const struct limit_facts *limit = &judging->facts.limit;

	to->material = judging->facts.material;
	to->limit = (struct tablet_limit_facts){ .kind = (int)limit->kind,
		.criticality = (int)limit->criticality, .cable_uohm_per_m = limit->cable_uohm_per_m,
		.length_m = limit->length_m, .cables = limit->cables, .baseline = NAN,
		.rail_uohm_per_m = limit->rail_uohm_per_m,
		.rail_between_joints_m = limit->rail_between_joints_m };
	for (int q = 0; q < GRADE_QUANTITIES; q++) {
		to->baseline[q] = judging->judgement.baseline[q];
		to->compared[q] = judging->judgement.compared[q];
		take_last(&judging->judgement.last[q], &to->last[q]);
	}
}

static const char *keep(struct form_memory *memory, const char *text)
{
	char *kept = form_alloc(memory, strlen(text) + 1);

	return kept != NULL ? memcpy(kept, text, strlen(text) + 1) : NULL;
}

static bool take_ends(const struct end_words *words, struct tablet_known *to,
	struct form_memory *memory)
{
	struct tablet_end *ends = form_alloc(memory, 2 * sizeof *ends);
	char contact[END_BRIEF_SIZE];

	for (int end = END_A; ends != NULL && end <= END_B; end++) {
		end_words_quantity(words, end == END_A ? QUANTITY_CONTACT_A : QUANTITY_CONTACT_B, contact,
			sizeof contact);
		ends[end] = (struct tablet_end){ end, keep(memory, words->brief[end]),
			keep(memory, words->words[end]), keep(memory, contact) };
		if (ends[end].brief == NULL || ends[end].words == NULL || ends[end].contact == NULL) {
			return false;
		}
	}
	to->ends = (struct form_list){ ends, 2 };
	return ends != NULL;
}

/* The calibrations side by side, and an instrument for each run of them. */
static bool take_instruments(const struct calibration_of *all, size_t count,
	struct tablet_known *to, struct form_memory *memory)
{
	struct tablet_calibration *calibrations = form_alloc(memory, count * sizeof *calibrations);
	struct tablet_instrument *instruments = form_alloc(memory, count * sizeof *instruments);
	size_t n = 0;

	if (calibrations == NULL || instruments == NULL) {
		return false;
	}
	for (size_t i = 0; i < count; i++) {
		const struct calibration *c = &all[i].is;

		calibrations[i] = (struct tablet_calibration){ c->calibrated_day, c->due_day, c->percent,
			c->uohm, c->as_found == AS_FOUND_NOT_STATED ? -1 : (int)c->as_found };
		if (n == 0 || instruments[n - 1].id != all[i].instrument_id) {
			instruments[n++] = (struct tablet_instrument){ all[i].instrument_id,
				all[i].methods != 0 ? all[i].methods : FORM_NO_INTEGER, { &calibrations[i], 0 } };
		}
		instruments[n - 1].calibrations.count++;
	}
	to->instruments = (struct form_list){ instruments, n };
	return true;
}

bool tablet_take_along(struct view *view, int64_t bond_id, struct tablet_known *to,
	struct form_memory *memory, struct problem *why)
{
	struct judging judging = { 0 };
	struct calibration_of *all = NULL;
	size_t count = 0;
	struct end_words ends;
	bool ok = judging_one(view, &judging, bond_id, why) &&
		ends_of_bond(view->store, &judging.records.bonds[0].bond, &ends, why) &&
		store_calibrations(view->store, &all, &count, why);

	form_clear(&tablet_known_form, to);
	if (ok) {
		to->bond_id = bond_id;
		to->rulebook_version = view->rulebook->version;
		take_judged(&judging, to);
		ok = (take_ends(&ends, to, memory) && take_instruments(all, count, to, memory)) ||
			problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	free(all);
	judging_release(&judging);
	return ok;
}

void tablet_write_meters(const struct tablet_known *known, struct text *to)
{
	const struct member *of = form_member(&tablet_known_form, "instruments");
	const char *items = known->instruments.items;

	text_add_char(to, '[');
	for (size_t i = 0; i < known->instruments.count; i++) {
		text_add_z(to, i > 0 ? "," : "");
		form_write(of->form, items + i * of->form->size, to);
	}
	text_add_char(to, ']');
}
