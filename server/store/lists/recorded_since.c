#include "store/record/withdrawal.h"

#include "store/lists/list.h"
#include "store/record/doer.h"
#include "store/record/imported.h"

#define COUNT(array) (sizeof (array) / sizeof (array)[0])

/* Entries of all kinds, whoever brought them; of a bond what was said of it. */
#define ENTRY(noun, table, day) "SELECT " noun " AS noun, id, uuid, bond_id, " day " AS day, " \
	"recorded_at_ms, recorded_by, import_id FROM " table
#define ENTRIES ENTRY(NOUN_INSPECTION, "inspection", "day") " UNION ALL " \
	ENTRY(NOUN_FAILURE, "failure", "found_day") " UNION ALL " \
	ENTRY(NOUN_ATTACHMENT, "attachment", "made_day") " UNION ALL SELECT " NOUN_REPAIR ", r.id, " \
	"r.uuid, f.bond_id, r.day, r.recorded_at_ms, r.recorded_by, r.import_id FROM repair r " \
	"JOIN failure f ON f.id = r.failure_id UNION ALL SELECT " NOUN_DEFERRAL ", id, uuid, bond_id, " \
	"decided_day, recorded_at_ms, recorded_by, NULL FROM deferral UNION ALL SELECT " NOUN_RULING \
	", id, uuid, bond_id, decided_day, recorded_at_ms, recorded_by, NULL FROM ruling " \
	"UNION ALL SELECT " NOUN_MARK ", id, NULL, bond_id, NULL, recorded_at_ms, recorded_by, NULL " \
	"FROM rail_mark UNION ALL SELECT " NOUN_BOND ", v.bond_id * 4096 + v.version, NULL, v.bond_id, " \
	"NULL, v.recorded_at_ms, v.recorded_by, CASE WHEN v.version = 1 THEN (SELECT b.import_id " \
	"FROM bond b WHERE b.id = v.bond_id) END FROM bond_fact v"
/* The bonds that it brought, brought entries of, or brought the line, track or map of. */
#define BONDS_OF(import) "SELECT o.bond_id FROM (" IMPORTED(import) ") o UNION SELECT b.id FROM bond b " \
	"WHERE b.import_id = " import " UNION SELECT s.bond_id FROM bond_state s WHERE s.line_id IN " \
	"(SELECT l.id FROM line l WHERE l.import_id = " import " UNION SELECT t.line_id FROM track t " \
	"WHERE t.import_id = " import " UNION SELECT m.line_id FROM line_map m WHERE m.import_id = " \
	import ")"
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
	{ "import", "After this import, on its bonds", FILTER_ID,
	  "e.bond_id IN (" BONDS_OF("{value}") ") AND e.recorded_at_ms >= "
	  "(SELECT i.recorded_at_ms FROM import i WHERE i.id = {value}) "
	  "AND coalesce(e.import_id, 0) <> {value}" },
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
	.from = "(" ENTRIES ") e", 
	.where = "e.bond_id IS NOT NULL AND NOT " SQL_OF_BEGUN("e.import_id"),
	.id = "e.id * 32 + e.noun",
	.columns = since_columns, .n_columns = COUNT(since_columns),
	.filters = since_filters, .n_filters = COUNT(since_filters),
	.sorts = since_sorts, .n_sorts = COUNT(since_sorts),
	.totals = since_totals, .n_totals = COUNT(since_totals), .needs = since_needs,
};
