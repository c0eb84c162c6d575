#include "store/record/rulebook.h"

#include <stdlib.h>

#include "base/clock.h"

#include "store/lists/list.h"
#include "store/sql.h"

#define COUNT(array) (sizeof (array) / sizeof (array)[0])

#define NAME_OF(person) "(SELECT f.name FROM person_fact f WHERE f.person_id = " person \
	" ORDER BY f.version DESC LIMIT 1)"

static const char mark[] = "rulebooks";   /* counts adoptions and withdrawals */

bool store_rulebook_insert(struct store *store, int64_t version, int32_t from_day,
	const char *body, const char *reason, const struct origin *origin, struct problem *why)
{
	static const char sql[] = "INSERT INTO rulebook (version, holds_from_day, body, reason, "
		"recorded_at_ms, recorded_by) VALUES ($1, $2, $3, $4, $5, $6)";
	const struct value values[] = { value_integer(version), value_integer(from_day),
		value_text(body), value_text(reason), value_integer(origin->now_ms),
		value_id(origin->person_id) };

	return sql_run(store, sql, values, COUNT(values), why) && sql_mark_step(store, mark, why);
}

/* Of every bond, since any may have an open reason under it; which one it was made under stays. */
static bool mark_stale(struct store *store, struct problem *why)
{
	static const char stale[] = "UPDATE bond_state SET rulebook_version = -rulebook_version "
		"WHERE rulebook_version > 0";
	static const char again[] = "INSERT INTO derived_mark (name, value) VALUES ('rulebook', -1) "
		"ON CONFLICT (name) DO UPDATE SET value = -1";

	return sql_run(store, stale, NULL, 0, why) && sql_mark_step(store, "stale", why) &&
		sql_run(store, again, NULL, 0, why);
}

bool store_rulebook_withdraw(struct store *store, int64_t version, const char *reason,
	int32_t today, const struct origin *origin, struct problem *why)
{
	static const char sql[] = "INSERT INTO rulebook_withdrawal (version, reason, recorded_at_ms, "
		"recorded_by) VALUES ($1, $2, $3, $4)";
	static const char begun[] = "SELECT holds_from_day <= $1 FROM rulebook WHERE version = $2";
	const struct value values[] = { value_integer(version), value_text(reason),
		value_integer(origin->now_ms), value_id(origin->person_id) };
	int64_t has_begun;

	return sql_run(store, sql, values, COUNT(values), why) && sql_mark_step(store, mark, why) &&
		sql_integer(store, begun, (struct value[]){ value_integer(today), value_integer(version) },
		2, 0, &has_begun, why) && (!has_begun || mark_stale(store, why));
}

bool store_rulebook_version(struct store *store, int64_t version, struct rulebook_row *to,
	struct problem *why)
{
	static const char sql[] = "SELECT i.holds_from_day, i.body, i.reason, "
		NAME_OF("i.recorded_by") ", i.recorded_at_ms, w.reason, " NAME_OF("w.recorded_by") ", "
		"w.recorded_at_ms, w.version IS NOT NULL FROM rulebook i "
		"LEFT JOIN rulebook_withdrawal w ON w.version = i.version WHERE i.version = $1";
	sqlite3_stmt *row = sql_select(store, sql, (struct value[]){ value_integer(version) }, 1, why);

	*to = (struct rulebook_row){ 0 };
	if (sql_row(store, row, why)) {
		*to = (struct rulebook_row){ .from_day = sqlite3_column_int(row, 0),
			.body = column_dup(row, 1), .reason = column_dup(row, 2), .person = column_dup(row, 3),
			.recorded_at_ms = sqlite3_column_int64(row, 4), .withdrawn_reason = column_dup(row, 5),
			.withdrawn_person = column_dup(row, 6),
			.withdrawn_at_ms = sqlite3_column_int64(row, 7),
			.withdrawn = sqlite3_column_int(row, 8) != 0 };
		sql_done(row);
	} else if (why->code == PROBLEM_NONE) {
		problem_set(why, PROBLEM_NOT_FOUND, NULL, "There is no rulebook of version %lld.",
			(long long)version);
	}
	return why->code == PROBLEM_NONE;
}

void store_rulebook_row_release(struct rulebook_row *row)
{
	free(row->body);
	free(row->reason);
	free(row->person);
	free(row->withdrawn_reason);
	free(row->withdrawn_person);
	*row = (struct rulebook_row){ 0 };
}

bool store_rulebook_last(struct store *store, int64_t *version, struct problem *why)
{
	return sql_integer(store, "SELECT max(version) FROM rulebook", NULL, 0, 0, version, why);
}

/* ---- what a connection keeps ---- */

struct kept_books {
	struct rulebooks shown;          /* first: a holder has its address */
	struct sql_mark mark;
	struct form_memory memory;
	size_t holders;                  /* the connection is one */
};

static void let_go(struct kept_books *k)
{
	if (k == NULL || --k->holders > 0) {
		return;
	}
	free(k->shown.dated);
	free(k->shown.rulebook);
	free(k->shown.spans);
	form_memory_release(&k->memory);
	free(k);
}

void store_rulebooks_release(const struct rulebooks *rulebooks)
{
	let_go((struct kept_books *)(void *)(uintptr_t)rulebooks);
}

void kept_books_free(struct kept_books *kept)
{
	let_go(kept);
}

static bool add_version(struct kept_books *k, sqlite3_stmt *row, struct problem *why)
{
	struct rulebooks *to = &k->shown;
	struct rulebook_kept kept;
	const char *body = (const char *)sqlite3_column_text(row, 2);
	bool ok = array_grow((void **)&to->dated, to->n, sizeof *to->dated, why) &&
		array_grow((void **)&to->rulebook, to->n, sizeof *to->rulebook, why) &&
		rulebook_kept_read(body, &kept, &k->memory, why);

	if (ok) {
		struct rulebook_dated *d = &to->dated[to->n];

		*d = (struct rulebook_dated){ .version = sqlite3_column_int64(row, 0),
			.from_day = sqlite3_column_int(row, 1), .adopted_day = kept.adopted_day != DAY_NONE ?
			kept.adopted_day : clock_day_of(sqlite3_column_int64(row, 3)),
			.withdrawn = sqlite3_column_int(row, 4) != 0 };
		to->rulebook[to->n] = kept.rulebook;
		to->rulebook[to->n].version = d->version;
		to->rulebook[to->n++].from_day = d->from_day;
	}
	return ok;
}

static bool make_spans(struct rulebooks *to, struct problem *why)
{
	int *of = calloc(to->n + 1, sizeof *of);

	to->spans = calloc(to->n + 1, sizeof *to->spans);
	if (of == NULL || to->spans == NULL) {
		free(of);
		return problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	to->n_spans = rulebook_spans(to->dated, to->n, to->spans, of);
	for (size_t i = 0; i < to->n_spans; i++) {
		to->spans[i].rulebook = &to->rulebook[of[i]];
	}
	free(of);
	return true;
}

static bool read_all(struct store *store, struct kept_books *k, struct problem *why)
{
	static const char sql[] = "SELECT i.version, i.holds_from_day, i.body, i.recorded_at_ms, "
		"w.version IS NOT NULL FROM rulebook i "
		"LEFT JOIN rulebook_withdrawal w ON w.version = i.version ORDER BY i.version";
	sqlite3_stmt *rows = sql_select(store, sql, NULL, 0, why);

	while (sql_row(store, rows, why)) {
		if (!add_version(k, rows, why)) {
			sql_done(rows);
			return false;
		}
	}
	return why->code == PROBLEM_NONE && make_spans(&k->shown, why);
}

const struct rulebooks *store_rulebooks(struct store *store, struct problem *why)
{
	struct kept_books **kept = sql_kept_books(store);
	struct kept_books *made;
	struct sql_mark seen = { 0 };
	bool same;

	if (!sql_mark_same(store, mark, *kept != NULL ? &(*kept)->mark : &seen, &same, why)) {
		return NULL;
	}
	if (*kept == NULL || !same) {
		made = calloc(1, sizeof *made);
		if (made == NULL) {
			problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
			return NULL;
		}
		*made = (struct kept_books){ .mark = *kept != NULL ? (*kept)->mark : seen, .holders = 1 };
		let_go(*kept);
		*kept = NULL;
		if (!read_all(store, made, why)) {
			let_go(made);
			return NULL;
		}
		*kept = made;
	}
	(*kept)->holders++;
	return &(*kept)->shown;
}

/* ---- the list ---- */

static const struct list_column columns[] = {
	{ { "version", "Version", NULL, CELL_INTEGER }, "i.version" },
	{ { "from_day", "Holds from", NULL, CELL_DAY }, "i.holds_from_day" },
	{ { "reason", "Reason", NULL, CELL_TEXT, .width = 40 }, "i.reason" },
	{ { "person", "By", NULL, CELL_TEXT, .width = 24 }, NAME_OF("i.recorded_by") },
	{ { "recorded_at", "At", NULL, CELL_INSTANT }, "i.recorded_at_ms" },
	{ { "withdrawn_reason", "Withdrawn as wrong, because", NULL, CELL_TEXT, .width = 40 },
	  "w.reason" },
	{ { "withdrawn_by", "Withdrawn by", NULL, CELL_TEXT, .width = 24 },
	  NAME_OF("w.recorded_by") },
	{ { "withdrawn_at", "Withdrawn at", NULL, CELL_INSTANT }, "w.recorded_at_ms" },
};
static const struct list_sort sorts[] = {
	{ "newest", "newest first", { "i.version" }, .descending = true },
};
const struct list rulebook_list = {
	.name = "rulebooks", .title = "Rulebooks",
	.summary = "Every version of the rulebook; the first is what the program began with.",
	.from = "rulebook i LEFT JOIN rulebook_withdrawal w ON w.version = i.version",
	.id = "i.version", .columns = columns, .n_columns = COUNT(columns),
	.sorts = sorts, .n_sorts = 1,
};
