#include <stdlib.h>

#include "base/array.h"
#include "rules/edition.h"
#include "service/report/past.h"
#include "service/report/report_count.h"

enum { CELLS_BEGIN = 256 };

/* The totals of a line: as they are kept, and less the bonds that are taken out of them. */
struct line_cells {
	int64_t line_id;
	struct report_of_line *of_line;
	struct report_due_cell *cell;    /* owned */
	size_t count, room;
};

struct counting {
	struct view *view;
	struct view on_day;
	struct report *report;
	struct line_cells *line;         /* owned, by number */
	struct past *past;               /* owned */
	struct report_rows rows;
};

static int by_line(const void *a, const void *b)
{
	int64_t one = ((const struct line_cells *)a)->line_id;
	int64_t two = ((const struct line_cells *)b)->line_id;

	return one < two ? -1 : one > two;
}

/* What a bond is counted as; not how many. */
static int by_what(const void *a, const void *b)
{
	const struct report_due_cell *x = a, *y = b;
	const int32_t of_x[] = { (int32_t)x->kind, (int32_t)x->criticality, x->counts_as, x->asked,
		x->due.due_day, x->due.soon_from_day, x->due.overdue_from_day, x->due.deferred_until_day };
	const int32_t of_y[] = { (int32_t)y->kind, (int32_t)y->criticality, y->counts_as, y->asked,
		y->due.due_day, y->due.soon_from_day, y->due.overdue_from_day, y->due.deferred_until_day };

	for (size_t i = 0; i < sizeof of_x / sizeof of_x[0]; i++) {
		if (of_x[i] != of_y[i]) {
			return of_x[i] < of_y[i] ? -1 : 1;
		}
	}
	return 0;
}

/* Cells that say the same become one; none is left of no bonds. */
static void put_together(struct line_cells *line)
{
	size_t n = 0;

	if (line->count > 0) {
		qsort(line->cell, line->count, sizeof *line->cell, by_what);
	}
	for (size_t i = 0; i < line->count; i++) {
		if (n > 0 && by_what(&line->cell[n - 1], &line->cell[i]) == 0) {
			line->cell[n - 1].bonds += line->cell[i].bonds;
		} else {
			n -= n > 0 && line->cell[n - 1].bonds == 0;
			line->cell[n++] = line->cell[i];
		}
	}
	line->count = n - (n > 0 && line->cell[n - 1].bonds == 0);
}

/* (what is full is put together first: there are never many more than differ) */
static bool add_cell(struct line_cells *line, const struct report_due_cell *cell,
	struct problem *why)
{
	if (line->count == line->room) {
		put_together(line);
		if (line->count >= line->room / 2 && !array_room((void **)&line->cell, &line->room,
			line->room > 0 ? 2 * line->room : CELLS_BEGIN, sizeof *line->cell, why)) {
			return false;
		}
	}
	line->cell[line->count++] = *cell;
	return true;
}

/* As it is counted today: by what is due first, and by the other of the two. */
static bool take_out(struct line_cells *line, const struct report_state *s, struct problem *why)
{
	bool mending_first = s->kept.mend_day != DAY_NONE && s->kept.mend_day == s->kept.due_day;
	struct report_due_cell cell = { s->bond.kind, s->bond.criticality, DUE_COUNTS_FIRST |
		(mending_first ? DUE_COUNTS_MENDING : DUE_COUNTS_INSPECTION), s->asked > 0, s->kept, -1 };

	if (s->kept.due_day == DAY_NONE) {
		return true;
	}
	if (!add_cell(line, &cell, why)) {
		return false;
	}
	if (s->kept.mend_day == DAY_NONE) {
		return true;
	}
	cell.counts_as = mending_first ? DUE_COUNTS_INSPECTION : DUE_COUNTS_MENDING;
	due_alone(&s->kept, mending_first ? DUE_INSPECTION : DUE_MENDING, &cell.due);
	return add_cell(line, &cell, why);
}

static struct line_cells *line_of(const struct counting *c, int64_t line_id)
{
	return bsearch(&(struct line_cells){ .line_id = line_id }, c->line, c->report->lines.count,
		sizeof *c->line, by_line);
}

static bool begin_lines(struct counting *c, struct problem *why)
{
	struct report_due_cell cell;

	for (size_t i = 0; i < c->report->lines.count; i++) {
		struct line_cells *line = &c->line[i];
		bool ok;

		line->line_id = c->report->lines.line[i].id;
		line->of_line = &c->report->of_line[i];
		ok = store_report_due_cells(c->view->store, line->line_id, &c->rows, why);
		while (ok && store_report_due_cell_next(&c->rows, &cell, why)) {
			ok = add_cell(line, &cell, why);
		}
		if (!ok || why->code != PROBLEM_NONE) {
			return false;
		}
	}
	qsort(c->line, c->report->lines.count, sizeof *c->line, by_line);
	return true;
}

static bool count_some(struct counting *c, struct problem *why)
{
	if (!past_judge(&c->on_day, c->past, why)) {
		return false;
	}
	for (size_t i = 0; i < c->past->count; i++) {
		const struct past_bond *b = &c->past->bond[i];
		struct due of[2];

		due_alone(&b->due, DUE_INSPECTION, &of[DUE_INSPECTION]);
		due_alone(&b->due, DUE_MENDING, &of[DUE_MENDING]);
		report_count_bond(of, &b->due, b->asked > 0, &b->s.bond, c->report,
			line_of(c, b->s.line_id)->of_line);
	}
	c->past->count = c->past->n_judged = 0;
	return true;
}

/* One that was in service on the day is judged, with others. (A line that was withdrawn is in no
 * report.) */
static bool take_moved(struct counting *c, const struct report_state *s, struct problem *why)
{
	struct line_cells *line = line_of(c, s->line_id);

	if (line == NULL) {
		return true;
	}
	if (!take_out(line, s, why)) {
		return false;
	}
	if (report_in_service_on(s->bond.status, s->bond.installed_day, s->bond.removed_day,
		s->bond.known_since_day, c->report->day)) {
		past_add(c->past, s);
	}
	return c->past->count < PAST_MOST || count_some(c, why);
}

static bool count_moved(struct counting *c, struct progress *progress, struct problem *why)
{
	const struct report_states_of of = { 0, 0, c->report->day, c->on_day.rulebook->version,
		RULES_EDITION };
	struct report_state s;
	bool ok = store_report_moved(c->view->store, &of, &c->rows, why);

	while (ok && store_report_state_next(&c->rows, &s, why)) {
		ok = take_moved(c, &s, why) && report_step(progress, s.bond.bond_id, why);
	}
	store_report_close(&c->rows);
	return ok && why->code == PROBLEM_NONE && count_some(c, why);
}

static void count_others(struct counting *c)
{
	for (size_t i = 0; i < c->report->lines.count; i++) {
		put_together(&c->line[i]);
		for (size_t k = 0; k < c->line[i].count; k++) {
			report_count_cell(&c->line[i].cell[k], c->report, c->line[i].of_line);
		}
	}
}

static void release(struct counting *c)
{
	for (size_t i = 0; c->line != NULL && i < c->report->lines.count; i++) {
		free(c->line[i].cell);
	}
	store_report_close(&c->rows);
	past_release(c->past);
	free(c->line);
	free(c->past);
}

bool report_count_past(struct view *view, struct report *r, struct progress *progress,
	struct problem *why)
{
	struct counting c = { .view = view, .report = r,
		.line = calloc(r->lines.count + 1, sizeof *c.line), .past = calloc(1, sizeof *c.past) };
	int64_t highest = 0;
	bool ok = c.line != NULL && c.past != NULL;

	if (!ok) {
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	view_on_day(view, r->day, &c.on_day);
	ok = ok && store_report_highest(view->store, &highest, why) && begin_lines(&c, why);
	if (ok && progress != NULL) {
		atomic_store(&progress->of, highest);
	}
	ok = ok && count_moved(&c, progress, why);
	if (ok) {
		count_others(&c);
	}
	release(&c);
	return ok;
}
