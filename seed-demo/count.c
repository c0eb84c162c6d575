/* What is in a register, told in a few lines; from its lists, as any page has it. */
#include <string.h>

#include "demo.h"
#include "store/record/bond.h"
#include "store/record/failure.h"
#include "store/record/inspection.h"
#include "store/record/work.h"

static bool query(const struct list *list, int32_t today, struct list_query *to)
{
	struct problems why = { 0 };

	return list_query_read(list, NULL, 0, today, to, &why);
}

/* Rows of a list; -1: failed. */
static long rows_of(struct store *store, const struct list *list, int32_t today)
{
	struct list_query q;
	struct problem why = { 0 };
	struct table table;
	struct cell row[40];
	struct list_run *run;
	bool failed = false;
	long n = 0;

	if (!query(list, today, &q)) {
		return -1;
	}
	q.limit = 0;
	run = list_open(store, &q, &table, &why);
	if (run == NULL) {
		fprintf(stderr, "bondbook-demo: %s\n", why.detail);
		return -1;
	}
	while (table.next(table.source, row, &failed)) {
		n++;
	}
	list_close(run);
	return failed ? -1 : n;
}

static bool count_states(struct store *store, int32_t today, FILE *out)
{
	struct list_query q;
	struct problem why = { 0 };
	int64_t totals[LIST_TOTALS];

	if (!query(&due_list, today, &q) || !list_totals(store, &q, totals, &why)) {
		fprintf(stderr, "bondbook-demo: %s\n", why.detail);
		return false;
	}
	fprintf(out, "due:");
	for (size_t i = 0; i < due_list.n_totals; i++) {
		fprintf(out, "%s %lld %s", i > 0 ? "," : "", (long long)totals[i],
			due_list.totals[i].name);
	}
	fprintf(out, "\n");
	return true;
}

bool demo_count(const char *path, int32_t today, FILE *out)
{
	static const struct list *const lists[] = { &line_list, &track_list, &bond_list,
		&attachment_list, &inspection_list, &reading_list, &failure_list, &repair_list,
		&repeat_list, &deferral_list };
	struct problem why = { 0 };
	struct store *store = store_open(path, STORE_READ, &why);
	bool ok = store != NULL;

	if (!ok) {
		fprintf(stderr, "bondbook-demo: %s\n", why.detail);
	}
	for (size_t i = 0; ok && i < sizeof lists / sizeof lists[0]; i++) {
		long n = rows_of(store, lists[i], today);

		ok = n >= 0;
		fprintf(out, "%-20s %6ld\n", lists[i]->title, n);
	}
	ok = ok && count_states(store, today, out);
	store_close(store);
	return ok;
}
