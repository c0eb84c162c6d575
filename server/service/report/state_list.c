#include <stdlib.h>
#include <string.h>

#include "base/day.h"
#include "rules/edition.h"
#include "service/record/rulebook.h"
#include "service/report/past.h"
#include "service/report/report_rows.h"

/* DAY_NONE: it is never due. */
static int32_t last_day_of(const struct due *due)
{
	return due->overdue_from_day != DAY_NONE ? due->overdue_from_day - 1 : DAY_NONE;
}

/* What of it is shown is due so (kind and criticality are asked of the store). */
static bool is_wanted(const struct state_wanted *w, const struct due *due, bool asked, int32_t day)
{
	int32_t last_day = last_day_of(due), days_over = due_days_over(due, day);

	return (w->asked == NULL || (strcmp(w->asked, "yes") == 0) == asked) &&
		list_is_among(w->states, (int)due_state_on(due, day)) &&
		days_over >= w->over_from && days_over <= w->over_to &&
		last_day >= w->last_from && last_day <= w->last_to;
}

static bool cell_is_wanted(const struct state_wanted *w, const struct report_due_cell *c,
	int32_t day)
{
	int counts_as = w->whats == 1u << DUE_INSPECTION ? DUE_COUNTS_INSPECTION :
		w->whats == 1u << DUE_MENDING ? DUE_COUNTS_MENDING : DUE_COUNTS_FIRST;

	return (c->counts_as & counts_as) != 0 && list_is_among(w->kinds, (int)c->kind) &&
		list_is_among(w->criticalities, (int)c->criticality) && is_wanted(w, &c->due, c->asked, day);
}

/* Whether some bond of the line may be wanted today, by the totals that are kept of it. Those say
 * nothing of bonds that are in service and never due. */
static bool line_has_wanted(struct state_rows *rows, int64_t line_id, bool *has,
	struct problem *why)
{
	struct report_due_cell cell;
	struct store *store = rows->view->store;

	if (!store_report_has_not_due(store, line_id, rows->day, has, why) || *has) {
		return *has;
	}
	if (!store_report_due_cells(store, line_id, &rows->rows, why)) {
		return false;
	}
	while (!*has && store_report_due_cell_next(&rows->rows, &cell, why)) {
		*has = cell_is_wanted(rows->wanted, &cell, rows->day);
	}
	store_report_close(&rows->rows);
	return why->code == PROBLEM_NONE;
}

/* Opens the line under way, or the next that may have any. False: failed. */
static bool open_line(struct state_rows *rows, struct problem *why)
{
	const struct state_wanted *w = rows->wanted;
	const struct report_states_of of = { w != NULL ? w->kinds : 0, w != NULL ? w->criticalities : 0,
		rows->day, rows->past != NULL ? rows->on_day.rulebook->version : 0, RULES_EDITION };
	bool by_totals = w != NULL && rows->day == rows->view->today;

	for (; rows->lines.at < rows->lines.count; rows->lines.at++) {
		int64_t line_id = rows->lines.line[rows->lines.at].id;
		bool has = true;

		if (by_totals && !line_has_wanted(rows, line_id, &has, why)) {
			return false;
		}
		if (has) {
			return store_report_states(rows->view->store, line_id, &of, &rows->rows, why);
		}
	}
	return true;
}

bool state_rows_open(struct view *view, const char *lines, int32_t day,
	const struct state_wanted *wanted, struct state_rows *to, struct problem *why)
{
	*to = (struct state_rows){ .view = view, .day = day, .wanted = wanted };
	if (!report_lines_read(view, lines, &to->lines, why) || !view_rules(view, why)) {
		return false;
	}
	view_on_day(view, day, &to->on_day);
	to->past = day != view->today ? calloc(1, sizeof *to->past) : NULL;
	if (day != view->today && to->past == NULL) {
		return problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	return open_line(to, why);
}

void state_rows_close(struct state_rows *rows)
{
	store_report_close(&rows->rows);
	report_lines_release(&rows->lines);
	past_release(rows->past);
	free(rows->past);
}

/* What is due first, unless one of the two alone is asked for. */
static const struct due *due_shown(const struct state_wanted *w, const struct state_row *row)
{
	return w->whats == 1u << DUE_INSPECTION ? &row->of[DUE_INSPECTION] :
		w->whats == 1u << DUE_MENDING ? &row->of[DUE_MENDING] : &row->due;
}

static bool row_is_wanted(const struct state_rows *rows, const struct state_row *row)
{
	const struct state_wanted *w = rows->wanted;
	const struct due *due = w != NULL ? due_shown(w, row) : NULL;

	return w == NULL || ((due->due_day != DAY_NONE || due == &row->due) &&
		is_wanted(w, due, row->asked > 0, rows->day));
}

/* The next of the line under way that was in service on the day; false at its end, or failed. */
static bool next_in_service(struct state_rows *rows, struct report_state *to, struct problem *why)
{
	while (store_report_state_next(&rows->rows, to, why)) {
		const struct report_bond *b = &to->bond;

		rows->looked_at++;
		if (report_in_service_on(b->status, b->installed_day, b->removed_day,
			b->known_since_day, rows->day)) {
			return true;
		}
	}
	return false;
}

/* What is kept today. */
static bool next_today(struct state_rows *rows, struct state_row *row, struct problem *why)
{
	if (!next_in_service(rows, &row->s, why)) {
		return false;
	}
	row->due = row->s.kept;
	row->asked = row->s.asked;
	return true;
}

/* What follows from the record until the day. */
static bool next_then(struct state_rows *rows, struct state_row *row, struct problem *why)
{
	struct past *past = rows->past;
	const struct past_bond *b;
	struct report_state s;

	if (past->at == past->count) {
		past->at = past->count = past->n_judged = 0;
		while (past->count < PAST_MOST && rows->rows.rows != NULL &&
			next_in_service(rows, &s, why)) {
			past_add(past, &s);
		}
		if (past->count == 0 || why->code != PROBLEM_NONE ||
			!past_judge(&rows->on_day, past, why)) {
			return false;
		}
	}
	b = &past->bond[past->at++];
	row->s = b->s;
	row->due = b->due;
	row->asked = b->asked;
	return true;
}

/* The next of the line under way; *found is false behind its last. */
static bool next_of_line(struct state_rows *rows, struct state_row *row, bool *found,
	struct problem *why)
{
	*found = false;
	while (!*found && (rows->past == NULL ? next_today(rows, row, why) :
		next_then(rows, row, why))) {
		row->line = &rows->lines.line[rows->lines.at];
		due_alone(&row->due, DUE_INSPECTION, &row->of[DUE_INSPECTION]);
		due_alone(&row->due, DUE_MENDING, &row->of[DUE_MENDING]);
		*found = row_is_wanted(rows, row);
	}
	return why->code == PROBLEM_NONE;
}

bool state_rows_next(struct state_rows *rows, struct state_row *row, struct problem *why)
{
	bool found = false;

	while (rows->lines.at < rows->lines.count && next_of_line(rows, row, &found, why) && !found) {
		rows->lines.at++;
		if (!open_line(rows, why)) {
			break;
		}
	}
	return found && why->code == PROBLEM_NONE;
}

/* The list, with its filters. */
struct state_listing {
	struct state_rows rows;
	struct state_row row;
	struct state_wanted wanted;
	const struct due *due;                   /* of the row: what is asked for */
	struct report_told told;
};

static void listing_close(void *listing)
{
	struct state_listing *l = listing;

	store_report_close(&l->told.rows);
	state_rows_close(&l->rows);
	free(l);
}

static void *listing_open(struct view *view, const struct list_query *q, struct problem *why)
{
	struct state_listing *l = calloc(1, sizeof *l);
	int32_t day = list_given_day(q, "day", view->today);

	if (l == NULL) {
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
		return NULL;
	}
	l->wanted = (struct state_wanted){ list_given_words(q, "what"), list_given_words(q, "state"),
		list_given_words(q, "kind"), list_given_words(q, "criticality"), list_given(q, "asked"),
		list_given_integer(q, "over_from", INT32_MIN), list_given_integer(q, "over_to", INT32_MAX),
		list_given_day(q, "last_from", INT32_MIN), list_given_day(q, "last_to", INT32_MAX) };
	if (day > view->today) {
		problem_set(why, PROBLEM_VALUE, "day", "day must not be after today.");
	} else if (state_rows_open(view, list_given(q, "lines"), day, &l->wanted, &l->rows, why)) {
		return l;
	}
	listing_close(l);
	return NULL;
}

/* Of the two when the inspection is not what is due first, the basis is not kept. */
static struct cell basis_cell(const struct state_listing *l)
{
	bool hidden = l->due == &l->row.of[DUE_INSPECTION] && l->row.due.basis == DUE_ACT;

	return (struct cell){ .is_null = hidden, .integer = (int64_t)l->due->basis };
}

static bool listing_next(void *listing, struct cell *row, bool *failed)
{
	struct state_listing *l = listing;
	const struct state_row *r = &l->row;
	struct problem why = { 0 };
	size_t i = 0;

	if (state_rows_next(&l->rows, &l->row, &why) && store_report_tell(l->rows.view->store,
		r->s.bond.bond_id, l->rows.day, &l->told, &why)) {
		l->due = due_shown(&l->wanted, r);
		row[i++].integer = r->s.bond.bond_id;
		row[i++] = cell_of_text(r->s.bond.label);
		row[i++].integer = r->line->id;
		row[i++] = cell_of_text(r->line->code);
		row[i++] = cell_of_text(r->s.bond.chainage);
		row[i++].integer = r->s.bond.kind;
		row[i++].integer = r->s.bond.criticality;
		row[i++].integer = l->due == &r->of[DUE_INSPECTION] ? DUE_INSPECTION :
			due_what_of(l->due->basis);
		row[i++].integer = due_state_on(l->due, l->rows.day);
		row[i++] = cell_of_day(l->due->due_day);
		row[i++] = cell_of_day(last_day_of(l->due));
		row[i++].integer = due_days_over(l->due, l->rows.day);
		row[i++] = cell_of_day(r->due.inspect_day);
		row[i++] = cell_of_day(r->due.mend_day);
		row[i++] = cell_of_day(l->told.inspected_day);
		row[i++] = basis_cell(l);
		row[i++].integer = r->asked;
		row[i++] = cell_of_day(l->due->deferred_until_day);
		row[i++] = cell_of_text(l->due->deferred_until_day != DAY_NONE ? l->told.deferral_reason : "");
		return true;
	}
	*failed = why.code != PROBLEM_NONE;
	return false;
}

static const struct list_column columns[] = {
	{ { "bond_id", "Bond number", NULL, CELL_INTEGER } },
	{ { "label", "Bond", NULL, CELL_TEXT } },
	{ { "line_id", "Line number", NULL, CELL_INTEGER } },
	{ { "line", "Line", NULL, CELL_TEXT } },
	{ { "chainage", "Chainage", NULL, CELL_TEXT } },
	{ { "kind", "Kind", NULL, CELL_WORD, &bond_kind_words } },
	{ { "criticality", "Criticality", NULL, CELL_WORD, &criticality_words } },
	{ { "what", "What was due", NULL, CELL_WORD, &due_what_words } },
	{ { "state", "State on the day", NULL, CELL_WORD, &due_state_words } },
	{ { "due_day", "Due", NULL, CELL_DAY } },
	{ { "last_day", "Last day of grace", NULL, CELL_DAY } },
	{ { "days_over", "Days over", "days", CELL_INTEGER } },
	{ { "inspect_day", "Inspection due", NULL, CELL_DAY } },
	{ { "mend_day", "Mending due", NULL, CELL_DAY } },
	{ { "last_inspection_day", "Last inspected", NULL, CELL_DAY } },
	{ { "basis", "Counted", NULL, CELL_WORD, &due_basis_words } },
	{ { "asked", "Readings that wait for an answer", NULL, CELL_INTEGER } },
	{ { "deferred_to_day", "Deferred to", NULL, CELL_DAY } },
	{ { "deferral_reason", "Why deferred", NULL, CELL_TEXT, .width = 40 } },
};
static const struct list_filter filters[] = {
	{ "day", "The day; today when not sent", FILTER_DAY },
	{ "lines", "Lines, by code", FILTER_TEXTS },
	{ "what", "What was due: the day, the state and the days over are that one's", FILTER_WORD,
	  .words = &due_what_words },
	{ "state", "State", FILTER_WORD, .words = &due_state_words },
	{ "asked", "With a reading that waited for an answer", FILTER_FLAG },
	{ "kind", "Kind", FILTER_WORD, .words = &bond_kind_words },
	{ "criticality", "Criticality", FILTER_WORD, .words = &criticality_words },
	{ "over_from", "At least so many days over", FILTER_INTEGER },
	{ "over_to", "At most so many days over", FILTER_INTEGER },
	{ "last_from", "Grace ends on this day or later", FILTER_DAY },
	{ "last_to", "Grace ends on this day or earlier", FILTER_DAY },
};
static const struct list_sort sorts[] = { { "place", "by line, along the line", { NULL } } };
static const struct list_computed computed = {
	1 << 0, listing_open, listing_next, listing_close
};

const struct list bond_state_list = {
	.name = "bond-states", .title = "Bonds by state",
	.summary = "Bonds that were in service on a day, and when each was due, by what is known now "
	"of that day and the rulebook that held then.",
	.columns = columns, .n_columns = sizeof columns / sizeof columns[0],
	.filters = filters, .n_filters = sizeof filters / sizeof filters[0],
	.sorts = sorts, .n_sorts = 1, .computed = &computed, .is_slow = true,
};
