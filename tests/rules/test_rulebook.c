#include <math.h>
#include <string.h>

#include "case.h"
#include "rules/rulebook_walk.h"

static const struct member *member_of(const char *name)
{
	const struct member *member = rulebook_members;

	while (member->name != NULL && strcmp(member->name, name) != 0) {
		member++;
	}
	ck_assert_msg(member->name != NULL, "no member %s", name);
	return member;
}

static const struct form *limits_of_kind(void)
{
	return member_of("limits")->form->members[0].form;
}

START_TEST(the_default_passes_its_own_check)
{
	struct rulebook rulebook = rulebook_default();
	struct problems why = { 0 };

	ck_assert_msg(rulebook_check(&rulebook, &why), "%s", why.item[0].detail);
	ck_assert_uint_eq(why.count, 0);
	ck_assert_int_eq(rulebook.repeat_window_mm, 10000);
	ck_assert_int_eq(rulebook.repeat_period_months, 60);
	ck_assert_int_eq(rulebook.repeat_least_count, 2);
}
END_TEST

START_TEST(there_is_a_member_for_each_kind_and_criticality)
{
	const struct member *intervals = member_of("interval_months");
	const struct member *kinds = intervals->form->members;

	ck_assert_int_eq(bond_kind_words.n, RULEBOOK_KINDS);
	ck_assert_int_eq(criticality_words.n, RULEBOOK_CRITICALITIES);
	for (int i = 0; i < RULEBOOK_KINDS; i++) {
		const struct member *criticalities = kinds[i].form->members;

		ck_assert_str_eq(kinds[i].name, bond_kind_words.code[i]);
		for (int j = 0; j < RULEBOOK_CRITICALITIES; j++) {
			ck_assert_str_eq(criticalities[j].name, criticality_words.code[j]);
			ck_assert_uint_eq(intervals->offset + kinds[i].offset + criticalities[j].offset,
				offsetof(struct rulebook, interval_months) +
				sizeof(int64_t) * (size_t)(i * RULEBOOK_CRITICALITIES + j));
		}
		ck_assert_ptr_null(criticalities[RULEBOOK_CRITICALITIES].name);
	}
	ck_assert_ptr_null(kinds[RULEBOOK_KINDS].name);
}
END_TEST

START_TEST(says_of_each_default_what_it_rests_on)
{
	size_t values = 0, members = 0;

	while (rulebook_members[members].name != NULL) {
		members++;
	}
	for (const struct member *m = limits_of_kind()->members; m->name != NULL; m++) {
		members++;
	}
	for (; rulebook_values[values].member != NULL; values++) {
		ck_assert_uint_gt(strlen(rulebook_values[values].source), 20);
	}
	/* not of from_day and limits, which are no values; of severity, each thing seen has its own */
	ck_assert_uint_eq(values, members - 3 + RULEBOOK_SEEN);
}
END_TEST

START_TEST(both_contacts_scatter_alike_and_what_is_not_a_kind_as_the_unknown_one)
{
	struct rulebook rulebook = rulebook_default();

	ck_assert_int_eq(member_of("scatter_percent")->form->members[RULEBOOK_KINDS].name == NULL, 1);
	for (int i = 0; i < RULEBOOK_KINDS; i++) {
		const struct member *kind = &member_of("scatter_percent")->form->members[i];

		ck_assert_str_eq(kind->name, bond_kind_words.code[i]);
		ck_assert_uint_eq(kind->offset, (size_t)i * sizeof rulebook.scatter_percent[0]);
		ck_assert(rulebook_scatter_percent(&rulebook, (enum bond_kind)i, QUANTITY_RAIL_DROP) == 0);
	}
	rulebook.scatter_percent[BOND_STRUCTURE][SCATTER_END_TO_END] = 1;
	rulebook.scatter_percent[BOND_STRUCTURE][SCATTER_CONTACT] = 2;
	rulebook.scatter_percent[BOND_STRUCTURE][SCATTER_RAIL_DROP] = 3;
	rulebook.scatter_percent[BOND_KIND_NOT_KNOWN][SCATTER_CONTACT] = 4;
	ck_assert(rulebook_scatter_percent(&rulebook, BOND_STRUCTURE, QUANTITY_END_TO_END) == 1);
	ck_assert(rulebook_scatter_percent(&rulebook, BOND_STRUCTURE, QUANTITY_CONTACT_A) == 2);
	ck_assert(rulebook_scatter_percent(&rulebook, BOND_STRUCTURE, QUANTITY_CONTACT_B) == 2);
	ck_assert(rulebook_scatter_percent(&rulebook, BOND_STRUCTURE, QUANTITY_RAIL_DROP) == 3);
	ck_assert(rulebook_scatter_percent(&rulebook, (enum bond_kind)-1, QUANTITY_CONTACT_A) == 4);
}
END_TEST

START_TEST(no_kind_has_a_shorter_interval_than_the_unknown_kind)
{
	struct rulebook rulebook = rulebook_default();

	for (int i = 0; i < RULEBOOK_KINDS; i++) {
		for (int j = 0; j < RULEBOOK_CRITICALITIES; j++) {
			ck_assert_int_ge(rulebook.interval_months[i][j],
				rulebook.interval_months[BOND_KIND_NOT_KNOWN][j]);
		}
	}
}
END_TEST

START_TEST(gives_the_strictest_interval_to_what_is_not_a_term)
{
	struct rulebook rulebook = rulebook_default();

	rulebook.interval_months[BOND_STRUCTURE][CRITICALITY_HIGH] = 11;
	rulebook.interval_months[BOND_KIND_NOT_KNOWN][CRITICALITY_SAFETY] = 2;
	ck_assert_int_eq(rulebook_interval_months(&rulebook, BOND_STRUCTURE, CRITICALITY_HIGH), 11);
	ck_assert_int_eq(rulebook_interval_months(&rulebook, (enum bond_kind)9,
		(enum criticality)3), 2);
	ck_assert_int_eq(rulebook_interval_months(&rulebook, (enum bond_kind)-1,
		(enum criticality)-1), 2);
}
END_TEST

/* Each row changes one integer of a rulebook whose intervals are all 12 months. */
static const struct { const char *label; size_t offset; int64_t value; const char *field; } rows[] = {
#define AT(member) offsetof(struct rulebook, member)
	{ "no interval", AT(interval_months[BOND_STRUCTURE][1]), 0, "interval_months.structure.high" },
	{ "one month, notice 0", AT(interval_months[BOND_STRUCTURE][2]), 1, NULL },
	{ "negative interval", AT(interval_months[0][2]), -1, "interval_months.rail_joint.safety" },
	{ "20 years", AT(interval_months[BOND_KIND_NOT_KNOWN][0]), 240, NULL },
	{ "more", AT(interval_months[8][0]), 241, "interval_months.not_known.normal" },
	{ "absent", AT(interval_months[0][0]), FORM_NO_INTEGER, "interval_months.rail_joint.normal" },
	{ "longer for high than for normal", AT(interval_months[4][1]), 13,
		"interval_months.impedance_lead.high" },
	{ "shorter for high than for safety", AT(interval_months[4][1]), 11,
		"interval_months.impedance_lead.safety" },
	{ "no notice", AT(notice_days), 0, NULL },
	{ "negative notice", AT(notice_days), -1, "notice_days" },
	{ "notice just shorter than 12 x 28 days", AT(notice_days), 335, NULL },
	{ "notice of 12 x 28 days", AT(notice_days), 336, "notice_days" },
	{ "notice over a year", AT(notice_days), 366, "notice_days" },
	{ "no grace", AT(grace_days), 0, NULL },
	{ "negative grace", AT(grace_days), -1, "grace_days" },
	{ "grace just shorter than 12 x 28 days", AT(grace_days), 335, NULL },
	{ "grace of 12 x 28 days", AT(grace_days), 336, "grace_days" },
	{ "no window", AT(repeat_window_mm), 0, "repeat_window_mm" },
	{ "the least window", AT(repeat_window_mm), 1, NULL },
	{ "1 km", AT(repeat_window_mm), 1000000, NULL },
	{ "over 1 km", AT(repeat_window_mm), 1000001, "repeat_window_mm" },
	{ "no period", AT(repeat_period_months), 0, "repeat_period_months" },
	{ "one month", AT(repeat_period_months), 1, NULL },
	{ "50 years", AT(repeat_period_months), 600, NULL },
	{ "over 50 years", AT(repeat_period_months), 601, "repeat_period_months" },
	{ "one failure is no repeat", AT(repeat_least_count), 1, "repeat_least_count" },
	{ "two are", AT(repeat_least_count), 2, NULL },
	{ "100", AT(repeat_least_count), 100, NULL },
	{ "101", AT(repeat_least_count), 101, "repeat_least_count" },
	{ "no clearance", AT(spot_clearance_mm), 0, "spot_clearance_mm" },
	{ "a clearance of 1 mm", AT(spot_clearance_mm), 1, NULL },
	{ "10 m", AT(spot_clearance_mm), 10000, NULL },
	{ "over 10 m", AT(spot_clearance_mm), 10001, "spot_clearance_mm" },
#undef AT
};

START_TEST(refuses_values_that_cannot_be_meant)
{
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		struct rulebook rulebook = rulebook_default();
		struct problems why = { 0 };
		bool ok;

		for (int j = 0; j < RULEBOOK_KINDS * RULEBOOK_CRITICALITIES; j++) {
			rulebook.interval_months[j / RULEBOOK_CRITICALITIES][j % RULEBOOK_CRITICALITIES] = 12;
		}
		rulebook.notice_days = rulebook.grace_days = 0;
		memcpy((char *)&rulebook + rows[i].offset, &rows[i].value, sizeof rows[i].value);
		ok = rulebook_check(&rulebook, &why);
		ck_assert_msg(ok == (rows[i].field == NULL), "%s: %s", rows[i].label, why.item[0].detail);
		if (!ok) {
			ck_assert_msg(why.count == 1, "%s: %zu problems", rows[i].label, why.count);
			ck_assert_str_eq(why.item[0].field, rows[i].field);
			ck_assert_int_eq(why.item[0].code, PROBLEM_VALUE);
		}
	}
}
END_TEST

/* Each row changes one number or word of the default. */
static const struct { const char *label; size_t offset; double value; const char *field; } reals[] = {
#define AT(member) offsetof(struct rulebook, member)
	{ "watched from 0 %", AT(watch_percent), 0, "watch_percent" },
	{ "watched from the limit on", AT(watch_percent), 100, NULL },
	{ "watched above the limit", AT(watch_percent), 100.5, "watch_percent" },
	{ "missing", AT(watch_percent), NAN, "watch_percent" },
	{ "an arc of exactly its least", AT(arc_most_s), 1.5, NULL },
	{ "an arc shorter than its least", AT(arc_most_s), 1.4, "arc_most_s" },
	{ "no tolerance", AT(limits[BOND_STRUCTURE].cable_tolerance_percent), 0, NULL },
	{ "a negative one", AT(limits[BOND_STRUCTURE].cable_tolerance_percent), -1,
		"limits.structure.cable_tolerance_percent" },
	{ "the cable's limit not used", AT(limits[BOND_STRUCTURE].cable_tolerance_percent), NAN, NULL },
	{ "a baseline of 1 is always over", AT(limits[0].baseline_factor), 1,
		"limits.rail_joint.baseline_factor" },
	{ "a figure for one criticality", AT(limits[0].absolute_uohm[2]), 100, NULL },
	{ "a figure below what can be", AT(limits[0].absolute_uohm[2]), 0,
		"limits.rail_joint.absolute_uohm.safety" },
#undef AT
};

START_TEST(refuses_limits_that_cannot_be_meant)
{
	for (size_t i = 0; i < sizeof reals / sizeof reals[0]; i++) {
		struct rulebook rulebook = rulebook_default();
		struct problems why = { 0 };
		bool ok;

		memcpy((char *)&rulebook + reals[i].offset, &reals[i].value, sizeof reals[i].value);
		ok = rulebook_check(&rulebook, &why);
		ck_assert_msg(ok == (reals[i].field == NULL), "%s: %s", reals[i].label,
			why.item[0].detail);
		ck_assert_msg(ok || why.count == 1, "%s: %zu problems", reals[i].label, why.count);
		ck_assert_str_eq(ok ? "" : why.item[0].field, ok ? "" : reals[i].field);
	}
}
END_TEST

START_TEST(refuses_what_contradicts_itself)
{
	struct rulebook rulebook = rulebook_default();
	struct rulebook_limits *l = &rulebook.limits[BOND_FEEDER_LEAD];
	struct problems why = { 0 };

	l->absolute_uohm[CRITICALITY_HIGH] = 100;
	l->absolute_uohm[CRITICALITY_SAFETY] = 101;
	rulebook.severity[SEEN_GOOD] = SEVERITY_WATCH;
	rulebook.severity[SEEN_MISSING] = SEVERITY_NONE;
	ck_assert(!rulebook_check(&rulebook, &why));
	ck_assert_uint_eq(why.count, 3);
	ck_assert_str_eq(why.item[0].detail, "A return feeder lead of criticality safety cannot have "
		"a greater limit (101 µΩ) than one of criticality high (100 µΩ).");
	ck_assert_str_eq(why.item[1].field, "severity.good");
	ck_assert_str_eq(why.item[2].field, "severity.missing");
}
END_TEST

/* What is more critical is not judged by less. */
START_TEST(refuses_a_limit_of_its_own_that_the_more_critical_have_not)
{
	struct rulebook rulebook = rulebook_default();
	struct rulebook_limits *l = &rulebook.limits[BOND_FEEDER_LEAD];
	struct problems none = { 0 }, gap = { 0 }, good = { 0 };

	l->absolute_uohm[CRITICALITY_NORMAL] = 100;
	ck_assert(!rulebook_check(&rulebook, &none));
	ck_assert_str_eq(none.item[0].field, "limits.feeder_lead");
	ck_assert_str_eq(none.item[0].detail, "A return feeder lead of criticality high has no limit of "
		"its own, and one of criticality normal has (100 µΩ): give it one that is not greater.");
	l->absolute_uohm[CRITICALITY_SAFETY] = 500;
	ck_assert(!rulebook_check(&rulebook, &gap));
	l->absolute_uohm[CRITICALITY_HIGH] = l->absolute_uohm[CRITICALITY_SAFETY] = 100;
	ck_assert(rulebook_check(&rulebook, &good));
}
END_TEST

START_TEST(refuses_a_kind_that_would_never_be_judged)
{
	struct rulebook rulebook = rulebook_default();
	struct rulebook_limits *l = &rulebook.limits[BOND_FEEDER_LEAD];
	struct problems why = { 0 };

	l->cable_tolerance_percent = l->baseline_factor = NAN;
	ck_assert(!rulebook_check(&rulebook, &why));
	ck_assert_str_eq(why.item[0].field, "limits.feeder_lead");
	l->rail_equivalent_m = 3;
	ck_assert(rulebook_check(&rulebook, &why));
}
END_TEST

START_TEST(there_is_a_member_for_each_thing_seen)
{
	const struct member *seen = member_of("severity")->form->members;

	ck_assert_int_eq(seen_words.n, RULEBOOK_SEEN);
	for (int i = 0; i < RULEBOOK_SEEN; i++) {
		ck_assert_str_eq(seen[i].name, seen_words.code[i]);
		ck_assert_uint_eq(seen[i].offset, sizeof(int) * (size_t)i);
	}
	ck_assert_ptr_null(seen[RULEBOOK_SEEN].name);
	for (int i = 0; i < RULEBOOK_KINDS; i++) {
		const struct member *kind = &member_of("limits")->form->members[i];

		ck_assert_str_eq(kind->name, bond_kind_words.code[i]);
		ck_assert_uint_eq(kind->offset, sizeof(struct rulebook_limits) * (size_t)i);
	}
}
END_TEST

START_TEST(names_every_wrong_value_at_once)
{
	struct rulebook rulebook = rulebook_default();
	struct problems why = { 0 };

	rulebook.from_day = DAY_NONE;
	rulebook.grace_days = -1;
	rulebook.repeat_window_mm = 0;
	ck_assert(!rulebook_check(&rulebook, &why));
	ck_assert_uint_eq(why.count, 3);
	ck_assert_str_eq(why.item[0].field, "from_day");
	ck_assert_str_eq(why.item[1].detail,
		"Grace after the due day must be a whole number from 0 to 365 days.");
}
END_TEST

/* 27 intervals, 9 limits of 9 kinds, 7 things seen, 9 kinds of proof, 12 factors of what is asked,
 * two temperatures of 12 months, 27 scatters; beside from_day and these tables there are 24 single
 * values. */
START_TEST(walks_through_each_single_value)
{
	struct rulebook_walk walk = rulebook_walk_begin();
	size_t values = 0;

	while (rulebook_walk_next(&walk)) {
		values++;
		ck_assert_int_eq(walk.basis == NULL, strcmp(walk.path, "from_day") == 0);
		ck_assert_uint_lt(strlen("rulebook.") + strlen(walk.path), PROBLEM_FIELD_SIZE - 1);
		ck_assert_uint_lt(strlen(walk.title), RULEBOOK_TITLE_SIZE - 1);
	}
	ck_assert_uint_eq(values, 27 + 81 + 7 + 9 + 12 + 24 + 27 + 1 + 24);
}
END_TEST

/* What may be critical or not is an example; what nobody would have otherwise, common practice. */
START_TEST(each_thing_seen_rests_on_a_reason_of_its_own)
{
	static const struct { const char *path; enum rulebook_basis basis; } seen[] = {
		{ "severity.good", BASIS_COMMON_PRACTICE }, { "severity.loose", BASIS_COMMON_PRACTICE },
		{ "severity.corroded", BASIS_EXAMPLE }, { "severity.strands_broken", BASIS_EXAMPLE },
		{ "severity.damaged", BASIS_EXAMPLE }, { "severity.missing", BASIS_COMMON_PRACTICE },
		{ "severity.not_visible", BASIS_EXAMPLE } };
	const char *source[sizeof seen / sizeof seen[0]];

	for (size_t i = 0; i < sizeof seen / sizeof seen[0]; i++) {
		struct rulebook_walk walk;

		ck_assert_msg(rulebook_walk_find(&walk, seen[i].path), "%s", seen[i].path);
		ck_assert_ptr_nonnull(walk.basis);
		ck_assert_int_eq(walk.basis->basis, seen[i].basis);
		source[i] = walk.basis->source;
		for (size_t other = 0; other < i; other++) {
			ck_assert_str_ne(source[i], source[other]);
		}
	}
}
END_TEST

START_TEST(finds_a_value_by_its_path)
{
	struct rulebook_walk walk;

	ck_assert(rulebook_walk_find(&walk, "limits.structure.absolute_uohm.high"));
	ck_assert_str_eq(walk.title, "Limits of resistance, Structure bond, End to end, the railway's "
		"own figure, High");
	ck_assert_uint_eq(walk.offset, offsetof(struct rulebook, limits) +
		BOND_STRUCTURE * sizeof(struct rulebook_limits) +
		offsetof(struct rulebook_limits, absolute_uohm) + CRITICALITY_HIGH * sizeof(double));
	ck_assert_int_eq(walk.basis->basis, BASIS_EXAMPLE);
	ck_assert(rulebook_walk_find(&walk, "limits.rail_joint.joint_percent"));
	ck_assert_int_eq(walk.basis->basis, BASIS_STANDARD);
	ck_assert(!rulebook_walk_find(&walk, "limits.structure"));
	ck_assert(!rulebook_walk_find(&walk, ""));
}
END_TEST

START_TEST(tells_the_values_in_which_two_rulebooks_differ)
{
	const struct rulebook one = rulebook_default();
	struct rulebook other = rulebook_default();
	static const char *const changed[] = { "interval_months.structure.high",
		"limits.structure.rail_equivalent_m", "watch_percent", "severity.corroded" };
	struct rulebook_walk walk = rulebook_walk_begin();
	size_t n = 0;

	other.interval_months[BOND_STRUCTURE][CRITICALITY_HIGH] = 11;
	other.limits[BOND_STRUCTURE].rail_equivalent_m = 3;   /* NAN before; others stay NAN */
	other.watch_percent = 80.5;
	other.severity[SEEN_CORRODED] = SEVERITY_ACT;
	while (rulebook_walk_next(&walk)) {
		if (!rulebook_value_same(&walk, &one, &other)) {
			ck_assert_uint_lt(n, 4);
			ck_assert_str_eq(walk.path, changed[n++]);
		}
	}
	ck_assert_uint_eq(n, 4);
}
END_TEST

START_TEST(tells_what_only_moves_due_days_from_what_judges)
{
	const struct rulebook one = rulebook_default();
	struct rulebook other = one;

	other.interval_months[BOND_STRUCTURE][CRITICALITY_HIGH] = 11;
	other.grace_days = 7;
	other.act_days = 7;
	other.repeat_window_mm = 20000;
	other.cross_spacing_m = 400;
	other.from_day = 20000;
	ck_assert(rulebook_judges_alike(&one, &other));
	other.evidence_months = 24;
	ck_assert(!rulebook_judges_alike(&one, &other));
	other = one;
	other.limits[BOND_STRUCTURE].absolute_uohm[CRITICALITY_SAFETY] = 500;
	ck_assert(!rulebook_judges_alike(&one, &other));
	other = one;
	other.stub_most_mm = 3;
	ck_assert(!rulebook_judges_alike(&one, &other));
}
END_TEST

/* Domain 3: the factors of the trial, and what proves a kind. */
START_TEST(the_first_rulebook_asks_by_the_factors_of_the_trial)
{
	const struct rulebook r = rulebook_default();
	const double expected[] = { 0.3, 0.01, 0.005, 3, 2, 5, 0.1, 20, 50, 500, 15, 0.8 };

	for (size_t i = 0; i < sizeof expected / sizeof expected[0]; i++) {
		const struct member *m = &member_of("asked")->form->members[i];
		double value;

		memcpy(&value, (const char *)&r.asked + m->offset, sizeof value);
		ck_assert_msg(value >= expected[i] && value <= expected[i], "%s: %g", m->name, value);
	}
	for (int k = 0; k < RULEBOOK_KINDS; k++) {
		ck_assert_int_eq(r.proof[k], k == BOND_RAIL_JOINT ? PROOF_CONTACTS : PROOF_END_TO_END);
		ck_assert_str_eq(member_of("proof")->form->members[k].name, bond_kind_words.code[k]);
	}
	ck_assert_double_ge(r.carried_temp_k, 3);
}
END_TEST

START_TEST(refuses_what_could_not_be_proved_or_asked)
{
	struct rulebook r = rulebook_default();
	struct problems why = { 0 };

	r.limits[BOND_RAIL_JOINT].contact_allowance_uohm = 0;
	ck_assert(!rulebook_check(&r, &why));
	ck_assert_str_eq(why.item[0].field, "proof.rail_joint");
	r.limits[BOND_RAIL_JOINT].contact_uohm = 15;   /* a figure of its own will do */
	why.count = 0;
	ck_assert(rulebook_check(&r, &why));
	r.climate[6] = (struct rulebook_climate){ 30, 29.9 };
	ck_assert(!rulebook_check(&r, &why));
	ck_assert_str_eq(why.item[0].field, "climate");
	r.climate[6].high_c = 30;
	r.proof[BOND_STRUCTURE] = PROOF_IN_CIRCUIT + 1;
	r.asked.least_share = 0;                       /* no question is switched off */
	r.asked.most_times = NAN;
	r.carried_temp_k = 2.9;
	why.count = 0;
	ck_assert(!rulebook_check(&r, &why));
	ck_assert_uint_eq(why.count, 4);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		the_default_passes_its_own_check, there_is_a_member_for_each_kind_and_criticality,
		says_of_each_default_what_it_rests_on,
		both_contacts_scatter_alike_and_what_is_not_a_kind_as_the_unknown_one,
		no_kind_has_a_shorter_interval_than_the_unknown_kind,
		gives_the_strictest_interval_to_what_is_not_a_term,
		refuses_values_that_cannot_be_meant, refuses_limits_that_cannot_be_meant,
		refuses_what_contradicts_itself, refuses_a_limit_of_its_own_that_the_more_critical_have_not,
		refuses_a_kind_that_would_never_be_judged,
		there_is_a_member_for_each_thing_seen, names_every_wrong_value_at_once,
		walks_through_each_single_value, each_thing_seen_rests_on_a_reason_of_its_own,
		finds_a_value_by_its_path,
		tells_the_values_in_which_two_rulebooks_differ,
		tells_what_only_moves_due_days_from_what_judges,
		the_first_rulebook_asks_by_the_factors_of_the_trial,
		refuses_what_could_not_be_proved_or_asked, NULL };

	return case_run("rulebook", tests);
}
