/*
 * What a row of an old log meant may be stated of an import that lies there, by an engineer: its
 * visits that have no word for each end are complete by it, or not, and bonds are due by that.
 */
#include "case.h"
#include "service/importing.h"
#include "service/record/ruling.h"
#include "service/record/withdrawal.h"
#include "store/record/correction.h"
#include "store/record/inspection.h"

#define AS_CSV "'separator':'comma','encoding':'utf_8','day_order':'ymd',"
#define COLUMNS(more) "'columns':[{'field':'line','constant':'VAL'}," more \
	"{'field':'bond','column':'bond'},{'field':'day','column':'day'}," \
	"{'field':'seen_a','column':'a'},{'field':'seen_b','column':'b'}]}"

/* J1 has no word; J2 one end could not be seen; J3 a word for each. */
static const char log_of[] = "bond,day,a,b\nJ1,2023-05-01,,\nJ2,2023-05-01,could not be seen,\n"
	"J3,2023-05-01,good,good\n";

static void make(struct railway *r, const char *more, const char *columns)
{
	struct importing i;
	char settings[1200];

	railway_make(r, "2020-01-01");
	railway_begin(r, "2024-04-30");
	railway_add_bond(r, "J1", "1+200");
	railway_add_bond(r, "J2", "1+300");
	railway_add_bond(r, "J3", "1+400");
	railway_end(r);
	snprintf(settings, sizeof settings, "{" AS_CSV "%s%s", more, columns);
	importing_settings(&i, settings);
	i.stated_by = r->person_id;
	importing_expect(r, &i, "inspections", log_of, 3, 0, 0, 0);
	importing_release(&i);
}

static bool state(struct railway *r, int n, int meant, struct problems *why)
{
	struct ruling_new form;
	struct recorded recorded;
	bool ok;

	*why = (struct problems){ 0 };
	form_clear(&ruling_form, &form);
	railway_uuid(n, form.uuid);
	form.kind = RULING_STATES_ROWS;
	form.import_id = 1;
	form.row_meant = meant;
	form.reason = "The instruction of those years.";
	railway_begin(r, "2024-05-02");
	ok = ruling_record(&r->act, &form, &recorded, why);
	if (ok) {
		railway_end(r);
		railway_follow(r, "2024-05-02", 1000);
	} else {
		railway_undo(r);
	}
	return ok;
}

static void nothing_differs_from_what_the_rules_give(struct railway *r)
{
	static struct check_result checked;
	struct problems why = { 0 };

	railway_begin(r, "2024-05-02");
	railway_must(check_all(&r->act, &checked, &why), &why);
	ck_assert_msg(checked.differences == 0, "%s", checked.shown[0]);
	railway_end(r);
}

/* Of J1, J2, J3: the day of the last complete inspection; "-" for none. */
static void inspected(struct railway *r, const char *wanted)
{
	char got[60] = "";

	for (int n = 1; n <= 3; n++) {
		char sql[120], day[DAY_TEXT_SIZE] = "-";
		struct problem why = { 0 };
		int64_t on = 0;

		snprintf(sql, sizeof sql,
			"SELECT last_inspection_day FROM bond_state WHERE label = 'J%d'", n);
		ck_assert(sql_integer(r->store, sql, NULL, 0, DAY_NONE, &on, &why));
		day_write((int32_t)on, day);
		snprintf(got + strlen(got), sizeof got - strlen(got), "%s%s", n > 1 ? " " : "",
			day[0] != '\0' ? day : "-");
	}
	ck_assert_str_eq(got, wanted);
	nothing_differs_from_what_the_rules_give(r);
}

static size_t listed(struct railway *r, const char *outcome)
{
	const struct query_pair pairs[] = { { "outcome", outcome } };
	struct list_query query;
	struct problems why = { 0 };
	struct problem one = { 0 };
	struct table table;
	struct list_run *run;
	struct cell cells[64];
	bool failed = false;
	size_t n = 0;

	railway_must(list_query_read(&inspection_list, pairs, 1, 0, &query, &why), &why);
	run = list_open(r->store, &query, &table, &one);
	ck_assert_msg(run != NULL, "%s", one.detail);
	while (table.next(table.source, cells, &failed)) {
		n++;
	}
	list_close(run);
	return n;
}

START_TEST(visits_are_complete_once_an_engineer_states_that_both_ends_were_seen)
{
	struct railway r;
	struct problems why;

	make(&r, "", COLUMNS(""));
	inspected(&r, "- - 2023-05-01");
	ck_assert_uint_eq(listed(&r, "complete"), 1);
	ck_assert_uint_eq(listed(&r, "partly"), 2);
	railway_must(state(&r, 1, ROW_MEANT_BOTH_SEEN, &why), &why);
	/* (of J2 the row itself says that an end could not be seen) */
	inspected(&r, "2023-05-01 - 2023-05-01");
	ck_assert_uint_eq(listed(&r, "complete"), 2);
	ck_assert_uint_eq(listed(&r, "partly"), 1);
	/* a later word takes its place */
	railway_must(state(&r, 2, ROW_MEANT_NOT_KNOWN, &why), &why);
	inspected(&r, "- - 2023-05-01");
	ck_assert_uint_eq(listed(&r, "complete"), 1);
	railway_remove(&r);
}
END_TEST

START_TEST(what_was_stated_with_the_file_is_taken_back_by_a_later_word)
{
	struct railway r;
	struct problems why;

	make(&r, "'row_meant':'both_seen','stated_reason':'So I think.',", COLUMNS(""));
	inspected(&r, "2023-05-01 - 2023-05-01");
	railway_must(state(&r, 1, ROW_MEANT_MEASURED, &why), &why);
	inspected(&r, "- - 2023-05-01");
	ck_assert_uint_eq(listed(&r, "complete"), 1);
	ck_assert_uint_eq(listed(&r, "partly"), 2);
	railway_remove(&r);
}
END_TEST

START_TEST(the_word_is_withdrawn_like_any_and_the_visits_are_as_they_came)
{
	struct withdrawal_new back;
	struct recorded recorded;
	struct railway r;
	struct problems why;

	make(&r, "", COLUMNS(""));
	railway_must(state(&r, 1, ROW_MEANT_BOTH_SEEN, &why), &why);
	form_clear(&withdrawal_form, &back);
	railway_uuid(9, back.uuid);
	back.entry = SENT_RULING;
	railway_uuid(1, back.entry_id);
	back.reason = "Of another log.";
	railway_begin(&r, "2024-05-02");
	railway_must(withdrawal_record(&r.act, &back, &recorded, &why), &why);
	railway_end(&r);
	railway_follow(&r, "2024-05-02", 1000);
	inspected(&r, "- - 2023-05-01");
	railway_remove(&r);
}
END_TEST

START_TEST(a_file_that_had_the_outcome_of_each_visit_cannot_be_said_to_have_meant_more)
{
	struct railway r;
	struct problems why;

	make(&r, "'words':[{'field':'outcome','from':'J1','to':'complete'},"
		"{'field':'outcome','from':'*','to':'partly'}],",
		COLUMNS("{'field':'outcome','column':'bond'},"));
	ck_assert(!state(&r, 1, ROW_MEANT_BOTH_SEEN, &why));
	ck_assert_str_eq(why.item[0].field, "row_meant");
	ck_assert_ptr_nonnull(strstr(why.item[0].detail, "may be so by its own word"));
	inspected(&r, "- - -");
	railway_must(state(&r, 2, ROW_MEANT_NOT_KNOWN, &why), &why);
	railway_remove(&r);
}
END_TEST

START_TEST(it_is_stated_of_an_import_of_inspections_and_says_what)
{
	struct railway r;
	struct problems why;

	railway_make(&r, "2020-01-01");
	ck_assert(!state(&r, 1, ROW_MEANT_BOTH_SEEN, &why));
	ck_assert_ptr_nonnull(strstr(why.item[0].detail, "There is no import 1 of inspections"));
	ck_assert(!state(&r, 1, -1, &why));
	ck_assert_str_eq(why.item[0].field, "row_meant");
	railway_remove(&r);
}
END_TEST

static const struct { int outcome, seen_a, seen_b, meant, is; } rows[] = {
	{ OUTCOME_PARTLY, -1, -1, -1, OUTCOME_PARTLY },
	{ OUTCOME_COMPLETE, -1, -1, -1, OUTCOME_COMPLETE },       /* as complete as it was */
	{ OUTCOME_PARTLY, -1, -1, ROW_MEANT_BOTH_SEEN, OUTCOME_COMPLETE },
	{ OUTCOME_PARTLY, SEEN_GOOD, -1, ROW_MEANT_BOTH_SEEN, OUTCOME_COMPLETE },
	{ OUTCOME_PARTLY, SEEN_NOT_VISIBLE, -1, ROW_MEANT_BOTH_SEEN, OUTCOME_PARTLY },
	{ OUTCOME_PARTLY, -1, SEEN_NOT_VISIBLE, ROW_MEANT_BOTH_SEEN, OUTCOME_PARTLY },
	{ OUTCOME_PARTLY, SEEN_GOOD, SEEN_GOOD, ROW_MEANT_BOTH_SEEN, OUTCOME_PARTLY },
	{ OUTCOME_NOT_REACHED, -1, -1, ROW_MEANT_BOTH_SEEN, OUTCOME_NOT_REACHED },
	{ OUTCOME_COMPLETE, -1, -1, ROW_MEANT_MEASURED, OUTCOME_PARTLY },
	{ OUTCOME_COMPLETE, SEEN_GOOD, -1, ROW_MEANT_NOT_KNOWN, OUTCOME_PARTLY },
	{ OUTCOME_COMPLETE, SEEN_GOOD, SEEN_LOOSE, ROW_MEANT_NOT_KNOWN, OUTCOME_COMPLETE },
	{ OUTCOME_NOT_REACHED, -1, -1, ROW_MEANT_NOT_KNOWN, OUTCOME_NOT_REACHED },
};

START_TEST(a_word_for_each_end_is_worth_more_than_what_rows_meant)
{
	for (size_t n = 0; n < sizeof rows / sizeof rows[0]; n++) {
		ck_assert_msg((int)outcome_as_meant((enum outcome)rows[n].outcome, rows[n].seen_a,
			rows[n].seen_b, rows[n].meant) == rows[n].is, "row %zu", n);
	}
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		visits_are_complete_once_an_engineer_states_that_both_ends_were_seen,
		what_was_stated_with_the_file_is_taken_back_by_a_later_word,
		the_word_is_withdrawn_like_any_and_the_visits_are_as_they_came,
		a_file_that_had_the_outcome_of_each_visit_cannot_be_said_to_have_meant_more,
		it_is_stated_of_an_import_of_inspections_and_says_what,
		a_word_for_each_end_is_worth_more_than_what_rows_meant, NULL };

	return case_run("rows_meant", tests);
}
