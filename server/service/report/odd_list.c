#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/array.h"
#include "base/day.h"
#include "base/utf8.h"
#include "service/record/ends.h"
#include "service/report/report_rows.h"

/* What is asked of a line, one statement after the other. Both kinds of odd readings come from
 * one. */
static const enum odd steps[] = {
	ODD_NO_RAIL, ODD_SAME_PLACE, ODD_READING_FAR_OFF, ODD_NO_INSTALLATION_DAY, ODD_ENDS_ALIKE
};
enum { STEPS = sizeof steps / sizeof steps[0] };

static bool is_wanted(const struct odd_rows *rows, enum odd what)
{
	return list_is_among(rows->wanted, (int)what);
}

static bool step_is_wanted(const struct odd_rows *rows)
{
	enum odd what = steps[rows->step];

	return is_wanted(rows, what) ||
		(what == ODD_READING_FAR_OFF && is_wanted(rows, ODD_READING_NO_EVIDENCE));
}

/* Opens the next step that is wanted, from the one under way on; at the end of a line the next
 * line. False: at the end of all, or failed. */
static bool open_step(struct odd_rows *rows, struct problem *why)
{
	for (; rows->lines.at < rows->lines.count; rows->lines.at++, rows->step = 0) {
		int64_t line_id = rows->lines.line[rows->lines.at].id;

		while (rows->step < STEPS && !step_is_wanted(rows)) {
			rows->step++;
		}
		if (rows->step < STEPS) {
			rows->has_ahead = false;
			return steps[rows->step] == ODD_READING_FAR_OFF ?
				store_report_readings(rows->view->store, line_id, &rows->rows, why) :
				store_report_odd_bonds(rows->view->store, line_id, steps[rows->step], &rows->rows, why);
		}
	}
	return false;
}

bool odd_rows_open(const struct view *view, const char *lines, unsigned wanted,
	struct odd_rows *to, struct problem *why)
{
	*to = (struct odd_rows){ .view = view, .wanted = wanted };
	if (!report_lines_read(view, lines, &to->lines, why)) {
		return false;
	}
	open_step(to, why);
	return why->code == PROBLEM_NONE;
}

void odd_rows_close(struct odd_rows *rows)
{
	store_report_close(&rows->rows);
	report_lines_release(&rows->lines);
	free(rows->group.reading);
	free(rows->group.evidence);
	rows->group = (struct odd_group){ 0 };
}

static bool ends_of(const struct odd_rows *rows, int64_t bond_id, struct end_words *to,
	struct problem *why)
{
	struct bond bond;

	return store_bond_get(rows->view->store, bond_id, &bond, why) &&
		ends_of_bond(rows->view->store, &bond, to, why);
}

static bool next_bond(struct odd_rows *rows, struct odd_row *row, struct problem *why)
{
	struct report_bond_odd odd;
	struct end_words ends;

	if (!store_report_odd_bond_next(&rows->rows, steps[rows->step], &odd, why)) {
		return false;
	}
	*row = (struct odd_row){ .what = steps[rows->step], .bond_id = odd.bond.bond_id,
		.label = odd.bond.label, .chainage = odd.bond.chainage, .kind = odd.bond.kind,
		.day = DAY_NONE };
	switch (row->what) {
	case ODD_NO_RAIL:
		if (!ends_of(rows, row->bond_id, &ends, why)) {
			return false;
		}
		text_fit(row->says, sizeof row->says,
			"%s: on a rail, but the track or which rail is not stated.",
			odd.ends == 1 << END_A ? ends.brief[END_A] : odd.ends == 1 << END_B ?
			ends.brief[END_B] : "Both ends");
		break;
	case ODD_ENDS_ALIKE:
		text_fit(row->says, sizeof row->says, "Nothing on record tells the two ends apart: state "
			"track, rail, chainage or face of each, or the number of what it is on.");
		break;
	case ODD_SAME_PLACE:
		text_fit(row->says, sizeof row->says,
			"%s, of the same kind, is on the same rail at most 0.1 m away.", odd.other);
		break;
	default:
		text_fit(row->says, sizeof row->says, "In service, and the installation day is not known.");
	}
	return true;
}

static bool same_group(const struct odd_group *g, const struct report_reading *r)
{
	return g->bond_id == r->bond.bond_id && g->quantity == r->quantity;
}

static bool make_room(struct odd_group *g, struct problem *why)
{
	const struct array arrays[] = { { (void **)&g->reading, sizeof *g->reading },
		{ (void **)&g->evidence, sizeof *g->evidence } };

	return arrays_room(arrays, 2, &g->room, g->count + 1, why);
}

static bool add_reading(struct odd_group *g, const struct report_reading *r, struct problem *why)
{
	if (!make_room(g, why)) {
		return false;
	}
	g->reading[g->count++] = (struct odd_reading){ r->day, r->r20_uohm, r->remark };
	if (isfinite(r->r20_uohm) && !odd_reading_is_no_evidence(r->remark)) {
		g->evidence[g->n_evidence++] = r->r20_uohm;
	}
	return true;
}

/* Reads the next bond's readings of a quantity, and one further row, which is kept. False: there
 * are none, or failed. */
static bool read_group(struct odd_rows *rows, struct problem *why)
{
	struct odd_group *g = &rows->group;
	struct report_reading *r = &rows->ahead;

	if (!rows->has_ahead && !store_report_reading_next(&rows->rows, r, why)) {
		return false;
	}
	rows->has_ahead = false;
	g->bond_id = r->bond.bond_id;
	g->kind = r->bond.kind;
	g->quantity = r->quantity;
	g->count = g->n_evidence = g->at = 0;
	snprintf(g->label, sizeof g->label, "%s", r->bond.label);
	snprintf(g->chainage, sizeof g->chainage, "%s", r->bond.chainage);
	do {
		if (!add_reading(g, r, why)) {
			return false;
		}
		rows->has_ahead = store_report_reading_next(&rows->rows, r, why);
	} while (rows->has_ahead && same_group(g, r));
	g->median_uohm = odd_median(g->evidence, g->n_evidence);
	return why->code == PROBLEM_NONE;
}

static int decimals(double uohm)
{
	return uohm >= 100 ? 0 : uohm >= 1 ? 1 : 4;
}

static bool say_reading(const struct odd_rows *rows, const struct odd_reading *r, bool no_evidence,
	struct odd_row *row, struct problem *why)
{
	const struct odd_group *g = &rows->group;
	struct end_words ends;
	char quantity[END_BRIEF_SIZE];

	if (!ends_of(rows, g->bond_id, &ends, why)) {
		return false;
	}
	end_words_quantity(&ends, g->quantity, quantity, sizeof quantity);
	if (no_evidence) {
		text_fit(row->says, sizeof row->says, "Reading of %s: %s.", quantity,
			reading_remark_words.title[r->remark]);
	} else {
		text_fit(row->says, sizeof row->says, "Reading of %s: %.*f µΩ at 20 °C; the median of %zu "
			"is %.*f µΩ.", quantity, decimals(r->r20_uohm), r->r20_uohm, g->n_evidence,
			decimals(g->median_uohm), g->median_uohm);
	}
	return true;
}

/* Is one of the group odd, and wanted? */
static bool judge_reading(const struct odd_rows *rows, const struct odd_reading *r,
	struct odd_row *row, struct problem *why)
{
	const struct odd_group *g = &rows->group;
	bool no_evidence = odd_reading_is_no_evidence(r->remark);

	*row = (struct odd_row){ .bond_id = g->bond_id, .label = g->label, .chainage = g->chainage,
		.kind = g->kind, .day = r->day,
		.what = no_evidence ? ODD_READING_NO_EVIDENCE : ODD_READING_FAR_OFF };
	return is_wanted(rows, row->what) && (no_evidence ||
		odd_reading_is_far_off(r->r20_uohm, g->median_uohm, g->n_evidence)) &&
		say_reading(rows, r, no_evidence, row, why);
}

static bool next_reading(struct odd_rows *rows, struct odd_row *row, struct problem *why)
{
	struct odd_group *g = &rows->group;

	do {
		while (g->at < g->count) {
			if (judge_reading(rows, &g->reading[g->at++], row, why)) {
				return true;
			}
			if (why->code != PROBLEM_NONE) {
				return false;
			}
		}
	} while ((rows->has_ahead || rows->rows.rows != NULL) && read_group(rows, why));
	g->at = g->count = 0;
	return false;
}

bool odd_rows_next(struct odd_rows *rows, struct odd_row *row, struct problem *why)
{
	while (rows->lines.at < rows->lines.count) {
		bool found = steps[rows->step] == ODD_READING_FAR_OFF ? next_reading(rows, row, why) :
			next_bond(rows, row, why);

		if (found) {
			row->line = &rows->lines.line[rows->lines.at];
			return true;
		}
		rows->step++;
		if (why->code != PROBLEM_NONE || !open_step(rows, why)) {
			break;
		}
	}
	return false;
}

struct odd_listing {
	struct odd_rows rows;
	struct odd_row row;
};

static void listing_close(void *listing)
{
	odd_rows_close(&((struct odd_listing *)listing)->rows);
	free(listing);
}

static void *listing_open(struct view *view, const struct list_query *q, struct problem *why)
{
	struct odd_listing *l = calloc(1, sizeof *l);

	if (l == NULL) {
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	} else if (!odd_rows_open(view, list_given(q, "lines"), list_given_words(q, "what"), &l->rows,
		why)) {
		listing_close(l);
		l = NULL;
	}
	return l;
}

static bool listing_next(void *listing, struct cell *row, bool *failed)
{
	struct odd_listing *l = listing;
	struct problem why = { 0 };
	size_t i = 0;

	if (!odd_rows_next(&l->rows, &l->row, &why)) {
		*failed = why.code != PROBLEM_NONE;
		return false;
	}
	row[i++].integer = l->row.what;
	row[i++].integer = l->row.bond_id;
	row[i++] = cell_of_text(l->row.label);
	row[i++].integer = l->row.line->id;
	row[i++] = cell_of_text(l->row.line->code);
	row[i++] = cell_of_text(l->row.chainage);
	row[i++].integer = l->row.kind;
	row[i++] = cell_of_day(l->row.day);
	row[i++] = cell_of_text(l->row.says);
	return true;
}

static const struct list_column columns[] = {
	{ { "what", "What looks wrong", NULL, CELL_WORD, &odd_words, .width = 22 } },
	{ { "bond_id", "Bond number", NULL, CELL_INTEGER } },
	{ { "label", "Bond", NULL, CELL_TEXT } },
	{ { "line_id", "Line number", NULL, CELL_INTEGER } },
	{ { "line", "Line", NULL, CELL_TEXT } },
	{ { "chainage", "Chainage", NULL, CELL_TEXT } },
	{ { "kind", "Kind", NULL, CELL_WORD, &bond_kind_words } },
	{ { "day", "Day", NULL, CELL_DAY } },
	{ { "says", "Why", NULL, CELL_TEXT, .width = 70 } },
};
static const struct list_filter filters[] = {
	{ "lines", "Lines, by code", FILTER_TEXTS },
	{ "what", "What looks wrong", FILTER_WORD, .words = &odd_words },
};
static const struct list_sort sorts[] = { { "place", "by line and what", { NULL } } };
static const struct list_computed computed = {
	1 << 0 | 1 << 1 | 1 << 7 | 1 << 8, listing_open, listing_next, listing_close
};

const struct list odd_list = {
	.name = "odd-data", .title = "Data that look wrong",
	.summary = "Bonds in service of which something is missing, doubled or out of all proportion.",
	.columns = columns, .n_columns = sizeof columns / sizeof columns[0],
	.filters = filters, .n_filters = sizeof filters / sizeof filters[0],
	.sorts = sorts, .n_sorts = 1, .computed = &computed, .is_slow = true,
};
