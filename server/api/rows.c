#include "api/rows.h"

#include "encode/encode.h"

static struct list_run *open_rows(struct view *view, const struct list *list, const char *filter,
	const char *value, struct table *table, struct problem *why)
{
	const struct query_pair pairs[] = { { filter, value }, { "limit", "1000" } };
	struct list_query q;
	struct problems wrong = { 0 };

	if (!view_list_query(view, list, pairs, 2, &q, &wrong)) {
		*why = wrong.item[0];
		return NULL;
	}
	return list_open(view->store, &q, table, why);
}

bool rows_add(struct view *view, const struct list *list, const char *filter, const char *value,
	struct text *to, struct problem *why)
{
	struct table table;
	size_t rows;
	struct list_run *run = open_rows(view, list, filter, value, &table, why);
	bool ok = run != NULL && encode_json_rows(&table, to, &rows, why);

	list_close(run);
	return ok;
}

bool rows_open(struct view *view, const struct list *list, const char *uuid, struct text *to,
	struct problem *why)
{
	struct table table;
	bool found = false;
	struct list_run *run = open_rows(view, list, "uuid", uuid, &table, why);
	bool ok = run != NULL && encode_json_open(&table, to, &found, why);

	list_close(run);
	return ok && (found || problem_set(why, PROBLEM_NOT_FOUND, NULL,
		"Nothing is kept under the id %.36s.", uuid));
}
