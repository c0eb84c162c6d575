#include "store/record/withdrawal.h"

#include "store/lists/list.h"
#include "store/record/doer.h"
#include "store/record/imported.h"

#define COUNT(array) (sizeof (array) / sizeof (array)[0])

bool store_withdrawal_insert(struct store *store, struct withdrawal *w, const struct origin *origin,
	struct problem *why)
{
	static const char sql[] = "INSERT INTO withdrawal (uuid, content_hash, noun, row_id, bond_id, "
		"reason, recorded_at_ms, recorded_by) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)";
	const struct value values[] = { value_text(w->uuid), value_text(w->content_hash),
		value_integer(w->noun), value_integer(w->row_id), value_id(w->bond_id),
		value_text(w->reason), value_integer(origin->now_ms), value_id(origin->person_id) };

	if (!sql_run(store, sql, values, COUNT(values), why)) {
		return false;
	}
	w->id = sql_last_id(store);
	return true;
}

bool store_withdrawal_of(struct store *store, enum sent_noun noun, int64_t row_id, bool *there,
	struct problem *why)
{
	static const char sql[] = "SELECT count(*) FROM withdrawal WHERE noun = $1 AND row_id = $2";
	int64_t count = 0;
	bool ok = sql_integer(store, sql, (struct value[]){ value_integer(noun), value_integer(row_id) },
		2, 0, &count, why);

	*there = count > 0;
	return ok && (*there || store_withdrawn(store, noun, row_id, there, why));
}

bool store_withdrawn(struct store *store, enum sent_noun noun, int64_t row_id, bool *withdrawn,
	struct problem *why)
{
	static const char sql[] = "SELECT count(*) FROM correction_open o WHERE o.noun = $1 "
		"AND o.row_id = $2 AND o.withdrawn = 1 AND " SQL_STILL;
	int64_t count = 0;
	bool ok = sql_integer(store, sql, (struct value[]){ value_integer(noun), value_integer(row_id) },
		2, 0, &count, why);

	*withdrawn = count > 0;
	return ok;
}

bool store_bond_withdrawn(struct store *store, int64_t bond_id, struct withdrawn_word *to,
	struct problem *why)
{
	static const char sql[] = "SELECT w.id, w.recorded_at_ms, " NAME_OF("w.recorded_by") ", w.reason "
		"FROM withdrawal w JOIN bond b ON b.id = $1 WHERE (w.noun = " NOUN_BOND " AND w.row_id = b.id "
		"OR w.noun = " NOUN_IMPORT " AND w.row_id = b.import_id) AND EXISTS (SELECT 1 "
		"FROM correction_open o WHERE o.noun = " NOUN_BOND " AND o.row_id = b.id "
		"AND o.withdrawn = 1) ORDER BY w.id LIMIT 1";
	sqlite3_stmt *row = sql_select(store, sql, (struct value[]){ value_integer(bond_id) }, 1, why);

	*to = (struct withdrawn_word){ 0 };
	if (sql_row(store, row, why)) {
		to->id = sqlite3_column_int64(row, 0);
		to->at_ms = sqlite3_column_int64(row, 1);
		column_text(row, 2, to->person, sizeof to->person);
		column_text(row, 3, to->reason, sizeof to->reason);
		sql_done(row);
	}
	return why->code == PROBLEM_NONE;
}

#define OF_WITHDRAWAL "(SELECT w.row_id FROM withdrawal w WHERE w.id = $1 " \
	"AND w.noun = " NOUN_IMPORT ")"

bool store_withdrawal_count(struct store *store, int64_t id, struct problem *why)
{
	static const char one[] = "INSERT INTO correction_open (noun, row_id, bond_id, withdrawn) "
		"SELECT noun, row_id, coalesce(bond_id, 0), 1 FROM withdrawal WHERE id = $1 "
		"AND noun <> " NOUN_IMPORT " ON CONFLICT (noun, row_id) DO UPDATE SET withdrawn = 1, "
		"import_id = 0";
	/* (of one that does not count yet each is left out already) */
	static const char all[] = "INSERT INTO correction_open (noun, row_id, bond_id, withdrawn) "
		"SELECT e.noun, e.row_id, e.bond_id, 1 FROM (" IMPORTED(OF_WITHDRAWAL) ") e "
		"WHERE EXISTS (SELECT 1 FROM import i WHERE i.id = " OF_WITHDRAWAL ") "
		"ON CONFLICT (noun, row_id) DO UPDATE SET withdrawn = 1, import_id = 0";
	const struct value number = value_integer(id);

	return sql_run(store, one, &number, 1, why) && sql_run(store, all, &number, 1, why);
}

bool store_import_entries(struct store *store, int64_t import_id, bool *some, struct problem *why)
{
	static const char sql[] = "SELECT EXISTS (" IMPORTED("$1") ")";
	int64_t found = 0;
	bool ok = sql_integer(store, sql, (struct value[]){ value_integer(import_id) }, 1, 0, &found,
		why);

	*some = found != 0;
	return ok;
}

bool store_withdrawal_wait(struct store *store, int64_t id, struct problem *why)
{
	static const char sql[] = "DELETE FROM correction_open WHERE (noun, row_id) = "
		"(SELECT noun, row_id FROM withdrawal WHERE id = $1)";

	return sql_run(store, sql, (struct value[]){ value_integer(id) }, 1, why);
}

#define ENTRY_UUID "CASE w.noun WHEN 0 THEN (SELECT uuid FROM inspection WHERE id = w.row_id) " \
	"WHEN 1 THEN (SELECT uuid FROM failure WHERE id = w.row_id) " \
	"WHEN 2 THEN (SELECT uuid FROM repair WHERE id = w.row_id) " \
	"WHEN 3 THEN (SELECT uuid FROM deferral WHERE id = w.row_id) " \
	"WHEN 4 THEN (SELECT uuid FROM attachment WHERE id = w.row_id) " \
	"WHEN 5 THEN (SELECT uuid FROM ruling WHERE id = w.row_id) " \
	"WHEN 9 THEN (SELECT uuid FROM kit_check WHERE id = w.row_id) " \
	"WHEN " NOUN_BRIDGE " THEN (SELECT uuid FROM bridge WHERE id = w.row_id) " \
	"WHEN " NOUN_BRIDGE_OFF " THEN (SELECT uuid FROM bridge_off WHERE id = w.row_id) " \
	"WHEN " NOUN_PHOTO " THEN (SELECT uuid FROM photo WHERE id = w.row_id) " \
	"WHEN " NOUN_FOUND " THEN (SELECT uuid FROM found_bond WHERE id = w.row_id) " \
	"WHEN " NOUN_FOUND_ANSWER " THEN (SELECT uuid FROM found_answer WHERE id = w.row_id) END"
_Static_assert(SENT_INSPECTION == 0 && SENT_FAILURE == 1 && SENT_REPAIR == 2 &&
	SENT_DEFERRAL == 3 && SENT_ATTACHMENT == 4 && SENT_RULING == 5 && SENT_KIT_CHECK == 9,
	"the statement above says so");

bool store_withdrawal_get(struct store *store, int64_t id, struct withdrawal *to,
	char entry_uuid[UUID_TEXT_SIZE], struct problem *why)
{
	static const char sql[] = "SELECT w.noun, w.row_id, coalesce(w.bond_id, 0), " ENTRY_UUID
		" FROM withdrawal w WHERE w.id = $1";
	sqlite3_stmt *row = sql_select(store, sql, (struct value[]){ value_integer(id) }, 1, why);

	*to = (struct withdrawal){ 0 };
	if (sql_row(store, row, why)) {
		*to = (struct withdrawal){ .id = id, .noun = (enum sent_noun)sqlite3_column_int(row, 0),
			.row_id = sqlite3_column_int64(row, 1), .bond_id = sqlite3_column_int64(row, 2) };
		column_text(row, 3, entry_uuid, UUID_TEXT_SIZE);
		sql_done(row);
	}
	return why->code == PROBLEM_NONE;
}

#define WAITS "EXISTS (SELECT 1 FROM correction_open o WHERE o.noun = " NOUN_WITHDRAWAL \
	" AND o.row_id = w.id)"

/* Words for what has no id of a sender's. */
#define WHAT "CASE w.noun WHEN " NOUN_IMPORT " THEN (SELECT i.file_name FROM import i " \
	"WHERE i.id = w.row_id) WHEN " NOUN_CALIBRATION " THEN (SELECT i.serial FROM calibration c " \
	"JOIN instrument i ON i.id = c.instrument_id WHERE c.id = w.row_id) WHEN " NOUN_CONDUCTOR \
	" THEN (SELECT c.area_mm2 || ' mm²' FROM conductor c WHERE c.id = w.row_id) WHEN " \
	NOUN_PROFILE " THEN (SELECT p.code FROM rail_profile p WHERE p.id = w.row_id) WHEN " NOUN_BOND \
	" THEN (SELECT v.label FROM bond_fact v WHERE v.bond_id = w.row_id ORDER BY v.version DESC " \
	"LIMIT 1) WHEN " NOUN_LINE " THEN (SELECT e.code FROM line e WHERE e.id = w.row_id) WHEN " \
	NOUN_TRACK " THEN (SELECT t.name FROM track t WHERE t.id = w.row_id) WHEN " NOUN_MAP \
	" THEN (SELECT e.code FROM line_map m JOIN line e ON e.id = m.line_id WHERE m.id = w.row_id) END"

#define OF_NUMBER "w.noun BETWEEN " NOUN_CALIBRATION " AND " NOUN_MARK

static const struct list_column columns[] = {
	{ { "uuid", "Withdrawal", NULL, CELL_TEXT, .width = 36 }, "w.uuid" },
	{ { "bond_id", "Bond number", NULL, CELL_INTEGER }, "w.bond_id" },
	{ { "label", "Bond", NULL, CELL_TEXT }, "s.label" },
	{ { "line", "Line", NULL, CELL_TEXT }, "l.code" },
	{ { "entry", "Withdrawn", NULL, CELL_WORD, &sent_noun_words }, "w.noun" },
	{ { "entry_id", "Its id", NULL, CELL_TEXT, .width = 36 }, ENTRY_UUID },
	{ { "import_id", "Import", NULL, CELL_INTEGER },
	  "CASE w.noun WHEN " NOUN_IMPORT " THEN w.row_id END" },
	{ { "entry_number", "Its number", NULL, CELL_INTEGER },
	  "CASE WHEN " OF_NUMBER " THEN w.row_id END" },
	{ { "what", "What it is of", NULL, CELL_TEXT, .width = 24 }, WHAT },
	{ { "reason", "Reason", NULL, CELL_TEXT, .width = 40 }, "w.reason" },
	{ { "waits", "Waits for an engineer", NULL, CELL_FLAG }, WAITS },
	{ { "under_way", "Under way", NULL, CELL_FLAG }, "w.id < 0" },
	COLUMNS_OF_ENTRY("w"),
};
#define FROM(withdrawals) withdrawals " w LEFT JOIN bond_state s ON s.bond_id = w.bond_id " \
	"LEFT JOIN line l ON l.id = s.line_id"
/* (one that was begun is found by who sent it) */
#define WITH_BEGUN "(SELECT id, uuid, noun, row_id, bond_id, reason, recorded_at_ms, " \
	"recorded_by FROM withdrawal UNION ALL SELECT -g.id, g.uuid, " NOUN_IMPORT ", g.import_id, " \
	"NULL, g.reason, g.recorded_at_ms, g.recorded_by FROM withdrawal_begun g " \
	"WHERE NOT EXISTS (SELECT 1 FROM withdrawal c WHERE c.uuid = g.uuid))"

static const struct list_filter filters[] = {
	{ "uuid", "Id", FILTER_TEXT, "w.uuid = {value}", .from = FROM(WITH_BEGUN) },
	{ "bond", "Bond", FILTER_ID, "w.bond_id = {value}" },
	{ "line", "Line", FILTER_ID, "s.line_id = {value}" },
	{ "entry", "Withdrawn", FILTER_WORD, "w.noun = {value}", .words = &sent_noun_words },
	{ "import", "Import", FILTER_ID, "w.noun = " NOUN_IMPORT " AND w.row_id = {value}" },
	{ "number", "Number of what was withdrawn", FILTER_ID, OF_NUMBER " AND w.row_id = {value}" },
	{ "waits", "Waits for an engineer", FILTER_FLAG, WAITS, .sql_no = "NOT " WAITS },
};
static const struct list_sort sorts[] = {
	{ "newest", "newest first", { "w.recorded_at_ms" }, .descending = true },
	{ "oldest", "oldest first", { "w.recorded_at_ms" } },
};
const struct list withdrawal_list = {
	.name = "withdrawals", .title = "Withdrawals",
	.summary = "Entries that were taken back, each with who did it and why. They stay readable and "
		"count for nothing.",
	.from = FROM("withdrawal"),
	.id = "w.id",
	.columns = columns, .n_columns = COUNT(columns),
	.filters = filters, .n_filters = COUNT(filters),
	.sorts = sorts, .n_sorts = COUNT(sorts),
};
