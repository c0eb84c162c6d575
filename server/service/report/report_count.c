#include "service/report/report_count.h"

#include "base/day.h"

struct report_month *report_month_of(struct report *r, int32_t day)
{
	int i = 0;

	while (day > r->month[i].to_day) {
		i++;
	}
	return day >= r->month[i].from_day ? &r->month[i] : NULL;
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
	m = what == DUE_INSPECTION ? report_month_of(r, due->overdue_from_day - 1) : NULL;
	if (m != NULL) {
		m->not_done += bonds;
	}
}

void report_count_bond(const struct due of[2], const struct due *first, bool asked,
	const struct report_bond *bond, struct report *r, struct report_of_line *to)
{
	struct report_due *group = &to->due[bond->kind][bond->criticality];

	count_first(first, 1, r->day, group);
	for (int what = 0; what < due_what_words.n; what++) {
		count_what(&of[what], (enum due_what)what, 1, r, &group->of[what]);
	}
	to->asked += asked;
}

void report_count_cell(const struct report_due_cell *c, struct report *r,
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

bool report_step(struct progress *progress, int64_t done, struct problem *why)
{
	if (progress == NULL) {
		return true;
	}
	atomic_store(&progress->done, done);
	return !atomic_load(&progress->stop) ||
		problem_set(why, PROBLEM_BUSY, NULL, "The report was ended before it was done.");
}
