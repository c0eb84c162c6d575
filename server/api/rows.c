#include "api/rows.h"

#include "api/views.h"
#include "encode/encode.h"
#include "http/request.h"

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

bool rows_add_by(struct view *view, const struct list *list, const struct query_pair *pairs,
	size_t count, struct text *to, size_t *rows, struct problem *why)
{
	struct list_query q;
	struct problems wrong = { 0 };
	struct table table;
	struct list_run *run;
	bool ok;

	*rows = 0;
	if (!view_list_query(view, list, pairs, count, &q, &wrong)) {
		*why = wrong.item[0];
		return false;
	}
	run = list_open(view->store, &q, &table, why);
	ok = run != NULL && encode_json_rows(&table, to, rows, why);
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

void rows_give(const struct request *req, struct reply *out, const struct list *list,
	const struct rows_more *more, size_t count)
{
	struct view *view = view_of(req);
	struct text body = { 0 };
	struct problem why = { 0 };
	bool ok = rows_open(view, list, req->params[0], &body, &why);

	for (size_t i = 0; ok && i < count; i++) {
		text_addf(&body, ",\"%s\":[", more[i].member);
		ok = rows_add(view, more[i].list, more[i].filter, req->params[0], &body, &why);
		text_add_char(&body, ']');
	}
	text_add_char(&body, '}');
	if (ok) {
		reply_json(out, 200, &body);
	} else {
		text_release(&body);
		reply_problem(out, &why);
	}
}
