#include "store/record/person.h"

#include <stdatomic.h>

#include "store/sql.h"

#define COUNT(array) (sizeof (array) / sizeof (array)[0])

/* Changed and read by many threads; what is not on disk yet is known to the one that writes. */
static _Atomic uint64_t people_edition;
static bool people_change_written;

uint64_t store_people_edition(void)
{
	return atomic_load(&people_edition);
}

void store_people_changed(void)
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
	store_people_changed();
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

bool store_person_count(struct store *store, enum role role, int64_t *count, struct problem *why)
{
	static const char sql[] = "SELECT count(*) FROM person_fact f WHERE f.role = $1 AND "
		"f.active = 1 AND f.password_hash IS NOT NULL AND " NEWEST;

	return sql_integer(store, sql, (struct value[]){ value_integer(role) }, 1, 0, count, why);
}

static const struct list_column person_columns[] = {
	{ { "id", "Number", NULL, CELL_INTEGER }, "p.id" },
	{ { "login", "Sign-in name", NULL, CELL_TEXT }, "p.login" },
	{ { "name", "Name", NULL, CELL_TEXT, .width = 30 }, "f.name" },
	{ { "role", "Role", NULL, CELL_WORD, &role_words }, "f.role" },
	{ { "active", "May sign in", NULL, CELL_FLAG }, "f.active" },
	{ { "has_password", "Has a password", NULL, CELL_FLAG }, "f.password_hash IS NOT NULL" },
	{ { "has_second_factor", "Has a second factor", NULL, CELL_FLAG }, "EXISTS (SELECT 1 FROM "
	  "second_factor x WHERE x.person_id = p.id AND x.is_set = 1)" },
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
