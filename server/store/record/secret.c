#include "store/record/secret.h"

#include <string.h>

#include "store/record/person.h"
#include "store/sql.h"

#define COUNT(array) (sizeof (array) / sizeof (array)[0])

bool store_factor_get(struct store *store, int64_t person_id, struct second_factor *to,
	struct problem *why)
{
	static const char sql[] = "SELECT secret, is_set, last_step FROM second_factor "
		"WHERE person_id = $1";
	const struct value of[] = { value_integer(person_id) };
	sqlite3_stmt *row = sql_select(store, sql, of, 1, why);

	*to = (struct second_factor){ 0 };
	if (sql_row(store, row, why)) {
		to->is_there = sqlite3_column_bytes(row, 0) == FACTOR_BYTES;
		if (to->is_there) {
			memcpy(to->secret, sqlite3_column_blob(row, 0), FACTOR_BYTES);
		}
		to->is_set = to->is_there && sqlite3_column_int(row, 1) != 0;
		to->last_step = sqlite3_column_int64(row, 2);
		sql_done(row);
	}
	return why->code == PROBLEM_NONE;
}

bool store_factor_put(struct store *store, int64_t person_id, const struct second_factor *factor,
	int64_t now_ms, struct problem *why)
{
	static const char sql[] = "INSERT INTO second_factor (person_id, secret, is_set, last_step, "
		"made_at_ms) VALUES ($1, $2, $3, $4, $5) ON CONFLICT (person_id) DO UPDATE SET "
		"secret = $2, is_set = $3, last_step = $4, made_at_ms = $5";
	const struct value values[] = { value_integer(person_id),
		value_bytes(factor->secret, FACTOR_BYTES), value_integer(factor->is_set),
		value_integer(factor->last_step), value_integer(now_ms) };

	return sql_run(store, sql, values, 5, why);
}

bool store_factor_remove(struct store *store, int64_t person_id, struct problem *why)
{
	const struct value of[] = { value_integer(person_id) };

	return sql_run(store, "DELETE FROM second_factor WHERE person_id = $1", of, 1, why) &&
		sql_run(store, "DELETE FROM recovery_code WHERE person_id = $1", of, 1, why);
}

bool store_recovery_put(struct store *store, int64_t person_id, const char *code_hash,
	struct problem *why)
{
	return sql_run(store, "INSERT INTO recovery_code (code_hash, person_id) VALUES ($1, $2)",
		(struct value[]){ value_text(code_hash), value_integer(person_id) }, 2, why);
}

bool store_recovery_use(struct store *store, int64_t person_id, const char *code_hash, bool *was,
	struct problem *why)
{
	if (!sql_run(store, "DELETE FROM recovery_code WHERE person_id = $1 AND code_hash = $2",
		(struct value[]){ value_integer(person_id), value_text(code_hash) }, 2, why)) {
		return false;
	}
	*was = sql_changes(store) > 0;
	return true;
}

bool store_recovery_count(struct store *store, int64_t person_id, int64_t *count,
	struct problem *why)
{
	return sql_integer(store, "SELECT count(*) FROM recovery_code WHERE person_id = $1",
		(struct value[]){ value_integer(person_id) }, 1, 0, count, why);
}

bool store_reset_put(struct store *store, const struct reset_code *reset, struct problem *why)
{
	static const char sql[] = "INSERT INTO reset_code (person_id, code_hash, ends_at_ms, made_by) "
		"VALUES ($1, $2, $3, $4) ON CONFLICT (person_id) DO UPDATE SET code_hash = $2, "
		"ends_at_ms = $3, made_by = $4";
	const struct value values[] = { value_integer(reset->person_id), value_text(reset->code_hash),
		value_integer(reset->ends_at_ms), value_integer(reset->made_by) };

	return sql_run(store, sql, values, 4, why);
}

bool store_reset_get(struct store *store, int64_t person_id, struct reset_code *to,
	struct problem *why)
{
	static const char sql[] = "SELECT person_id, code_hash, ends_at_ms, made_by FROM reset_code "
		"WHERE person_id = $1";
	const struct value of[] = { value_integer(person_id) };
	sqlite3_stmt *row = sql_select(store, sql, of, 1, why);

	*to = (struct reset_code){ 0 };
	if (sql_row(store, row, why)) {
		to->person_id = sqlite3_column_int64(row, 0);
		column_text(row, 1, to->code_hash, sizeof to->code_hash);
		to->ends_at_ms = sqlite3_column_int64(row, 2);
		to->made_by = sqlite3_column_int64(row, 3);
		sql_done(row);
	}
	return why->code == PROBLEM_NONE;
}

bool store_reset_remove(struct store *store, int64_t person_id, struct problem *why)
{
	return sql_run(store, "DELETE FROM reset_code WHERE person_id = $1",
		(struct value[]){ value_integer(person_id) }, 1, why);
}

/* ---- machines ---- */

static const char *const scope_code[] = { "read", "metrics" };
static const char *const scope_title[] = { "read the register", "counters of the program" };
const struct words token_scope_words = { "token_scope", scope_code, scope_title, 2 };

bool store_token_insert(struct store *store, struct machine_token *token, const char *token_hash,
	const struct origin *origin, struct problem *why)
{
	static const char sql[] = "INSERT INTO machine_token (name, token_hash, scope, made_at_ms, "
		"made_by, ends_day) VALUES ($1, $2, $3, $4, $5, $6)";
	const struct value values[] = { value_text(token->name), value_text(token_hash),
		value_integer(token->scope), value_integer(origin->now_ms), value_id(origin->person_id),
		value_day(token->ends_day) };

	if (!sql_run(store, sql, values, 6, why)) {
		return false;
	}
	token->id = sql_last_id(store);
	return true;
}

#define TOKEN "SELECT id, name, scope, ends_day, ended_at_ms IS NOT NULL FROM machine_token WHERE "

static bool read_token(struct store *store, sqlite3_stmt *row, struct machine_token *to,
	struct problem *why)
{
	*to = (struct machine_token){ 0 };
	if (sql_row(store, row, why)) {
		to->id = sqlite3_column_int64(row, 0);
		column_text(row, 1, to->name, sizeof to->name);
		to->scope = (enum token_scope)sqlite3_column_int(row, 2);
		to->ends_day = sqlite3_column_int(row, 3);
		to->is_ended = sqlite3_column_int(row, 4) != 0;
		sql_done(row);
	}
	return why->code == PROBLEM_NONE;
}

bool store_token_find(struct store *store, const char *token_hash, struct machine_token *to,
	struct problem *why)
{
	return read_token(store, sql_select(store, TOKEN "token_hash = $1",
		(struct value[]){ value_text(token_hash) }, 1, why), to, why);
}

bool store_token_get(struct store *store, int64_t id, struct machine_token *to,
	struct problem *why)
{
	return read_token(store, sql_select(store, TOKEN "id = $1",
		(struct value[]){ value_integer(id) }, 1, why), to, why);
}

bool store_token_end(struct store *store, int64_t id, const struct origin *origin,
	struct problem *why)
{
	static const char sql[] = "UPDATE machine_token SET ended_at_ms = $1, ended_by = $2 "
		"WHERE id = $3 AND ended_at_ms IS NULL";
	const struct value values[] = { value_integer(origin->now_ms), value_id(origin->person_id),
		value_integer(id) };

	store_people_changed();
	return sql_run(store, sql, values, 3, why);
}

#define NAME_OF(column) "(SELECT f.name FROM person_fact f WHERE f.person_id = " column \
	" ORDER BY f.version DESC LIMIT 1)"

static const struct list_column token_columns[] = {
	{ { "id", "Number", NULL, CELL_INTEGER }, "t.id" },
	{ { "name", "For", NULL, CELL_TEXT, .width = 30 }, "t.name" },
	{ { "scope", "May", NULL, CELL_WORD, &token_scope_words }, "t.scope" },
	{ { "ends_day", "Last day", NULL, CELL_DAY }, "t.ends_day" },
	{ { "made_at", "Made", NULL, CELL_INSTANT }, "t.made_at_ms" },
	{ { "made_by", "Made by", NULL, CELL_TEXT }, NAME_OF("t.made_by") },
	{ { "ended_at", "Ended", NULL, CELL_INSTANT }, "t.ended_at_ms" },
	{ { "ended_by", "Ended by", NULL, CELL_TEXT }, NAME_OF("t.ended_by") },
	{ { "good", "Good today", NULL, CELL_FLAG }, NULL },
};
/* (of the columns above) */
static void token_finish(int32_t today, struct cell *row)
{
	enum { ENDS_DAY = 3, ENDED_AT = 6, GOOD = 8 };

	row[GOOD] = (struct cell){ .integer = row[ENDED_AT].is_null && row[ENDS_DAY].integer >= today };
}

static const struct list_sort token_sorts[] = {
	{ "newest", "newest first", { "t.id" }, .descending = true },
};
const struct list token_list = {
	.name = "tokens", .title = "Tokens of machines",
	.summary = "What machines show instead of a person's session, until when.",
	.from = "machine_token t", .id = "t.id", .columns = token_columns,
	.n_columns = COUNT(token_columns), .sorts = token_sorts, .n_sorts = 1, .finish = token_finish,
};

/* ---- the record of it ---- */

static const char *const what_code[] = { "sessions_ended", "reset_started", "reset_used",
	"factor_set", "factor_removed", "recovery_used", "token_made", "token_ended" };
static const char *const what_title[] = { "all sessions ended",
	"code for a new password handed out", "new password chosen by that code", "second factor set",
	"second factor taken away",
	"recovery code used", "token made", "token ended" };
const struct words access_what_words = { "access_what", what_code, what_title, 8 };

bool store_access_act(struct store *store, enum access_what what, int64_t person_id,
	const char *name, const struct origin *origin, struct problem *why)
{
	static const char sql[] = "INSERT INTO access_act (what, person_id, name, recorded_at_ms, "
		"recorded_by) VALUES ($1, $2, coalesce($3, ''), $4, $5)";
	const struct value values[] = { value_integer(what), value_id(person_id), value_text(name),
		value_integer(origin->now_ms), value_id(origin->person_id) };

	return sql_run(store, sql, values, 5, why);
}

bool store_access_last(struct store *store, enum access_what what, int64_t person_id, int64_t *by,
	struct problem *why)
{
	static const char sql[] = "SELECT recorded_by FROM access_act WHERE what = $1 "
		"AND person_id = $2 ORDER BY id DESC LIMIT 1";

	return sql_integer(store, sql, (struct value[]){ value_integer(what),
		value_integer(person_id) }, 2, 0, by, why);
}

static const struct list_column act_columns[] = {
	{ { "at", "When", NULL, CELL_INSTANT }, "a.recorded_at_ms" },
	{ { "what", "What", NULL, CELL_WORD, &access_what_words }, "a.what" },
	{ { "person", "Of", NULL, CELL_TEXT }, NAME_OF("a.person_id") },
	{ { "token", "Token", NULL, CELL_TEXT }, "a.name" },
	{ { "by", "By", NULL, CELL_TEXT }, NAME_OF("a.recorded_by") },
};
static const struct list_sort act_sorts[] = {
	{ "newest", "newest first", { "a.id" }, .descending = true },
};
const struct list access_act_list = {
	.name = "access-acts", .title = "Who let whom in",
	.summary = "Codes, second factors, sessions and tokens: given, used and taken away, by whom.",
	.from = "access_act a", .id = "a.id", .columns = act_columns, .n_columns = COUNT(act_columns),
	.sorts = act_sorts, .n_sorts = 1,
};
