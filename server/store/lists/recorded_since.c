#include "store/record/withdrawal.h"

#include "store/lists/list.h"
#include "store/record/doer.h"
#include "store/record/imported.h"

#define COUNT(array) (sizeof (array) / sizeof (array)[0])

/* Entries of all kinds, whoever brought them; of a bond what was said of it. Which rows of each
 * kind, says CHOSEN(bond, at, import), by its columns for these. */
#define ENTRY(noun, table, day, CHOSEN) "SELECT " noun " AS noun, id, uuid, bond_id, " day " AS day, " \
	"recorded_at_ms, recorded_by, import_id FROM " table \
	CHOSEN("bond_id", "recorded_at_ms", "import_id")
#define ENTRIES(CHOSEN) ENTRY(NOUN_INSPECTION, "inspection", "day", CHOSEN) " UNION ALL " \
	ENTRY(NOUN_FAILURE, "failure", "found_day", CHOSEN) " UNION ALL " \
	ENTRY(NOUN_ATTACHMENT, "attachment", "made_day", CHOSEN) " UNION ALL SELECT " NOUN_REPAIR ", " \
	"r.id, r.uuid, f.bond_id, r.day, r.recorded_at_ms, r.recorded_by, r.import_id FROM repair r " \
	"JOIN failure f ON f.id = r.failure_id" CHOSEN("f.bond_id", "r.recorded_at_ms", "r.import_id") \
	" UNION ALL SELECT " NOUN_DEFERRAL ", id, uuid, bond_id, decided_day, recorded_at_ms, " \
	"recorded_by, NULL FROM deferral" CHOSEN("bond_id", "recorded_at_ms", "0") \
	" UNION ALL SELECT " NOUN_RULING ", id, uuid, bond_id, decided_day, recorded_at_ms, " \
	"recorded_by, NULL FROM ruling" CHOSEN("bond_id", "recorded_at_ms", "0") \
	" UNION ALL SELECT " NOUN_MARK ", id, NULL, bond_id, NULL, recorded_at_ms, recorded_by, NULL " \
	"FROM rail_mark" CHOSEN("bond_id", "recorded_at_ms", "0") " UNION ALL SELECT " NOUN_BOND ", " \
	"v.bond_id * 4096 + v.version, NULL, v.bond_id, NULL, v.recorded_at_ms, v.recorded_by, " \
	BROUGHT_BY " FROM bond_fact v" CHOSEN("v.bond_id", "v.recorded_at_ms", BROUGHT_BY)
#define BROUGHT_BY "CASE WHEN v.version = 1 THEN (SELECT b.import_id FROM bond b " \
	"WHERE b.id = v.bond_id) END"
/* The bonds that it brought, brought entries of, or brought the line, track or map of. */
#define BONDS_OF(import) "SELECT o.bond_id FROM (" IMPORTED(import) ") o UNION SELECT b.id FROM bond b " \
	"WHERE b.import_id = " import " UNION SELECT s.bond_id FROM bond_state s WHERE s.line_id IN " \
	"(SELECT l.id FROM line l WHERE l.import_id = " import " UNION SELECT t.line_id FROM track t " \
	"WHERE t.import_id = " import " UNION SELECT m.line_id FROM line_map m WHERE m.import_id = " \
	import ")"
/* (row by row it would be asked of all that was ever recorded) */
#define CHOSEN_ALL(bond, at, import) ""
#define CHOSEN_SINCE(bond, at, import) " WHERE " bond " IN (SELECT bond_id FROM brought) AND " at \
	" >= (SELECT at_ms FROM since) AND coalesce(" import ", 0) <> (SELECT id FROM since)"
#define ENTRIES_SINCE "WITH since AS MATERIALIZED (SELECT id, recorded_at_ms AS at_ms FROM import " \
	"WHERE id = {value}), brought AS MATERIALIZED (" BONDS_OF("(SELECT id FROM since)") ") " \
	ENTRIES(CHOSEN_SINCE)
/* (a withdrawn bond is in no list, and what was recorded of it stays readable) */
#define OF_BOND(column) "(SELECT " column " FROM bond_fact v JOIN line l ON l.id = v.line_id " \
	"WHERE v.bond_id = e.bond_id ORDER BY v.version DESC LIMIT 1)"

static const struct list_column since_columns[] = {
	{ { "entry", "Entry", NULL, CELL_WORD, &sent_noun_words }, "e.noun" },
	{ { "uuid", "Its id", NULL, CELL_TEXT, .width = 36 }, "e.uuid" },
	{ { "bond_id", "Bond number", NULL, CELL_INTEGER }, "e.bond_id" },
	{ { "label", "Bond", NULL, CELL_TEXT }, OF_BOND("v.label") },
	{ { "line", "Line", NULL, CELL_TEXT }, OF_BOND("l.code") },
	{ { "day", "Day", NULL, CELL_DAY }, "e.day" },
	{ { "withdrawn", "Withdrawn", NULL, CELL_FLAG }, "EXISTS (SELECT 1 FROM correction_open o "
	  "WHERE o.noun = e.noun AND o.row_id = e.id AND o.withdrawn = 1 AND " SQL_STILL ")" },
	COLUMNS_OF_ENTRY("e"),
};
static const struct list_filter since_filters[] = {
	{ "import", "After this import, on its bonds", FILTER_ID, .from = "(" ENTRIES_SINCE ") e" },
	{ "bond", "Bond", FILTER_ID, "e.bond_id = {value}" },
};
static const struct list_sort since_sorts[] = {
	{ "newest", "newest first", { "e.recorded_at_ms" }, .descending = true },
};
/* (nobody waits for all that was ever recorded, side by side) */
static const char *const of_what[] = { "import", "bond", NULL };
static const struct list_need since_needs[] = {
	{ NULL, of_what, "Of what? Send an import's number, or a bond's." }, { 0 }
};
static const struct list_total since_totals[] = { { "entries", "1" } };
const struct list recorded_since_list = {
	.name = "recorded-since", .title = "Recorded since",
	.summary = "Entries of all kinds as they arrived, of one bond; or of an import those that arrived "
		"after it on the bonds that it brought, or brought entries, lines, tracks or maps of.",
	.from = "(" ENTRIES(CHOSEN_ALL) ") e",
	.where = "e.bond_id IS NOT NULL AND NOT " SQL_OF_BEGUN("e.import_id"),
	.id = "e.id * 32 + e.noun",
	.columns = since_columns, .n_columns = COUNT(since_columns),
	.filters = since_filters, .n_filters = COUNT(since_filters),
	.sorts = since_sorts, .n_sorts = COUNT(since_sorts),
	.totals = since_totals, .n_totals = COUNT(since_totals), .needs = since_needs,
	.is_slow = true,              /* after the import of all bonds it is all that was recorded */
};
