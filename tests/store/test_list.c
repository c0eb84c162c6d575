/*
 * Every list as it is described: each can be run with each of its filters and sorts, pages lose
 * and repeat nothing, and the states that the SQL selects are the ones that the rules give.
 */
#include <math.h>
#include <string.h>

#include "case.h"
#include "store/kept.h"
#include "store/lists/strip.h"
#include "store/record/bond.h"
#include "store/record/book.h"
#include "store/record/failure.h"
#include "store/record/inspection.h"
#include "store/record/person.h"
#include "store/record/rail.h"
#include "store/record/withdrawal.h"
#include "store/record/work.h"
#include "store/register.h"
#include "store/sql.h"

static const struct list *const lists[] = { &line_list, &track_list, &bond_list, &due_list,
	&inspection_list, &reading_list, &failure_list, &repair_list, &repeat_list, &deferral_list,
	&attachment_list, &instrument_list, &kit_list, &conductor_list, &profile_list, &rail_mark_list, &person_list, &import_list, &mapping_list,
	&strip_list };
enum { LISTS = sizeof lists / sizeof lists[0], BONDS = 300, TODAY = 20454 };   /* 2026-01-01 */

static const struct origin origin = { .now_ms = 1767225600000 };

/* Bonds whose due days lie all around today, some deferred, many at the same place, some alike in
 * all that is counted. */
static void fill(struct store *store)
{
	struct line line = { .code = "T", .name = "Test", .notation = NOTATION_KM_M };
	const struct rulebook rules = rulebook_default();
	struct problem why = { 0 };

	ck_assert(store_begin(store, &why));
	ck_assert(store_line_insert(store, &line, &origin, &why));
	for (int n = 0; n < BONDS; n++) {
		int i = n < BONDS - 10 ? n : 283 + n % 2;    /* the last ones are alike, watched or to act on */
		struct bond b = { .line_id = line.id, .kind = (enum bond_kind)(i % 8),
			.installed_day = DAY_NONE, .removed_day = DAY_NONE, .material = -1, .area_mm2 = NAN, .length_m = NAN,
			.status = i % 17 == 0 ? BOND_REMOVED : BOND_IN_SERVICE,
			.end = { { .rail = i % 2, .face = -1, .distance_mm = i / 3 * 1000 },
			{ .rail = -1, .face = -1 } } };
		struct due_facts facts = { .kind = b.kind, .in_service = b.status == BOND_IN_SERVICE,
			.installed_day = DAY_NONE, .known_since_day = TODAY, .commissioning_day = DAY_NONE,
			.early_day = DAY_NONE,
			.inspected_day = i % 11 == 0 ? DAY_NONE : TODAY - i % 120 * 7,
			.deferred_until_day = i % 13 == 0 ? TODAY + i % 5 - 2 : DAY_NONE };
		struct bond_state s = state_graded(i, TODAY);

		snprintf(b.label, sizeof b.label, "B%03d", n);
		ck_assert(store_bond_insert(store, &b, &origin, &why));
		s.last_inspection_day = facts.inspected_day;
		facts.is_judged = true;
		facts.act_since_day = s.act_since_day;
		due_compute(&rules, &facts, &s.due);
		keep_state(store, &b, s);
	}
	ck_assert(store_commit(store, &why));
}

static size_t run(struct store *store, const struct list_query *q, char *cursor, size_t size)
{
	struct problem why = { 0 };
	struct table table;
	struct cell row[40];
	bool failed;
	size_t rows = 0;
	struct list_run *r = list_open(store, q, &table, &why);

	ck_assert_msg(r != NULL, "%s: %s", q->list->name, why.detail);
	while (table.next(table.source, row, &failed)) {
		rows++;
	}
	ck_assert(!failed);
	if (cursor != NULL && !list_next_page(r, cursor, size)) {
		cursor[0] = '\0';
	}
	list_close(r);
	return rows;
}

static const char *sample(const struct list_filter *f)
{
	switch (f->kind) {
	case FILTER_ID:
	case FILTER_INTEGER:
		return "1";
	case FILTER_REAL:
		return "7.5";
	case FILTER_DAY:
		return "2026-01-01";
	case FILTER_WORD:
		return f->words->code[0];
	case FILTER_FLAG:
		return "yes";
	default:
		return "B0";
	}
}

/* What has to be sent beside a filter; NULL: nothing. */
static const char *needed(const struct list *list, const char *filter)
{
	for (const struct list_need *n = list->needs; n != NULL && n->says != NULL; n++) {
		if (n->filter != NULL && strcmp(n->filter, filter) == 0) {
			return n->one_of[0];
		}
	}
	return NULL;
}

START_TEST(a_distance_is_one_of_a_line)
{
	static const struct list *const of[] = { &due_list, &bond_list };
	static const char *const names[] = { "from_mm", "to_mm" };

	for (size_t i = 0; i < 4; i++) {
		const struct query_pair pairs[] = { { names[i / 2], "1000" }, { "line", "" },
			{ "line", "2" }, { "track", "3" } };
		struct list_query q;

		for (size_t beside = 0; beside < 4; beside++) {
			const struct query_pair two[] = { pairs[0], pairs[beside] };
			struct problems why = { 0 };
			bool ok = list_query_read(of[i % 2], two, beside == 0 ? 1 : 2, TODAY, &q, &why);

			ck_assert_int_eq(ok, beside > 1);
			if (!ok) {
				ck_assert_str_eq(why.item[0].field, names[i / 2]);
				ck_assert_str_eq(why.item[0].detail,
					"A distance counts from the beginning of a line: send line as well.");
			}
		}
	}
}
END_TEST

START_TEST(every_list_runs_with_each_filter_and_sort_and_all_together)
{
	struct register_file f;
	struct store *store;

	register_file_make(&f);
	store = register_open(&f, STORE_WRITE);
	fill(store);
	for (size_t i = 0; i < LISTS; i++) {
		struct query_pair pairs[LIST_FILTERS + 1];
		size_t n = 0;

		ck_assert_msg(lists[i]->n_filters <= LIST_FILTERS, "%s", lists[i]->name);
		for (size_t k = 0; k < lists[i]->n_filters; k++) {
			pairs[n++] = (struct query_pair){ lists[i]->filters[k].name,
				sample(&lists[i]->filters[k]) };
		}
		for (size_t k = 0; k < lists[i]->n_sorts; k++) {
			struct list_query q;
			struct problems why = { 0 };

			pairs[n] = (struct query_pair){ "sort", lists[i]->sorts[k].name };
			for (size_t one = 0; one < n; one++) {
				const struct query_pair some[] = { pairs[one], pairs[n],
					{ needed(lists[i], pairs[one].name), "1" } };

				ck_assert_msg(list_query_read(lists[i], some, some[2].name != NULL ? 3 : 2, TODAY, &q,
					&why), "%s: %s", lists[i]->name, why.item[0].detail);
				run(store, &q, NULL, 0);
			}
			ck_assert(list_query_read(lists[i], pairs, n + 1, TODAY, &q, &why));
			run(store, &q, NULL, 0);
		}
	}
	store_close(store);
	register_file_remove(&f);
}
END_TEST

START_TEST(pages_give_every_row_once_whatever_the_sort_and_the_limit)
{
	static const char *const sorts[] = { "due", "place", "worst" };
	static const char *const limits[] = { "1", "7", "50", "1000" };
	struct register_file f;
	struct store *store;

	register_file_make(&f);
	store = register_open(&f, STORE_WRITE);
	fill(store);
	for (size_t s = 0; s < 3; s++) {
		for (size_t l = 0; l < 4; l++) {
			char cursor[256] = "";
			size_t rows = 0;

			do {
				const struct query_pair pairs[] = { { "sort", sorts[s] }, { "limit", limits[l] },
					{ "after", cursor } };
				struct list_query q;
				struct problems why = { 0 };
				char next[256];

				ck_assert_msg(list_query_read(&due_list, pairs, 3, TODAY, &q, &why), "%s",
					why.item[0].detail);
				rows += run(store, &q, next, sizeof next);
				memcpy(cursor, next, sizeof cursor);
			} while (cursor[0] != '\0');
			ck_assert_int_eq(rows, BONDS - (BONDS + 16) / 17);   /* all but the removed */
		}
	}
	store_close(store);
	register_file_remove(&f);
}
END_TEST

/* (in a trial places need no failures) */
START_TEST(every_page_has_the_totals_of_the_whole_list)
{
	struct register_file f;
	struct store *store;
	struct problem why = { 0 };
	char cursor[256] = "";
	size_t rows = 0;

	register_file_make(&f);
	store = register_open(&f, STORE_WRITE);
	fill(store);
	ck_assert(store_begin(store, &why) && store_trial_begin(store, &why));
	for (int64_t id = 1; id <= 15; id++) {
		const struct repeat_row place = { .id = id, .group = { .line_id = 1, .rail = -1 },
			.from_mm = id, .to_mm = id, .failures = 2, .chainage_from = "x",
			.chainage_to = "x" };

		ck_assert_msg(store_trial_put(store, &place, &why), "%s", why.detail);
	}
	do {
		const struct query_pair pairs[] = { { "limit", "5" }, { "after", cursor } };
		struct list_query q;
		struct problems wrong = { 0 };
		char next[256];
		int64_t places = 0;

		ck_assert(list_query_read(&repeat_trial_list, pairs, 2, TODAY, &q, &wrong));
		rows += run(store, &q, next, sizeof next);
		ck_assert(list_totals(store, &q, &places, &why));
		ck_assert_int_eq(places, 15);
		memcpy(cursor, next, sizeof cursor);
	} while (cursor[0] != '\0');
	ck_assert_uint_eq(rows, 15);
	store_rollback(store);
	store_close(store);
	register_file_remove(&f);
}
END_TEST

START_TEST(the_state_filter_and_the_totals_say_what_the_rule_says)
{
	struct register_file f;
	struct store *store;
	int64_t totals[DUE_TOTALS];
	size_t counted[6] = { 0 };
	struct list_query q;
	struct problems why = { 0 };
	struct problem trouble = { 0 };

	register_file_make(&f);
	store = register_open(&f, STORE_WRITE);
	fill(store);
	for (int state = 0; state < 5; state++) {
		const struct query_pair pairs[] = { { "state", due_state_words.code[state] },
			{ "limit", "1000" } };
		struct table table;
		struct cell row[40];
		bool failed;
		struct list_run *r;

		ck_assert(list_query_read(&due_list, pairs, 2, TODAY, &q, &why));
		r = list_open(store, &q, &table, &trouble);
		while (table.next(table.source, row, &failed)) {
			for (size_t c = 0; c < table.n_columns; c++) {
				if (strcmp(table.columns[c].name, "state") == 0) {
					ck_assert_int_eq(row[c].integer, state);   /* by due_state_on, row by row */
				}
			}
			counted[state]++;
		}
		list_close(r);
		ck_assert_msg(counted[state] > 0, "%s occurs", due_state_words.code[state]);
	}
	ck_assert(list_totals(store, &q, totals, &trouble));
	for (int state = 0; state < 5; state++) {
		ck_assert_int_eq(totals[state], counted[state]);
	}
	store_close(store);
	register_file_remove(&f);
}
END_TEST

START_TEST(the_grade_filter_and_its_totals_say_what_the_rule_says_on_the_day)
{
	struct register_file f;
	struct store *store;
	struct problem trouble = { 0 };

	register_file_make(&f);
	store = register_open(&f, STORE_WRITE);
	fill(store);
	for (int32_t today = TODAY - 4; today <= TODAY + 4; today++) {
		int64_t totals[DUE_TOTALS], counted[GRADE_ACT + 1] = { 0 };
		struct list_query q;
		struct problems why = { 0 };

		for (int grade = GRADE_NONE; grade <= GRADE_ACT; grade++) {
			const struct query_pair pairs[] = { { "grade", grade_words.code[grade] },
				{ "limit", "1000" } };
			struct table table;
			struct cell row[40];
			bool failed;
			struct list_run *r;

			ck_assert(list_query_read(&due_list, pairs, 2, today, &q, &why));
			r = list_open(store, &q, &table, &trouble);
			while (table.next(table.source, row, &failed)) {
				for (size_t c = 0; c < table.n_columns; c++) {
					if (strcmp(table.columns[c].name, "grade") == 0) {
						ck_assert_int_eq(row[c].integer, grade);   /* by grade_on, row by row */
					}
				}
				counted[grade]++;
			}
			list_close(r);
		}
		ck_assert(list_totals(store, &q, totals, &trouble));
		for (int grade = GRADE_UNKNOWN; grade <= GRADE_ACT; grade++) {
			ck_assert_int_eq(totals[DUE_STATES + grade - GRADE_UNKNOWN], counted[grade]);
		}
		ck_assert_int_gt(counted[GRADE_ACT], 0);
	}
	store_close(store);
	register_file_remove(&f);
}
END_TEST

/* The rows of each state, one list a state; what: NULL, or what is due. */
static void count_rows(struct store *store, const struct query_pair *filter, const char *what,
	int64_t to[5])
{
	for (int state = 0; state < 5; state++) {
		const struct query_pair pairs[] = { { "state", due_state_words.code[state] },
			{ "limit", "1000" }, *filter, { "what", what } };
		struct list_query q;
		struct problems why = { 0 };

		ck_assert(list_query_read(&due_list, pairs, what != NULL ? 4 : 3, TODAY, &q, &why));
		to[state] = (int64_t)run(store, &q, NULL, 0);
	}
}

static int64_t total_of(const int64_t *totals, const char *name)
{
	for (size_t i = 0; i < DUE_TOTALS; i++) {
		if (strcmp(due_totals[i].name, name) == 0) {
			return totals[i];
		}
	}
	ck_abort_msg("there is no total %s", name);
	return -1;
}

/* Inspections and mendings apart. */
static void hold_parts_against_rows(struct store *store, const struct query_pair *filter,
	const int64_t *totals)
{
	static const struct { const char *what, *name; } parts[] = {
		{ "inspection", "inspections" }, { "mending", "mendings" } };

	for (size_t p = 0; p < 2; p++) {
		int64_t rows[5];

		count_rows(store, filter, parts[p].what, rows);
		for (int state = DUE_SOON; state < 5; state++) {
			char name[40];

			snprintf(name, sizeof name, "%s_%s", parts[p].name, due_state_words.code[state]);
			ck_assert_msg(total_of(totals, name) == rows[state], "%s=%s, %s: %lld, counted %lld",
				filter->name, filter->value, name, (long long)total_of(totals, name),
				(long long)rows[state]);
		}
	}
}

/* With filters that the table of counts has, and with ones that it has not. */
static void hold_totals_against_rows(struct store *store)
{
	static const struct query_pair filters[] = { { "kind", "rail_joint" }, { "line", "1" },
		{ "line", "2" }, { "criticality", "normal" }, { "until", "2025-12-01" }, { "surveyed", "no" },
		{ "q", "B0" }, { "kind", "rail_joint,structure" }, { "state", "overdue" }, { "grade", "watch" },
		{ "grade", "unknown,sound" }, { "crosses_before", "2026-01-20" }, { "asked", "yes" },
		{ "asked", "no" }, { "line", "" } };

	for (size_t i = 0; i < sizeof filters / sizeof filters[0]; i++) {
		const struct query_pair every = { "until", "" };
		struct list_query q;
		struct problems wrong_query = { 0 };
		struct problem why = { 0 };
		int64_t rows[5], totals[DUE_TOTALS];

		bool by_state = strcmp(filters[i].name, "state") == 0;

		count_rows(store, by_state ? &every : &filters[i], NULL, rows);
		ck_assert(list_query_read(&due_list, &filters[i], 1, TODAY, &q, &wrong_query));
		ck_assert(list_totals(store, &q, totals, &why));
		for (int state = 0; state < 5; state++) {
			ck_assert_msg(totals[state] == rows[state], "%s=%s, %s: %lld, counted %lld",
				filters[i].name, filters[i].value, due_state_words.code[state],
				(long long)totals[state], (long long)rows[state]);
		}
		hold_parts_against_rows(store, by_state ? &every : &filters[i], totals);
	}
}

START_TEST(the_totals_follow_every_state_that_is_kept)
{
	struct register_file f;
	struct store *store, *reader;
	int64_t off = -1;
	struct problem why = { 0 };

	register_file_make(&f);
	store = register_open(&f, STORE_WRITE);
	fill(store);
	reader = register_open(&f, STORE_READ);
	hold_totals_against_rows(store);
	hold_totals_against_rows(reader);    /* which keeps them */
	hold_totals_against_rows(reader);
	ck_assert(store_begin(store, &why));
	for (int64_t id = 1; id <= BONDS; id += 3) {
		struct bond b;
		struct bond_state s;

		ck_assert(store_bond_get(store, id, &b, &why));
		ck_assert(store_bond_state_get(store, id, &s, &why));
		if (s.due.due_day != DAY_NONE && id % 2 == 0) {
			s.due.due_day += 100;
			s.due.soon_from_day += 100;
			s.due.overdue_from_day += 100;
			s.due.inspect_day += 100;
			s.due.mend_day += s.due.mend_day != DAY_NONE ? 100 : 0;
			s.due.deferred_until_day = DAY_NONE;   /* it is not after that day */
		} else if (id % 5 == 0) {
			s.due.due_day = s.due.soon_from_day = s.due.overdue_from_day = DAY_NONE;
			s.due.deferred_until_day = s.due.inspect_day = s.due.mend_day = DAY_NONE;
		}
		keep_state(store, &b, s);
	}
	hold_totals_against_rows(store);     /* before they are there for others, and after */
	hold_totals_against_rows(reader);
	ck_assert(store_commit(store, &why));
	hold_totals_against_rows(store);
	hold_totals_against_rows(reader);
	ck_assert(store_due_count_wrong(store, &off, &why));
	ck_assert_int_eq(off, 0);
	ck_assert(store_due_cells_add(store, &(struct due_cell){ .line_id = 1, .due_day = 20000,
		.by = 1 }, 1, &why));    /* a bond that is not there */
	ck_assert(store_due_count_wrong(store, &off, &why));
	ck_assert_int_gt(off, 0);
	ck_assert(store_due_count_make(store, &why));
	ck_assert(store_due_count_wrong(store, &off, &why));
	ck_assert_int_eq(off, 0);
	store_close(reader);
	store_close(store);
	register_file_remove(&f);
}
END_TEST

static const struct { const char *name, *value, *words; } wrong[] = {
	{ "line", "abc", "number of a record" }, { "line", "0", "number of a record" },
	{ "line", "99999999999999999999", "number of a record" }, { "state", "late", "not one of" },
	{ "state", "due,late", "not one of" },
	{ "state", "due,due,due,due,due,due,due", "names 7 words; there are 6" }, { "until", "2026-02-30", "a day like" },
	{ "surveyed", "maybe", "yes or no" }, { "colour", "red", "no filter" },
	{ "sort", "price", "sort must be one of" }, { "limit", "0", "from 1 to" },
	{ "limit", "1001", "from 1 to" }, { "after", "!!", "cursor" }, { "after", "ZHVl", "cursor" },
};

START_TEST(a_wrong_query_is_told_by_name_and_all_at_once)
{
	struct query_pair all[sizeof wrong / sizeof wrong[0]];
	struct list_query q;
	struct problems why = { 0 };

	for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
		const struct query_pair one = { wrong[i].name, wrong[i].value };
		struct problems single = { 0 };

		ck_assert_msg(!list_query_read(&due_list, &one, 1, TODAY, &q, &single), "%s=%s",
			wrong[i].name, wrong[i].value);
		ck_assert_int_eq(single.count, 1);
		ck_assert_msg(strstr(single.item[0].detail, wrong[i].words) != NULL, "%s",
			single.item[0].detail);
		ck_assert_str_eq(single.item[0].field, wrong[i].name);
		all[i] = one;
	}
	ck_assert(!list_query_read(&due_list, all, 12, TODAY, &q, &why));
	ck_assert_int_eq(why.count, 12);
}
END_TEST

START_TEST(what_is_sent_twice_is_refused)
{
	static const struct query_pair pairs[][2] = { { { "limit", "5" }, { "limit", "5" } },
		{ { "limit", "5" }, { "limit", "6" } }, { { "sort", "due" }, { "sort", "due" } },
		{ { "after", "x" }, { "after", "x" } }, { { "line", "1" }, { "line", "1" } } };

	for (size_t i = 0; i < sizeof pairs / sizeof pairs[0]; i++) {
		struct list_query q;
		struct problems why = { 0 };

		ck_assert(!list_query_read(&due_list, pairs[i], 2, TODAY, &q, &why));
		ck_assert_int_eq(why.count, 1);
		ck_assert_str_eq(why.item[0].field, pairs[i][0].name);
		ck_assert_ptr_nonnull(strstr(why.item[0].detail, "sent twice"));
	}
}
END_TEST

START_TEST(a_prefix_takes_quotes_and_percent_signs_as_they_are)
{
	static const char *const texts[] = { "B0", "B' OR 1=1 --", "%", "_", "B00%" };
	struct register_file f;
	struct store *store;

	register_file_make(&f);
	store = register_open(&f, STORE_WRITE);
	fill(store);
	for (size_t i = 0; i < 5; i++) {
		const struct query_pair pairs[] = { { "q", texts[i] }, { "limit", "1000" } };
		struct list_query q;
		struct problems why = { 0 };

		ck_assert(list_query_read(&bond_list, pairs, 2, TODAY, &q, &why));
		ck_assert_int_eq(run(store, &q, NULL, 0), i == 0 ? 100 : 0);
	}
	store_close(store);
	register_file_remove(&f);
}
END_TEST

START_TEST(several_texts_are_taken_as_they_are_each_of_them)
{
	static const struct { const char *lines; int rows; const char *wrong; } cases[] = {
		{ "T", BONDS, NULL }, { "X,T,T", BONDS, NULL }, { "T,", BONDS, NULL },
		{ "t", 0, NULL }, { "T' OR '1'='1", 0, NULL }, { "%", 0, NULL },
		{ "X,,T", 0, "between its commas" }, { ",", 0, "between its commas" },
		{ "1,2,3,4,5,6,7,8,9,10,11,12,13,14,15,16,17,18,19,T", BONDS, NULL },
		{ "1,2,3,4,5,6,7,8,9,10,11,12,13,14,15,16,17,18,19,20,T", 0, "room for 20" },
	};
	struct register_file f;
	struct store *store;

	register_file_make(&f);
	store = register_open(&f, STORE_WRITE);
	fill(store);
	for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
		const struct query_pair pairs[] = { { "lines", cases[i].lines }, { "limit", "1000" } };
		struct list_query q;
		struct problems why = { 0 };
		bool read = list_query_read(&bond_list, pairs, 2, TODAY, &q, &why);

		ck_assert_msg(read == (cases[i].wrong == NULL), "%s", cases[i].lines);
		if (read) {
			ck_assert_msg(run(store, &q, NULL, 0) == (size_t)cases[i].rows, "%s", cases[i].lines);
		} else {
			ck_assert_ptr_nonnull(strstr(why.item[0].detail, cases[i].wrong));
		}
	}
	store_close(store);
	register_file_remove(&f);
}
END_TEST

/* A list that is computed: the squares below 30 x 30. */
static int opened, closed;
static int64_t squares_from, squares_without;   /* what changes between two pages */

static void *squares_open(struct view *view, const struct list_query *query,
	struct problem *why)
{
	static int64_t at;

	(void)view;
	(void)query;
	(void)why;
	at = squares_from;
	opened++;
	return &at;
}

static bool squares_next(void *rows, struct cell *row, bool *failed)
{
	int64_t *at = rows;

	*failed = false;
	*at += *at == squares_without;
	row[0].integer = *at * (*at < 0 ? -*at : *at);
	return (*at)++ < 30;
}

static void squares_close(void *rows)
{
	(void)rows;
	closed++;
}

static const struct list_column square_columns[] = {
	{ { "square", "Square", NULL, CELL_INTEGER } } };
static const struct list_sort square_sorts[] = { { "up", "upwards", { NULL } } };
static const struct list_computed square_computed = {
	1, squares_open, squares_next, squares_close };
static const struct list squares = { .name = "squares", .title = "Squares",
	.columns = square_columns, .n_columns = 1, .sorts = square_sorts, .n_sorts = 1,
	.computed = &square_computed };

START_TEST(a_computed_list_is_paged_like_any_other)
{
	int64_t seen = 0;

	squares_without = -1;

	for (const char *limit = "7"; limit != NULL; limit = limit[0] == '7' ? "30" : NULL) {
		char cursor[256] = "";

		seen = 0;
		do {
			const struct query_pair pairs[] = { { "limit", limit }, { "after", cursor } };
			struct list_query q;
			struct problems refused = { 0 };
			struct problem why = { 0 };
			struct table table;
			struct cell row[1];
			struct list_run *r;
			bool failed;

			ck_assert(list_query_read(&squares, pairs, 2, TODAY, &q, &refused));
			r = list_open(NULL, &q, &table, &why);
			ck_assert_ptr_nonnull(r);
			while (table.next(table.source, row, &failed)) {
				ck_assert_int_eq(row[0].integer, seen * seen);
				seen++;
			}
			ck_assert(!table.next(table.source, row, &failed) && !failed);
			if (!list_next_page(r, cursor, sizeof cursor)) {
				cursor[0] = '\0';
			}
			list_close(r);
		} while (cursor[0] != '\0');
		ck_assert_int_eq(seen, 30);
	}
	ck_assert_int_eq(opened, 6);   /* 7 + 7 + 7 + 7 + 2, and all 30 at once */
	ck_assert_int_eq(closed, opened);
}
END_TEST

/* The first page: 0 1 4. */
static void first_squares(char *cursor, size_t size)
{
	const struct query_pair pairs[] = { { "limit", "3" } };
	struct list_query q;
	struct problems refused = { 0 };

	squares_from = 0;
	squares_without = -1;
	ck_assert(list_query_read(&squares, pairs, 1, TODAY, &q, &refused));
	ck_assert_uint_eq(run(NULL, &q, cursor, size), 3);
}

START_TEST(a_page_of_a_computed_list_goes_on_behind_the_row_before_or_not_at_all)
{
	char cursor[256];
	const struct query_pair pairs[] = { { "limit", "3" }, { "after", cursor } };
	struct list_query q;
	struct problems refused = { 0 };
	struct problem why = { 0 };
	struct table table;
	struct cell row[1];
	struct list_run *r;
	bool failed;

	first_squares(cursor, sizeof cursor);
	ck_assert(list_query_read(&squares, pairs, 2, TODAY, &q, &refused));
	squares_from = -2;                /* two rows more came before it */
	r = list_open(NULL, &q, &table, &why);
	ck_assert_ptr_nonnull(r);
	ck_assert(table.next(table.source, row, &failed));
	ck_assert_int_eq(row[0].integer, 9);
	list_close(r);
	squares_from = 2;                 /* and two are gone */
	r = list_open(NULL, &q, &table, &why);
	ck_assert(table.next(table.source, row, &failed));
	ck_assert_int_eq(row[0].integer, 9);
	list_close(r);
	squares_from = 0;
	squares_without = 2;              /* the last one given is gone */
	ck_assert_ptr_null(list_open(NULL, &q, &table, &why));
	ck_assert_int_eq(why.code, PROBLEM_CONFLICT);
	ck_assert_str_eq(why.field, "after");
}
END_TEST

/* How SQLite goes about a page: the steps of its plan, one after the other. */
static void plan_of(struct store *store, const struct list *list, const char *name,
	const char *value, struct text *to)
{
	const struct query_pair pairs[] = { { name, value } };
	struct list_query q;
	struct problems refused = { 0 };
	struct problem why = { 0 };
	struct text sql = { 0 };
	sqlite3_stmt *row;

	ck_assert(list_query_read(list, pairs, 1, 20000, &q, &refused));
	text_add_z(&sql, "EXPLAIN QUERY PLAN ");
	list_sql(&q, &sql);
	row = sql_select(store, sql.data, NULL, 0, &why);
	text_clear(to);
	while (sql_row(store, row, &why)) {
		text_addf(to, "%s; ", (const char *)sqlite3_column_text(row, 3));
	}
	ck_assert_msg(why.code == PROBLEM_NONE, "%s", why.detail);
	text_release(&sql);
}

/* Of millions of rows the newest fifty of most words are met at once by day; the few of the others
 * have an index that has no others in it. Nothing reads all rows to sort them. */
START_TEST(a_word_of_readings_and_inspections_reads_few_rows)
{
	static const struct { const struct list *list; const char *name, *value, *by; } rows[] = {
		{ &reading_list, "quantity", "end_to_end", "inspection_by_day" },
		{ &reading_list, "quantity", "contact_a", "inspection_by_day" },
		{ &reading_list, "quantity", "contact_b", "inspection_by_day" },
		{ &reading_list, "quantity", "rail_drop", "reading_of_rail" },
		{ &reading_list, "verdict", "none", "inspection_by_day" },
		{ &reading_list, "verdict", "within", "inspection_by_day" },
		{ &reading_list, "verdict", "unproven", "reading_state_unproven" },
		{ &reading_list, "verdict", "over", "reading_state_over" },
		{ &reading_list, "status", "evidence", "inspection_by_day" },
		{ &reading_list, "status", "none", "reading_state_aside" },
		{ &reading_list, "status", "open", "reading_state_open" },
		{ &reading_list, "status", "dropped", "reading_state_aside" },
		{ &reading_list, "status", "dropped_over", "reading_state_aside" },
		{ &inspection_list, "outcome", "complete", "inspection_by_day" },
		{ &inspection_list, "outcome", "partly", "inspection_not_whole" },
		{ &inspection_list, "outcome", "not_reached", "inspection_not_whole" },
		/* (what came after an import is looked up by the bonds that it brought) */
		{ &recorded_since_list, "import", "1", "SEARCH inspection USING INDEX inspection_of_bond" },
	};
	struct register_file f;
	struct store *store;
	struct text plan = { 0 };

	register_file_make(&f);
	store = register_open(&f, STORE_WRITE);
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		plan_of(store, rows[i].list, rows[i].name, rows[i].value, &plan);
		ck_assert_msg(strstr(plan.data, rows[i].by) != NULL, "%s=%s: %s", rows[i].name,
			rows[i].value, plan.data);
	}
	text_release(&plan);
	store_close(store);
	register_file_remove(&f);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		a_distance_is_one_of_a_line, every_list_runs_with_each_filter_and_sort_and_all_together,
		a_word_of_readings_and_inspections_reads_few_rows,
		pages_give_every_row_once_whatever_the_sort_and_the_limit,
		every_page_has_the_totals_of_the_whole_list,
		the_state_filter_and_the_totals_say_what_the_rule_says,
		the_grade_filter_and_its_totals_say_what_the_rule_says_on_the_day,
		the_totals_follow_every_state_that_is_kept,
		a_wrong_query_is_told_by_name_and_all_at_once, what_is_sent_twice_is_refused,
		a_prefix_takes_quotes_and_percent_signs_as_they_are,
		several_texts_are_taken_as_they_are_each_of_them,
		a_computed_list_is_paged_like_any_other,
		a_page_of_a_computed_list_goes_on_behind_the_row_before_or_not_at_all, NULL };

	return case_run("list", tests);
}
