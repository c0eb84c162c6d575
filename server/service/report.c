#include "service/report.h"

#include <stdlib.h>

#include "base/day.h"
#include "service/rulebook.h"

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

/* NULL: it was before them all. */
static struct report_month *month_of(struct report *r, int32_t day)
{
	int i = 0;

	while (day > r->month[i].to_day) {
		i++;
	}
	return day >= r->month[i].from_day ? &r->month[i] : NULL;
}

static bool count_visits(struct store *store, const char *lines, struct report *r,
	struct problem *why)
{
	struct visit_rows rows;
	struct visit_row row;
	bool ok = visit_rows_open(store, lines, r->month[0].from_day, r->day, &rows, why);

	while (ok && visit_rows_next(&rows, &row, why)) {
		struct report_month *m = month_of(r, row.v.day);

		m->on_time += row.timely.is == TIMELY_ON_TIME;
		m->late += row.timely.is == TIMELY_LATE;
		m->not_judged += row.timely.is == TIMELY_NOT_JUDGED;
		m->deferred += row.timely.is == TIMELY_DEFERRED;
	}
	visit_rows_close(&rows);
	return why->code == PROBLEM_NONE;
}

/* What so many bonds have in common, by what is due of them first. */
static void count_first(const struct due *due, int64_t bonds, int32_t day, struct report_due *to)
{
	enum due_state state = due_state_on(due, day);

	to->bonds += bonds;
	to->overdue += state == DUE_OVERDUE ? bonds : 0;
	to->deferred += state == DUE_DEFERRED ? bonds : 0;
}

/* The same by one of the two alone. */
static void count_what(const struct due *due, enum due_what what, int64_t bonds, struct report *r,
	struct report_what *to)
{
	enum due_state state = due_state_on(due, r->day);
	struct report_month *m;

	to->deferred += state == DUE_DEFERRED ? bonds : 0;
	if (state != DUE_OVERDUE) {
		return;
	}
	to->overdue += bonds;
	to->by_band[report_band_of(due_days_over(due, r->day))] += bonds;
	if (to->oldest_due_day == DAY_NONE || due->due_day < to->oldest_due_day) {
		to->oldest_due_day = due->due_day;
	}
	m = what == DUE_INSPECTION ? month_of(r, due->overdue_from_day - 1) : NULL;
	if (m != NULL) {
		m->not_done += bonds;
	}
}

static void count_state(const struct state_row *row, struct report *r, struct report_due *due)
{
	count_first(&row->due, 1, r->day, due);
	for (int what = 0; what < due_what_words.n; what++) {
		count_what(&row->of[what], (enum due_what)what, 1, r, &due->of[what]);
	}
}

static void count_cell(const struct report_due_cell *c, struct report *r,
	struct report_of_line *to)
{
	struct report_due *group = &to->due[c->kind][c->criticality];

	if ((c->counts_as & DUE_COUNTS_FIRST) != 0) {
		count_first(&c->due, c->bonds, r->day, group);
		to->asked += c->asked ? c->bonds : 0;
	}
	if ((c->counts_as & DUE_COUNTS_INSPECTION) != 0) {
		count_what(&c->due, DUE_INSPECTION, c->bonds, r, &group->of[DUE_INSPECTION]);
	}
	if ((c->counts_as & DUE_COUNTS_MENDING) != 0) {
		count_what(&c->due, DUE_MENDING, c->bonds, r, &group->of[DUE_MENDING]);
	}
}

/* Of today the totals of the due list say it all: what is in service is due some day. */
static bool count_today(struct store *store, struct report *r, struct problem *why)
{
	struct report_rows rows;
	struct report_due_cell cell;

	for (size_t i = 0; i < r->lines.count; i++) {
		bool ok = store_report_due_cells(store, r->lines.line[i].id, &rows, why);

		while (ok && store_report_due_cell_next(&rows, &cell, why)) {
			count_cell(&cell, r, &r->of_line[i]);
		}
		if (why->code != PROBLEM_NONE) {
			return false;
		}
	}
	return rulebook_in_force(store, r->today, &r->rulebook, why);
}

static bool count_states(struct store *store, const char *lines, struct report *r,
	struct problem *why)
{
	struct state_rows rows;
	struct state_row row;
	bool ok = state_rows_open(store, lines, r->day, r->today, &rows, why);

	while (ok && state_rows_next(&rows, &row, why)) {
		count_state(&row, r,
			&r->of_line[rows.lines.at].due[row.s.bond.kind][row.s.bond.criticality]);
		r->of_line[rows.lines.at].asked += row.asked > 0;
	}
	r->rulebook = rows.rulebook;
	state_rows_close(&rows);
	return why->code == PROBLEM_NONE;
}

static bool count_odd(struct store *store, const char *lines, struct report *r,
	struct problem *why)
{
	struct odd_rows rows;
	struct odd_row row;
	bool ok = odd_rows_open(store, lines, 0, &rows, why);

	while (ok && odd_rows_next(&rows, &row, why)) {
		r->of_line[rows.lines.at].odd[row.what]++;
	}
	odd_rows_close(&rows);
	return why->code == PROBLEM_NONE;
}

static bool begin_lines(struct store *store, const char *lines, struct report *r,
	struct problem *why)
{
	if (!report_lines_read(store, lines, &r->lines, why)) {
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
		if (!store_report_unsurveyed(store, r->lines.line[i].id, &r->of_line[i].unsurveyed, why)) {
			return false;
		}
	}
	return true;
}

bool report_make(struct store *store, const char *lines, int32_t day, int32_t today,
	struct report *to, struct problem *why)
{
	*to = (struct report){ .day = day, .today = today };
	begin_months(to);
	return begin_lines(store, lines, to, why) &&
		(day == today ? count_today(store, to, why) : count_states(store, lines, to, why)) &&
		count_visits(store, lines, to, why) && count_odd(store, lines, to, why);
}

void report_release(struct report *report)
{
	report_lines_release(&report->lines);
	free(report->of_line);
	report->of_line = NULL;
}
