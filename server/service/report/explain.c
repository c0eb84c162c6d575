#include "service/report/explain.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "rules/spot.h"
#include "service/record/ends.h"
#include "store/kept/repeat_facts.h"

void explain_rounded(double value, char *to, size_t size)
{
	char digits[32];
	double step = pow(10, fmax(floor(log10(fmax(value, 1))) - 1, 0));
	size_t len, at = 0;

	snprintf(digits, sizeof digits, "%.0f", round(value / step) * step);
	len = strlen(digits);
	for (size_t i = 0; i < len && at + 2 < size; i++) {
		if (i > 0 && (len - i) % 3 == 0) {
			to[at++] = ',';
		}
		to[at++] = digits[i];
	}
	to[at] = '\0';
}

void explain_odds(double chance, char *to, size_t size)
{
	char number[40];

	if (chance < 1e-6) {
		snprintf(to, size, "fewer than one of a million");
	} else if (chance > 0.995) {
		snprintf(to, size, "nearly all");
	} else if (chance > 0.1) {
		snprintf(to, size, "%.0f of 100", chance * 100);
	} else {
		explain_rounded(1 / chance, number, sizeof number);
		snprintf(to, size, "one of %s", number);
	}
}

static void add_spot(const struct bond *bond, int end, const struct end_words *ends,
	const struct spot_fact *is, const struct spot_fact *was, struct explained *to)
{
	struct explained_spot *s = &to->spots[to->n_spots++];
	char is_day[DAY_TEXT_SIZE], was_day[DAY_TEXT_SIZE];
	long long apart_mm = llabs((long long)(is->offset_mm - was->offset_mm));

	*s = (struct explained_spot){ .bond_id = bond->id, .bond_end = end, .made_day = is->made_day,
		.spoilt_day = was->made_day, .offset_mm = is->offset_mm, .spoilt_mm = was->offset_mm };
	memcpy(s->label, bond->label, sizeof s->label);
	memcpy(s->end_brief, ends->brief[end], sizeof s->end_brief);
	memcpy(s->end_words, ends->words[end], sizeof s->end_words);
	day_write(is->made_day, is_day);
	day_write(was->made_day, was_day);
	if (apart_mm == 0) {
		snprintf(s->words, sizeof s->words, "Attached again on %s on the very spot of %s: a new "
			"attachment keeps %lld mm away.", is_day, was_day, (long long)to->clearance_mm);
	} else {
		snprintf(s->words, sizeof s->words, "Attached again on %s only %lld mm from the spot of "
			"%s: a new attachment keeps %lld mm away.", is_day, apart_mm, was_day,
			(long long)to->clearance_mm);
	}
}

/* Of the former spots of an end the nearest counts. */
static bool explain_end(struct view *view, const struct bond *bond, int end, struct explained *to,
	struct problem *why)
{
	struct spot_fact *spots = NULL;
	struct end_words ends;
	size_t count = 0;

	if (!ends_of_bond(view->store, bond, &ends, why) ||
		!store_spot_facts(view->store, bond->id, end, &spots, &count, why)) {
		return false;
	}
	for (size_t i = 1; i < count && to->n_spots < EXPLAINED_SPOTS_MOST; i++) {
		const struct spot_fact *nearest = &spots[0];

		for (size_t j = 1; j < i; j++) {
			if (llabs((long long)(spots[j].offset_mm - spots[i].offset_mm)) <=
				llabs((long long)(nearest->offset_mm - spots[i].offset_mm))) {
				nearest = &spots[j];
			}
		}
		if (spot_is_inside(spots[i].offset_mm, nearest->offset_mm, to->clearance_mm)) {
			add_spot(bond, end, &ends, &spots[i], nearest, to);
		}
	}
	free(spots);
	return true;
}

/* Each end that failed here, once; of a bond that failed as a whole both. */
static bool explain_spots(struct view *view, const struct failure_fact *facts, size_t n,
	struct explained *to, struct problem *why)
{
	to->clearance_mm = view->rulebook->spot_clearance_mm;
	for (size_t i = 0; i < n; i++) {
		struct bond bond;
		bool done[2] = { false, false };

		if (!facts[i].here) {
			continue;
		}
		for (size_t j = 0; j < i; j++) {
			for (int end = END_A; end <= END_B; end++) {
				done[end] = done[end] || (facts[j].here && facts[j].bond_id == facts[i].bond_id &&
					(facts[j].bond_end == -1 || facts[j].bond_end == end));
			}
		}
		if (!store_bond_get(view->store, facts[i].bond_id, &bond, why)) {
			return false;
		}
		for (int end = END_A; end <= END_B; end++) {
			if (!done[end] && (facts[i].bond_end == -1 || facts[i].bond_end == end) &&
				!explain_end(view, &bond, end, to, why)) {
				return false;
			}
		}
	}
	return true;
}

bool repeat_explain(struct view *view, const struct repeat_row *place, struct explained *to,
	struct problem *why)
{
	struct failure_fact *facts = NULL;
	size_t n = 0;
	bool ok;

	memset(to, 0, sizeof *to);
	if (!view_rules(view, why) ||
		!store_failure_facts(view->store, place, &facts, &n, why)) {
		return false;
	}
	ok = explain_time(view, place, facts, n, to, why) &&
		explain_shares(view, place, facts, n, to, why) &&
		explain_spots(view, facts, n, to, why);
	free(facts);
	return ok;
}
