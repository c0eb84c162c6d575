/* Attachments on spoilt spots as a list: which spot each is too near to is asked of the record. */
#include <stdlib.h>

#include "derived/view.h"
#include "service/record/spot.h"

struct listing {
	struct view *view;
	const struct rulebook *rulebook;
	struct used_spot *all;
	size_t count, at;
	char words[SPOT_TAKEN_SIZE];
};

static void listing_close(void *listing)
{
	free(((struct listing *)listing)->all);
	free(listing);
}

static void *listing_open(struct view *view, const struct list_query *q, struct problem *why)
{
	struct listing *l = calloc(1, sizeof *l);

	if (l == NULL) {
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
		return NULL;
	}
	l->view = view;
	l->rulebook = view_rulebook(view, why);
	if (l->rulebook == NULL || !store_used_spots(view->store, list_given_integer(q, "line", 0),
		&l->all, &l->count, why)) {
		listing_close(l);
		return NULL;
	}
	return l;
}

/* Under the rulebook of today it may be free: it was not when it was recorded, and stays here. */
static bool say(struct listing *l, const struct used_spot *u, struct problem *why)
{
	struct bond bond;
	int taken;

	return store_bond_get(l->view->store, u->bond_id, &bond, why) && spot_taken(l->view->store, l->rulebook,
		&bond, u->bond_end, u->offset_mm, u->made_day, u->id, &taken, l->words, why);
}

static bool listing_next(void *listing, struct cell *row, bool *failed)
{
	struct listing *l = listing;
	const struct used_spot *u;
	struct problem why = { 0 };
	size_t i = 0;

	if (l->at >= l->count) {
		return false;
	}
	u = &l->all[l->at++];
	if (!say(l, u, &why)) {
		*failed = true;
		return false;
	}
	row[i++].integer = u->bond_id;
	row[i++] = cell_of_text(u->label);
	row[i++] = cell_of_text(u->line);
	row[i++].integer = u->bond_end;
	row[i++] = cell_of_day(u->made_day);
	row[i++] = cell_of_text(u->person);
	row[i++] = cell_of_text(u->recorded_by);
	row[i++].integer = u->offset_mm;
	row[i++].integer = u->is_live;
	row[i++] = cell_of_text(l->words[0] != '\0' ? l->words :
		"Inside a clearance when it was recorded; not by what is known and asked for today.");
	row[i++] = cell_of_text(u->uuid);
	return true;
}

static const struct list_column columns[] = {
	{ { "bond_id", "Bond number", NULL, CELL_INTEGER } },
	{ { "label", "Bond", NULL, CELL_TEXT } },
	{ { "line", "Line", NULL, CELL_TEXT } },
	{ { "end", "End", NULL, CELL_WORD, &bond_end_words } },
	{ { "made_day", "Made", NULL, CELL_DAY } },
	{ { "person", "Made by", NULL, CELL_TEXT, .width = 24 } },
	{ { "recorded_by", "Recorded by", NULL, CELL_TEXT, .width = 24 } },
	{ { "offset_mm", "Offset along the rail", "mm", CELL_INTEGER } },
	{ { "live", "Live", NULL, CELL_FLAG } },
	{ { "says", "Too near to", NULL, CELL_TEXT, .width = 70 } },
	{ { "uuid", "Attachment", NULL, CELL_TEXT, .width = 36 } },
};
static const struct list_filter filters[] = { { "line", "Line", FILTER_ID } };
static const struct list_sort sorts[] = { { "newest", "newest first", { NULL } } };
static const struct list_computed computed = {
	1 << 10, listing_open, listing_next, listing_close
};

const struct list used_spot_list = {
	.name = "used-spots", .title = "Attachments on spoilt spots",
	.summary = "Attachments that were inside a clearance when they were recorded: not accepted, and "
		"for the planner to look at.",
	.columns = columns, .n_columns = sizeof columns / sizeof columns[0],
	.filters = filters, .n_filters = sizeof filters / sizeof filters[0],
	.sorts = sorts, .n_sorts = 1, .computed = &computed, .is_slow = true,
};
