#include <stdlib.h>

#include "base/day.h"
#include "derived/timely.h"
#include "service/report/report_rows.h"
#include "store/kept/visit_count.h"

static bool open_line(struct visit_rows *rows, struct problem *why)
{
	return store_report_visits(rows->view->store, rows->lines.line[rows->lines.at].id, &rows->of,
		&rows->rows, why);
}

static int by_number(const void *a, const void *b)
{
	int64_t one = *(const int64_t *)a, two = *(const int64_t *)b;

	return one < two ? -1 : one > two;
}

/* Only the lines that have any as they are kept: of millions of inspections few may be wanted. */
static bool keep_lines(struct visit_rows *rows, struct problem *why)
{
	int64_t *ids = NULL;
	size_t count, kept = 0;
	bool ok = store_visit_lines(rows->view->store, rows->of.from_day, rows->of.to_day,
		rows->of.timely, &ids, &count, why);

	for (size_t i = 0; ok && i < rows->lines.count; i++) {
		if (count > 0 &&
			bsearch(&rows->lines.line[i].id, ids, count, sizeof *ids, by_number) != NULL) {
			rows->lines.line[kept++] = rows->lines.line[i];
		}
	}
	rows->lines.count = kept;
	free(ids);
	return ok;
}

/* Where there are any is asked of what is kept, where that is sure; each row is judged for
 * itself. */
bool visit_rows_open(struct view *view, const char *lines, const struct report_visits_of *of,
	struct visit_rows *to, struct problem *why)
{
	const unsigned all = (1u << timely_words.n) - 1;
	bool is_kept;

	*to = (struct visit_rows){ .view = view, .of = *of, .timely = of->timely,
		.judging.records.without_states = true };
	if (!view_rules(view, why) || !report_lines_read(view, lines, &to->lines, why) ||
		!timely_is_kept(view, &is_kept, why)) {
		return false;
	}
	to->of.timely = !is_kept ? 0 : of->timely != 0 ? of->timely : all;
	return (!is_kept || keep_lines(to, why)) &&
		(to->lines.count == 0 || open_line(to, why));
}

void visit_rows_close(struct visit_rows *rows)
{
	store_report_close(&rows->rows);
	report_lines_release(&rows->lines);
	judging_release(&rows->judging);
}

/* By what was known of the bond on the day before, and the rulebooks until the day. */
static bool judge(struct visit_rows *rows, struct visit_row *row, struct problem *why)
{
	const struct report_visit *v = &row->v;

	view_on_day(rows->view, v->day, &rows->on_day);
	if (!judging_one_on(&rows->on_day, &rows->judging, v->bond.bond_id, v->day - 1, why)) {
		return false;
	}
	timely_judge(&rows->judging.judgement.due, v->before_day == DAY_NONE, v->bond.installed_day,
		v->purpose, v->day, &row->timely);
	return true;
}

bool visit_rows_next(struct visit_rows *rows, struct visit_row *row, struct problem *why)
{
	while (rows->lines.at < rows->lines.count) {
		if (store_report_visit_next(&rows->rows, &row->v, why)) {
			row->line = &rows->lines.line[rows->lines.at];
			if (!judge(rows, row, why)) {
				return false;
			}
			if (list_is_among(rows->timely, (int)row->timely.is)) {
				return true;
			}
			continue;
		}
		if (why->code != PROBLEM_NONE || ++rows->lines.at == rows->lines.count ||
			!open_line(rows, why)) {
			break;
		}
	}
	return false;
}

/* The list, with its filters. */
struct visit_listing {
	struct visit_rows rows;
};

static void listing_close(void *listing)
{
	visit_rows_close(&((struct visit_listing *)listing)->rows);
	free(listing);
}

static void *listing_open(struct view *view, const struct list_query *q, struct problem *why)
{
	struct visit_listing *l = calloc(1, sizeof *l);
	struct report_visits_of of = { .to_day = list_given_day(q, "to", view->today),
		.kinds = list_given_words(q, "kind"), .criticalities = list_given_words(q, "criticality"),
		.timely = list_given_words(q, "timely") };

	of.from_day = list_given_day(q, "from", day_add_months(of.to_day, -24) + 1);
	if (l == NULL) {
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	} else if (!visit_rows_open(view, list_given(q, "lines"), &of, &l->rows, why)) {
		listing_close(l);
		l = NULL;
	}
	return l;
}

static bool listing_next(void *listing, struct cell *row, bool *failed)
{
	struct visit_listing *l = listing;
	struct visit_row r;
	struct problem why = { 0 };
	size_t i = 0;

	if (visit_rows_next(&l->rows, &r, &why)) {
		row[i++] = cell_of_text(r.v.uuid);
		row[i++] = cell_of_day(r.v.day);
		row[i++].integer = r.v.bond.bond_id;
		row[i++] = cell_of_text(r.v.bond.label);
		row[i++].integer = r.line->id;
		row[i++] = cell_of_text(r.line->code);
		row[i++] = cell_of_text(r.v.bond.chainage);
		row[i++].integer = r.v.bond.kind;
		row[i++].integer = r.v.bond.criticality;
		row[i++].integer = r.v.purpose;
		row[i++].integer = r.timely.is;
		row[i++] = cell_of_day(r.v.before_day);
		row[i++] = cell_of_day(r.timely.due_day);
		row[i++] = cell_of_day(r.timely.last_day);
		row[i++] = (struct cell){ .is_null = r.timely.is == TIMELY_NOT_JUDGED,
			.integer = r.timely.days_over };
		return true;
	}
	*failed = why.code != PROBLEM_NONE;
	return false;
}

static const struct list_column columns[] = {
	{ { "inspection", "Inspection", NULL, CELL_TEXT, .width = 36 } },
	{ { "day", "Inspected", NULL, CELL_DAY } },
	{ { "bond_id", "Bond number", NULL, CELL_INTEGER } },
	{ { "label", "Bond", NULL, CELL_TEXT } },
	{ { "line_id", "Line number", NULL, CELL_INTEGER } },
	{ { "line", "Line", NULL, CELL_TEXT } },
	{ { "chainage", "Chainage", NULL, CELL_TEXT } },
	{ { "kind", "Kind", NULL, CELL_WORD, &bond_kind_words } },
	{ { "criticality", "Criticality", NULL, CELL_WORD, &criticality_words } },
	{ { "purpose", "Why", NULL, CELL_WORD, &purpose_words } },
	{ { "timely", "On time", NULL, CELL_WORD, &timely_words } },
	{ { "before_day", "The one before", NULL, CELL_DAY } },
	{ { "due_day", "Was due", NULL, CELL_DAY } },
	{ { "last_day", "Last day of grace", NULL, CELL_DAY } },
	{ { "days_over", "Days over", "days", CELL_INTEGER } },
};
static const struct list_filter filters[] = {
	{ "lines", "Lines, by code", FILTER_TEXTS },
	{ "from", "From this day; two years before the last day when not sent", FILTER_DAY },
	{ "to", "To this day; today when not sent", FILTER_DAY },
	{ "timely", "On time, late, deferred or not judged", FILTER_WORD, .words = &timely_words },
	{ "kind", "Kind", FILTER_WORD, .words = &bond_kind_words },
	{ "criticality", "Criticality", FILTER_WORD, .words = &criticality_words },
};
static const struct list_sort sorts[] = { { "day", "by line and day", { NULL } } };
static const struct list_computed computed = {
	1 << 0, listing_open, listing_next, listing_close
};

const struct list visit_list = {
	.name = "timeliness", .title = "Inspections on time",
	.summary = "Complete inspections, and whether each was made on or before the last day of grace "
	"of what was due then.",
	.columns = columns, .n_columns = sizeof columns / sizeof columns[0],
	.filters = filters, .n_filters = sizeof filters / sizeof filters[0],
	.sorts = sorts, .n_sorts = 1, .computed = &computed, .is_slow = true,
};
