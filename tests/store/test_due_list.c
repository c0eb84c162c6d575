/*
 * The due list: inspections and mendings apart, each by its own day, and listed together; the worst
 * first; what a row may not say.
 */
#include <math.h>
#include <string.h>

#include "case.h"
#include "store/kept.h"
#include "store/lists/due_filters.h"
#include "store/register.h"
#include "store/sql.h"

enum { TODAY = 20454, CELLS = 40, ROWS_MOST = 60 };   /* 2026-01-01 */

static const struct origin origin = { .now_ms = 1767225600000 };

struct railway {
	struct register_file file;
	struct store *store;
	int64_t line_id;
};

static void make(struct railway *r)
{
	struct line line = { .code = "T", .name = "Test", .notation = NOTATION_KM_M };
	struct problem why = { 0 };

	memset(r, 0, sizeof *r);
	register_file_make(&r->file);
	r->store = register_open(&r->file, STORE_WRITE);
	ck_assert(store_begin(r->store, &why));
	ck_assert(store_line_insert(r->store, &line, &origin, &why));
	r->line_id = line.id;
}

static void end(struct railway *r)
{
	store_close(r->store);
	register_file_remove(&r->file);
}

/* A bond as a test needs it: days from today. */
struct made {
	const char *label;
	enum criticality criticality;
	enum grade grade;
	unsigned reasons;
	int64_t limit_ppm;            /* its value over its limit */
	int32_t inspect, mend;        /* DAY_NONE: nothing is to be mended */
	int64_t own_months;           /* its interval */
	int32_t act_days;             /* that its mending had */
	int32_t proved_until;
	int32_t deferred;             /* DAY_NONE: not deferred */
	int64_t asked;
};
#define GRACE 14
#define NOTICE 30

static int32_t from_today(int32_t days)
{
	return days == DAY_NONE ? DAY_NONE : TODAY + days;
}

static void add(struct railway *r, const struct made *m)
{
	bool mending = m->mend != DAY_NONE && m->mend <= m->inspect;
	int32_t day = from_today(mending ? m->mend : m->inspect);
	struct problem why = { 0 };
	struct bond b = { .line_id = r->line_id, .criticality = m->criticality, .surveyed = true,
		.installed_day = DAY_NONE, .removed_day = DAY_NONE, .material = -1, .area_mm2 = NAN,
		.length_m = NAN, .latitude = NAN, .longitude = NAN,
		.end = { { .rail = -1, .face = -1 }, { .rail = -1, .face = -1 } } };
	struct bond_state s = { .version = 1, .chainage = "0+000", .rulebook_version = 1,
		.last_inspection_day = TODAY - 16, .act_since_day = m->mend == DAY_NONE ? DAY_NONE :
		from_today(m->mend) - m->act_days, .worst_quantity = -1, .worst_verdict = -1,
		.limit_ppm = m->limit_ppm, .crosses_day = TODAY + 200, .early_day = TODAY + 100,
		.asked = m->asked,
		.grade = { m->grade, m->reasons, from_today(m->proved_until) },
		.due = { .basis = mending ? DUE_ACT : DUE_AFTER_INSPECTION, .due_day = day,
		.soon_from_day = day - NOTICE, .overdue_from_day = day + GRACE + 1,
		.deferred_until_day = from_today(m->deferred), .inspect_day = from_today(m->inspect),
		.mend_day = from_today(m->mend), .notice_days = NOTICE, .own_months = m->own_months } };

	snprintf(b.label, sizeof b.label, "%s", m->label);
	ck_assert_msg(store_bond_insert(r->store, &b, &origin, &why), "%s", why.detail);
	keep_state(r->store, &b, s);
}

/* What a test looks at in a row. */
struct shown_row {
	char label[BOND_LABEL_SIZE];
	int what, state, grade;
	int64_t days_over, asked;
	int32_t due_day, inspect_day, mend_day, deferred_to;
	bool says_when_it_crosses;
};

static const struct cell *cell_of(const struct table *table, const struct cell *row,
	const char *name)
{
	for (size_t c = 0; c < table->n_columns; c++) {
		if (strcmp(table->columns[c].name, name) == 0) {
			return &row[c];
		}
	}
	ck_abort_msg("there is no column %s", name);
	return NULL;
}

static int32_t day_of(const struct table *table, const struct cell *row, const char *name)
{
	const struct cell *cell = cell_of(table, row, name);

	return cell->is_null ? DAY_NONE : (int32_t)cell->integer;
}

/* A page of the due list behind a cursor, which becomes that of the next: "" at the end. */
static size_t page(struct railway *r, const struct query_pair *filters, size_t n_filters,
	const char *limit, char *cursor, struct shown_row *to)
{
	struct query_pair pairs[8];
	struct problems wrong = { 0 };
	struct problem why = { 0 };
	struct list_query q;
	struct list_run *run;
	struct table table;
	struct cell row[CELLS];
	bool failed;
	size_t n = 0;

	memcpy(pairs, filters, n_filters * sizeof *pairs);
	pairs[n_filters] = (struct query_pair){ "limit", limit };
	pairs[n_filters + 1] = (struct query_pair){ "after", cursor };
	ck_assert_msg(list_query_read(&due_list, pairs, n_filters + 2, TODAY, &q, &wrong), "%s",
		wrong.item[0].detail);
	run = list_open(r->store, &q, &table, &why);
	ck_assert_msg(run != NULL, "%s", why.detail);
	for (; table.next(table.source, row, &failed); n++) {
		const struct cell *label = cell_of(&table, row, "label");

		snprintf(to[n].label, sizeof to[n].label, "%.*s", (int)label->len, label->text);
		to[n].what = (int)cell_of(&table, row, "what")->integer;
		to[n].state = (int)cell_of(&table, row, "state")->integer;
		to[n].grade = (int)cell_of(&table, row, "grade")->integer;
		to[n].days_over = cell_of(&table, row, "days_over")->integer;
		to[n].asked = cell_of(&table, row, "asked")->integer;
		to[n].due_day = day_of(&table, row, "due_day");
		to[n].inspect_day = day_of(&table, row, "inspect_day");
		to[n].mend_day = day_of(&table, row, "mend_day");
		to[n].deferred_to = day_of(&table, row, "deferred_to_day");
		to[n].says_when_it_crosses = !cell_of(&table, row, "crosses_day")->is_null ||
			!cell_of(&table, row, "early_day")->is_null;
	}
	ck_assert(!failed);
	if (!list_next_page(run, cursor, 256)) {
		cursor[0] = '\0';
	}
	list_close(run);
	return n;
}

/* The labels of all pages, with blanks between. */
static void labels(struct railway *r, const struct query_pair *filters, size_t n_filters,
	const char *limit, char *to, size_t size)
{
	char cursor[256] = "";
	struct shown_row rows[ROWS_MOST];

	to[0] = '\0';
	do {
		size_t n = page(r, filters, n_filters, limit, cursor, rows);

		for (size_t i = 0; i < n; i++) {
			size_t at = strlen(to);

			snprintf(to + at, size - at, "%s%.16s", at > 0 ? " " : "", rows[i].label);
		}
	} while (cursor[0] != '\0');
}

static int64_t total(struct railway *r, const struct query_pair *filters, size_t n_filters,
	const char *name)
{
	int64_t totals[DUE_TOTALS];
	struct problems wrong = { 0 };
	struct problem why = { 0 };
	struct list_query q;

	ck_assert(list_query_read(&due_list, filters, n_filters, TODAY, &q, &wrong));
	ck_assert_msg(list_totals(r->store, &q, totals, &why), "%s", why.detail);
	for (size_t i = 0; i < DUE_TOTALS; i++) {
		if (strcmp(due_totals[i].name, name) == 0) {
			return totals[i];
		}
	}
	ck_abort_msg("there is no total %s", name);
	return -1;
}

#define OVER_LIMIT (1u << REASON_OVER)
#define ACT_OF(mend, inspect) CRITICALITY_NORMAL, GRADE_ACT, OVER_LIMIT, 1300000, inspect, mend, 12, 14
#define SOUND_OF(inspect) CRITICALITY_NORMAL, GRADE_SOUND, 0, 600000, inspect, DAY_NONE, 12, 14

/*
 * 14 days of grace. "mended" was inspected 16 days ago and is to be mended since 634 days: only its
 * mending is late. Of "both" the inspection came first, 40 days ago, its mending 20 days ago.
 */
static const struct made parts[] = {
	{ "mended", ACT_OF(-618, 350), 700, DAY_NONE, 0 },
	{ "both", ACT_OF(-20, -40), 700, DAY_NONE, 2 },
	{ "visit", SOUND_OF(-15), 700, DAY_NONE, 0 },
	{ "due", SOUND_OF(-14), 700, DAY_NONE, 1 },
	{ "later", SOUND_OF(200), 700, DAY_NONE, 0 },
	/* put off to in 30 days: the mending, and not the inspection that is due after that */
	{ "put off", ACT_OF(-30, 60), 700, 30, 0 },
};

static void make_parts(struct railway *r)
{
	struct problem why = { 0 };

	make(r);
	for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
		add(r, &parts[i]);
	}
	ck_assert(store_commit(r->store, &why));
}

START_TEST(a_bond_to_be_mended_that_was_inspected_lately_counts_under_mending_alone)
{
	struct railway r;
	/* with filters that the table of counts has, and with one that it has not */
	static const struct query_pair filters[][2] = { { { "line", "" }, { "to_mm", "" } },
		{ { "line", "1" }, { "to_mm", "" } }, { { "line", "1" }, { "to_mm", "5" } } };

	make_parts(&r);
	for (size_t i = 0; i < 3; i++) {
		ck_assert_int_eq(total(&r, filters[i], 2, "overdue"), 3);               /* bonds */
		ck_assert_int_eq(total(&r, filters[i], 2, "inspections_overdue"), 2);   /* both, visit */
		ck_assert_int_eq(total(&r, filters[i], 2, "mendings_overdue"), 2);      /* mended, both */
		ck_assert_int_eq(total(&r, filters[i], 2, "inspections_due"), 1);       /* due */
		ck_assert_int_eq(total(&r, filters[i], 2, "mendings_due"), 0);
		ck_assert_int_eq(total(&r, filters[i], 2, "deferred"), 1);
		ck_assert_int_eq(total(&r, filters[i], 2, "mendings_deferred"), 1);
		ck_assert_int_eq(total(&r, filters[i], 2, "inspections_deferred"), 0);
		ck_assert_int_eq(total(&r, filters[i], 2, "asked"), 2);
	}
	end(&r);
}
END_TEST

static int64_t count_labels(struct railway *r, const struct query_pair *filters, size_t n)
{
	char got[300];
	int64_t count;

	labels(r, filters, n, "50", got, sizeof got);
	count = got[0] != '\0';
	for (const char *at = got; *at != '\0'; at++) {
		count += *at == ' ';
	}
	return count - (strstr(got, "put off") != NULL);   /* one label of two words */
}

/* What most bonds are is counted as all less the few others. */
START_TEST(a_total_of_a_verdict_is_the_number_of_its_bonds)
{
	static const char *const verdicts[] = { "none", "within", "unproven", "over", "within,over" };
	static const char *const lines[] = { "", "1" };
	struct railway r;
	struct problem why = { 0 };

	make_parts(&r);
	ck_assert(store_begin(r.store, &why) && sql_run(r.store, "UPDATE bond_state SET worst_verdict = "
		"CASE bond_id % 7 WHEN 1 THEN NULL WHEN 2 THEN 0 WHEN 3 THEN 2 WHEN 4 THEN 3 ELSE 1 END",
		NULL, 0, &why) && store_commit(r.store, &why));
	for (size_t v = 0; v < 2 * sizeof verdicts / sizeof verdicts[0]; v++) {
		for (const char *state = "overdue"; state != NULL;
			state = state[0] == 'o' ? "later" : state[0] == 'l' ? "deferred" : NULL) {
			const struct query_pair pairs[] = { { "verdict", verdicts[v / 2] },
				{ "line", lines[v % 2] }, { "state", state } };

			ck_assert_int_eq(total(&r, pairs, 2, state), count_labels(&r, pairs, 3));
			ck_assert_int_eq(total(&r, pairs, 3, state), count_labels(&r, pairs, 3));
		}
	}
	end(&r);
}
END_TEST

START_TEST(the_filter_of_what_is_due_goes_by_that_day)
{
	static const struct { const char *what, *state, *labels; } asked[] = {
		{ "inspection", "overdue", "both visit" }, { "mending", "overdue", "mended both" },
		{ "inspection,mending", "overdue", "mended both visit" }, { "", "overdue", "mended both visit" },
		{ "mending", "", "mended put off both" },
		{ "inspection", "", "both visit due put off later mended" },
		{ "mending", "deferred", "put off" }, { "inspection", "deferred", "" },
	};
	struct railway r;

	make_parts(&r);
	for (size_t i = 0; i < sizeof asked / sizeof asked[0]; i++) {
		const struct query_pair pairs[] = { { "what", asked[i].what }, { "state", asked[i].state } };

		for (const char *limit = "1"; limit != NULL; limit = limit[0] == '1' ? "50" : NULL) {
			char got[300];

			labels(&r, pairs, 2, limit, got, sizeof got);
			ck_assert_msg(strcmp(got, asked[i].labels) == 0, "%s %s: %s", asked[i].what,
				asked[i].state, got);
		}
	}
	end(&r);
}
END_TEST

START_TEST(a_row_says_what_is_due_and_both_days)
{
	static const struct { const char *what; int is; int64_t days_over; enum due_state state; } rows[] = {
		{ "", DUE_MENDING, 618, DUE_OVERDUE }, { "mending", DUE_MENDING, 618, DUE_OVERDUE },
		{ "inspection", DUE_INSPECTION, -350, DUE_LATER } };
	struct railway r;

	make_parts(&r);
	for (size_t i = 0; i < 3; i++) {
		const struct query_pair pairs[] = { { "what", rows[i].what }, { "q", "mended" } };
		char cursor[256] = "";
		struct shown_row row;

		ck_assert_int_eq(page(&r, pairs, 2, "50", cursor, &row), 1);
		ck_assert_int_eq(row.what, rows[i].is);
		ck_assert_int_eq(row.state, rows[i].state);
		ck_assert_int_eq(row.days_over, rows[i].days_over);
		ck_assert_int_eq(row.mend_day, TODAY - 618);
		ck_assert_int_eq(row.inspect_day, TODAY + 350);
	}
	end(&r);
}
END_TEST

START_TEST(every_row_of_what_is_due_has_the_state_that_the_rule_gives)
{
	struct railway r;
	struct problem why = { 0 };
	int rows = 0;

	make(&r);
	for (int i = 0; i < 50; i++) {
		char label[16];
		struct made m = { label, CRITICALITY_NORMAL, GRADE_ACT, OVER_LIMIT, 1200000,
			i * 7 % 90 - 45, i * 11 % 90 - 45, 12, 14, 700, i % 3 > 0 ? DAY_NONE : i * 13 % 80 - 20,
			0 };

		snprintf(label, sizeof label, "B%02d", i);
		if (m.deferred <= (m.mend < m.inspect ? m.mend : m.inspect)) {
			m.deferred = DAY_NONE;   /* as rules/judge/due.h has it */
		}
		add(&r, &m);
	}
	ck_assert(store_commit(r.store, &why));
	for (int what = DUE_INSPECTION; what <= DUE_MENDING; what++) {
		const struct query_pair pairs[] = { { "what", due_what_words.code[what] } };
		char cursor[256] = "";
		struct shown_row seen[ROWS_MOST];
		size_t n = page(&r, pairs, 1, "60", cursor, seen);

		for (size_t i = 0; i < n; i++, rows++) {
			int64_t id;
			struct bond_state s;
			struct due alone;

			ck_assert(store_bond_find(r.store, r.line_id, seen[i].label, &id, &why));
			ck_assert(store_bond_state_get(r.store, id, &s, &why));
			due_alone(&s.due, (enum due_what)what, &alone);
			ck_assert_int_eq(seen[i].what, what);
			ck_assert_int_eq(seen[i].due_day, alone.due_day);
			ck_assert_int_eq(seen[i].state, due_state_on(&alone, TODAY));
			ck_assert_int_eq(seen[i].days_over, due_days_over(&alone, TODAY));
			ck_assert_int_eq(seen[i].deferred_to, alone.deferred_until_day);
		}
	}
	ck_assert_int_eq(rows, 100);
	end(&r);
}
END_TEST

#define SAFETY CRITICALITY_SAFETY
#define NORMAL CRITICALITY_NORMAL
#define NOTHING DAY_NONE, 12, 14   /* to mend */

/*
 * In the order that is expected. Days late in terms of the bond's own interval: a month is 30.4375
 * days. 20 days of one month 0.66, 40 of twelve 0.11, 10 of twelve 0.03; mending: 14 of 14 days 1,
 * 20 of 60 0.33; not late yet, 20 days before of 60 -0.33, 14 before of 14 -1.
 */
static const struct made worst[] = {
	/* to be mended, or due by now: first what is critical for safety, acts by how far over */
	{ "S-broken", SAFETY, GRADE_ACT, 1u << REASON_FAILURE_OPEN, -1, 300, 5, 12, 14, 700, DAY_NONE, 0 },
	{ "S-double", SAFETY, GRADE_ACT, OVER_LIMIT, 2000000, 300, 13, 12, 14, 700, DAY_NONE, 0 },
	{ "S-fifth-b", SAFETY, GRADE_ACT, OVER_LIMIT, 1200000, 300, 20, 12, 60, 700, DAY_NONE, 0 },
	{ "S-fifth-a", SAFETY, GRADE_ACT, OVER_LIMIT, 1200000, 300, 14, 12, 14, 700, DAY_NONE, 0 },
	{ "S-unknown", SAFETY, GRADE_UNKNOWN, 0, -1, -1, NOTHING, DAY_NONE, DAY_NONE, 0 },
	{ "S-ran-out", SAFETY, GRADE_WATCH, 0, 950000, 0, NOTHING, -1, DAY_NONE, 0 },
	{ "S-watch", SAFETY, GRADE_WATCH, 0, 950000, -10, NOTHING, 0, DAY_NONE, 0 },
	{ "S-month", SAFETY, GRADE_SOUND, 0, 500000, -20, DAY_NONE, 1, 14, 700, DAY_NONE, 0 },
	{ "S-year", SAFETY, GRADE_SOUND, 0, 900000, -40, NOTHING, 700, DAY_NONE, 0 },
	{ "N-act-a", NORMAL, GRADE_ACT, OVER_LIMIT, 1100000, 300, -14, 12, 14, 700, DAY_NONE, 0 },
	{ "N-act-b", NORMAL, GRADE_ACT, OVER_LIMIT, 1100000, 300, -20, 12, 60, 700, DAY_NONE, 0 },
	{ "N-put-off", NORMAL, GRADE_SOUND, 0, 500000, -40, NOTHING, 700, 90, 0 },
	{ "N-year", NORMAL, GRADE_SOUND, 0, 500000, -10, NOTHING, 700, DAY_NONE, 0 },
	/* the rest */
	{ "S-later", SAFETY, GRADE_SOUND, 0, 500000, 1, NOTHING, 700, DAY_NONE, 0 },
	{ "H-later", CRITICALITY_HIGH, GRADE_SOUND, 0, 500000, 1, NOTHING, 700, DAY_NONE, 0 },
	{ "N-unknown", NORMAL, GRADE_UNKNOWN, 0, -1, 300, NOTHING, DAY_NONE, DAY_NONE, 0 },
	{ "N-later", NORMAL, GRADE_SOUND, 0, 500000, 300, NOTHING, 700, DAY_NONE, 0 },
};
enum { WORST = sizeof worst / sizeof worst[0] };

/* Put on record in another order than that. */
static void make_worst(struct railway *r)
{
	struct problem why = { 0 };

	make(r);
	for (int i = 0; i < WORST; i++) {
		add(r, &worst[(i * 5 + 3) % WORST]);
	}
	ck_assert(store_commit(r->store, &why));
}

START_TEST(the_worst_come_first_by_criticality_grade_excess_and_own_interval)
{
	static const char *const limits[] = { "1", "3", "50" };
	struct railway r;
	char expected[400] = "", got[400];

	make_worst(&r);
	for (int i = 0; i < WORST; i++) {
		size_t at = strlen(expected);

		snprintf(expected + at, sizeof expected - at, "%s%s", i > 0 ? " " : "", worst[i].label);
	}
	for (int i = 0; i < 3; i++) {
		labels(&r, (const struct query_pair[]){ { "sort", "worst" } }, 1, limits[i], got,
			sizeof got);
		ck_assert_str_eq(got, expected);
	}
	labels(&r, (const struct query_pair[]){ { "sort", "worst" }, { "what", "mending" } }, 2, "2",
		got, sizeof got);
	ck_assert_str_eq(got, "S-broken S-double S-fifth-b S-fifth-a N-act-a N-act-b");
	labels(&r, (const struct query_pair[]){ { "sort", "worst" }, { "state", "overdue" } }, 2, "1",
		got, sizeof got);   /* more than 14 days */
	ck_assert_str_eq(got, "S-month S-year N-act-b");
	end(&r);
}
END_TEST

START_TEST(what_is_over_its_limit_is_not_said_to_cross_it)
{
	struct railway r;
	char cursor[256] = "", got[400];
	struct shown_row rows[ROWS_MOST];
	size_t n;

	make_worst(&r);
	n = page(&r, NULL, 0, "60", cursor, rows);
	ck_assert_int_eq(n, WORST);
	for (size_t i = 0; i < n; i++) {
		bool over = strstr(rows[i].label, "double") != NULL || strstr(rows[i].label, "fifth") != NULL ||
			strstr(rows[i].label, "N-act") != NULL;

		ck_assert_msg(rows[i].says_when_it_crosses == !over, "%s", rows[i].label);
	}
	/* all have a forecast in 100 days, 2026-04-11 */
	labels(&r, (const struct query_pair[]){ { "crosses_before", "2026-04-12" }, { "grade", "act" } },
		2, "50", got, sizeof got);
	ck_assert_str_eq(got, "S-broken");
	labels(&r, (const struct query_pair[]){ { "crosses_before", "2026-04-11" } }, 1, "50", got,
		sizeof got);
	ck_assert_str_eq(got, "");
	end(&r);
}
END_TEST

START_TEST(bonds_with_a_reading_that_waits_are_found)
{
	struct railway r;
	char got[100];

	make_parts(&r);
	labels(&r, (const struct query_pair[]){ { "asked", "yes" } }, 1, "50", got, sizeof got);
	ck_assert_str_eq(got, "both due");
	labels(&r, (const struct query_pair[]){ { "asked", "no" }, { "state", "overdue" } }, 2, "50",
		got, sizeof got);
	ck_assert_str_eq(got, "mended visit");
	/* the total leaves its own filter out, and heeds the others */
	ck_assert_int_eq(total(&r, (const struct query_pair[]){ { "asked", "no" },
		{ "state", "overdue" } }, 2, "asked"), 1);
	end(&r);
}
END_TEST

/* Inspections alone, and of the rest: a page of a million is picked by numbers. */
START_TEST(pages_of_a_list_that_is_picked_have_as_many_rows_as_asked_for)
{
	struct railway r;
	struct shown_row rows[ROWS_MOST];
	char cursor[256] = "";

	make_worst(&r);
	ck_assert_int_eq(page(&r, (const struct query_pair[]){ { "sort", "worst" } }, 1, "10", cursor,
		rows), 10);
	ck_assert_str_ne(cursor, "");
	ck_assert_int_eq(page(&r, (const struct query_pair[]){ { "sort", "worst" } }, 1, "10", cursor,
		rows), WORST - 10);
	ck_assert_str_eq(cursor, "");
	end(&r);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		a_bond_to_be_mended_that_was_inspected_lately_counts_under_mending_alone,
		a_total_of_a_verdict_is_the_number_of_its_bonds,
		the_filter_of_what_is_due_goes_by_that_day, a_row_says_what_is_due_and_both_days,
		every_row_of_what_is_due_has_the_state_that_the_rule_gives,
		the_worst_come_first_by_criticality_grade_excess_and_own_interval,
		what_is_over_its_limit_is_not_said_to_cross_it, bonds_with_a_reading_that_waits_are_found,
		pages_of_a_list_that_is_picked_have_as_many_rows_as_asked_for, NULL };

	return case_run("due_list", tests);
}
