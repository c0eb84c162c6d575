#include <stdlib.h>
#include <string.h>

#include "base/day.h"
#include "service/report_rows.h"
#include "service/rulebook.h"

bool state_rows_open(struct view *view, const char *lines, int32_t day, struct state_rows *to,
	struct problem *why)
{
	*to = (struct state_rows){ .view = view, .day = day };
	if (!report_lines_read(view, lines, &to->lines, why) || !view_rules(view, why)) {
		return false;
	}
	view_on_day(view, day, &to->on_day);
	return to->lines.count == 0 ||
		store_report_states(view->store, to->lines.line[0].id, day, &to->rows, why);
}

void state_rows_close(struct state_rows *rows)
{
	store_report_close(&rows->rows);
	report_lines_release(&rows->lines);
	judging_release(&rows->judging);
}

/* What is kept today; on another day what follows from the record until then. */
static bool judge(struct state_rows *rows, struct state_row *row, struct problem *why)
{
	if (rows->day == rows->view->today) {
		row->due = row->s.kept;
		row->asked = row->s.asked;
	} else {
		if (!judging_one_on(&rows->on_day, &rows->judging, row->s.bond.bond_id, rows->day, why)) {
			return false;
		}
		row->due = rows->judging.judgement.due;
		row->asked = rows->judging.judgement.asked;
	}
	due_alone(&row->due, DUE_INSPECTION, &row->of[DUE_INSPECTION]);
	due_alone(&row->due, DUE_MENDING, &row->of[DUE_MENDING]);
	return true;
}

bool state_rows_next(struct state_rows *rows, struct state_row *row, struct problem *why)
{
	while (rows->lines.at < rows->lines.count) {
		while (store_report_state_next(&rows->rows, &row->s, why)) {
			const struct report_bond *b = &row->s.bond;

			rows->looked_at++;
			if (report_in_service_on(b->status, b->installed_day, b->removed_day,
				b->known_since_day, rows->day)) {
				row->line = &rows->lines.line[rows->lines.at];
				return judge(rows, row, why);
			}
		}
		if (why->code != PROBLEM_NONE || ++rows->lines.at == rows->lines.count ||
			!store_report_states(rows->view->store, rows->lines.line[rows->lines.at].id, rows->day,
			&rows->rows, why)) {
			break;
		}
	}
	return false;
}

/* The list, with its filters. */
struct state_listing {
	struct state_rows rows;
	struct state_row row;
	const struct due *due;                   /* of the row: what is asked for */
	unsigned whats, states, kinds, criticalities;   /* bits; 0: all */
	const char *asked;                       /* "yes", "no"; NULL: all */
	int64_t over_from, over_to;
	int32_t last_from, last_to;
};

static void listing_close(void *listing)
{
	state_rows_close(&((struct state_listing *)listing)->rows);
	free(listing);
}

static void *listing_open(struct view *view, const struct list_query *q, struct problem *why)
{
	struct state_listing *l = calloc(1, sizeof *l);
	int32_t day = list_given_day(q, "day", view->today);

	if (l == NULL) {
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
		return NULL;
	}
	l->whats = list_given_words(q, "what");
	l->asked = list_given(q, "asked");
	l->states = list_given_words(q, "state");
	l->kinds = list_given_words(q, "kind");
	l->criticalities = list_given_words(q, "criticality");
	l->over_from = list_given_integer(q, "over_from", INT32_MIN);
	l->over_to = list_given_integer(q, "over_to", INT32_MAX);
	l->last_from = list_given_day(q, "last_from", INT32_MIN);
	l->last_to = list_given_day(q, "last_to", INT32_MAX);
	if (day > view->today) {
		problem_set(why, PROBLEM_VALUE, "day", "day must not be after today.");
	} else if (state_rows_open(view, list_given(q, "lines"), day, &l->rows, why)) {
		return l;
	}
	listing_close(l);
	return NULL;
}

/* DAY_NONE: it is never due. */
static int32_t last_day_of(const struct due *due)
{
	return due->overdue_from_day != DAY_NONE ? due->overdue_from_day - 1 : DAY_NONE;
}

/* What is due first, unless one of the two alone is asked for. */
static void choose_due(struct state_listing *l)
{
	l->due = l->whats == 1u << DUE_INSPECTION ? &l->row.of[DUE_INSPECTION] :
		l->whats == 1u << DUE_MENDING ? &l->row.of[DUE_MENDING] : &l->row.due;
}

static bool is_wanted(const struct state_listing *l)
{
	const struct state_row *r = &l->row;
	int32_t last_day = last_day_of(l->due), days_over = due_days_over(l->due, l->rows.day);

	return (l->due->due_day != DAY_NONE || l->due == &r->due) &&
		(l->asked == NULL || (strcmp(l->asked, "yes") == 0) == (r->asked > 0)) &&
		list_is_among(l->states, (int)due_state_on(l->due, l->rows.day)) &&
		list_is_among(l->kinds, (int)r->s.bond.kind) &&
		list_is_among(l->criticalities, (int)r->s.bond.criticality) &&
		days_over >= l->over_from && days_over <= l->over_to &&
		last_day >= l->last_from && last_day <= l->last_to;
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

	while (state_rows_next(&l->rows, &l->row, &why)) {
		choose_due(l);
		if (!is_wanted(l)) {
			continue;
		}
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
		row[i++] = cell_of_day(r->s.inspected_day);
		row[i++] = basis_cell(l);
		row[i++].integer = r->asked;
		row[i++] = cell_of_day(l->due->deferred_until_day);
		row[i++] = cell_of_text(l->due->deferred_until_day != DAY_NONE ? r->s.deferral_reason : "");
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
