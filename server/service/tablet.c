#include "service/tablet.h"

#include <math.h>
#include <stdlib.h>

#include "service/judged.h"
#include "store/calibration.h"

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
		take_last(&judging->judgement.last[q], &to->last[q]);
	}
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

bool tablet_take_along(struct act *act, int64_t bond_id, struct tablet_known *to,
	struct form_memory *memory, struct problem *why)
{
	struct judging judging = { 0 };
	struct calibration_of *all = NULL;
	size_t count = 0;
	bool ok = judging_one(act, &judging, bond_id, why) &&
		store_calibrations(act->store, &all, &count, why);

	form_clear(&tablet_known_form, to);
	if (ok) {
		to->bond_id = bond_id;
		to->rulebook_version = act->rulebook.version;
		take_judged(&judging, to);
		ok = take_instruments(all, count, to, memory) ||
			problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	free(all);
	judging_release(&judging);
	return ok;
}
