/*
 * Stories of bonds as the register is told them, step by step: the grade with its reasons, and what
 * is due when. The figures are in service/story.h; the rules' own stories in
 * rules/test_judge_stories.c.
 */
#include "case.h"
#include "rules/judge/deferral.h"
#include "service/importing.h"
#include "service/record/renewal.h"
#include "service/record/work.h"
#include "service/story.h"

static void visit(struct story *s, int64_t bond, const char *day, double uohm)
{
	railway_must(story_visit(s, (struct story_visit){ s->bo, bond, day, NULL, uohm }), &s->why);
}

static void follow(struct story *s, const char *today)
{
	struct recompute at = { 0 };
	struct problem why = { 0 };
	bool more = true;

	while (more) {
		story_begin(s, 0, today);
		ck_assert_msg(recompute_piece(&s->r.act, &at, &more, &why), "%s", why.detail);
		story_end(s, true);
	}
}

/* Without a meter U is made of 5 % and 5 µΩ: 900 µΩ less 54 µΩ would be over. */
START_TEST(ten_years_imported_without_meters_then_stated)
{
	static const char settings[] = "{'separator':'comma','encoding':'utf_8','decimal':'point',"
		"'day_order':'ymd','columns':[{'field':'line','constant':'VAL'},"
		"{'field':'bond','column':'bond'},{'field':'day','column':'day'},"
		"{'field':'quantity','constant':'end_to_end'},{'field':'method','constant':'four_wire'},"
		"{'field':'temp_c','constant':'20'},{'field':'shown_uohm','column':'shown','unit':'uohm'}],"
		"'row_meant':'both_seen','stated_reason':'So the instruction of those years.'}";
	struct ruling_new meter = story_ruling(RULING_STATES_METER, "One microhmmeter, kept calibrated.");
	struct importing i;
	struct story s;
	char file[1200] = "bond,day,shown\n";
	int64_t good, over;

	story_make(&s);
	good = story_bond(&s, "X1", "1+000", "2013-01-01");
	over = story_bond(&s, "X2", "2+000", "2013-01-01");
	for (int year = 2014; year <= 2023; year++) {
		size_t len = strlen(file);

		snprintf(file + len, sizeof file - len, "X1,%d-06-01,602\nX2,%d-06-01,%d\n", year, year,
			year == 2023 ? 900 : 602);
	}
	importing_settings(&i, settings);
	i.stated_by = s.r.person_id;
	importing_expect(&s.r, &i, "inspections", file, 20, 0, 0, 0);
	STORY_IS(&s, good, UNKNOWN, BECAUSE(NO_EVIDENCE), PROOF_LACKS, "2014-01-01");
	STORY_IS(&s, over, ACT, BECAUSE(NO_EVIDENCE) | BECAUSE(ASKED) | BECAUSE(ASKED_OVER),
		PROOF_LACKS, "2014-01-01");
	meter.import_id = i.result.import_id;
	meter.percent = 1;
	meter.uohm = 0.5;
	railway_must(story_rule(&s, "2024-05-02", meter), &s.why);
	story_content(&s, "2024-05-02");               /* what waits to be made again is no difference */
	follow(&s, "2024-05-02");
	STORY_IS(&s, good, SOUND, 0, AFTER_INSPECTION, "2024-06-01");
	ck_assert_int_eq(story_state(&s, over).grade.grade, GRADE_ACT);
	ck_assert_uint_ne(story_state(&s, over).grade.reasons & BECAUSE(OVER), 0);
	ck_assert_int_eq(story_state(&s, over).due.due_day, railway_day("2023-06-15"));
	importing_release(&i);
	story_over(&s, "2024-05-02");
}
END_TEST

static bool put_off(struct story *s, int64_t bond, const char *today, const char *until, int64_t *keys,
	size_t n_keys)
{
	struct deferral_new form;

	form_clear(&deferral_form, &form);
	story_uuid(s, form.uuid);
	form.of.bond_id = bond;
	form.until_day = railway_day(until);
	form.reason = "No possession.";
	form.names = (struct form_list){ keys, n_keys };
	story_begin(s, s->ada, today);
	return story_end(s, deferral_record(&s->r.act, &form, &s->recorded, &s->why));
}

static enum due_state due_on(struct story *s, int64_t bond, const char *day)
{
	struct bond_state is = story_state(s, bond);

	return due_state_on(&is.due, railway_day(day));
}

START_TEST(a_deferral_of_a_bond_that_is_act_already)
{
	int64_t keys[] = { ACT_OVER + QUANTITY_END_TO_END,
		ACT_FAILURE + 3 * FAILURE_CABLE_BROKEN };
	struct story s;
	int64_t bond;

	story_make(&s);
	bond = story_bond(&s, "X1", "1+000", "2020-03-01");
	visit(&s, bond, "2024-03-01", 820);
	STORY_IS(&s, bond, ACT, BECAUSE(OVER), ACT, "2024-03-15");
	ck_assert(!put_off(&s, bond, "2024-03-05", "2024-09-01", keys, 0));
	ck_assert_str_eq(s.why.item[0].field, "names");
	ck_assert(strstr(s.why.item[0].detail, "over its limit") != NULL);
	railway_must(put_off(&s, bond, "2024-03-05", "2024-09-01", keys, 1), &s.why);
	STORY_IS(&s, bond, ACT, BECAUSE(OVER), ACT, "2024-03-15");
	ck_assert_int_eq(due_on(&s, bond, "2024-09-01"), DUE_DEFERRED);
	ck_assert_int_eq(due_on(&s, bond, "2024-09-02"), DUE_OVERDUE);
	/* over again, in passing: the same reason */
	railway_must(story_visit(&s, (struct story_visit){ .by = s.bo, .bond = bond,
		.today = "2024-03-20", .uohm = 825, .outcome = OUTCOME_PARTLY }), &s.why);
	ck_assert_int_eq(due_on(&s, bond, "2024-04-02"), DUE_DEFERRED);
	/* told in April of the cable that broke in February */
	railway_must(story_fail(&s, (struct story_failure){ s.bo, bond, "2024-04-02", "2024-02-20",
		FAILURE_CABLE_BROKEN }), &s.why);
	ck_assert_int_eq(due_on(&s, bond, "2024-04-02"), DUE_OVERDUE);
	ck_assert_int_eq(story_state(&s, bond).due.mend_day, railway_day("2024-03-05"));
	ck_assert(!put_off(&s, bond, "2024-04-03", "2024-09-01", keys, 1));
	railway_must(put_off(&s, bond, "2024-04-03", "2024-09-01", keys, 2), &s.why);
	ck_assert_int_eq(due_on(&s, bond, "2024-04-04"), DUE_DEFERRED);
	visit(&s, bond, "2024-04-10", 825);
	ck_assert_int_eq(due_on(&s, bond, "2024-04-10"), DUE_OVERDUE);
	ck_assert_int_eq(story_state(&s, bond).grade.grade, GRADE_ACT);
	story_over(&s, "2024-04-11");
}
END_TEST

enum { STOLEN = 12 };

/* 5 m apart; each was put off until the end of the year. */
START_TEST(twelve_cables_are_stolen_in_a_night)
{
	struct story s;
	int64_t bonds[STOLEN];
	char failures[STOLEN][UUID_TEXT_SIZE];

	story_make(&s);
	for (int i = 0; i < STOLEN; i++) {
		char label[16], chainage[16];

		snprintf(label, sizeof label, "X%d", i);
		snprintf(chainage, sizeof chainage, "1+%03d", 5 * i);
		bonds[i] = story_bond(&s, label, chainage, "2020-03-01");
		visit(&s, bonds[i], "2023-10-01", 602);
		railway_must(put_off(&s, bonds[i], "2023-10-02", "2024-12-31", NULL, 0), &s.why);
	}
	for (int i = 0; i < STOLEN; i++) {
		railway_must(story_fail(&s, (struct story_failure){ s.bo, bonds[i], "2024-03-04",
			"2024-03-03", FAILURE_CUT_OR_STOLEN }), &s.why);
		memcpy(failures[i], s.uuid, UUID_TEXT_SIZE);
		STORY_IS(&s, bonds[i], ACT, BECAUSE(FAILURE_OPEN) | BECAUSE(NO_EVIDENCE), ACT,
			"2024-03-17");
		ck_assert_int_eq(due_on(&s, bonds[i], "2024-03-17"), DUE_DUE);
	}
	/* new cables two nights later at all but four, read at half of those */
	for (int i = 4; i < STOLEN; i++) {
		railway_must(story_mend(&s, (struct story_repair){ s.bo, "2024-03-05", NULL, failures[i] }),
			&s.why);
		STORY_IS(&s, bonds[i], ACT, BECAUSE(FAILURE_NOT_PROVED) | BECAUSE(NO_EVIDENCE),
			PROOF_LACKS, "2024-03-05");
		ck_assert_int_eq(story_state(&s, bonds[i]).due.mend_day, railway_day("2024-03-17"));
		if (i % 2 == 0) {
			visit(&s, bonds[i], "2024-03-06", 605);
			STORY_IS(&s, bonds[i], SOUND, 0, AFTER_INSPECTION, "2025-03-06");
		}
	}
	STORY_IS(&s, bonds[0], ACT, BECAUSE(FAILURE_OPEN) | BECAUSE(NO_EVIDENCE), ACT, "2024-03-17");
	story_over(&s, "2024-03-07");
}
END_TEST

static void attach(struct story *s, int64_t by, int64_t bond, const char *day, enum bond_end end,
	const char *at)
{
	railway_must(story_attach(s, (struct story_end){ .by = by, .bond = bond, .today = day, .end = end,
		.hammer = 1, .at = at }), &s->why);
}

static void renew(struct story *s)
{
	struct renewal_new form;

	form_clear(&renewal_form, &form);
	story_uuid(s, form.uuid);
	form.line = "VAL";
	form.track = "Up";
	form.rails = RENEWED_LEFT;
	form.from = "1+000";
	form.to = "1+040";
	form.day = railway_day("2024-05-01");
	form.reason = "Worn.";
	story_begin(s, s->ada, "2024-05-02");
	railway_must(renewal_record(&s->r.act, &form, &s->recorded, &s->why), &s->why);
	story_end(s, true);
}

static void take_out(struct story *s, int64_t bond, const char *label, const char *chainage)
{
	struct bond_new form = story_bond_form(label, chainage, "2020-03-01");

	form.status = BOND_REMOVED;
	form.removed_day = railway_day("2024-05-01");
	story_begin(s, s->ada, "2024-05-02");
	railway_must(bond_change(&s->r.act, bond, &form, &s->why), &s->why);
	story_end(s, true);
}

START_TEST(a_rail_is_renewed_under_five_bonds_and_one_is_forgotten)
{
	static const char *const labels[] = { "A", "B", "C", "D", "E" };
	static const char *const places[] = { "1+000", "1+010", "1+020", "1+030", "1+040" };
	struct story s;
	int64_t bond[5];

	story_make(&s);
	for (int i = 0; i < 5; i++) {
		bond[i] = story_bond(&s, labels[i], places[i], "2020-03-01");
		if (i != 4) {
			attach(&s, s.bo, bond[i], "2020-03-02", END_A, NULL);
			attach(&s, s.bo, bond[i], "2020-03-02", END_B, NULL);
		}
		visit(&s, bond[i], "2024-04-01", 602);
		STORY_IS(&s, bond[i], SOUND, 0, AFTER_INSPECTION, "2025-04-01");
	}
	renew(&s);
	for (int i = 0; i < 5; i++) {
		STORY_IS(&s, bond[i], ACT, BECAUSE(NOT_ATTACHED), ACT, "2024-05-15");
	}
	take_out(&s, bond[0], labels[0], places[0]);
	ck_assert_int_eq(story_state(&s, bond[0]).grade.grade, GRADE_NONE);
	for (int i = 1; i < 4; i++) {
		attach(&s, s.bo, bond[i], "2024-05-01", END_A, NULL);
		STORY_IS(&s, bond[i], ACT, BECAUSE(NOT_ATTACHED) | BECAUSE(NO_EVIDENCE), COMMISSIONING,
			"2024-05-01");
	}
	railway_must(story_visit(&s, (struct story_visit){ s.bo, bond[1], "2024-05-01", NULL, 605,
		PURPOSE_COMMISSIONING }), &s.why);
	STORY_IS(&s, bond[1], SOUND, 0, AFTER_INSPECTION, "2025-05-01");
	/* 770 ± 20 of 778.7: not shown to be good */
	railway_must(story_visit(&s, (struct story_visit){ s.bo, bond[2], "2024-05-05", NULL, 770,
		PURPOSE_COMMISSIONING }), &s.why);
	ck_assert_int_eq(story_state(&s, bond[2]).grade.grade, GRADE_ACT);
	STORY_IS(&s, bond[3], ACT, BECAUSE(NOT_ATTACHED) | BECAUSE(NO_EVIDENCE), COMMISSIONING,
		"2024-05-01");
	/* forgotten, of which no attachment was ever recorded: nothing that is read there mends it */
	visit(&s, bond[4], "2024-06-01", 602);
	ck_assert_int_eq(story_state(&s, bond[4]).grade.grade, GRADE_ACT);
	ck_assert_int_eq(story_state(&s, bond[4]).due.mend_day, railway_day("2024-05-15"));
	story_over(&s, "2024-06-02");
}
END_TEST

/* The bond was attached and commissioned in spring. */
static int64_t before_the_night(struct story *s)
{
	int64_t bond;

	story_make(s);
	bond = story_bond(s, "X1", "1+000", "2020-03-01");
	attach(s, s->bo, bond, "2024-03-01", END_A, NULL);
	attach(s, s->bo, bond, "2024-03-01", END_B, NULL);
	railway_must(story_visit(s, (struct story_visit){ s->bo, bond, "2024-03-01", NULL, 602,
		PURPOSE_COMMISSIONING }), &s->why);
	STORY_IS(s, bond, SOUND, 0, AFTER_INSPECTION, "2025-03-01");
	return bond;
}

static void read_at(struct story *s, int64_t by, int64_t bond, const char *at, enum purpose purpose,
	double uohm)
{
	railway_must(story_visit(s, (struct story_visit){ .by = by, .bond = bond, .today = "2024-05-10",
		.uohm = uohm, .purpose = purpose, .at = at }), &s->why);
}

START_TEST(found_over_attached_anew_and_commissioned_in_one_night_by_two_crews)
{
	static const char *const at[2][4] = { { NULL }, { "21:10", "22:00", "22:20", "23:40" } };

	for (int i = 0; i < 2; i++) {
		struct story s;
		int64_t bond = before_the_night(&s);

		read_at(&s, s.bo, bond, at[i][0], PURPOSE_ROUTINE, 820);
		STORY_IS(&s, bond, ACT, BECAUSE(OVER), ACT, "2024-05-24");
		attach(&s, s.bo, bond, "2024-05-10", END_A, at[i][1]);
		attach(&s, s.eva, bond, "2024-05-10", END_B, at[i][2]);
		STORY_IS(&s, bond, ACT, BECAUSE(OVER) | BECAUSE(NO_EVIDENCE), COMMISSIONING, "2024-05-10");
		read_at(&s, s.eva, bond, at[i][3], PURPOSE_COMMISSIONING, 602);
		STORY_IS(&s, bond, SOUND, 0, AFTER_INSPECTION, "2025-05-10");
		story_over(&s, "2024-05-11");
	}
}
END_TEST

/* In whatever order the night's entries arrive: over, once more, within by their instants. */
START_TEST(commissioned_over_attached_once_more_commissioned_within_in_one_night)
{
	for (int late = 0; late < 2; late++) {
		struct story s;
		int64_t bond = before_the_night(&s);

		attach(&s, s.bo, bond, "2024-05-10", END_A, "21:00");
		if (late) {
			read_at(&s, s.eva, bond, "23:30", PURPOSE_COMMISSIONING, 602);
			attach(&s, s.eva, bond, "2024-05-10", END_A, "22:30");
		}
		read_at(&s, s.bo, bond, "21:40", PURPOSE_COMMISSIONING, 820);
		if (!late) {
			STORY_IS(&s, bond, ACT, BECAUSE(OVER), ACT, "2024-05-24");
			attach(&s, s.eva, bond, "2024-05-10", END_A, "22:30");
			STORY_IS(&s, bond, ACT, BECAUSE(OVER) | BECAUSE(NO_EVIDENCE), COMMISSIONING,
				"2024-05-10");
			read_at(&s, s.eva, bond, "23:30", PURPOSE_COMMISSIONING, 602);
		}
		STORY_IS(&s, bond, SOUND, 0, AFTER_INSPECTION, "2025-05-10");
		story_over(&s, "2024-05-11");
	}
}
END_TEST

/* Nobody can tell whether what was within came before or after what was over. */
START_TEST(without_instants_the_over_of_such_a_night_stands)
{
	for (int within_first = 0; within_first < 2; within_first++) {
		struct story s;
		int64_t bond = before_the_night(&s);

		attach(&s, s.bo, bond, "2024-05-10", END_A, NULL);
		read_at(&s, s.bo, bond, NULL, PURPOSE_COMMISSIONING, within_first ? 602 : 820);
		attach(&s, s.eva, bond, "2024-05-10", END_A, NULL);
		read_at(&s, s.eva, bond, NULL, PURPOSE_COMMISSIONING, within_first ? 820 : 602);
		ck_assert_int_eq(story_state(&s, bond).grade.grade, GRADE_ACT);
		ck_assert_uint_ne(story_state(&s, bond).grade.reasons & BECAUSE(OVER), 0);
		story_over(&s, "2024-05-11");
	}
}
END_TEST

/* The attachment has no instant; what was read has: it was commissioned within before it was
 * over. */
START_TEST(what_is_read_over_after_the_commissioning_is_over_of_what_was_commissioned)
{
	for (int late = 0; late < 2; late++) {
		struct story s;
		int64_t bond = before_the_night(&s);

		attach(&s, s.bo, bond, "2024-05-10", END_A, NULL);
		if (late) {
			read_at(&s, s.eva, bond, "23:30", PURPOSE_ROUTINE, 820);
		}
		read_at(&s, s.bo, bond, "22:30", PURPOSE_COMMISSIONING, 602);
		if (!late) {
			read_at(&s, s.eva, bond, "23:30", PURPOSE_ROUTINE, 820);
		}
		ck_assert_int_eq(story_state(&s, bond).grade.grade, GRADE_ACT);
		ck_assert_uint_ne(story_state(&s, bond).grade.reasons & BECAUSE(OVER), 0);
		story_over(&s, "2024-05-11");
	}
}
END_TEST

/* Within at 22:00, attached once more at 23:00, then over; who told of that first noted no
 * instant. */
START_TEST(what_was_commissioned_before_clears_nothing_of_what_was_attached_since)
{
	struct story s;
	int64_t bond = before_the_night(&s);

	attach(&s, s.bo, bond, "2024-05-10", END_A, "21:00");
	attach(&s, s.bo, bond, "2024-05-10", END_A, "23:00");
	read_at(&s, s.eva, bond, NULL, PURPOSE_COMMISSIONING, 820);
	ck_assert_int_eq(story_state(&s, bond).grade.grade, GRADE_ACT);
	read_at(&s, s.bo, bond, "22:00", PURPOSE_COMMISSIONING, 602);
	ck_assert_int_eq(story_state(&s, bond).grade.grade, GRADE_ACT);
	ck_assert_uint_ne(story_state(&s, bond).grade.reasons & BECAUSE(OVER), 0);
	story_over(&s, "2024-05-11");
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { ten_years_imported_without_meters_then_stated,
		a_deferral_of_a_bond_that_is_act_already, twelve_cables_are_stolen_in_a_night,
		a_rail_is_renewed_under_five_bonds_and_one_is_forgotten,
		found_over_attached_anew_and_commissioned_in_one_night_by_two_crews,
		commissioned_over_attached_once_more_commissioned_within_in_one_night,
		without_instants_the_over_of_such_a_night_stands,
		what_is_read_over_after_the_commissioning_is_over_of_what_was_commissioned,
		what_was_commissioned_before_clears_nothing_of_what_was_attached_since, NULL };

	return case_run("stories", tests);
}
