/*
 * What an act touched is derived when it ends: after each act everything that is derived stands as
 * a rebuild would leave it, row by row, and so do the answers that are given from the act's own
 * view.
 */
#include <sqlite3.h>

#include "base/text.h"
#include "case.h"
#include "service/record/renewal.h"
#include "service/record/withdrawal.h"
#include "service/story.h"
#include "store/sql.h"

/* (who computed it when, and what was said before, is history and not made again) */
static const char *const derived[] = {
	"SELECT * FROM bond_state ORDER BY bond_id",
	"SELECT inspection_id, n, said, hex(figures) FROM reading_state ORDER BY inspection_id, n",
	"SELECT * FROM repeat_place ORDER BY id",
	"SELECT * FROM failure_state ORDER BY failure_id",
	"SELECT * FROM due_count WHERE bonds <> 0 ORDER BY 1, 2, 3, 4, 5, 6, 7",
};

/* Every cell of every derived table as text; the caller releases it. */
static struct text all_derived(struct story *s)
{
	struct text to = { 0 };

	for (size_t i = 0; i < sizeof derived / sizeof derived[0]; i++) {
		sqlite3_stmt *rows = NULL;

		ck_assert_int_eq(sqlite3_prepare_v2(sql_connection(s->r.store), derived[i], -1, &rows,
			NULL), SQLITE_OK);
		while (sqlite3_step(rows) == SQLITE_ROW) {
			for (int c = 0; c < sqlite3_column_count(rows); c++) {
				const char *cell = (const char *)sqlite3_column_text(rows, c);

				text_addf(&to, "%s|", cell != NULL ? cell : "-");
			}
			text_add_char(&to, '\n');
		}
		sqlite3_finalize(rows);
	}
	ck_assert(!to.failed);
	return to;
}

static void is_as_rebuilt(int line, struct story *s, const char *today)
{
	struct text before = all_derived(s), after;

	story_begin(s, s->ada, today);
	railway_must(rebuild_all(&s->r.act, NULL, NULL, &s->why), &s->why);
	after = all_derived(s);
	ck_assert_msg(strcmp(before.data, after.data) == 0, "line %d:\n%s\n%s", line, before.data,
		after.data);
	railway_undo(&s->r);
	text_release(&before);
	text_release(&after);
}
#define AS_REBUILT(s, today) is_as_rebuilt(__LINE__, (s), (today))

static void keep(struct story *s, bool ok)
{
	railway_must(ok, &s->why);
	story_end(s, ok);
}

START_TEST(a_bond_that_is_registered_or_changed)
{
	struct story s;
	struct bond_new form = story_bond_form("X1", "1+000", "2020-03-01");
	int64_t bond;

	story_make(&s);
	bond = story_bond(&s, "X1", "1+000", "2020-03-01");
	AS_REBUILT(&s, "2020-03-01");
	form.a.chainage = "1+500";
	form.criticality = CRITICALITY_HIGH;
	story_begin(&s, s.ada, "2024-03-01");
	keep(&s, bond_change(&s.r.act, bond, &form, &s.why));
	AS_REBUILT(&s, "2024-03-01");
	ck_assert_str_eq(story_state(&s, bond).chainage, "1+500");
	story_over(&s, "2024-03-01");
}
END_TEST

START_TEST(a_visit_and_its_correction)
{
	struct story s;
	char wrong[UUID_TEXT_SIZE];
	int64_t bond;

	story_make(&s);
	bond = story_bond(&s, "X1", "1+000", "2020-03-01");
	railway_must(story_visit(&s, (struct story_visit){ s.bo, bond, "2024-03-01", NULL, 820 }),
		&s.why);
	memcpy(wrong, s.uuid, UUID_TEXT_SIZE);
	AS_REBUILT(&s, "2024-03-01");
	STORY_IS(&s, bond, ACT, BECAUSE(OVER), ACT, "2024-03-15");
	railway_must(story_visit(&s, (struct story_visit){ .by = s.eva, .bond = bond,
		.today = "2024-03-08", .day = "2024-03-01", .uohm = 602, .corrects = wrong,
		.reason = "Typed 820 for 602." }), &s.why);
	AS_REBUILT(&s, "2024-03-08");   /* it waits for an engineer */
	memcpy(wrong, s.uuid, UUID_TEXT_SIZE);
	story_confirm(&s, "2024-03-09", SENT_INSPECTION, wrong);
	AS_REBUILT(&s, "2024-03-09");
	STORY_IS(&s, bond, SOUND, 0, AFTER_INSPECTION, "2025-03-01");
	story_over(&s, "2024-03-09");
}
END_TEST

/* On the other track: its failures are counted apart. */
static int64_t bond_of_down(struct story *s)
{
	struct bond_new form = story_bond_form("X2", "9+000", "2020-03-01");

	form.a.track = "Down";
	form.b.track = "Up";
	story_begin(s, s->ada, "2020-03-01");
	keep(s, bond_register(&s->r.act, &form, &s->recorded, &s->why));
	return s->recorded.id;
}

/* Of one bond first, then of another: both, and the places of both. */
START_TEST(failures_what_made_them_good_and_a_correction_that_moves_one)
{
	struct story s;
	char first[UUID_TEXT_SIZE], second[UUID_TEXT_SIZE];
	int64_t one, other;

	story_make(&s);
	one = story_bond(&s, "X1", "1+000", "2020-03-01");
	other = bond_of_down(&s);
	railway_must(story_fail(&s, (struct story_failure){ s.bo, one, "2023-03-01", NULL,
		FAILURE_DETACHED, NULL, NULL }), &s.why);
	memcpy(first, s.uuid, UUID_TEXT_SIZE);
	AS_REBUILT(&s, "2023-03-01");
	railway_must(story_mend(&s, (struct story_repair){ .by = s.bo, .today = "2023-03-02",
		.failure = first }), &s.why);
	AS_REBUILT(&s, "2023-03-02");
	railway_must(story_fail(&s, (struct story_failure){ s.bo, one, "2023-06-01", NULL,
		FAILURE_DETACHED, NULL, NULL }), &s.why);
	memcpy(second, s.uuid, UUID_TEXT_SIZE);
	AS_REBUILT(&s, "2023-06-01");   /* a repeat place */
	railway_must(story_fail(&s, (struct story_failure){ s.bo, other, "2023-06-02", "2023-06-01",
		FAILURE_DETACHED, second, "It was X2." }), &s.why);
	AS_REBUILT(&s, "2023-06-02");   /* and none any more */
	ck_assert_int_eq(story_state(&s, other).failures_open, 1);
	memcpy(second, s.uuid, UUID_TEXT_SIZE);
	railway_must(story_mend(&s, (struct story_repair){ .by = s.bo, .today = "2023-06-03",
		.failure = second }), &s.why);
	memcpy(second, s.uuid, UUID_TEXT_SIZE);
	AS_REBUILT(&s, "2023-06-03");
	railway_must(story_mend(&s, (struct story_repair){ s.bo, "2023-06-04", "2023-06-03", first,
		second, "Of the other." }), &s.why);
	AS_REBUILT(&s, "2023-06-04");   /* that of X2 is open again */
	ck_assert_int_eq(story_state(&s, other).failures_open, 1);
	story_over(&s, "2023-06-04");
}
END_TEST

/* Somebody else moves it: that makes the bond better, so it waits. */
START_TEST(a_failure_that_is_moved_waits_and_is_confirmed)
{
	struct story s;
	char moved[UUID_TEXT_SIZE];
	int64_t one, other;

	story_make(&s);
	one = story_bond(&s, "X1", "1+000", "2020-03-01");
	other = bond_of_down(&s);
	railway_must(story_visit(&s, (struct story_visit){ s.bo, one, "2023-02-01", NULL, 500 }), &s.why);
	railway_must(story_fail(&s, (struct story_failure){ s.bo, one, "2023-06-01", NULL,
		FAILURE_DETACHED, NULL, NULL }), &s.why);
	memcpy(moved, s.uuid, UUID_TEXT_SIZE);
	railway_must(story_fail(&s, (struct story_failure){ s.eva, other, "2023-06-02", "2023-06-01",
		FAILURE_DETACHED, moved, "It was X2." }), &s.why);
	memcpy(moved, s.uuid, UUID_TEXT_SIZE);
	AS_REBUILT(&s, "2023-06-02");
	ck_assert_int_eq(story_state(&s, one).failures_open, 1);
	ck_assert_int_eq(story_state(&s, other).failures_open, 0);
	story_confirm(&s, "2023-06-03", SENT_FAILURE, moved);
	AS_REBUILT(&s, "2023-06-03");
	ck_assert_int_eq(story_state(&s, one).failures_open, 0);
	ck_assert_int_eq(story_state(&s, other).failures_open, 1);
	story_over(&s, "2023-06-03");
}
END_TEST

static void withdraw(struct story *s, int64_t by, const char *today, enum sent_noun noun,
	const char *uuid)
{
	struct withdrawal_new form;

	form_clear(&withdrawal_form, &form);
	story_uuid(s, form.uuid);
	form.entry = (int)noun;
	memcpy(form.entry_id, uuid, sizeof form.entry_id);
	form.reason = "Of another bond.";
	story_begin(s, by, today);
	keep(s, withdrawal_record(&s->r.act, &form, &s->recorded, &s->why));
}

/* By its author at once, by somebody else when an engineer has confirmed it. */
START_TEST(entries_that_are_withdrawn)
{
	struct story s;
	char failure[UUID_TEXT_SIZE], other[UUID_TEXT_SIZE], taken[UUID_TEXT_SIZE];
	int64_t bond;

	story_make(&s);
	bond = story_bond(&s, "X1", "1+000", "2020-03-01");
	railway_must(story_visit(&s, (struct story_visit){ s.bo, bond, "2023-02-01", NULL, 500 }),
		&s.why);
	railway_must(story_fail(&s, (struct story_failure){ s.bo, bond, "2023-03-01", NULL,
		FAILURE_DETACHED, NULL, NULL }), &s.why);
	memcpy(failure, s.uuid, UUID_TEXT_SIZE);
	railway_must(story_fail(&s, (struct story_failure){ s.bo, bond, "2023-06-01", NULL,
		FAILURE_DETACHED, NULL, NULL }), &s.why);
	memcpy(other, s.uuid, UUID_TEXT_SIZE);
	withdraw(&s, s.bo, "2023-06-02", SENT_FAILURE, other);
	AS_REBUILT(&s, "2023-06-02");   /* no repeat place any more */
	ck_assert_int_eq(story_state(&s, bond).failures_open, 1);
	withdraw(&s, s.eva, "2023-06-03", SENT_FAILURE, failure);
	memcpy(taken, s.uuid, UUID_TEXT_SIZE);
	AS_REBUILT(&s, "2023-06-03");
	ck_assert_int_eq(story_state(&s, bond).failures_open, 1);
	story_confirm(&s, "2023-06-04", SENT_WITHDRAWAL, taken);
	AS_REBUILT(&s, "2023-06-04");
	STORY_IS(&s, bond, SOUND, 0, AFTER_INSPECTION, "2024-02-01");
	story_over(&s, "2023-06-04");
}
END_TEST

/* What a withdrawn entry had replaced counts again, on the bond where that was. */
START_TEST(a_failure_or_repair_whose_move_is_withdrawn)
{
	struct story s;
	char first[UUID_TEXT_SIZE], moved[UUID_TEXT_SIZE], mended[UUID_TEXT_SIZE];
	int64_t one, other;

	story_make(&s);
	one = story_bond(&s, "X1", "1+000", "2020-03-01");
	other = bond_of_down(&s);
	railway_must(story_visit(&s, (struct story_visit){ s.bo, one, "2023-02-01", NULL, 500 }), &s.why);
	railway_must(story_fail(&s, (struct story_failure){ s.bo, one, "2023-06-01", NULL,
		FAILURE_DETACHED, NULL, NULL }), &s.why);
	memcpy(first, s.uuid, UUID_TEXT_SIZE);
	railway_must(story_fail(&s, (struct story_failure){ s.bo, other, "2023-06-02", "2023-06-01",
		FAILURE_DETACHED, first, "It was X2." }), &s.why);
	memcpy(moved, s.uuid, UUID_TEXT_SIZE);
	AS_REBUILT(&s, "2023-06-02");
	ck_assert_int_eq(story_state(&s, one).failures_open, 0);
	withdraw(&s, s.bo, "2023-06-03", SENT_FAILURE, moved);
	AS_REBUILT(&s, "2023-06-03");
	ck_assert_int_eq(story_state(&s, one).failures_open, 1);
	railway_must(story_mend(&s, (struct story_repair){ .by = s.bo, .today = "2023-06-04",
		.failure = first }), &s.why);
	memcpy(mended, s.uuid, UUID_TEXT_SIZE);
	ck_assert_int_eq(story_state(&s, one).failures_open, 0);   /* not of the one withdrawn */
	railway_must(story_fail(&s, (struct story_failure){ s.bo, other, "2023-06-04", NULL,
		FAILURE_DETACHED, NULL, NULL }), &s.why);
	memcpy(moved, s.uuid, UUID_TEXT_SIZE);
	railway_must(story_mend(&s, (struct story_repair){ s.bo, "2023-06-05", "2023-06-04", moved,
		mended, "Of X2." }), &s.why);
	memcpy(mended, s.uuid, UUID_TEXT_SIZE);
	AS_REBUILT(&s, "2023-06-05");
	ck_assert_int_eq(story_state(&s, one).failures_open, 1);
	withdraw(&s, s.bo, "2023-06-06", SENT_REPAIR, mended);
	AS_REBUILT(&s, "2023-06-06");
	ck_assert_int_eq(story_state(&s, one).failures_open, 0);
	ck_assert_int_eq(story_state(&s, other).failures_open, 1);
	story_over(&s, "2023-06-06");
}
END_TEST

START_TEST(ends_that_are_attached_renewed_and_an_engineers_words)
{
	struct story s;
	struct renewal_new renewal;
	struct ruling_new ruling = story_ruling(RULING_ACCEPTS, "Torqued before my eyes.");
	char first[UUID_TEXT_SIZE];
	int64_t bond;

	story_make(&s);
	bond = story_bond(&s, "X1", "1+000", "2020-03-01");
	railway_must(story_attach(&s, (struct story_end){ .by = s.bo, .bond = bond,
		.today = "2024-03-01", .end = END_A, .hammer = 0 }), &s.why);
	memcpy(first, s.uuid, UUID_TEXT_SIZE);
	AS_REBUILT(&s, "2024-03-01");
	ruling.entry = SENT_ATTACHMENT;
	memcpy(ruling.entry_id, first, sizeof first);
	railway_must(story_rule(&s, "2024-03-02", ruling), &s.why);
	AS_REBUILT(&s, "2024-03-02");
	form_clear(&renewal_form, &renewal);
	story_uuid(&s, renewal.uuid);
	renewal.line = "VAL";
	renewal.track = "Up";
	renewal.rails = RENEWED_LEFT;
	renewal.from = "0+900";
	renewal.to = "1+100";
	renewal.day = railway_day("2024-03-03");
	renewal.reason = "Worn.";
	story_begin(&s, s.ada, "2024-03-03");
	keep(&s, renewal_record(&s.r.act, &renewal, &s.recorded, &s.why));
	AS_REBUILT(&s, "2024-03-03");
	memcpy(renewal.corrects, renewal.uuid, sizeof renewal.corrects);
	story_uuid(&s, renewal.uuid);
	renewal.from = "5+000";
	renewal.to = "5+100";
	story_begin(&s, s.ada, "2024-03-04");
	keep(&s, renewal_record(&s.r.act, &renewal, &s.recorded, &s.why));
	AS_REBUILT(&s, "2024-03-04");   /* it was elsewhere: X1 was not taken off */
	story_over(&s, "2024-03-04");
}
END_TEST

START_TEST(what_is_deferred_and_cleared)
{
	struct story s;
	struct deferral_new deferral;
	struct deferral_named named = { 0 };
	struct ruling_new ruling = story_ruling(RULING_CLEARS_OVER, "Read with a dirty clip.");
	const struct judging *j;
	struct problem why = { 0 };
	int64_t bond;

	story_make(&s);
	bond = story_bond(&s, "X1", "1+000", "2020-03-01");
	railway_must(story_visit(&s, (struct story_visit){ s.bo, bond, "2024-03-01", NULL, 820 }),
		&s.why);
	form_clear(&deferral_form, &deferral);
	story_uuid(&s, deferral.uuid);
	deferral.of.bond_id = bond;
	deferral.until_day = railway_day("2024-04-15");
	deferral.reason = "No possession before.";
	deferral.names = (struct form_list){ &named, 1 };
	story_begin(&s, s.ada, "2024-03-02");
	ck_assert(judging_for_answer(&s.r.view, bond, &j, &why));
	ck_assert_uint_eq(j->judgement.n_items, 1);
	named.key = j->judgement.items[0].key;
	keep(&s, deferral_record(&s.r.act, &deferral, &s.recorded, &s.why));
	AS_REBUILT(&s, "2024-03-02");
	ck_assert_int_eq(story_state(&s, bond).due.deferred_until_day, railway_day("2024-04-15"));
	railway_must(story_visit(&s, (struct story_visit){ s.bo, bond, "2024-03-10", NULL, 602 }),
		&s.why);
	AS_REBUILT(&s, "2024-03-10");
	ruling.of.bond_id = bond;
	ruling.quantity = QUANTITY_END_TO_END;
	railway_must(story_rule(&s, "2024-03-11", ruling), &s.why);
	AS_REBUILT(&s, "2024-03-11");
	STORY_IS(&s, bond, SOUND, 0, AFTER_INSPECTION, "2025-03-10");
	story_over(&s, "2024-03-11");
}
END_TEST

START_TEST(a_map_that_writes_every_chainage_anew)
{
	/* from the datum on everything is counted 100 m further */
	static struct stretch_new stretches[] = { { 0, 100, 20100, 0 } };
	struct story s;
	const struct map_new map = { "VAL", NULL, { stretches, 1 } };
	int64_t bond;

	story_make(&s);
	bond = story_bond(&s, "X1", "1+000", "2020-03-01");
	for (int i = 0; i < 2; i++) {
		railway_must(story_fail(&s, (struct story_failure){ s.bo, bond,
			i == 0 ? "2023-03-01" : "2023-06-01", NULL, FAILURE_DETACHED, NULL, NULL }), &s.why);
	}
	story_begin(&s, s.ada, "2024-03-01");
	keep(&s, map_register(&s.r.act, &map, &s.recorded, &s.why));
	ck_assert_str_eq(story_state(&s, bond).chainage, "1+100");
	AS_REBUILT(&s, "2024-03-01");
	story_over(&s, "2024-03-01");
}
END_TEST

/* What the act judged before is not what its answer says afterwards. */
START_TEST(an_answer_is_judged_after_what_the_act_has_written)
{
	struct story s;
	const struct judging *j;
	struct attachment_new form;
	struct problem why = { 0 };
	int64_t bond;

	story_make(&s);
	bond = story_bond(&s, "X1", "1+000", "2020-03-01");
	form_clear(&attachment_form, &form);
	story_uuid(&s, form.uuid);
	form.of.bond_id = bond;
	form.end = END_A;
	form.made_day = railway_day("2024-03-01");
	form.method = ATTACH_BOLTED;
	story_begin(&s, s.bo, "2024-03-01");
	ck_assert(judging_for_answer(&s.r.view, bond, &j, &why));
	ck_assert_uint_eq(j->records.n_attachments, 0);
	railway_must(attachment_record(&s.r.act, &form, &s.recorded, &s.why), &s.why);
	ck_assert(judging_for_answer(&s.r.view, bond, &j, &why));   /* not derived yet */
	ck_assert_uint_eq(j->records.n_attachments, 1);
	railway_must(derived_end(&s.r.act, &s.why), &s.why);
	ck_assert_int_eq(s.r.view.judged_id, bond);                 /* nothing is read twice */
	ck_assert(judging_for_answer(&s.r.view, bond, &j, &why));
	ck_assert_uint_eq(j->records.n_attachments, 1);
	story_end(&s, true);
	story_over(&s, "2024-03-01");
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { a_bond_that_is_registered_or_changed, a_visit_and_its_correction,
		failures_what_made_them_good_and_a_correction_that_moves_one,
		a_failure_that_is_moved_waits_and_is_confirmed, entries_that_are_withdrawn,
		a_failure_or_repair_whose_move_is_withdrawn,
		ends_that_are_attached_renewed_and_an_engineers_words, what_is_deferred_and_cleared,
		a_map_that_writes_every_chainage_anew,
		an_answer_is_judged_after_what_the_act_has_written, NULL };

	return case_run("derived", tests);
}
