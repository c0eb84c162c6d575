/* What a rulebook may say: bounds of each value, and values that contradict each other. */
#include <math.h>
#include <string.h>

#include "rules/rulebook_walk.h"
#include "rules/sentence.h"

enum { DAYS_OF_SHORTEST_MONTH = 28 };

static void check_integer(const struct member *m, const void *at, const struct rulebook_walk *walk,
	struct problems *why)
{
	int64_t value;

	memcpy(&value, at, sizeof value);
	if (value < (int64_t)m->least || value > (int64_t)m->most) {
		problems_add(why, PROBLEM_VALUE, walk->path, "%s must be a whole number from %lld to "
			"%lld%s%s.", walk->title, (long long)m->least, (long long)m->most,
			m->unit != NULL ? " " : "", m->unit != NULL ? m->unit : "");
	}
}

/* Only what is not required may be left out. */
static void check_real(const struct member *m, const void *at, const struct rulebook_walk *walk,
	struct problems *why)
{
	double value;

	memcpy(&value, at, sizeof value);
	if (isnan(value) ? m->required : value < m->least || value > m->most) {
		problems_add(why, PROBLEM_VALUE, walk->path, "%s must be a number from %g to %g%s%s.",
			walk->title, m->least, m->most, m->unit != NULL ? " " : "",
			m->unit != NULL ? m->unit : "");
	}
}

static void check_word(const struct member *m, const void *at, const struct rulebook_walk *walk,
	struct problems *why)
{
	int value;

	memcpy(&value, at, sizeof value);
	if (value < 0 || value >= m->words->n) {
		problems_add(why, PROBLEM_VALUE, walk->path, "%s must be one of %s, %s, %s%s%s.",
			walk->title, m->words->code[0], m->words->code[1], m->words->code[2],
			m->words->n > 3 ? ", " : "", m->words->n > 3 ? m->words->code[3] : "");
	}
}

static void check_bounds(const struct rulebook *rulebook, struct problems *why)
{
	struct rulebook_walk walk = rulebook_walk_begin();

	while (rulebook_walk_next(&walk)) {
		const struct member *m = walk.member;
		const void *at = (const char *)rulebook + walk.offset;

		if (m->type == MEMBER_INTEGER) {
			check_integer(m, at, &walk, why);
		} else if (m->type == MEMBER_REAL) {
			check_real(m, at, &walk, why);
		} else if (m->type == MEMBER_WORD) {
			check_word(m, at, &walk, why);
		}
	}
}

static void field_of(char *to, const char *value, int kind, int criticality)
{
	struct sentence s;

	sentence_begin(&s, to, PROBLEM_FIELD_SIZE);
	sentence_add(&s, value);
	sentence_add(&s, ".");
	sentence_add(&s, bond_kind_words.code[kind]);
	sentence_add(&s, criticality >= 0 ? "." : "");
	sentence_add(&s, criticality >= 0 ? criticality_words.code[criticality] : "");
}

static void check_interval_order(const struct rulebook *rulebook, struct problems *why)
{
	for (int kind = 0; kind < RULEBOOK_KINDS; kind++) {
		const int64_t *months = rulebook->interval_months[kind];

		for (int i = 1; i < RULEBOOK_CRITICALITIES; i++) {
			char field[PROBLEM_FIELD_SIZE];

			if (months[i] > months[i - 1]) {
				field_of(field, "interval_months", kind, i);
				problems_add(why, PROBLEM_VALUE, field, "A %s of criticality %s cannot have a "
					"longer interval (%lld months) than one of criticality %s (%lld months).",
					bond_kind_words.title[kind], criticality_words.code[i], (long long)months[i],
					criticality_words.code[i - 1], (long long)months[i - 1]);
			}
		}
	}
}

/* An absent limit allows anything: it is greater than every figure. */
static double absolute_of(const struct rulebook_limits *l, int criticality)
{
	return isnan(l->absolute_uohm[criticality]) ? INFINITY : l->absolute_uohm[criticality];
}

static void check_order(const struct rulebook_limits *l, int kind, int i, struct problems *why)
{
	char field[PROBLEM_FIELD_SIZE];

	field_of(field, "limits", kind, -1);
	if (isnan(l->absolute_uohm[i])) {
		problems_add(why, PROBLEM_VALUE, field, "A %s of criticality %s has no limit of its own, "
			"and one of criticality %s has (%g µΩ): give it one that is not greater.",
			bond_kind_words.title[kind], criticality_words.code[i],
			criticality_words.code[i - 1], l->absolute_uohm[i - 1]);
	} else {
		problems_add(why, PROBLEM_VALUE, field, "A %s of criticality %s cannot have a greater "
			"limit (%g µΩ) than one of criticality %s (%g µΩ).", bond_kind_words.title[kind],
			criticality_words.code[i], l->absolute_uohm[i], criticality_words.code[i - 1],
			l->absolute_uohm[i - 1]);
	}
}

static void check_limits_of_kind(const struct rulebook_limits *l, int kind, struct problems *why)
{
	char field[PROBLEM_FIELD_SIZE];

	for (int i = 1; i < RULEBOOK_CRITICALITIES; i++) {
		if (absolute_of(l, i) > absolute_of(l, i - 1)) {
			check_order(l, kind, i, why);
		}
	}
	if (isnan(l->cable_tolerance_percent) && isnan(l->baseline_factor) &&
		isnan(l->rail_equivalent_m) && isnan(l->joint_percent) &&
		isnan(l->contact_uohm) && isnan(l->absolute_uohm[CRITICALITY_NORMAL])) {
		field_of(field, "limits", kind, -1);
		problems_add(why, PROBLEM_VALUE, field, "A %s needs at least one limit, or none of them "
			"is ever judged.", bond_kind_words.title[kind]);
	}
}

static int64_t shortest_interval(const struct rulebook *rulebook)
{
	int64_t shortest = rulebook->interval_months[0][0];

	for (int kind = 0; kind < RULEBOOK_KINDS; kind++) {
		for (int i = 0; i < RULEBOOK_CRITICALITIES; i++) {
			int64_t months = rulebook->interval_months[kind][i];

			shortest = months < shortest ? months : shortest;
		}
	}
	return shortest;
}

static void check_days(const struct rulebook *rulebook, const char *field, const char *title,
	int64_t days, struct problems *why)
{
	int64_t shortest = shortest_interval(rulebook);

	if (days >= shortest * DAYS_OF_SHORTEST_MONTH) {
		problems_add(why, PROBLEM_VALUE, field, "%s of %lld days is as long as the shortest "
			"interval (%lld %s): it must be less than %lld days.", title, (long long)days,
			(long long)shortest, shortest == 1 ? "month" : "months",
			(long long)(shortest * DAYS_OF_SHORTEST_MONTH));
	}
}

static void check_climate(const struct rulebook *rulebook, struct problems *why)
{
	for (int month = 0; month < RULEBOOK_MONTHS; month++) {
		if (rulebook->climate[month].low_c > rulebook->climate[month].high_c) {
			problems_add(why, PROBLEM_VALUE, "climate", "The lowest temperature of month %d (%g °C) "
				"cannot be above its highest (%g °C).", month + 1, rulebook->climate[month].low_c,
				rulebook->climate[month].high_c);
		}
	}
}

/* A contact has no limit without its allowance, or a figure of its own. */
static void check_proof(const struct rulebook *rulebook, struct problems *why)
{
	for (int kind = 0; kind < RULEBOOK_KINDS; kind++) {
		const struct rulebook_limits *l = &rulebook->limits[kind];
		char field[PROBLEM_FIELD_SIZE];

		if (rulebook->proof[kind] == PROOF_CONTACTS && !(l->contact_allowance_uohm > 0) &&
			isnan(l->contact_uohm)) {
			field_of(field, "proof", kind, -1);
			problems_add(why, PROBLEM_VALUE, field, "A %s cannot be proved by its contacts while "
				"they have no limit: give an allowance or a figure of one contact.",
				bond_kind_words.title[kind]);
		}
	}
}

/* Each value is within its bounds: do they go together? */
static void check_together(const struct rulebook *rulebook, struct problems *why)
{
	check_interval_order(rulebook, why);
	check_days(rulebook, "notice_days", "Notice before the due day", rulebook->notice_days, why);
	check_days(rulebook, "grace_days", "Grace after the due day", rulebook->grace_days, why);
	for (int kind = 0; kind < RULEBOOK_KINDS; kind++) {
		check_limits_of_kind(&rulebook->limits[kind], kind, why);
	}
	if (rulebook->arc_least_s > rulebook->arc_most_s) {
		problems_add(why, PROBLEM_VALUE, "arc_most_s", "The longest arc (%g s) cannot be shorter "
			"than the shortest (%g s).", rulebook->arc_most_s, rulebook->arc_least_s);
	}
	check_climate(rulebook, why);
	check_proof(rulebook, why);
	if (rulebook->severity[SEEN_GOOD] != SEVERITY_NONE) {
		problems_add(why, PROBLEM_VALUE, "severity.good", "What is seen to be good is no defect.");
	}
	if (rulebook->severity[SEEN_MISSING] != SEVERITY_ACT) {
		problems_add(why, PROBLEM_VALUE, "severity.missing", "An end that is missing must be acted "
			"on.");
	}
}

bool rulebook_check(const struct rulebook *rulebook, struct problems *why)
{
	size_t before = why->count;

	if (rulebook->from_day == DAY_NONE) {
		problems_add(why, PROBLEM_VALUE, "from_day", "A rulebook needs the day from which it holds.");
	}
	check_bounds(rulebook, why);
	if (why->count == before || (why->count == before + 1 && rulebook->from_day == DAY_NONE)) {
		check_together(rulebook, why);
	}
	return why->count == before;
}
