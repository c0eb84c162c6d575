#include "service/report/explain.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "rules/spot.h"
#include "service/record/ends.h"
#include "store/kept/repeat_facts.h"

static const double CONFIDENCE = 0.95;

/* A whole number with a comma at the thousands, of two significant digits. */
static void add_rounded(double value, char *to, size_t size)
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
		add_rounded(1 / chance, number, sizeof number);
		snprintf(to, size, "one of %s", number);
	}
}

static void explain_trend(const struct failure_fact *facts, size_t n, const struct view *view,
	const struct repeat_row *place, double *at, struct explained *to)
{
	size_t count = 0;
	char odds[80];

	for (size_t i = 0; i < n; i++) {
		if (facts[i].here && facts[i].id != place->id) {
			at[count++] = facts[i].found_day - place->first_day;
		}
	}
	to->trend = trend_events_compute(at, count, view->today - place->first_day,
		TRUNCATED_BY_TIME);
	explain_odds(to->trend.p, odds, sizeof odds);
	switch (to->trend.meaning) {
	case TREND_TOO_FEW:
		snprintf(to->trend_words, sizeof to->trend_words, "Too few failures to tell whether it is "
			"getting worse.");
		break;
	case TREND_NONE:
		snprintf(to->trend_words, sizeof to->trend_words, "No trend that could not be chance.");
		break;
	case TREND_WORSE:
	case TREND_BETTER:
		snprintf(to->trend_words, sizeof to->trend_words, "Getting %s: the failures gather "
			"towards %s. At a steady rate, %s places would look so.",
			to->trend.meaning == TREND_WORSE ? "worse" : "better",
			to->trend.meaning == TREND_WORSE ? "today" : "the first one", odds);
	}
}

static void explain_mean(const struct repeat_row *place, struct explained *to)
{
	size_t between = (size_t)place->failures - 1;
	char lower[40], upper[40];

	to->has_mean = mean_time_between(between, place->last_day - place->first_day,
		TRUNCATED_BY_FAILURE, CONFIDENCE, &to->mean_days);
	if (to->has_mean) {
		add_rounded(to->mean_days.lower, lower, sizeof lower);
		add_rounded(to->mean_days.upper, upper, sizeof upper);
		snprintf(to->mean_words, sizeof to->mean_words, "From one failure to the next %.0f days on "
			"average; from %zu such %s, the true mean may be anything from %s to %s days (95 %%).",
			to->mean_days.mean, between, between == 1 ? "time" : "times", lower, upper);
	} else {
		snprintf(to->mean_words, sizeof to->mean_words, "All were found on one day.");
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

static void say_too_few(const struct repeat_row *place, size_t n, struct explained *to)
{
	int64_t elsewhere = (int64_t)n - place->failures;

	if (place->failures < SHARE_LEAST_HERE) {
		snprintf(to->too_few, sizeof to->too_few, "%lld failures here are too few to say whether it "
			"is getting worse or what they have in common: at least %d are needed.",
			(long long)place->failures, SHARE_LEAST_HERE);
	} else if (elsewhere < SHARE_LEAST_ELSEWHERE) {
		snprintf(to->too_few, sizeof to->too_few, "The line has only %lld other %s: too few to "
			"say what those here have in common; at least %d are needed.", (long long)elsewhere,
			elsewhere == 1 ? "failure" : "failures", SHARE_LEAST_ELSEWHERE);
	}
}

bool repeat_explain(struct view *view, const struct repeat_row *place, struct explained *to,
	struct problem *why)
{
	struct failure_fact *facts = NULL;
	double *at = NULL;
	size_t n = 0;
	bool ok;

	memset(to, 0, sizeof *to);
	if (!view_rules(view, why) ||
		!store_failure_facts(view->store, place, &facts, &n, why)) {
		return false;
	}
	at = calloc(n + 1, sizeof *at);
	ok = at != NULL || problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	if (ok) {
		explain_trend(facts, n, view, place, at, to);
		explain_mean(place, to);
		explain_shares(facts, n, to);
		say_too_few(place, n, to);
		ok = explain_spots(view, facts, n, to, why) && explain_scan(view, place, to, why);
	}
	free(at);
	free(facts);
	return ok;
}
