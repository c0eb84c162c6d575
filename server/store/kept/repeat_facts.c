#include "store/kept/repeat_facts.h"

#include <stdlib.h>

#include "store/sql.h"

#define NOT_REPLACED "NOT " SQL_REPLACED("failure", NOUN_FAILURE, "f.id")

/* Makes room for one more; at the end or after trouble the list is given up. */
static bool grow(void **all, size_t count, size_t size, sqlite3_stmt *rows,
	struct problem *trouble)
{
	if (array_grow(all, count, size, trouble)) {
		return true;
	}
	sql_done(rows);
	return false;
}

static bool finish(void **all, const struct problem *trouble, struct problem *why)
{
	if (trouble->code == PROBLEM_NONE) {
		return true;
	}
	free(*all);
	*all = NULL;
	*why = *trouble;
	return false;
}

static void read_fact(sqlite3_stmt *row, struct failure_fact *fact)
{
	*fact = (struct failure_fact){ .id = sqlite3_column_int64(row, 0),
		.bond_id = sqlite3_column_int64(row, 1), .bond_end = column_word(row, 2),
		.found_day = column_day(row, 3), .mode = column_word(row, 4),
		.method = column_word(row, 5), .here = sqlite3_column_int(row, 9) != 0,
		.attachment_id = sqlite3_column_int64(row, 10),
		.distance_mm = sqlite3_column_int64(row, 11),
		.of_group = sqlite3_column_int(row, 12) != 0 };
	if (fact->mode == FAILURE_MODE_NOT_STATED) {
		fact->mode = -1;
	}
	if (fact->method == ATTACH_NOT_KNOWN) {
		fact->method = -1;
	}
	column_text(row, 6, fact->kit, sizeof fact->kit);
	column_text(row, 7, fact->batch, sizeof fact->batch);
	column_text(row, 8, fact->person, sizeof fact->person);
}

#define PERSON_OF_A "coalesce(a.person_name, (SELECT p.name FROM person_fact p " \
	"WHERE p.person_id = a.person_id ORDER BY p.version DESC LIMIT 1))"

#define FACTS_BY(states) "SELECT f.id, f.bond_id, f.bond_end, f.found_day, f.mode, a.method, " \
	"k.code, a.batch, " PERSON_OF_A ", coalesce(s.place_id = $1, 0), a.id, f.distance_mm, " \
	"f.track_id IS NOT DISTINCT FROM $2 AND f.rail IS NOT DISTINCT FROM $3 FROM failure f " \
	"LEFT JOIN " states " s ON s.failure_id = f.id " \
	"LEFT JOIN attachment a ON a.id = (SELECT t.id FROM attachment t " \
	"WHERE t.bond_id = f.bond_id AND t.bond_end = coalesce(f.bond_end, 0) " \
	"AND t.made_day < f.found_day " \
	"AND NOT " SQL_REPLACED("attachment", NOUN_ATTACHMENT, "t.id") " " \
	"ORDER BY t.made_day DESC, t.id DESC LIMIT 1) " \
	"LEFT JOIN kit k ON k.id = a.kit_id " \
	"WHERE f.line_id = $4 AND " NOT_REPLACED " ORDER BY f.id"

bool store_failure_facts(struct store *store, const struct repeat_row *place,
	struct failure_fact **all, size_t *count, struct problem *why)
{
	static const char kept[] = FACTS_BY("failure_state"), tried[] = FACTS_BY("tried_failure");
	const struct value values[] = { value_integer(place->id), value_id(place->group.track_id),
		value_word(place->group.rail), value_integer(place->group.line_id) };
	struct problem trouble = { 0 };
	sqlite3_stmt *rows = sql_select(store, place->is_tried ? tried : kept, values, 4,
		&trouble);

	*all = NULL;
	*count = 0;
	while (sql_row(store, rows, &trouble) &&
		grow((void **)all, *count, sizeof **all, rows, &trouble)) {
		read_fact(rows, &(*all)[(*count)++]);
	}
	return finish((void **)all, &trouble, why);
}

bool store_spot_facts(struct store *store, int64_t bond_id, int bond_end, struct spot_fact **all,
	size_t *count, struct problem *why)
{
	static const char sql[] = "SELECT t.id, t.made_day, t.offset_mm FROM attachment t "
		"WHERE t.bond_id = $1 AND t.bond_end = $2 AND t.offset_mm IS NOT NULL "
		"AND NOT " SQL_REPLACED("attachment", NOUN_ATTACHMENT, "t.id") " "
		"ORDER BY t.made_day, t.id";
	const struct value values[] = { value_integer(bond_id), value_integer(bond_end) };
	struct problem trouble = { 0 };
	sqlite3_stmt *rows = sql_select(store, sql, values, 2, &trouble);

	*all = NULL;
	*count = 0;
	while (sql_row(store, rows, &trouble) &&
		grow((void **)all, *count, sizeof **all, rows, &trouble)) {
		(*all)[(*count)++] = (struct spot_fact){ sqlite3_column_int64(rows, 0),
			column_day(rows, 1), sqlite3_column_int64(rows, 2) };
	}
	return finish((void **)all, &trouble, why);
}

bool store_group_ends(struct store *store, const struct failure_group *group, int64_t **all,
	size_t *count, struct problem *why)
{
	static const char sql[] = "SELECT e.distance_mm FROM bond_state s JOIN end_fact e "
		"ON e.bond_id = s.bond_id AND e.version = s.version WHERE s.line_id = $1 "
		"AND s.surveyed = 1 AND ($2 IS NULL OR e.track_id = $2) AND ($3 IS NULL OR e.rail = $3) "
		"ORDER BY e.distance_mm";
	const struct value values[] = { value_integer(group->line_id), value_id(group->track_id),
		value_word(group->rail) };
	struct problem trouble = { 0 };
	sqlite3_stmt *rows = sql_select(store, sql, values, 3, &trouble);

	*all = NULL;
	*count = 0;
	while (sql_row(store, rows, &trouble) &&
		grow((void **)all, *count, sizeof **all, rows, &trouble)) {
		(*all)[(*count)++] = sqlite3_column_int64(rows, 0);
	}
	return finish((void **)all, &trouble, why);
}

bool store_groups_with(struct store *store, int64_t least, size_t *count, struct problem *why)
{
	static const char sql[] = "SELECT count(*) FROM (SELECT 1 FROM failure f WHERE " NOT_REPLACED
		" GROUP BY f.line_id, f.track_id, f.rail HAVING count(*) >= $1) AS groups";
	int64_t found = 0;
	struct problem trouble = { 0 };

	if (!sql_integer(store, sql, (struct value[]){ value_integer(least) }, 1, 0, &found,
		&trouble)) {
		*why = trouble;
		return false;
	}
	*count = (size_t)found;
	return true;
}

static void read_job(sqlite3_stmt *row, struct job_fact *job)
{
	*job = (struct job_fact){ .attachment_id = sqlite3_column_int64(row, 0),
		.made_day = column_day(row, 1), .distance_mm = sqlite3_column_int64(row, 2),
		.method = column_word(row, 3) };
	if (job->method == ATTACH_NOT_KNOWN) {
		job->method = -1;
	}
	column_text(row, 4, job->kit, sizeof job->kit);
	column_text(row, 5, job->batch, sizeof job->batch);
	column_text(row, 6, job->person, sizeof job->person);
}

bool store_job_facts(struct store *store, int64_t line_id, struct job_fact **all, size_t *count,
	struct problem *why)
{
	static const char sql[] = "SELECT a.id, a.made_day, e.distance_mm, a.method, k.code, a.batch, "
		PERSON_OF_A " FROM bond_state s JOIN attachment a ON a.bond_id = s.bond_id "
		"JOIN end_fact e ON e.bond_id = s.bond_id AND e.version = s.version "
		"AND e.bond_end = a.bond_end LEFT JOIN kit k ON k.id = a.kit_id "
		"WHERE s.line_id = $1 AND NOT " SQL_REPLACED("attachment", NOUN_ATTACHMENT, "a.id") " "
		"ORDER BY a.made_day, e.distance_mm, a.id";
	const struct value values[] = { value_integer(line_id) };
	struct problem trouble = { 0 };
	sqlite3_stmt *rows = sql_select(store, sql, values, 1, &trouble);

	*all = NULL;
	*count = 0;
	while (sql_row(store, rows, &trouble) &&
		grow((void **)all, *count, sizeof **all, rows, &trouble)) {
		read_job(rows, &(*all)[(*count)++]);
	}
	return finish((void **)all, &trouble, why);
}
