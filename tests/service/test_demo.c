/* The demo railway: whole, as big as it is meant to be, the same each time, and its places that
 * keep failing are found where the plan has put them. */
#include <sodium.h>
#include <string.h>
#include <sys/stat.h>

#include "base/day.h"
#include "case.h"
#include "demo.h"
#include "derived/rebuild.h"
#include "encode/encode.h"
#include "service/access/register.h"
#include "service/report/explain.h"
#include "store/lists/due_filters.h"
#include "store/record/failure.h"
#include "store/record/inspection.h"
#include "store/record/person.h"
#include "store/record/work.h"
#include "store/register.h"

static const struct list *const lists[] = { &line_list, &track_list, &bond_list, &due_list,
	&attachment_list, &inspection_list, &reading_list, &failure_list, &repair_list, &repeat_list,
	&deferral_list, &instrument_list, &kit_list, &person_list };
enum { LISTS = sizeof lists / sizeof lists[0], CELLS = 40 };

static int32_t day_of(const char *text)
{
	int32_t day = 0;

	ck_assert(day_read(text, strlen(text), &day));
	return day;
}

static struct store *build(struct register_file *f, int32_t today)
{
	register_file_make(f);
	const struct demo_options options = { .folder = f->folder, .today = today };

	ck_assert(demo_build(&options));
	return register_open(f, STORE_READ);
}

static struct list_run *open_list(struct store *store, const struct list *list, int32_t today,
	struct table *table)
{
	struct problems wrong = { 0 };
	struct problem why = { 0 };
	struct list_query q;
	struct list_run *run;

	ck_assert(list_query_read(list, NULL, 0, today, &q, &wrong));
	q.limit = 0;
	run = list_open(store, &q, table, &why);
	ck_assert_msg(run != NULL, "%s", why.detail);
	return run;
}

static size_t rows_of(struct store *store, const struct list *list, int32_t today)
{
	struct table table;
	struct list_run *run = open_list(store, list, today, &table);
	struct cell row[CELLS];
	bool failed = false;
	size_t n = 0;

	while (table.next(table.source, row, &failed)) {
		n++;
	}
	ck_assert(!failed);
	list_close(run);
	return n;
}

static size_t column_of(const struct table *table, const char *name)
{
	for (size_t i = 0; i < table->n_columns; i++) {
		if (strcmp(table->columns[i].name, name) == 0) {
			return i;
		}
	}
	ck_abort_msg("there is a column %s", name);
	return 0;
}

/* What the demo is meant to have. */
static const struct { const struct list *list; size_t least, most; } meant[] = {
	{ &line_list, 3, 3 }, { &track_list, 9, 9 }, { &bond_list, 3800, 4200 },
	{ &attachment_list, 6000, 8000 }, { &inspection_list, 25000, 40000 },
	{ &reading_list, 30000, 42000 }, { &failure_list, 310, 400 }, { &repair_list, 300, 395 },
	{ &repeat_list, 7, 45 }, { &deferral_list, 15, 15 }, { &instrument_list, 5, 5 },
	{ &kit_list, 6, 6 }, { &person_list, 11, 11 },
};

/* Mostly sound, and each other grade often enough to be seen. */
static void expect_grades(struct store *store, int32_t today)
{
	struct list_query q;
	struct problems why = { 0 };
	struct problem one = { 0 };
	int64_t totals[DUE_TOTALS];
	const int64_t *grade = totals + DUE_STATES - GRADE_UNKNOWN;

	ck_assert(list_query_read(&due_list, NULL, 0, today, &q, &why));
	ck_assert_msg(list_totals(store, &q, totals, &one), "%s", one.detail);
	ck_assert_int_gt(grade[GRADE_SOUND], 2 * grade[GRADE_UNKNOWN]);
	ck_assert_int_gt(grade[GRADE_SOUND], 5 * grade[GRADE_WATCH]);
	ck_assert(grade[GRADE_WATCH] >= 50 && grade[GRADE_ACT] >= 25 && grade[GRADE_ACT] <= 250);
}

static void expect_counts(struct store *store, int32_t today)
{
	expect_grades(store, today);

	for (size_t i = 0; i < sizeof meant / sizeof meant[0]; i++) {
		size_t n = rows_of(store, meant[i].list, today);

		ck_assert_msg(n >= meant[i].least && n <= meant[i].most, "%zu rows of %s", n,
			meant[i].list->name);
	}
}

static void expect_states(struct store *store, int32_t today)
{
	struct problems wrong = { 0 };
	struct problem why = { 0 };
	struct list_query q;
	int64_t n[LIST_TOTALS];

	ck_assert(list_query_read(&due_list, NULL, 0, today, &q, &wrong));
	ck_assert(list_totals(store, &q, n, &why));
	for (size_t i = 0; i < due_list.n_totals; i++) {
		/* (what is to be mended is so few that on some days none is just due, or put off) */
		const char *name = due_list.totals[i].name;
		bool is_few = strncmp(name, "mendings_", 9) == 0 && strcmp(name, "mendings_overdue") != 0;

		ck_assert_msg(n[i] > 0 || is_few, "some bonds are %s", name);
	}
}

/* The surveyed bonds of two lines, no farther from each other than the railway is long: within a
 * degree of latitude and of longitude, which is 111 km and, at 41° south, 84 km. */
static void expect_coordinates(struct store *store, int32_t today)
{
	struct table table;
	struct list_run *run = open_list(store, &bond_list, today, &table);
	struct cell row[CELLS];
	bool failed = false;
	size_t with = 0;

	while (table.next(table.source, row, &failed)) {
		const struct cell *latitude = &row[column_of(&table, "latitude")];
		const struct cell *longitude = &row[column_of(&table, "longitude")];

		ck_assert_int_eq(latitude->is_null, longitude->is_null);
		if (!latitude->is_null) {
			with++;
			ck_assert(latitude->real > -41.5 && latitude->real < -40.5);
			ck_assert(longitude->real > -19.8 && longitude->real < -18.8);
		}
	}
	list_close(run);
	ck_assert_uint_gt(with, 2500);
	ck_assert_uint_lt(with, rows_of(store, &bond_list, today));
}

/* The index of the planned place that a row of repeat places stands for; -1: none. */
static int planned(const struct table *table, const struct cell *row)
{
	const struct cell *line = &row[column_of(table, "line")];
	const struct cell *track = &row[column_of(table, "track")];
	const struct cell *rail = &row[column_of(table, "rail")];
	int64_t from_mm = row[column_of(table, "from_mm")].integer;
	int64_t count = row[column_of(table, "count")].integer;

	for (int i = 0; i < PLAN_REPEATS; i++) {
		const struct plan_repeat *p = &plan_repeats[i];
		const struct plan_line *l = &plan_lines[p->line];
		double off_m = (double)from_mm / 1000 - p->at_m;

		if (strcmp(line->text, l->code) == 0 && !track->is_null &&
			strcmp(track->text, l->track[p->track].name) == 0 && rail->integer == (int)p->rail &&
			off_m > -1.1 && off_m < 10 && count == p->failures) {
			return i;
		}
	}
	return -1;
}

static void expect_repeats(struct store *store, int32_t today)
{
	struct table table;
	struct list_run *run = open_list(store, &repeat_list, today, &table);
	struct cell row[CELLS];
	bool failed = false, found[PLAN_REPEATS] = { false };

	for (int i = 0; i < PLAN_REPEATS; i++) {
		int which;

		ck_assert(table.next(table.source, row, &failed));
		which = planned(&table, row);
		ck_assert_msg(which >= 0 && !found[which], "row %d of the worst places is planned", i);
		found[which] = true;
	}
	list_close(run);
}

/* The worst place that was planned for a reason, explained; the caller frees it. */
static struct explained *explain(struct store *store, int32_t today, int reason)
{
	struct table table;
	struct list_run *run = open_list(store, &repeat_list, today, &table);
	struct explained *to = calloc(1, sizeof *to);
	const struct rulebook rulebook = rulebook_default();
	struct view view = { .store = store, .today = today, .rulebook = &rulebook };
	struct cell row[CELLS];
	struct repeat_row place;
	struct problem why = { 0 };
	bool failed = false, seen = false;

	while (!seen && table.next(table.source, row, &failed)) {
		int which = planned(&table, row);

		seen = which >= 0 && (int)plan_repeats[which].reason == reason;
	}
	ck_assert(seen && to != NULL);
	ck_assert(store_repeat_get(store, row[0].integer, &place, &why));
	list_close(run);
	ck_assert_msg(repeat_explain(&view, &place, to, &why), "%s", why.detail);
	return to;
}

static const struct explained_share *telling(const struct explained *e, enum factor factor)
{
	for (size_t i = 0; i < e->n_shares; i++) {
		if (e->shares[i].factor == factor && e->shares[i].share.meaning == SHARE_TELLING) {
			return &e->shares[i];
		}
	}
	return NULL;
}

/* What the register says of a planned place must lead to its reason. */
static void expect_reasons(struct store *store, int32_t today)
{
	struct explained *batch = explain(store, today, REASON_BATCH);
	struct explained *current = explain(store, today, REASON_CURRENT);
	struct explained *same_spot = explain(store, today, REASON_SAME_SPOT);

	/* four attachments of the bad batch failed there, and they are one night's work: one job of few,
	 * which tells nothing at this place alone */
	ck_assert_ptr_null(telling(batch, FACTOR_BATCH));
	ck_assert(batch->chance.is_more && current->chance.is_more);
	ck_assert_int_eq(current->trend.meaning, TREND_WORSE);
	ck_assert_uint_gt(same_spot->n_spots, 0);
	free(same_spot);
	free(current);
	free(batch);
}

static void expect_content(struct store *store, int32_t today)
{
	const struct origin origin = { .now_ms = (int64_t)today * 86400000 };
	struct problems why = { 0 };
	struct check_result result;
	struct view view = { .store = store, .today = today };
	struct act act;

	ck_assert(act_begin(&act, &view, &origin, &why));
	ck_assert_msg(check_all(&act, &result, &why), "%s", why.item[0].detail);
	ck_assert_msg(result.differences == 0, "%s", result.shown[0]);
	act_release(&act);
	view_release(&view);
}

static const char *const days[] = { "2026-03-31", "2028-02-29" };

START_TEST(is_whole_and_as_meant_on_whatever_day_it_is_made)
{
	for (size_t i = 0; i < sizeof days / sizeof days[0]; i++) {
		int32_t today = day_of(days[i]);
		struct register_file f;
		struct store *store = build(&f, today);

		expect_counts(store, today);
		expect_states(store, today);
		expect_coordinates(store, today);
		expect_repeats(store, today);
		expect_reasons(store, today);
		expect_content(store, today);
		store_close(store);
		register_file_remove(&f);
	}
}
END_TEST

/* The hash of a list as CSV. */
static void hash_list(struct store *store, const struct list *list, int32_t today,
	unsigned char to[32])
{
	const struct encoder *csv = encoder_find("csv");
	const struct encode_options options = { 0 };
	struct table table;
	struct list_run *run = open_list(store, list, today, &table);
	struct problem why = { 0 };
	FILE *file = tmpfile();
	crypto_generichash_state state;
	unsigned char bytes[4096];
	size_t rows, n;

	ck_assert(file != NULL && csv != NULL);
	ck_assert_msg(csv->encode(&table, &options, fileno(file), &rows, &why), "%s", why.detail);
	list_close(run);
	rewind(file);
	crypto_generichash_init(&state, NULL, 0, 32);
	while ((n = fread(bytes, 1, sizeof bytes, file)) > 0) {
		crypto_generichash_update(&state, bytes, n);
	}
	crypto_generichash_final(&state, to, 32);
	fclose(file);
}

START_TEST(is_the_same_each_time_on_one_day)
{
	int32_t today = day_of(days[0]);
	struct register_file f, g;
	struct store *one = build(&f, today), *two = build(&g, today);

	for (size_t i = 0; i < LISTS; i++) {
		unsigned char a[32], b[32];

		hash_list(one, lists[i], today, a);
		hash_list(two, lists[i], today, b);
		ck_assert_msg(memcmp(a, b, 32) == 0, "the %s are the same", lists[i]->name);
	}
	store_close(one);
	store_close(two);
	register_file_remove(&f);
	register_file_remove(&g);
}
END_TEST

START_TEST(refuses_a_folder_that_has_a_register)
{
	struct register_file f;
	FILE *there;
	struct stat is;

	register_file_make(&f);
	there = fopen(f.path, "w");
	ck_assert(there != NULL);
	fclose(there);
	const struct demo_options options = { .folder = f.folder, .today = day_of(days[0]) };

	ck_assert(!demo_build(&options));
	ck_assert(stat(f.path, &is) == 0 && is.st_size == 0);
	register_file_remove(&f);
}
END_TEST

/* ("bondbook init" and then the demo is what seed-demo/start does) */
START_TEST(fills_only_a_fresh_register_that_begins_with_it)
{
	struct register_file f;
	const int32_t today = day_of(days[0]);
	const struct origin origin = { .now_ms = (int64_t)today * 86400000 };
	struct problems why = { 0 };
	struct view view = { .today = today };
	struct act act;
	struct store *store;

	register_file_make(&f);
	const struct demo_options options = { .folder = f.folder, .today = today };

	store = register_open(&f, STORE_WRITE);
	view.store = store;
	ck_assert(act_begin(&act, &view, &origin, &why));
	ck_assert(!register_begin(&act, "Europe/London", today + 1, &why));   /* a day to come */
	ck_assert(register_begin(&act, "Europe/London", today - 365, &(struct problems){ 0 }));
	act_release(&act);
	view_release(&view);
	store_close(store);
	ck_assert(!demo_build(&options));     /* eight years are not one */
	store = register_open(&f, STORE_WRITE);
	view = (struct view){ .store = store, .today = today };
	ck_assert(act_begin(&act, &view, &origin, &(struct problems){ 0 }));
	ck_assert(register_begin(&act, "Europe/London", day_add_months(today, -96),
		&(struct problems){ 0 }));
	act_release(&act);
	view_release(&view);
	store_close(store);
	ck_assert(demo_build(&options));
	ck_assert(!demo_build(&options));     /* it is in use */
	register_file_remove(&f);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { is_whole_and_as_meant_on_whatever_day_it_is_made,
		is_the_same_each_time_on_one_day, refuses_a_folder_that_has_a_register,
		fills_only_a_fresh_register_that_begins_with_it, NULL };

	return case_run("demo", tests);
}
