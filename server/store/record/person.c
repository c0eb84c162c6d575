#include "store/record/person.h"

#include <stdatomic.h>

#include "store/sql.h"

#define COUNT(array) (sizeof (array) / sizeof (array)[0])

/* A session that begins later than so after now was begun before the clock was set back. */
enum { SESSION_AHEAD_MS = 5 * 60 * 1000 };

/* Changed and read by many threads; what is not on disk yet is known to the one that writes. */
static _Atomic uint64_t people_edition;
static bool people_change_written;

uint64_t store_people_edition(void)
{
	return atomic_load(&people_edition);
}

static void people_changed(void)
{
	people_change_written = true;
	atomic_fetch_add(&people_edition, 1);
}

void sql_people_on_disk(void)
{
	if (people_change_written) {
		people_change_written = false;
		atomic_fetch_add(&people_edition, 1);
	}
}

static bool insert_fact(struct store *store, const struct person *p, const struct origin *origin,
	struct problem *why)
{
	static const char sql[] = "INSERT INTO person_fact (person_id, version, name, role, active, "
		"password_hash, recorded_at_ms, recorded_by) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)";
	const struct value values[] = { value_integer(p->id), value_integer(p->version),
		value_text(p->name), value_integer(p->role), value_integer(p->active),
		value_text(p->password_hash), value_integer(origin->now_ms), value_id(origin->person_id) };

	return sql_run(store, sql, values, 8, why);
}

bool store_person_insert(struct store *store, struct person *person, const struct origin *origin,
	struct problem *why)
{
	static const char sql[] = "INSERT INTO person (login, recorded_at_ms) VALUES ($1, $2)";
	const struct value values[] = { value_text(person->login), value_integer(origin->now_ms) };

	if (!sql_run(store, sql, values, 2, why)) {
		return false;
	}
	person->id = sql_last_id(store);
	person->version = 1;
	return insert_fact(store, person, origin, why);
}

bool store_person_change(struct store *store, struct person *person, const struct origin *origin,
	struct problem *why)
{
	person->version++;
	people_changed();
	return insert_fact(store, person, origin, why);
}

#define PERSON "SELECT p.id, f.version, p.login, f.name, f.role, f.active, f.password_hash "
#define NEWEST_FIRST " ORDER BY f.version DESC LIMIT 1"

/* False at the end, or when it failed. */
static bool next_person(struct store *store, sqlite3_stmt *row, struct person *p,
	struct problem *why)
{
	if (!sql_row(store, row, why)) {
		return false;
	}
	*p = (struct person){ .id = sqlite3_column_int64(row, 0),
		.version = sqlite3_column_int64(row, 1), .role = (enum role)sqlite3_column_int(row, 4),
		.active = sqlite3_column_int(row, 5) != 0 };
	column_text(row, 2, p->login, sizeof p->login);
	column_text(row, 3, p->name, sizeof p->name);
	column_text(row, 6, p->password_hash, sizeof p->password_hash);
	sql_done(row);
	return true;
}

bool store_person_get(struct store *store, int64_t id, struct person *p, struct problem *why)
{
	static const char sql[] = PERSON "FROM person p JOIN person_fact f ON f.person_id = p.id "
		"WHERE p.id = $1" NEWEST_FIRST;

	return next_person(store, sql_select(store, sql, (struct value[]){ value_integer(id) }, 1, why),
		p, why) || (why->code == PROBLEM_NONE && problem_set(why, PROBLEM_NOT_FOUND, NULL,
		"There is no person %lld.", (long long)id));
}

bool store_person_find(struct store *store, const char *login, int64_t *id, struct problem *why)
{
	static const char sql[] = "SELECT id FROM person WHERE login = $1";

	return sql_integer(store, sql, (struct value[]){ value_text(login) }, 1, 0, id, why);
}

/* Rows of a person's newest version. */
#define NEWEST "NOT EXISTS (SELECT 1 FROM person_fact n WHERE n.person_id = f.person_id " \
	"AND n.version > f.version)"

bool store_person_named(struct store *store, const char *name, int64_t *id, struct problem *why)
{
	static const char sql[] = "SELECT CASE WHEN count(*) = 1 THEN max(f.person_id) END "
		"FROM person_fact f WHERE f.name = $1 AND f.active = 1 AND " NEWEST;

	return sql_integer(store, sql, (struct value[]){ value_text(name) }, 1, 0, id, why);
}

bool store_session_insert(struct store *store, const char *token_hash, int64_t person_id,
	int64_t began_at_ms, int64_t ends_at_ms, struct problem *why)
{
	static const char sql[] = "INSERT INTO session (token_hash, person_id, began_at_ms, ends_at_ms) "
		"VALUES ($1, $2, $3, $4)";
	const struct value values[] = { value_text(token_hash), value_integer(person_id),
		value_integer(began_at_ms), value_integer(ends_at_ms) };

	return sql_run(store, sql, values, 4, why);
}

bool store_session_person(struct store *store, const char *token_hash, int64_t now_ms,
	struct person *p, struct problem *why)
{
	static const char sql[] = PERSON "FROM session s JOIN person p ON p.id = s.person_id "
		"JOIN person_fact f ON f.person_id = p.id WHERE s.token_hash = $1 AND s.ends_at_ms > $2 "
		"AND s.began_at_ms <= $3" NEWEST_FIRST;
	const struct value values[] = { value_text(token_hash), value_integer(now_ms),
		value_integer(now_ms + SESSION_AHEAD_MS) };

	p->id = 0;
	next_person(store, sql_select(store, sql, values, 3, why), p, why);
	return why->code == PROBLEM_NONE;
}

bool store_session_end(struct store *store, const char *token_hash, struct problem *why)
{
	people_changed();
	return sql_run(store, "DELETE FROM session WHERE token_hash = $1",
		(struct value[]){ value_text(token_hash) }, 1, why);
}

bool store_sessions_end_of(struct store *store, int64_t person_id, struct problem *why)
{
	people_changed();
	return sql_run(store, "DELETE FROM session WHERE person_id = $1",
		(struct value[]){ value_integer(person_id) }, 1, why);
}

bool store_sessions_end_before(struct store *store, int64_t now_ms, struct problem *why)
{
	return sql_run(store, "DELETE FROM session WHERE ends_at_ms <= $1",
		(struct value[]){ value_integer(now_ms) }, 1, why);
}

static const struct list_column person_columns[] = {
	{ { "id", "Number", NULL, CELL_INTEGER }, "p.id" },
	{ { "login", "Sign-in name", NULL, CELL_TEXT }, "p.login" },
	{ { "name", "Name", NULL, CELL_TEXT, .width = 30 }, "f.name" },
	{ { "role", "Role", NULL, CELL_WORD, &role_words }, "f.role" },
	{ { "active", "May sign in", NULL, CELL_FLAG }, "f.active" },
};
static const struct list_sort person_sorts[] = {
	{ "name", "by name", { "f.name" }, { true } },
};
const struct list person_list = {
	.name = "people", .title = "People", .summary = "Who signs in, and in which role.",
	.from = "person p JOIN person_fact f ON f.person_id = p.id", .where = NEWEST, .id = "p.id",
	.columns = person_columns, .n_columns = COUNT(person_columns),
	.sorts = person_sorts, .n_sorts = 1,
};
