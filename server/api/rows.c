#include "api/rows.h"

#include "api/views.h"

#include "encode/encode.h"

bool rows_add(const struct request *req, const struct list *list, const char *filter,
	const char *value, struct text *to, size_t *rows, struct problem *why)
{
	const struct query_pair pairs[] = { { filter, value }, { "limit", "1000" } };
	struct list_query q;
	struct problems wrong = { 0 };
	struct table table;
	struct list_run *run;
	bool ok;

	if (!view_list_query(view_of(req), list, pairs, 2, &q, &wrong)) {
		*why = wrong.item[0];
		return false;
	}
	run = list_open(view_of(req)->store, &q, &table, why);
	ok = run != NULL && encode_json_rows(&table, to, rows, why);
	list_close(run);
	return ok;
}
