#include "store/record/book.h"

#include <stdlib.h>

#include "store/kept/judgement.h"
#include "store/record/doer.h"
#include "store/sql.h"

#define COUNT(array) (sizeof (array) / sizeof (array)[0])

bool store_import_next(struct store *store, int64_t *id, struct problem *why)
{
	return sql_integer(store, "SELECT max(coalesce((SELECT max(id) FROM import), 0), coalesce("
		"(SELECT max(import_id) FROM import_begun), 0)) + 1", NULL, 0, 1, id, why);
}

bool store_import_insert(struct store *store, struct import_row *r, const struct origin *origin,
	struct problem *why)
{
	static const char sql[] = "INSERT INTO import (id, kind, file_name, file_hash, settings, "
		"rows_read, rows_added, rows_already, rows_left_out, recorded_at_ms, recorded_by) "
		"VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11)";
	const struct value values[] = { value_id(r->id), value_text(r->kind), value_text(r->file_name),
		value_text(r->file_hash), value_text(r->settings), value_integer(r->rows_read),
		value_integer(r->rows_added), value_integer(r->rows_already),
		value_integer(r->rows_left_out), value_integer(origin->now_ms),
		value_id(origin->person_id) };

	if (!sql_run(store, sql, values, COUNT(values), why)) {
		return false;
	}
	r->id = sql_last_id(store);
	return true;
}

bool store_inspection_last(struct store *store, int64_t *id, struct problem *why)
{
	return sql_integer(store, "SELECT coalesce(max(id), 0) FROM inspection", NULL, 0, 0, id, why);
}

bool store_readings_since(struct store *store, int64_t inspection_id, unsigned far_below_bits,
	struct readings_since *to, struct problem *why)
{
	static const char sql[] = "SELECT asked, meter FROM reading_state WHERE inspection_id > $1";
	sqlite3_stmt *rows = sql_select(store, sql, (struct value[]){ value_integer(inspection_id) }, 1,
		why);

	*to = (struct readings_since){ 0 };
	while (sql_row(store, rows, why)) {
		unsigned asked = (unsigned)sqlite3_column_int(rows, 0);

		to->asked += asked != 0;
		to->far_below += (asked & far_below_bits) != 0;
		to->without_meter += sqlite3_column_int(rows, 1) == METER_NOT_RECORDED;
	}
	return why->code == PROBLEM_NONE;
}

bool store_mapping_get(struct store *store, const char *name, int64_t *version, char **kind,
	char **settings, struct problem *why)
{
	static const char sql[] = "SELECT version, kind, settings FROM import_mapping WHERE name = $1 "
		"ORDER BY version DESC LIMIT 1";
	sqlite3_stmt *row = sql_select(store, sql, (struct value[]){ value_text(name) }, 1, why);

	*version = 0;
	*kind = *settings = NULL;
	if (sql_row(store, row, why)) {
		*version = sqlite3_column_int64(row, 0);
		*kind = column_dup(row, 1);
		*settings = column_dup(row, 2);
		sql_done(row);
	}
	return why->code == PROBLEM_NONE;
}

bool store_mapping_insert(struct store *store, const char *name, int64_t version,
	const char *kind, const char *settings, const struct origin *origin, struct problem *why)
{
	static const char sql[] = "INSERT INTO import_mapping (name, version, kind, settings, "
		"recorded_at_ms, recorded_by) VALUES ($1, $2, $3, $4, $5, $6)";
	const struct value values[] = { value_text(name), value_integer(version), value_text(kind),
		value_text(settings), value_integer(origin->now_ms), value_id(origin->person_id) };

	return sql_run(store, sql, values, 6, why);
}

bool store_mark_get(struct store *store, const char *name, int64_t *value, struct problem *why)
{
	static const char sql[] = "SELECT value FROM derived_mark WHERE name = $1";

	return sql_integer(store, sql, (struct value[]){ value_text(name) }, 1, 0, value, why);
}

bool store_mark_put(struct store *store, const char *name, int64_t value, struct problem *why)
{
	static const char sql[] = "INSERT INTO derived_mark (name, value) VALUES ($1, $2) "
		"ON CONFLICT (name) DO UPDATE SET value = excluded.value";
	const struct value values[] = { value_text(name), value_integer(value) };

	return sql_run(store, sql, values, 2, why);
}

bool store_repeat_forget(struct store *store, struct problem *why)
{
	/* rows that rebuild writes over stay: bonds are found by their label in bond_state */
	static const char *const all[] = { "UPDATE failure_state SET place_id = NULL",
		"DELETE FROM repeat_place" };

	for (size_t i = 0; i < COUNT(all); i++) {
		if (!sql_run(store, all[i], NULL, 0, why)) {
			return false;
		}
	}
	return true;
}

static const char *const standing_code[] = { "counts", "under_way", "ended", "being_withdrawn" };
static const char *const standing_title[] = { "counts", "under way",
	"ended: nothing of it counts", "being withdrawn: it counts until that is done" };
const struct words import_standing_words = { "import_standing", standing_code, standing_title, 4 };

/* With those that have no row yet, or never will. */
#define IMPORTS "(SELECT id, kind, file_name, settings, rows_read, rows_added, rows_already, " \
	"rows_left_out, recorded_at_ms, recorded_by, CASE WHEN EXISTS (SELECT 1 " \
	"FROM withdrawal_begun g WHERE g.import_id = import.id AND NOT EXISTS (SELECT 1 " \
	"FROM withdrawal c WHERE c.uuid = g.uuid)) THEN 3 ELSE 0 END AS standing, " \
	"NULL AS ended_because FROM import UNION ALL SELECT b.import_id, b.kind, b.file_name, " \
	"b.settings, b.rows_read, " \
	"0, 0, 0, b.recorded_at_ms, b.recorded_by, (e.import_id IS NOT NULL OR EXISTS " \
	"(SELECT 1 FROM withdrawal w WHERE w.noun = " NOUN_IMPORT " AND w.row_id = b.import_id)) " \
	"+ 1, e.reason FROM import_begun b LEFT JOIN import_ended e ON e.import_id = b.import_id " \
	"WHERE NOT EXISTS (SELECT 1 FROM import m WHERE m.id = b.import_id)) i"

static const struct list_column import_columns[] = {
	{ { "id", "Import", NULL, CELL_INTEGER }, "i.id" },
	{ { "kind", "Kind", NULL, CELL_TEXT }, "i.kind" },
	{ { "file_name", "File", NULL, CELL_TEXT, .width = 30 }, "i.file_name" },
	{ { "rows", "Rows", NULL, CELL_INTEGER }, "i.rows_read" },
	{ { "added", "Added", NULL, CELL_INTEGER }, "i.rows_added" },
	{ { "already", "There before", NULL, CELL_INTEGER }, "i.rows_already" },
	{ { "left_out", "Left out", NULL, CELL_INTEGER }, "i.rows_left_out" },
	{ { "standing", "Standing", NULL, CELL_WORD, &import_standing_words }, "i.standing" },
	{ { "ended_because", "Why it was ended", NULL, CELL_TEXT, .width = 40 }, "i.ended_because" },
	{ { "withdrawn", "Withdrawn", NULL, CELL_FLAG }, "EXISTS (SELECT 1 FROM withdrawal w "
	  "WHERE w.noun = " NOUN_IMPORT " AND w.row_id = i.id)" },
	{ { "row_meant", "A row meant", NULL, CELL_TEXT },
	  "coalesce(CASE " SQL_ROW_MEANT("i.id") " WHEN 0 THEN 'both_seen' WHEN 1 THEN "
	  "'measured_only' WHEN 2 THEN 'not_known' END, json_extract(i.settings, '$.row_meant'))" },
	COLUMNS_OF_ENTRY("i"),
};
static const struct list_sort import_sorts[] = {
	{ "newest", "newest first", { "i.recorded_at_ms" }, .descending = true },
};
const struct list import_list = {
	.name = "imports", .title = "Imports", .summary = "Files taken in, and what came of them.",
	.from = IMPORTS, .id = "i.id",
	.columns = import_columns, .n_columns = COUNT(import_columns),
	.sorts = import_sorts, .n_sorts = 1,
};

static const struct list_column mapping_columns[] = {
	{ { "name", "Name", NULL, CELL_TEXT, .width = 30 }, "m.name" },
	{ { "kind", "Kind", NULL, CELL_TEXT }, "m.kind" },
	{ { "version", "Version", NULL, CELL_INTEGER }, "m.version" },
	COLUMNS_OF_ENTRY("m"),
};
static const struct list_sort mapping_sorts[] = {
	{ "name", "by name", { "m.name" }, { true } },
};
const struct list mapping_list = {
	.name = "import-mappings", .title = "Saved mappings",
	.summary = "How the columns of a kind of file are read.",
	.from = "import_mapping m",
	.where = "NOT EXISTS (SELECT 1 FROM import_mapping n WHERE n.name = m.name "
		"AND n.version > m.version)",
	.id = "m.version",
	.columns = mapping_columns, .n_columns = COUNT(mapping_columns),
	.sorts = mapping_sorts, .n_sorts = 1,
};
