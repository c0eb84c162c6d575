#include <stdlib.h>

#include "store/record/failure.h"
#include "store/sql.h"

#define COUNT(array) (sizeof (array) / sizeof (array)[0])
#define NOT_REPLACED "NOT " SQL_REPLACED("failure", NOUN_FAILURE, "f.id")

/* What was read of a list that failed is given back. */
static bool finish_read(void **all, const struct problem *why)
{
	if (why->code != PROBLEM_NONE) {
		free(*all);
		*all = NULL;
	}
	return why->code == PROBLEM_NONE;
}

bool store_group_failures(struct store *store, const struct failure_group *group,
	struct repeat_failure **all, size_t *count, struct problem *why)
{
	static const char sql[] = "SELECT f.id, f.found_day, f.distance_mm FROM failure f "
		"WHERE f.line_id = $1 AND f.track_id IS NOT DISTINCT FROM $2 "
		"AND f.rail IS NOT DISTINCT FROM $3 AND " NOT_REPLACED " ORDER BY f.id";
	const struct value values[] = { value_integer(group->line_id), value_id(group->track_id),
		value_word(group->rail) };
	sqlite3_stmt *rows = sql_select(store, sql, values, 3, why);

	*all = NULL;
	*count = 0;
	while (sql_row(store, rows, why)) {
		if (!array_grow((void **)all, *count, sizeof **all, why)) {
			sql_done(rows);
			break;
		}
		(*all)[(*count)++] = (struct repeat_failure){ sqlite3_column_int64(rows, 0),
			sqlite3_column_int(rows, 1), sqlite3_column_int64(rows, 2) };
	}
	return finish_read((void **)all, why);
}

bool store_failure_groups(struct store *store, int64_t line_id, struct failure_group **all,
	size_t *count, struct problem *why)
{
	static const char of_all[] = "SELECT DISTINCT line_id, track_id, rail FROM failure "
		"ORDER BY line_id, track_id, rail";
	static const char of_line[] = "SELECT DISTINCT line_id, track_id, rail FROM failure "
		"WHERE line_id = $1 ORDER BY track_id, rail";
	sqlite3_stmt *rows = sql_select(store, line_id != 0 ? of_line : of_all,
		(struct value[]){ value_integer(line_id) }, line_id != 0 ? 1 : 0, why);

	*all = NULL;
	*count = 0;
	while (sql_row(store, rows, why)) {
		if (!array_grow((void **)all, *count, sizeof **all, why)) {
			sql_done(rows);
			break;
		}
		(*all)[(*count)++] = (struct failure_group){ sqlite3_column_int64(rows, 0),
			sqlite3_column_int64(rows, 1), column_word(rows, 2) };
	}
	return finish_read((void **)all, why);
}

bool store_repeat_clear(struct store *store, const struct failure_group *group,
	struct problem *why)
{
	static const char loosen[] = "UPDATE failure_state SET place_id = NULL WHERE place_id IN "
		"(SELECT p.id FROM repeat_place p WHERE p.line_id = $1 "
		"AND p.track_id IS NOT DISTINCT FROM $2 AND p.rail IS NOT DISTINCT FROM $3)";
	static const char drop[] = "DELETE FROM repeat_place WHERE line_id = $1 "
		"AND track_id IS NOT DISTINCT FROM $2 AND rail IS NOT DISTINCT FROM $3";
	const struct value values[] = { value_integer(group->line_id), value_id(group->track_id),
		value_word(group->rail) };

	return sql_run(store, loosen, values, 3, why) && sql_run(store, drop, values, 3, why);
}

#define PUT_PLACE(table) "INSERT INTO " table " (id, line_id, track_id, rail, from_mm, to_mm, " \
	"chainage_from, chainage_to, failures, first_day, last_day, rulebook_version) " \
	"VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12)"

static bool put_place(struct store *store, const char *sql, const struct repeat_row *r,
	struct problem *why)
{
	const struct value values[] = { value_integer(r->id), value_integer(r->group.line_id),
		value_id(r->group.track_id), value_word(r->group.rail), value_integer(r->from_mm),
		value_integer(r->to_mm), value_text(r->chainage_from), value_text(r->chainage_to),
		value_integer(r->failures), value_integer(r->first_day), value_integer(r->last_day),
		value_integer(r->rulebook_version) };

	return sql_run(store, sql, values, COUNT(values), why);
}

bool store_repeat_put(struct store *store, const struct repeat_row *r, struct problem *why)
{
	return put_place(store, PUT_PLACE("repeat_place"), r, why);
}

bool store_repeat_stand(struct store *store, int64_t line_id, int64_t rulebook_version,
	struct problem *why)
{
	return sql_run(store, "UPDATE repeat_place SET rulebook_version = $1 WHERE line_id = $2",
		(struct value[]){ value_integer(rulebook_version), value_integer(line_id) }, 2, why);
}

bool store_trial_begin(struct store *store, struct problem *why)
{
	return sql_run(store, "CREATE TEMPORARY TABLE tried_place (id INTEGER PRIMARY KEY, "
		"line_id INTEGER NOT NULL, track_id INTEGER, rail INTEGER, from_mm INTEGER NOT NULL, "
		"to_mm INTEGER NOT NULL, chainage_from TEXT NOT NULL, chainage_to TEXT NOT NULL, "
		"failures INTEGER NOT NULL, first_day INTEGER NOT NULL, last_day INTEGER NOT NULL, "
		"rulebook_version INTEGER NOT NULL)", NULL, 0, why) &&
		sql_run(store, "CREATE TEMPORARY TABLE tried_failure (failure_id INTEGER PRIMARY KEY, "
		"chainage TEXT NOT NULL, place_id INTEGER NOT NULL)", NULL, 0, why);
}

bool store_trial_put(struct store *store, const struct repeat_row *r, struct problem *why)
{
	return put_place(store, PUT_PLACE("tried_place"), r, why);
}

bool store_trial_member(struct store *store, int64_t failure_id, const char *chainage,
	int64_t place_id, struct problem *why)
{
	static const char sql[] = "INSERT INTO tried_failure (failure_id, chainage, place_id) "
		"VALUES ($1, $2, $3)";
	const struct value values[] = { value_integer(failure_id), value_text(chainage),
		value_integer(place_id) };

	return sql_run(store, sql, values, 3, why);
}

#define REPEAT_COLUMNS "SELECT id, line_id, track_id, rail, from_mm, to_mm, chainage_from, " \
	"chainage_to, failures, first_day, last_day, rulebook_version FROM repeat_place "

static void read_repeat(sqlite3_stmt *row, struct repeat_row *r)
{
	*r = (struct repeat_row){ .id = sqlite3_column_int64(row, 0),
		.group = { sqlite3_column_int64(row, 1), sqlite3_column_int64(row, 2),
		column_word(row, 3) }, .from_mm = sqlite3_column_int64(row, 4),
		.to_mm = sqlite3_column_int64(row, 5), .failures = sqlite3_column_int64(row, 8),
		.first_day = sqlite3_column_int(row, 9), .last_day = sqlite3_column_int(row, 10),
		.rulebook_version = sqlite3_column_int64(row, 11) };
	column_text(row, 6, r->chainage_from, sizeof r->chainage_from);
	column_text(row, 7, r->chainage_to, sizeof r->chainage_to);
}

bool store_repeat_of_group(struct store *store, const struct failure_group *group,
	struct repeat_row **all, size_t *count, struct problem *why)
{
	static const char sql[] = REPEAT_COLUMNS "WHERE line_id = $1 "
		"AND track_id IS NOT DISTINCT FROM $2 AND rail IS NOT DISTINCT FROM $3 ORDER BY id";
	const struct value values[] = { value_integer(group->line_id), value_id(group->track_id),
		value_word(group->rail) };
	sqlite3_stmt *rows = sql_select(store, sql, values, 3, why);

	*all = NULL;
	*count = 0;
	while (sql_row(store, rows, why)) {
		if (!array_grow((void **)all, *count, sizeof **all, why)) {
			sql_done(rows);
			break;
		}
		read_repeat(rows, &(*all)[(*count)++]);
	}
	return finish_read((void **)all, why);
}

bool store_repeat_get(struct store *store, int64_t id, struct repeat_row *row, struct problem *why)
{
	static const char sql[] = REPEAT_COLUMNS "WHERE id = $1";
	sqlite3_stmt *found = sql_select(store, sql, (struct value[]){ value_integer(id) }, 1,
		why);

	if (!sql_row(store, found, why)) {
		if (why->code == PROBLEM_NONE) {
			problem_set(why, PROBLEM_NOT_FOUND, NULL, "There is no repeat place %lld.",
				(long long)id);
		}
		return false;
	}
	read_repeat(found, row);
	sql_done(found);
	return true;
}

bool store_failure_state_put(struct store *store, int64_t failure_id, const char *chainage,
	int64_t place_id, struct problem *why)
{
	static const char sql[] = "INSERT INTO failure_state (failure_id, chainage, place_id) "
		"VALUES ($1, $2, $3) ON CONFLICT (failure_id) DO UPDATE SET "
		"chainage = excluded.chainage, place_id = excluded.place_id";
	const struct value values[] = { value_integer(failure_id), value_text(chainage),
		value_id(place_id) };

	return sql_run(store, sql, values, 3, why);
}

bool store_failure_state_get(struct store *store, int64_t failure_id, char *chainage,
	int64_t *place_id, struct problem *why)
{
	static const char sql[] = "SELECT chainage, place_id FROM failure_state WHERE failure_id = $1";
	sqlite3_stmt *row = sql_select(store, sql, (struct value[]){ value_integer(failure_id) }, 1,
		why);

	chainage[0] = '\0';
	*place_id = 0;
	if (sql_row(store, row, why)) {
		column_text(row, 0, chainage, CHAINAGE_SIZE);
		*place_id = sqlite3_column_int64(row, 1);
		sql_done(row);
	}
	return why->code == PROBLEM_NONE;
}

static const struct list_column repeat_columns[] = {
	{ { "id", "Place", NULL, CELL_INTEGER }, "p.id" },
	{ { "line_id", "Line number", NULL, CELL_INTEGER }, "p.line_id" },
	{ { "line", "Line", NULL, CELL_TEXT }, "l.code" },
	{ { "track", "Track", NULL, CELL_TEXT }, "t.name" },
	{ { "rail", "Rail", NULL, CELL_WORD, &rail_words }, "p.rail" },
	{ { "chainage_from", "From", NULL, CELL_TEXT }, "p.chainage_from" },
	{ { "chainage_to", "To", NULL, CELL_TEXT }, "p.chainage_to" },
	{ { "from_mm", "From", "mm", CELL_INTEGER }, "p.from_mm" },
	{ { "to_mm", "To", "mm", CELL_INTEGER }, "p.to_mm" },
	{ { "span_mm", "Span", "mm", CELL_INTEGER }, "p.to_mm - p.from_mm" },
	{ { "count", "Failures", NULL, CELL_INTEGER }, "p.failures" },
	{ { "first_day", "First", NULL, CELL_DAY }, "p.first_day" },
	{ { "last_day", "Last", NULL, CELL_DAY }, "p.last_day" },
	{ { "days_apart", "From first to last", "days", CELL_INTEGER }, "p.last_day - p.first_day" },
};
static const struct list_filter repeat_filters[] = {
	{ "line", "Line", FILTER_ID, "p.line_id = {value}" },
	{ "lines", "Lines, by code", FILTER_TEXTS, "l.code = {value}" },
	{ "least", "At least so many failures", FILTER_INTEGER, "p.failures >= {value}" },
	{ "since", "Still failing on or after", FILTER_DAY, "p.last_day >= {value}" },
	{ "window_m", "Another window than the rulebook's, in metres", FILTER_REAL },
	{ "period_months", "Another period than the rulebook's, in months", FILTER_INTEGER },
};
static const struct list_sort repeat_sorts[] = {
	{ "worst", "most failures first", { "p.failures", "p.last_day" }, .descending = true },
	{ "newest", "newest failure first", { "p.last_day" }, .descending = true },
	{ "place", "along the line", { "p.line_id", "p.from_mm" } },
};
static const struct list_total repeat_totals[] = { { "places", "1" } };
#define LIST_OF(table) { \
	.name = "repeat-places", .title = "Repeat places", \
	.summary = "Places where bonds keep failing, by the rulebook's window and period.", \
	.from = table " p JOIN line l ON l.id = p.line_id LEFT JOIN track t ON t.id = p.track_id", \
	.id = "p.id", \
	.columns = repeat_columns, .n_columns = COUNT(repeat_columns), \
	.filters = repeat_filters, .n_filters = COUNT(repeat_filters), \
	.sorts = repeat_sorts, .n_sorts = COUNT(repeat_sorts), \
	.totals = repeat_totals, .n_totals = COUNT(repeat_totals), \
	.is_slow = true, \
}
const struct list repeat_list = LIST_OF("repeat_place");
const struct list repeat_trial_list = LIST_OF("tried_place");
