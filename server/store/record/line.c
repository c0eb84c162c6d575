#include "store/record/line.h"

#include <stdlib.h>

#include "base/array.h"
#include "store/record/doer.h"
#include "store/sql.h"

/* What a search finds the line by: its code, and its name from each word on. */
static bool add_words(struct store *store, int64_t line_id, struct problem *why)
{
	static const char sql[] = "INSERT INTO line_word (word, line_id) WITH RECURSIVE rest (words) AS ("
		"SELECT lower(" LINE_SAID("name") ") FROM line l WHERE l.id = $1 UNION ALL "
		"SELECT substr(words, instr(words, ' ') + 1) FROM rest WHERE instr(words, ' ') > 0) "
		"SELECT words, $1 FROM rest WHERE words <> '' UNION SELECT lower(code), $1 FROM line "
		"WHERE id = $1 ON CONFLICT DO NOTHING";

	return sql_run(store, sql, (struct value[]){ value_integer(line_id) }, 1, why);
}

bool store_line_insert(struct store *store, struct line *line, const struct origin *origin,
	struct problem *why)
{
	static const char sql[] = "INSERT INTO line (code, name, notation, electrification, "
		"recorded_at_ms, recorded_by, import_id) VALUES ($1, $2, $3, $4, $5, $6, $7)";
	const struct value values[] = { value_text(line->code), value_text(line->name),
		value_integer(line->notation), value_integer(line->electrification),
		value_integer(origin->now_ms), value_id(origin->person_id), value_id(origin->import_id) };

	if (!sql_run(store, sql, values, 7, why)) {
		return false;
	}
	line->id = sql_last_id(store);
	return add_words(store, line->id, why);
}

bool store_line_change(struct store *store, const struct line *line, const char *reason,
	const struct origin *origin, struct problem *why)
{
	static const char sql[] = "INSERT INTO line_fact (line_id, version, name, electrification, "
		"reason, recorded_at_ms, recorded_by, import_id) SELECT $1, coalesce(max(f.version), 1) + 1, "
		"$2, $3, $4, $5, $6, $7 FROM line_fact f WHERE f.line_id = $1";
	const struct value values[] = { value_integer(line->id), value_text(line->name),
		value_integer(line->electrification), value_text(reason), value_integer(origin->now_ms),
		value_id(origin->person_id), value_id(origin->import_id) };

	return sql_run(store, sql, values, 7, why) && add_words(store, line->id, why);
}

bool store_track_change(struct store *store, const struct track *track, const char *reason,
	const struct origin *origin, struct problem *why)
{
	static const char sql[] = "INSERT INTO track_word (track_id, version, left_label, right_label, "
		"reason, recorded_at_ms, recorded_by, import_id) SELECT $1, coalesce(max(w.version), 1) "
		"+ 1, $2, $3, $4, $5, $6, $7 FROM track_word w WHERE w.track_id = $1";
	const struct value values[] = { value_integer(track->id), value_text(track->left_label),
		value_text(track->right_label), value_text(reason), value_integer(origin->now_ms),
		value_id(origin->person_id), value_id(origin->import_id) };

	return sql_run(store, sql, values, 7, why);
}

bool store_track_insert(struct store *store, struct track *track, const struct origin *origin,
	struct problem *why)
{
	static const char sql[] = "INSERT INTO track (line_id, name, left_label, right_label, "
		"recorded_at_ms, recorded_by, import_id) VALUES ($1, $2, $3, $4, $5, $6, $7)";
	const struct value values[] = { value_integer(track->line_id), value_text(track->name),
		value_text(track->left_label), value_text(track->right_label),
		value_integer(origin->now_ms), value_id(origin->person_id), value_id(origin->import_id) };

	if (!sql_run(store, sql, values, 7, why)) {
		return false;
	}
	track->id = sql_last_id(store);
	return true;
}

bool store_line_get(struct store *store, int64_t id, struct line *line, struct problem *why)
{
	static const char sql[] =
		"SELECT l.id, l.code, " LINE_SAID("name") ", l.notation, " LINE_SAID("electrification")
		" FROM line l WHERE l.id = $1";
	sqlite3_stmt *row = sql_select(store, sql, (struct value[]){ value_integer(id) }, 1, why);

	if (!sql_row(store, row, why)) {
		if (why->code == PROBLEM_NONE) {
			problem_set(why, PROBLEM_NOT_FOUND, NULL, "There is no line %lld.", (long long)id);
		}
		return false;
	}
	line->id = sqlite3_column_int64(row, 0);
	column_text(row, 1, line->code, sizeof line->code);
	column_text(row, 2, line->name, sizeof line->name);
	line->notation = (enum notation)sqlite3_column_int(row, 3);
	line->electrification = (enum electrification)sqlite3_column_int(row, 4);
	sql_done(row);
	return true;
}

bool store_track_get(struct store *store, int64_t id, struct track *track, struct problem *why)
{
	static const char sql[] =
		"SELECT t.id, t.line_id, t.name, " TRACK_SAID("left_label") ", "
		TRACK_SAID("right_label") " FROM track t WHERE t.id = $1";
	sqlite3_stmt *row = sql_select(store, sql, (struct value[]){ value_integer(id) }, 1, why);

	if (!sql_row(store, row, why)) {
		if (why->code == PROBLEM_NONE) {
			problem_set(why, PROBLEM_NOT_FOUND, NULL, "There is no track %lld.", (long long)id);
		}
		return false;
	}
	track->id = sqlite3_column_int64(row, 0);
	track->line_id = sqlite3_column_int64(row, 1);
	column_text(row, 2, track->name, sizeof track->name);
	column_text(row, 3, track->left_label, sizeof track->left_label);
	column_text(row, 4, track->right_label, sizeof track->right_label);
	sql_done(row);
	return true;
}

bool store_line_places(struct store *store, int64_t line_id, struct line_place **all,
	size_t *count, struct problem *why)
{
	static const char sql[] = "SELECT label, chainage FROM bond_state WHERE line_id = $1 "
		"ORDER BY bond_id";
	sqlite3_stmt *rows = sql_select(store, sql, (struct value[]){ value_integer(line_id) }, 1, why);

	*all = NULL;
	*count = 0;
	while (sql_row(store, rows, why)) {
		struct line_place *p;

		if (!array_grow((void **)all, *count, sizeof **all, why)) {
			sql_done(rows);
			break;
		}
		p = &(*all)[(*count)++];
		column_text(rows, 0, p->label, sizeof p->label);
		column_text(rows, 1, p->chainage, sizeof p->chainage);
	}
	if (why->code != PROBLEM_NONE) {
		free(*all);
		*all = NULL;
	}
	return why->code == PROBLEM_NONE;
}

bool store_line_next(struct store *store, int64_t after, int64_t *id, struct problem *why)
{
	static const char sql[] = "SELECT min(id) FROM line WHERE id > $1";

	return sql_integer(store, sql, (struct value[]){ value_integer(after) }, 1, 0, id, why);
}

bool store_line_find(struct store *store, const char *code, int64_t *id, struct problem *why)
{
	static const char sql[] = "SELECT l.id FROM line l WHERE l.code = $1 AND " SQL_STANDS(NOUN_LINE, "l.id");

	return sql_integer(store, sql, (struct value[]){ value_text(code) }, 1, 0, id, why);
}

bool store_track_find(struct store *store, int64_t line_id, const char *name, int64_t *id,
	struct problem *why)
{
	static const char sql[] = "SELECT t.id FROM track t WHERE t.line_id = $1 AND t.name = $2 "
		"AND " SQL_STANDS(NOUN_TRACK, "t.id");

	return sql_integer(store, sql, (struct value[]){ value_integer(line_id), value_text(name) }, 2,
		0, id, why);
}

static const struct list_column line_columns[] = {
	{ { "id", "Number", NULL, CELL_INTEGER }, "l.id" },
	{ { "code", "Line", NULL, CELL_TEXT }, "l.code" },
	{ { "name", "Name", NULL, CELL_TEXT, .width = 30 }, LINE_SAID("name") },
	{ { "notation", "Notation", NULL, CELL_WORD, &notation_words }, "l.notation" },
	{ { "electrification", "Electrification", NULL, CELL_WORD, &electrification_words },
	  LINE_SAID("electrification") },
	{ { "tracks", "Tracks", NULL, CELL_INTEGER },
	  "(SELECT count(*) FROM track t WHERE t.line_id = l.id AND " SQL_STANDS(NOUN_TRACK, "t.id") ")" },
	{ { "bonds", "Bonds", NULL, CELL_INTEGER },
	  "(SELECT count(*) FROM bond_state s WHERE s.line_id = l.id)" },
	{ { "changed_because", "Why it was changed last", NULL, CELL_TEXT }, LINE_LAST("reason") },
	{ { "changed_by", "Changed by", NULL, CELL_TEXT, .width = 24 },
	  NAME_OF(LINE_LAST("recorded_by")) },
	{ { "changed_at", "Changed at", NULL, CELL_INSTANT }, LINE_LAST("recorded_at_ms") },
};
static const struct list_filter line_filters[] = {
	{ "q", "Line code begins with", FILTER_PREFIX, "l.code >= {value} AND l.code < {value_end}" },
	{ "electrification", "Electrification", FILTER_WORD, LINE_SAID("electrification") " = {value}",
	  .words = &electrification_words },
};
static const struct list_sort line_sorts[] = {
	{ "code", "by code", { "l.code" }, { true } },
};
const struct list line_list = {
	.name = "lines", .title = "Lines", .summary = "The railway's lines.",
	.from = "line l", .where = SQL_STANDS(NOUN_LINE, "l.id"), .id = "l.id",
	.columns = line_columns, .n_columns = sizeof line_columns / sizeof line_columns[0],
	.filters = line_filters, .n_filters = sizeof line_filters / sizeof line_filters[0],
	.sorts = line_sorts, .n_sorts = 1,
};

#define OF_TRACK(column) "(SELECT f." column " FROM track_fact f WHERE f.track_id = t.id " \
	"ORDER BY f.version DESC LIMIT 1)"

static const struct list_column track_columns[] = {
	{ { "id", "Number", NULL, CELL_INTEGER }, "t.id" },
	{ { "line_id", "Line number", NULL, CELL_INTEGER }, "t.line_id" },
	{ { "line", "Line", NULL, CELL_TEXT }, "l.code" },
	{ { "name", "Track", NULL, CELL_TEXT }, "t.name" },
	{ { "left_label", "Left rail", NULL, CELL_TEXT }, TRACK_SAID("left_label") },
	{ { "right_label", "Right rail", NULL, CELL_TEXT }, TRACK_SAID("right_label") },
	{ { "rail_profile", "Rail profile", NULL, CELL_TEXT }, OF_TRACK("rail_profile") },
	{ { "rail_between_joints_m", "Rail between joints", "m", CELL_REAL },
	  OF_TRACK("rail_between_joints_m") },
	{ { "own_map", "Has a chainage map of its own", NULL, CELL_FLAG },
	  "EXISTS (SELECT 1 FROM line_map m WHERE m.line_id = t.line_id AND m.track_id = t.id "
	  "AND " SQL_STANDS(NOUN_MAP, "m.id") ")" },
};
static const struct list_filter track_filters[] = {
	{ "line", "Line", FILTER_ID, "t.line_id = {value}" },
};
static const struct list_sort track_sorts[] = {
	{ "line", "by line and order of entry", { "t.line_id" } },
};
const struct list track_list = {
	.name = "tracks", .title = "Tracks", .summary = "The tracks of the lines.",
	.from = "track t JOIN line l ON l.id = t.line_id",
	.where = SQL_STANDS(NOUN_TRACK, "t.id") " AND " SQL_STANDS(NOUN_LINE, "l.id"), .id = "t.id",
	.columns = track_columns, .n_columns = sizeof track_columns / sizeof track_columns[0],
	.filters = track_filters, .n_filters = 1,
	.sorts = track_sorts, .n_sorts = 1,
};
