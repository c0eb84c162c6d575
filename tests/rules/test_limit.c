#include <math.h>
#include <string.h>

#include "case.h"
#include "rules/conductor.h"
#include "rules/judge/limit.h"

/* One kind that uses all limits: 10 % on cable and two contacts of 10 µΩ, 1.5 times commissioning,
 * 3 m of rail, 5 % of the rail between joints, 50 µΩ a contact, 500, 400 and 300 µΩ. */
static struct rulebook book(void)
{
	struct rulebook rulebook = rulebook_default();

	rulebook.limits[BOND_RAIL_JOINT] = (struct rulebook_limits){ 10, 10, 1.5, 3, 5, 50,
		{ 500, 400, 300 } };
	return rulebook;
}

/* 1.5 m of 70 mm² copper, class 2 (0.268 ohm/km, IEC 60228), 120 µΩ at commissioning, beside 60E1
 * (28.683181 µΩ/m) in lengths of 18 m. */
static struct limit_facts joint(enum quantity quantity)
{
	return (struct limit_facts){ .kind = BOND_RAIL_JOINT, .criticality = CRITICALITY_NORMAL,
		.quantity = quantity,
		.cable_uohm_per_m = conductor_uohm_per_m(MATERIAL_COPPER, 2, 70), .length_m = 1.5,
		.cables = 1, .ends = 2, .baseline = 120,
		.rail_uohm_per_m = rail_uohm_per_m(rail_find("60E1")), .rail_between_joints_m = 18 };
}

static struct limits formed(const struct limit_facts *facts)
{
	const struct rulebook rulebook = book();
	struct limits limits;

	memset(&limits, 0xA5, sizeof limits);
	limit_form(&rulebook, facts, &limits);
	return limits;
}

static bool near(double value, double expected)
{
	return isnan(expected) ? isnan(value) : fabs(value - expected) <= 1e-4;
}

/* By hand: cable (268 x 1.5 + 2 x 10) x 1.1 = 464.2; 1.5 x 120 = 180; a contact 10 x 1.1 = 11; 5 %
 * of 18 m is 0.9 m. */
static const struct { enum quantity quantity; double of[LIMITS]; int lowest; } quantities[] = {
	{ QUANTITY_END_TO_END, { 464.2, 180, NAN, NAN, NAN, 500 }, LIMIT_BASELINE },
	{ QUANTITY_CONTACT_A, { NAN, NAN, NAN, NAN, 11, 50 }, LIMIT_CONTACT },
	{ QUANTITY_CONTACT_B, { NAN, NAN, NAN, NAN, 11, 50 }, LIMIT_CONTACT },
	{ QUANTITY_RAIL_DROP, { NAN, NAN, 3, 0.9, NAN, NAN }, LIMIT_JOINT },
};

START_TEST(each_quantity_has_its_limits_and_the_lowest_counts)
{
	for (size_t i = 0; i < sizeof quantities / sizeof quantities[0]; i++) {
		const struct limit_facts facts = joint(quantities[i].quantity);
		struct limits limits = formed(&facts);

		for (int k = 0; k < LIMITS; k++) {
			ck_assert_msg(near(limits.of[k], quantities[i].of[k]), "%s, %s: %.9g",
				quantity_words.code[i], limit_kind_words.code[k], limits.of[k]);
			ck_assert_int_eq(limits.absence[k],
				isnan(quantities[i].of[k]) ? LIMIT_NOT_FOR_QUANTITY : LIMIT_FORMED);
		}
		ck_assert_int_eq(limits.lowest, quantities[i].lowest);
		ck_assert_double_eq(limits.limit, limits.of[limits.lowest]);
	}
}
END_TEST

/* By hand, as above. */
static const struct {
	const char *label;
	size_t at;
	double value;
	enum limit_kind kind;
	double limit;
	enum limit_absence absence;
} changed[] = {
#define AT(member) offsetof(struct limit_facts, member)
	{ "twice as long", AT(length_m), 3, LIMIT_CABLE, 906.4, LIMIT_FORMED },
	{ "no conductor", AT(cable_uohm_per_m), NAN, LIMIT_CABLE, NAN, LIMIT_NO_CONDUCTOR },
	{ "a conductor of nothing", AT(cable_uohm_per_m), 0, LIMIT_CABLE, NAN, LIMIT_NO_CONDUCTOR },
	{ "a negative one", AT(cable_uohm_per_m), -268, LIMIT_CABLE, NAN, LIMIT_NO_CONDUCTOR },
	{ "no length", AT(length_m), NAN, LIMIT_CABLE, NAN, LIMIT_NO_LENGTH },
	{ "a length of zero", AT(length_m), 0, LIMIT_CABLE, NAN, LIMIT_NO_LENGTH },
	{ "a negative length", AT(length_m), -1.5, LIMIT_CABLE, NAN, LIMIT_NO_LENGTH },
	{ "an infinite length", AT(length_m), INFINITY, LIMIT_CABLE, NAN, LIMIT_NO_LENGTH },
	{ "no commissioning", AT(baseline), NAN, LIMIT_BASELINE, NAN, LIMIT_NO_BASELINE },
	{ "infinite at commissioning", AT(baseline), INFINITY, LIMIT_BASELINE, NAN,
		LIMIT_NO_BASELINE },
	{ "zero at commissioning", AT(baseline), 0, LIMIT_BASELINE, NAN,
		LIMIT_BASELINE_NOT_POSITIVE },
	{ "less than none", AT(baseline), -0.1, LIMIT_BASELINE, NAN, LIMIT_BASELINE_NOT_POSITIVE },
	{ "hardly anything", AT(baseline), 0.1, LIMIT_BASELINE, 0.15, LIMIT_FORMED },
#undef AT
};

START_TEST(says_which_limit_could_not_be_formed_and_uses_the_others)
{
	const struct limit_facts whole = joint(QUANTITY_END_TO_END);
	const struct limits all = formed(&whole);

	for (size_t i = 0; i < sizeof changed / sizeof changed[0]; i++) {
		struct limit_facts facts = whole;
		struct limits limits;

		memcpy((char *)&facts + changed[i].at, &changed[i].value, sizeof(double));
		limits = formed(&facts);
		ck_assert_msg(limits.absence[changed[i].kind] == changed[i].absence, "%s: %s",
			changed[i].label, limit_absence_words.code[limits.absence[changed[i].kind]]);
		ck_assert_msg(near(limits.of[changed[i].kind], changed[i].limit), "%s: %.9g",
			changed[i].label, limits.of[changed[i].kind]);
		ck_assert_double_eq(limits.of[LIMIT_ABSOLUTE], all.of[LIMIT_ABSOLUTE]);
		ck_assert_int_ge(limits.lowest, 0);
	}
}
END_TEST

/* 5 % of 36 m is 1.8 m, and more than 3 m of rail is allowed from 60 m on. */
START_TEST(the_rail_between_joints_limits_the_drop_alone)
{
	static const struct { double between_m, limit_m; int lowest; enum limit_absence absence; }
		rows[] = {
		{ 36, 1.8, LIMIT_JOINT, LIMIT_FORMED }, { 60.1, 3, LIMIT_RAIL, LIMIT_FORMED },
		{ NAN, 3, LIMIT_RAIL, LIMIT_NO_JOINTS }, { 0, 3, LIMIT_RAIL, LIMIT_NO_JOINTS },
	};

	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		struct limit_facts facts = joint(QUANTITY_RAIL_DROP);
		struct limits limits;

		facts.rail_between_joints_m = rows[i].between_m;
		facts.rail_uohm_per_m = NAN;       /* no limit stands on it */
		limits = formed(&facts);
		ck_assert_int_eq(limits.lowest, rows[i].lowest);
		ck_assert(near(limits.limit, rows[i].limit_m));
		ck_assert_int_eq(limits.absence[LIMIT_JOINT], rows[i].absence);
	}
}
END_TEST

START_TEST(cables_in_parallel_share_the_cable_but_not_the_ends)
{
	static const struct { int64_t cables; double limit; enum limit_absence absence; } rows[] = {
		{ 1, 464.2, LIMIT_FORMED }, { 2, 243.1, LIMIT_FORMED }, { 3, 169.4, LIMIT_FORMED },
		{ 0, NAN, LIMIT_NO_CABLES }, { -1, NAN, LIMIT_NO_CABLES },
	};
	struct limit_facts facts = joint(QUANTITY_END_TO_END);

	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		struct limits limits;

		facts.cables = rows[i].cables;
		limits = formed(&facts);
		ck_assert(near(limits.of[LIMIT_CABLE], rows[i].limit));
		ck_assert_int_eq(limits.absence[LIMIT_CABLE], rows[i].absence);
	}
	facts.cables = 1;
	facts.ends = 1;
	ck_assert(near(formed(&facts).of[LIMIT_CABLE], 453.2));
	facts.ends = -2;
	ck_assert(near(formed(&facts).of[LIMIT_CABLE], 442.2));
}
END_TEST

START_TEST(a_limit_that_the_rulebook_leaves_out_is_not_used)
{
	struct rulebook rulebook = book();
	struct rulebook_limits *row = &rulebook.limits[BOND_RAIL_JOINT];
	const struct limit_facts facts = joint(QUANTITY_END_TO_END);
	struct limit_facts contact = joint(QUANTITY_CONTACT_A);
	struct limits limits;

	*row = (struct rulebook_limits){ 0, NAN, NAN, NAN, NAN, NAN, { NAN, NAN, NAN } };
	limit_form(&rulebook, &facts, &limits);
	for (int i = 0; i < LIMITS; i++) {
		ck_assert_int_eq(limits.absence[i], i == LIMIT_CABLE ? LIMIT_FORMED :
			i == LIMIT_BASELINE || i == LIMIT_ABSOLUTE ? LIMIT_NOT_USED : LIMIT_NOT_FOR_QUANTITY);
	}
	/* no tolerance and no allowance: the cable as the table has it */
	ck_assert_double_eq_tol(limits.limit, 402, 1e-9);
	contact.baseline = NAN;
	limit_form(&rulebook, &contact, &limits);
	ck_assert_int_eq(limits.lowest, -1);
	ck_assert(isnan(limits.limit));
	ck_assert_int_eq(limits.absence[LIMIT_CONTACT], LIMIT_NOT_USED);
}
END_TEST

START_TEST(nothing_known_leaves_the_railways_own_figure)
{
	const struct limit_facts facts = { .kind = BOND_RAIL_JOINT, .criticality = CRITICALITY_HIGH,
		.quantity = QUANTITY_END_TO_END, .cable_uohm_per_m = NAN, .length_m = NAN,
		.baseline = NAN, .rail_uohm_per_m = NAN, .rail_between_joints_m = NAN };
	struct limits limits = formed(&facts);

	ck_assert_int_eq(limits.lowest, LIMIT_ABSOLUTE);
	ck_assert_double_eq(limits.limit, 400);
	ck_assert_int_eq(limits.absence[LIMIT_CABLE], LIMIT_NO_CONDUCTOR);
	ck_assert_int_eq(limits.absence[LIMIT_BASELINE], LIMIT_NO_BASELINE);
}
END_TEST

START_TEST(of_equal_limits_the_first_is_named)
{
	struct rulebook rulebook = book();
	const struct limit_facts facts = joint(QUANTITY_CONTACT_A);
	struct limits limits;

	rulebook.limits[BOND_RAIL_JOINT].cable_tolerance_percent = NAN;   /* then 10 as it is */
	rulebook.limits[BOND_RAIL_JOINT].contact_uohm = 10;
	limit_form(&rulebook, &facts, &limits);
	ck_assert_int_eq(limits.lowest, LIMIT_CONTACT);
	rulebook.limits[BOND_RAIL_JOINT].contact_uohm = 9.9;
	limit_form(&rulebook, &facts, &limits);
	ck_assert_int_eq(limits.lowest, LIMIT_ABSOLUTE);
	rulebook.limits[BOND_RAIL_JOINT].contact_uohm = 10.1;
	limit_form(&rulebook, &facts, &limits);
	ck_assert_int_eq(limits.lowest, LIMIT_CONTACT);
	rulebook.limits[BOND_RAIL_JOINT].contact_allowance_uohm = 0;      /* is none */
	limit_form(&rulebook, &facts, &limits);
	ck_assert_int_eq(limits.lowest, LIMIT_ABSOLUTE);
}
END_TEST

START_TEST(what_is_outside_the_terms_gets_the_strictest)
{
	struct rulebook rulebook = book();
	struct limit_facts facts = joint(QUANTITY_END_TO_END);
	struct limits limits;

	facts.criticality = (enum criticality)77;
	ck_assert_double_eq(formed(&facts).of[LIMIT_ABSOLUTE], 300);
	rulebook.limits[BOND_KIND_NOT_KNOWN].baseline_factor = 1.2;
	facts.kind = (enum bond_kind)77;
	limit_form(&rulebook, &facts, &limits);
	ck_assert(near(limits.of[LIMIT_BASELINE], 144));
}
END_TEST

/* The sentence of one limit, whole. */
static const char *working(const struct rulebook *rulebook, const struct limit_facts *facts,
	enum limit_kind kind)
{
	static char to[LIMIT_WORKING_SIZE];
	struct limits limits;
	struct sentence s;

	limit_form(rulebook, facts, &limits);
	sentence_begin(&s, to, sizeof to);
	limit_working(rulebook, facts, &limits, kind, &s);
	ck_assert(!s.cut);
	return to;
}

START_TEST(tells_how_each_limit_was_made)
{
	const struct rulebook rulebook = book();
	struct limit_facts facts = joint(QUANTITY_END_TO_END);
	const struct limit_facts drop = joint(QUANTITY_RAIL_DROP);
	const struct limit_facts contact = joint(QUANTITY_CONTACT_B);

	ck_assert_str_eq(working(&rulebook, &facts, LIMIT_CABLE),
		"(268 µΩ/m × 1.5 m / 1 cable + 2 × 10 µΩ) + 10 % = 464.2 µΩ");
	ck_assert_str_eq(working(&rulebook, &facts, LIMIT_BASELINE),
		"1.5 × 120 µΩ at commissioning = 180 µΩ");
	ck_assert_str_eq(working(&rulebook, &facts, LIMIT_RAIL),
		"it says nothing of what was measured");
	ck_assert_str_eq(working(&rulebook, &facts, LIMIT_JOINT),
		"it says nothing of what was measured");
	ck_assert_str_eq(working(&rulebook, &facts, LIMIT_CONTACT),
		"it says nothing of what was measured");
	ck_assert_str_eq(working(&rulebook, &facts, LIMIT_ABSOLUTE),
		"the rulebook's figure = 500 µΩ");
	ck_assert_str_eq(working(&rulebook, &contact, LIMIT_CONTACT), "10 µΩ + 10 % = 11 µΩ");
	ck_assert_str_eq(working(&rulebook, &contact, LIMIT_ABSOLUTE),
		"the rulebook's figure = 50 µΩ");
	ck_assert_str_eq(working(&rulebook, &contact, LIMIT_BASELINE),
		"it says nothing of what was measured");
	ck_assert_str_eq(working(&rulebook, &drop, LIMIT_RAIL),
		"the rulebook's figure = 3 m of rail");
	ck_assert_str_eq(working(&rulebook, &drop, LIMIT_JOINT),
		"5 % of 18 m of rail between joints = 0.9 m of rail");
	facts.cables = 2;
	facts.length_m = NAN;
	ck_assert_str_eq(working(&rulebook, &facts, LIMIT_CABLE),
		"the length of the cable is not known");
}
END_TEST

START_TEST(the_longest_figures_fit_their_sentence)
{
	const double big = 999999999999999.4;  /* written in full */
	struct rulebook rulebook = book();
	struct limit_facts facts = joint(QUANTITY_END_TO_END);

	rulebook.limits[BOND_RAIL_JOINT] = (struct rulebook_limits){ big, big, big, big, big, big,
		{ big, big, big } };
	facts.cable_uohm_per_m = facts.length_m = facts.baseline = facts.rail_uohm_per_m =
		facts.rail_between_joints_m = big;
	facts.cables = INT64_MAX;
	facts.ends = INT32_MAX;
	for (int q = QUANTITY_END_TO_END; q <= QUANTITY_RAIL_DROP; q++) {
		facts.quantity = (enum quantity)q;
		for (int k = 0; k < LIMITS; k++) {
			ck_assert_uint_gt(strlen(working(&rulebook, &facts, (enum limit_kind)k)), 0);
		}
	}
}
END_TEST

START_TEST(each_limit_and_each_absence_has_words)
{
	ck_assert_int_eq(limit_kind_words.n, LIMITS);
	for (int i = 0; i < LIMITS; i++) {
		ck_assert_ptr_nonnull(limit_kind_words.code[i]);
		ck_assert_ptr_nonnull(limit_kind_words.title[i]);
	}
	ck_assert_int_eq(limit_absence_words.n, LIMIT_BASELINE_NOT_POSITIVE + 1);
	ck_assert_str_eq(limit_absence_words.code[LIMIT_NO_JOINTS], "no_joints");
	ck_assert_str_eq(limit_absence_words.code[LIMIT_BASELINE_NOT_POSITIVE],
		"baseline_not_positive");
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { each_quantity_has_its_limits_and_the_lowest_counts,
		says_which_limit_could_not_be_formed_and_uses_the_others,
		the_rail_between_joints_limits_the_drop_alone,
		cables_in_parallel_share_the_cable_but_not_the_ends,
		a_limit_that_the_rulebook_leaves_out_is_not_used,
		nothing_known_leaves_the_railways_own_figure, of_equal_limits_the_first_is_named,
		what_is_outside_the_terms_gets_the_strictest, tells_how_each_limit_was_made,
		the_longest_figures_fit_their_sentence, each_limit_and_each_absence_has_words, NULL };

	return case_run("limit", tests);
}
