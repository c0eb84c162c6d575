#include "service/report/report.h"

#include <stdlib.h>

#include "base/day.h"
#include "derived/timely.h"
#include "service/report/report_count.h"
#include "store/kept/odd.h"
#include "store/kept/visit_count.h"

/* Calendar months, the last one as far as the day. */
static void begin_months(struct report *r)
{
	int year, month, day_of_month;
	int32_t first = r->day;

	day_to_parts(r->day, &year, &month, &day_of_month);
	first = r->day - day_of_month + 1;
	for (int i = 0; i < REPORT_MONTHS; i++) {
		struct report_month *m = &r->month[i];

		*m = (struct report_month){ .from_day = day_add_months(first, i + 1 - REPORT_MONTHS) };
		m->to_day = i + 1 < REPORT_MONTHS ? day_add_months(m->from_day, 1) - 1 : r->day;
	}
}

static void count_timely(struct report_month *m, enum timely timely, int64_t visits)
{
	m->on_time += timely == TIMELY_ON_TIME ? visits : 0;
	m->late += timely == TIMELY_LATE ? visits : 0;
	m->not_judged += timely == TIMELY_NOT_JUDGED ? visits : 0;
	m->deferred += timely == TIMELY_DEFERRED ? visits : 0;
}

/* Each is judged anew. */
static bool judge_visits(struct view *view, const char *lines, struct report *r,
	struct problem *why)
{
	struct visit_rows rows;
	struct visit_row row;
	const struct report_visits_of of = { .from_day = r->month[0].from_day, .to_day = r->day };
	bool ok = visit_rows_open(view, lines, &of, &rows, why);

	while (ok && visit_rows_next(&rows, &row, why)) {
		count_timely(report_month_of(r, row.v.day), row.timely.is, 1);
	}
	visit_rows_close(&rows);
	return why->code == PROBLEM_NONE;
}

static int by_number(const void *a, const void *b)
{
	int64_t one = *(const int64_t *)a, two = *(const int64_t *)b;

	return one < two ? -1 : one > two;
}

struct adding {
	struct report *report;
	int64_t *line_ids;              /* sorted */
};

static void add_visits(void *arg, const struct visit_cell *c)
{
	struct adding *a = arg;

	if (bsearch(&c->line_id, a->line_ids, a->report->lines.count, sizeof *a->line_ids,
		by_number) != NULL) {
		count_timely(report_month_of(a->report, c->day), c->timely, c->by);
	}
}

static bool add_kept_visits(struct store *store, struct report *r, struct problem *why)
{
	struct adding a = { r, calloc(r->lines.count + 1, sizeof *a.line_ids) };
	bool ok = a.line_ids != NULL ||
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");

	for (size_t i = 0; ok && i < r->lines.count; i++) {
		a.line_ids[i] = r->lines.line[i].id;
	}
	if (ok) {
		qsort(a.line_ids, r->lines.count, sizeof *a.line_ids, by_number);
		ok = store_visit_counts(store, r->month[0].from_day, r->day, add_visits, &a, why);
	}
	free(a.line_ids);
	return ok;
}

static bool count_visits(struct view *view, const char *lines, struct report *r,
	struct problem *why)
{
	bool is_kept;

	return timely_is_kept(view, &is_kept, why) &&
		(is_kept ? add_kept_visits(view->store, r, why) :
		judge_visits(view, lines, r, why));
}

/* Of today the totals of the due list say it all: what is in service is due some day. */
static bool count_today(struct store *store, struct report *r, struct problem *why)
{
	struct report_rows rows;
	struct report_due_cell cell;

	for (size_t i = 0; i < r->lines.count; i++) {
		bool ok = store_report_due_cells(store, r->lines.line[i].id, &rows, why);

		while (ok && store_report_due_cell_next(&rows, &cell, why)) {
			report_count_cell(&cell, r, &r->of_line[i]);
		}
		if (why->code != PROBLEM_NONE) {
			return false;
		}
	}
	return true;
}

static bool begin_progress(struct store *store, const struct report *r, struct progress *to,
	struct problem *why)
{
	int64_t of = 0;

	for (size_t i = 0; to != NULL && i < r->lines.count; i++) {
		int64_t bonds;

		if (!store_report_bonds(store, r->lines.line[i].id, &bonds, why)) {
			return false;
		}
		of += bonds;
	}
	if (to != NULL) {
		atomic_store(&to->of, of);
	}
	return true;
}

/* Line by line, each bond. */
static bool count_states(struct view *view, const char *lines, struct report *r,
	struct progress *progress, struct problem *why)
{
	struct state_rows rows = { 0 };
	struct state_row row;
	bool ok = begin_progress(view->store, r, progress, why) &&
		state_rows_open(view, lines, r->day, NULL, &rows, why);

	while (ok && state_rows_next(&rows, &row, why) && report_step(progress, rows.looked_at, why)) {
		report_count_bond(row.of, &row.due, row.asked > 0, &row.s.bond, r,
			&r->of_line[rows.lines.at]);
	}
	state_rows_close(&rows);
	return why->code == PROBLEM_NONE;
}

/* The rows of the list, where some bond of the line is not counted yet. */
static bool count_odd_rows(const struct view *view, const char *line, int64_t to[ODDS],
	struct problem *why)
{
	struct odd_rows rows;
	struct odd_row row;
	bool ok = odd_rows_open(view, line, 0, &rows, why);

	for (int what = 0; what < ODDS; what++) {
		to[what] = 0;
	}
	while (ok && odd_rows_next(&rows, &row, why)) {
		to[row.what]++;
	}
	odd_rows_close(&rows);
	return why->code == PROBLEM_NONE;
}

static bool count_odd(const struct view *view, struct report *r, struct problem *why)
{
	for (size_t i = 0; i < r->lines.count; i++) {
		bool whole;

		if (!store_odd_count(view->store, r->lines.line[i].id, r->of_line[i].odd, &whole, why) ||
			!(whole || count_odd_rows(view, r->lines.line[i].code, r->of_line[i].odd, why))) {
			return false;
		}
	}
	return true;
}

static bool begin_lines(struct view *view, const char *lines, struct report *r,
	struct problem *why)
{
	if (!report_lines_read(view, lines, &r->lines, why)) {
		return false;
	}
	r->of_line = calloc(r->lines.count > 0 ? r->lines.count : 1, sizeof *r->of_line);
	if (r->of_line == NULL) {
		return problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	for (size_t i = 0; i < r->lines.count; i++) {
		for (int k = 0; k < RULEBOOK_KINDS * RULEBOOK_CRITICALITIES; k++) {
			struct report_due *due =
				&r->of_line[i].due[k / RULEBOOK_CRITICALITIES][k % RULEBOOK_CRITICALITIES];

			due->of[DUE_INSPECTION].oldest_due_day = DAY_NONE;
			due->of[DUE_MENDING].oldest_due_day = DAY_NONE;
		}
		if (!store_report_unsurveyed(view->store, r->lines.line[i].id, &r->of_line[i].unsurveyed, why)) {
			return false;
		}
	}
	return true;
}

static bool choose_rulebook(struct view *view, struct report *r, struct problem *why)
{
	struct view on_day = { 0 };

	if (!view_rules(view, why)) {
		return false;
	}
	view_on_day(view, r->day, &on_day);
	r->rulebook = on_day.rulebook;
	return true;
}

bool report_make(struct view *view, const char *lines, int32_t day, struct progress *progress,
	struct report *to, struct problem *why)
{
	*to = (struct report){ .day = day, .today = view->today };
	begin_months(to);
	return choose_rulebook(view, to, why) && begin_lines(view, lines, to, why) &&
		(day == to->today ? count_today(view->store, to, why) :
		lines == NULL || *lines == '\0' ? report_count_past(view, to, progress, why) :
		count_states(view, lines, to, progress, why)) &&
		count_visits(view, lines, to, why) && count_odd(view, to, why);
}

void report_release(struct report *report)
{
	report_lines_release(&report->lines);
	free(report->of_line);
	report->of_line = NULL;
}
