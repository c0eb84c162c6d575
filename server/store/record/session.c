#include "store/record/session.h"

#include <string.h>

#include "store/sql.h"

/* A session that begins later than so after now was begun before the clock was set back. */
enum { AHEAD_MS = 5 * 60 * 1000 };

bool store_session_insert(struct store *store, const char *token_hash, struct session *s,
	struct problem *why)
{
	static const char sql[] = "INSERT INTO session_of_person (token_hash, person_id, began_at_ms, "
		"seen_at_ms, idle_ms, ends_at_ms, device, agent, lacks_factor) "
		"VALUES ($1, $2, $3, $4, $5, $6, coalesce($7, ''), coalesce($8, ''), $9)";
	const struct value values[] = { value_text(token_hash), value_integer(s->person_id),
		value_integer(s->began_at_ms), value_integer(s->seen_at_ms), value_integer(s->idle_ms),
		value_integer(s->ends_at_ms), value_text(s->device), value_text(s->agent),
		value_integer(s->lacks_factor) };

	if (!sql_run(store, sql, values, 9, why)) {
		return false;
	}
	s->id = sql_last_id(store);
	return true;
}

#define SESSION "SELECT id, person_id, began_at_ms, seen_at_ms, idle_ms, ends_at_ms, device, " \
	"agent, lacks_factor FROM session_of_person WHERE "
#define GOOD(now, ahead) "ends_at_ms > " now " AND seen_at_ms + idle_ms > " now \
	" AND began_at_ms <= " ahead

static bool read_one(struct store *store, sqlite3_stmt *row, struct session *to,
	struct problem *why)
{
	*to = (struct session){ 0 };
	if (!sql_row(store, row, why)) {
		return why->code == PROBLEM_NONE;
	}
	to->id = sqlite3_column_int64(row, 0);
	to->person_id = sqlite3_column_int64(row, 1);
	to->began_at_ms = sqlite3_column_int64(row, 2);
	to->seen_at_ms = sqlite3_column_int64(row, 3);
	to->idle_ms = sqlite3_column_int64(row, 4);
	to->ends_at_ms = sqlite3_column_int64(row, 5);
	column_text(row, 6, to->device, sizeof to->device);
	column_text(row, 7, to->agent, sizeof to->agent);
	to->lacks_factor = sqlite3_column_int(row, 8) != 0;
	sql_done(row);
	return true;
}

bool store_session_get(struct store *store, const char *token_hash, int64_t now_ms,
	struct session *to, struct problem *why)
{
	static const char sql[] = SESSION "token_hash = $1 AND " GOOD("$2", "$3");
	const struct value values[] = { value_text(token_hash), value_integer(now_ms),
		value_integer(now_ms + AHEAD_MS) };

	return read_one(store, sql_select(store, sql, values, 3, why), to, why);
}

bool store_session_next(struct store *store, int64_t person_id, int64_t after, int64_t now_ms,
	struct session *to, struct problem *why)
{
	static const char sql[] = SESSION "person_id = $1 AND id > $2 AND " GOOD("$3", "$4")
		" ORDER BY id LIMIT 1";
	const struct value values[] = { value_integer(person_id), value_integer(after),
		value_integer(now_ms), value_integer(now_ms + AHEAD_MS) };

	return read_one(store, sql_select(store, sql, values, 4, why), to, why);
}

bool store_session_seen(struct store *store, int64_t id, int64_t now_ms, struct problem *why)
{
	return sql_run(store, "UPDATE session_of_person SET seen_at_ms = $1 WHERE id = $2 "
		"AND seen_at_ms < $1", (struct value[]){ value_integer(now_ms), value_integer(id) }, 2,
		why);
}

bool store_session_complete(struct store *store, const char *token_hash, struct problem *why)
{
	store_people_changed();
	return sql_run(store, "UPDATE session_of_person SET lacks_factor = 0 WHERE token_hash = $1",
		(struct value[]){ value_text(token_hash) }, 1, why);
}

bool store_session_end(struct store *store, const char *token_hash, struct problem *why)
{
	store_people_changed();
	return sql_run(store, "DELETE FROM session_of_person WHERE token_hash = $1",
		(struct value[]){ value_text(token_hash) }, 1, why);
}

bool store_session_end_one(struct store *store, int64_t person_id, int64_t id, bool *ended,
	struct problem *why)
{
	store_people_changed();
	if (!sql_run(store, "DELETE FROM session_of_person WHERE person_id = $1 AND id = $2",
		(struct value[]){ value_integer(person_id), value_integer(id) }, 2, why)) {
		return false;
	}
	*ended = sql_changes(store) > 0;
	return true;
}

bool store_sessions_end_on(struct store *store, const char *device, struct problem *why)
{
	if (device[0] == '\0') {
		return true;
	}
	store_people_changed();
	return sql_run(store, "DELETE FROM session_of_person WHERE device = $1",
		(struct value[]){ value_text(device) }, 1, why);
}

bool store_sessions_end_of(struct store *store, int64_t person_id, struct problem *why)
{
	store_people_changed();
	return sql_run(store, "DELETE FROM session_of_person WHERE person_id = $1",
		(struct value[]){ value_integer(person_id) }, 1, why);
}

bool store_sessions_forget(struct store *store, int64_t now_ms, struct problem *why)
{
	return sql_run(store, "DELETE FROM session_of_person WHERE ends_at_ms <= $1 "
		"OR seen_at_ms + idle_ms <= $1", (struct value[]){ value_integer(now_ms) }, 1, why);
}
