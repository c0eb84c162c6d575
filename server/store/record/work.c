#include "store/record/work.h"

#include "base/form.h"
#include "store/record/bond_row.h"
#include "store/record/doer.h"
#include "store/record/end_words.h"
#include "store/record/known.h"
#include "store/sql.h"

#define COUNT(array) (sizeof (array) / sizeof (array)[0])

bool store_attachment_end(struct store *store, int64_t id, int64_t *bond_id, int *bond_end,
	struct problem *why)
{
	static const char sql[] = "SELECT bond_id, bond_end FROM attachment WHERE id = $1";
	sqlite3_stmt *row = sql_select(store, sql, (struct value[]){ value_integer(id) }, 1, why);

	*bond_id = 0;
	*bond_end = -1;
	if (sql_row(store, row, why)) {
		*bond_id = sqlite3_column_int64(row, 0);
		*bond_end = sqlite3_column_int(row, 1);
		sql_done(row);
	}
	return why->code == PROBLEM_NONE;
}

bool store_instrument_insert(struct store *store, struct instrument *i,
	const struct origin *origin, struct problem *why)
{
	static const char sql[] = "INSERT INTO instrument (serial, name, recorded_at_ms, recorded_by) "
		"VALUES ($1, $2, $3, $4)";
	const struct value values[] = { value_text(i->serial), value_text(i->name),
		value_integer(origin->now_ms), value_id(origin->person_id) };

	if (!sql_run(store, sql, values, 4, why)) {
		return false;
	}
	i->id = sql_last_id(store);
	return true;
}

bool store_calibration_insert(struct store *store, const struct calibration_row *c,
	const struct origin *origin, struct problem *why)
{
	static const char sql[] = "INSERT INTO calibration (instrument_id, calibrated_day, due_day, "
		"uncertainty_percent, uncertainty_uohm, as_found, figure_kind, recorded_at_ms, "
		"recorded_by) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)";
	const struct value values[] = { value_integer(c->instrument_id),
		value_integer(c->calibrated_day), value_integer(c->due_day),
		value_real(c->uncertainty_percent), value_real(c->uncertainty_uohm),
		value_integer(c->as_found), value_integer(c->figure_kind),
		value_integer(origin->now_ms), value_id(origin->person_id) };

	return sql_run(store, sql, values, 9, why) && store_known_changed(store, why);
}

bool store_calibration_reach(struct store *store, const struct calibration_row *c,
	int32_t *from_day, struct problem *why)
{
	static const char others[] = "SELECT count(*) FROM calibration c WHERE c.instrument_id = $1 "
		"AND c.calibrated_day >= $2 AND " SQL_STANDS(NOUN_CALIBRATION, "c.id");
	static const char before[] = "SELECT max(c.calibrated_day) FROM calibration c "
		"WHERE c.instrument_id = $1 AND c.calibrated_day < $2 "
		"AND " SQL_STANDS(NOUN_CALIBRATION, "c.id");
	const struct value values[] = { value_integer(c->instrument_id),
		value_integer(c->calibrated_day) };
	int64_t later, day = c->calibrated_day;
	bool ok = sql_integer(store, others, values, 2, 0, &later, why) &&
		((c->as_found != AS_FOUND_OUT && later == 0) ||
		sql_integer(store, before, values, 2, c->calibrated_day, &day, why));

	*from_day = (int32_t)day;
	return ok;
}

bool store_instrument_methods(struct store *store, int64_t instrument_id, int64_t *methods,
	struct problem *why)
{
	static const char sql[] = "SELECT methods FROM instrument_methods WHERE instrument_id = $1 "
		"ORDER BY version DESC LIMIT 1";

	return sql_integer(store, sql, (struct value[]){ value_integer(instrument_id) }, 1, 0, methods,
		why);
}

bool store_instrument_methods_put(struct store *store, int64_t instrument_id, int64_t methods,
	const struct origin *origin, struct problem *why)
{
	static const char sql[] = "INSERT INTO instrument_methods (instrument_id, version, methods, "
		"recorded_at_ms, recorded_by) VALUES ($1, (SELECT coalesce(max(m.version), 0) + 1 "
		"FROM instrument_methods m WHERE m.instrument_id = $1), $2, $3, $4)";
	const struct value values[] = { value_integer(instrument_id), value_integer(methods),
		value_integer(origin->now_ms), value_id(origin->person_id) };

	return sql_run(store, sql, values, 4, why) && store_known_changed(store, why);
}

bool store_calibration_kept(struct store *store, const struct calibration_row *c, bool *there,
	struct problem *why)
{
	/* (of several of one day the last counts: an earlier one sent again is news) */
	static const char sql[] = "SELECT c.id FROM calibration c WHERE c.instrument_id = $1 "
		"AND c.calibrated_day = $2 AND c.due_day = $3 AND c.uncertainty_percent = $4 "
		"AND c.uncertainty_uohm = $5 AND c.as_found = $6 AND c.figure_kind = $7 "
		"AND " SQL_STANDS(NOUN_CALIBRATION, "c.id") " "
		"AND NOT EXISTS (SELECT 1 FROM calibration n WHERE n.instrument_id = $1 "
		"AND n.calibrated_day = $2 AND n.id > c.id "
		"AND " SQL_STANDS(NOUN_CALIBRATION, "n.id") ")";
	const struct value values[] = { value_integer(c->instrument_id),
		value_integer(c->calibrated_day), value_integer(c->due_day),
		value_real(c->uncertainty_percent), value_real(c->uncertainty_uohm),
		value_integer(c->as_found), value_integer(c->figure_kind) };
	int64_t found = 0;
	bool ok = sql_integer(store, sql, values, 7, 0, &found, why);

	*there = found != 0;
	return ok;
}

bool store_kit_insert(struct store *store, struct kit *k, const struct origin *origin,
	struct problem *why)
{
	static const char sql[] = "INSERT INTO kit (code, name, recorded_at_ms, recorded_by) "
		"VALUES ($1, $2, $3, $4)";
	const struct value values[] = { value_text(k->code), value_text(k->name),
		value_integer(origin->now_ms), value_id(origin->person_id) };

	if (!sql_run(store, sql, values, 4, why)) {
		return false;
	}
	k->id = sql_last_id(store);
	return true;
}

bool store_instrument_find(struct store *store, const char *serial, int64_t *id,
	struct problem *why)
{
	static const char sql[] = "SELECT id FROM instrument WHERE serial = $1";

	return sql_integer(store, sql, (struct value[]){ value_text(serial) }, 1, 0, id, why);
}

bool store_instrument_kept(struct store *store, const struct instrument *i, bool *there,
	struct problem *why)
{
	static const char sql[] = "SELECT id FROM instrument WHERE serial = $1 AND name = $2";
	const struct value values[] = { value_text(i->serial), value_text(i->name) };
	int64_t found = 0;
	bool ok = sql_integer(store, sql, values, 2, 0, &found, why);

	*there = found != 0;
	return ok;
}

bool store_kit_find(struct store *store, const char *code, int64_t *id, struct problem *why)
{
	static const char sql[] = "SELECT id FROM kit WHERE code = $1";

	return sql_integer(store, sql, (struct value[]){ value_text(code) }, 1, 0, id, why);
}

bool store_kit_kept(struct store *store, const struct kit *k, bool *there, struct problem *why)
{
	static const char sql[] = "SELECT id FROM kit WHERE code = $1 AND name = $2";
	const struct value values[] = { value_text(k->code), value_text(k->name) };
	int64_t found = 0;
	bool ok = sql_integer(store, sql, values, 2, 0, &found, why);

	*there = found != 0;
	return ok;
}

bool store_instrument_exists(struct store *store, int64_t id, bool *there, struct problem *why)
{
	static const char sql[] = "SELECT id FROM instrument WHERE id = $1";
	int64_t found = 0;
	bool ok = sql_integer(store, sql, (struct value[]){ value_integer(id) }, 1, 0, &found, why);

	*there = found != 0;
	return ok;
}

bool store_kit_exists(struct store *store, int64_t id, bool *there, struct problem *why)
{
	static const char sql[] = "SELECT id FROM kit WHERE id = $1";
	int64_t found = 0;
	bool ok = sql_integer(store, sql, (struct value[]){ value_integer(id) }, 1, 0, &found, why);

	*there = found != 0;
	return ok;
}

bool store_attachment_live(struct store *store, int64_t bond_id, enum bond_end end,
	struct attachment_live *to, struct problem *why)
{
	static const char sql[] = "SELECT a.id, a.uuid, a.made_day, a.method, "
		NAME_OF_DOER("a") ", k.code, a.batch, a.offset_mm, "
		NAME_OF("a.recorded_by") ", a.recorded_at_ms, " ATTACHMENT_ENDED_DAY " IS NOT NULL "
		"FROM attachment a LEFT JOIN kit k ON k.id = a.kit_id "
		"WHERE a.bond_id = $1 AND a.bond_end = $2 "
		"AND NOT " SQL_REPLACED("attachment", NOUN_ATTACHMENT, "a.id") " "
		"ORDER BY a.made_day DESC, a.id DESC LIMIT 1";
	const struct value values[] = { value_integer(bond_id), value_integer(end) };
	sqlite3_stmt *row = sql_select(store, sql, values, 2, why);

	*to = (struct attachment_live){ 0 };
	if (sql_row(store, row, why)) {
		to->id = sqlite3_column_int64(row, 0);
		column_text(row, 1, to->uuid, sizeof to->uuid);
		to->made_day = column_day(row, 2);
		to->method = (enum attach_method)sqlite3_column_int(row, 3);
		column_text(row, 4, to->person, sizeof to->person);
		column_text(row, 5, to->kit, sizeof to->kit);
		column_text(row, 6, to->batch, sizeof to->batch);
		to->offset_mm = sqlite3_column_type(row, 7) == SQLITE_NULL ? FORM_NO_INTEGER :
			sqlite3_column_int64(row, 7);
		column_text(row, 8, to->entered_by, sizeof to->entered_by);
		to->entered_at_ms = sqlite3_column_int64(row, 9);
		if (sqlite3_column_int(row, 10) != 0) {
			*to = (struct attachment_live){ 0 };
		}
		sql_done(row);
	}
	return why->code == PROBLEM_NONE;
}

#define OF_BOND { "bond_id", "Bond number", NULL, CELL_INTEGER }, "b.bond_id" }, \
	{ { "label", "Bond", NULL, CELL_TEXT }, "b.label" }, \
	{ { "line", "Line", NULL, CELL_TEXT }, "l.code"
#define FILTERS_OF_BOND { "bond", "Bond", FILTER_ID, "b.bond_id = {value}" }, \
	{ "line", "Line", FILTER_ID, "b.line_id = {value}" }

static const struct list_column deferral_columns[] = {
	{ { "uuid", "Deferral", NULL, CELL_TEXT, .width = 36 }, "d.uuid" },
	{ OF_BOND },
	{ { "decided_day", "Decided", NULL, CELL_DAY }, "d.decided_day" },
	{ { "until_day", "Deferred to", NULL, CELL_DAY }, "d.until_day" },
	{ { "done_by", "Decided by", NULL, CELL_TEXT, .width = 24 }, NAME_OF("d.person_id") },
	{ { "reason", "Reason", NULL, CELL_TEXT, .width = 40 }, "d.reason" },
	{ { "live", "In force", NULL, CELL_FLAG }, "b.deferral_id IS NOT NULL AND b.deferral_id = d.id" },
	{ { "withdrawn", "Withdrawn", NULL, CELL_FLAG }, SQL_WITHDRAWN(NOUN_DEFERRAL, "d.id") },
	COLUMNS_OF_ENTRY("d"),
};
static const struct list_filter deferral_filters[] = {
	{ "uuid", "Id", FILTER_TEXT, "d.uuid = {value}" },
	FILTERS_OF_BOND,
	{ "live", "In force", FILTER_FLAG, "b.deferral_id = d.id",
	  .sql_no = "(b.deferral_id IS NULL OR b.deferral_id <> d.id)" },
};
static const struct list_sort deferral_sorts[] = {
	{ "newest", "newest first", { "d.decided_day" }, .descending = true },
	{ "until", "by the day deferred to", { "d.until_day" } },
};
#define DEFERRALS(bonds) .name = "deferrals", .title = "Deferrals", \
	.summary = "Inspections put off, by whom, why and until when.", \
	.from = "deferral d JOIN " bonds " b ON b.bond_id = d.bond_id JOIN line l ON l.id = b.line_id", \
	.id = "d.id", \
	.columns = deferral_columns, .n_columns = COUNT(deferral_columns), \
	.filters = deferral_filters, .n_filters = COUNT(deferral_filters), \
	.sorts = deferral_sorts, .n_sorts = COUNT(deferral_sorts)

const struct list deferral_list = { DEFERRALS("bond_state") };
const struct list entered_deferral_list = { DEFERRALS(EVERY_BOND) };

/* Newest of its end that nothing replaces; live, if no renewal of the rail ended it. */
#define ATTACHMENT_NEWEST "(NOT " SQL_REPLACED("attachment", NOUN_ATTACHMENT, "a.id") " " \
	"AND NOT EXISTS (SELECT 1 FROM attachment n WHERE n.bond_id = a.bond_id " \
	"AND n.bond_end = a.bond_end AND (n.made_day, n.id) > (a.made_day, a.id) " \
	"AND NOT " SQL_REPLACED("attachment", NOUN_ATTACHMENT, "n.id") "))"
#define ATTACHMENT_LIVE "(" ATTACHMENT_NEWEST " AND " ATTACHMENT_ENDED_DAY " IS NULL)"

static const struct list_column attachment_columns[] = {
	{ { "uuid", "Attachment", NULL, CELL_TEXT, .width = 36 }, "a.uuid" },
	{ OF_BOND },
	COLUMN_OF_END("b", "a.bond_end"),
	COLUMN_OF_END_LETTER("a.bond_end"),
	{ { "made_day", "Made", NULL, CELL_DAY }, "a.made_day" },
	{ { "method", "Method", NULL, CELL_WORD, &attach_method_words }, "a.method" },
	COLUMN_OF_DOER("Made by", "a"),
	{ { "kit", "Kit", NULL, CELL_TEXT }, "k.code" },
	{ { "batch", "Batch", NULL, CELL_TEXT }, "a.batch" },
	{ { "offset_mm", "Offset along the rail", "mm", CELL_INTEGER }, "a.offset_mm" },
	{ { "ground_bright", "Ground to bright steel", NULL, CELL_FLAG }, "a.ground_bright" },
	{ { "battery_charged", "Battery charged", NULL, CELL_FLAG }, "a.battery_charged" },
	{ { "gun_flush", "Gun set flush", NULL, CELL_FLAG }, "a.gun_flush" },
	{ { "hammer_passed", "Hammer test passed", NULL, CELL_FLAG }, "a.hammer_passed" },
	{ { "solder_all_round", "Solder even all round", NULL, CELL_FLAG }, "a.solder_all_round" },
	{ { "arc_s", "Arc", "s", CELL_REAL }, "a.arc_s" },
	{ { "hold_s", "Held still after the arc", "s", CELL_REAL }, "a.hold_s" },
	{ { "stub_mm", "Stub", "mm", CELL_REAL }, "a.stub_mm" },
	{ { "spot_taken", "On a spoilt spot", NULL, CELL_FLAG }, "a.spot_taken" },
	{ { "note", "Note", NULL, CELL_TEXT, .width = 40 }, "a.note" },
	{ { "live", "Live", NULL, CELL_FLAG }, ATTACHMENT_LIVE },
	{ { "ended_day", "Ended by a renewal of the rail", NULL, CELL_DAY },
	  "CASE WHEN " ATTACHMENT_NEWEST " THEN " ATTACHMENT_ENDED_DAY " END" },
	{ { "replaced", "Counts for nothing", NULL, CELL_FLAG },
	  SQL_REPLACED("attachment", NOUN_ATTACHMENT, "a.id") },
	{ { "withdrawn", "Withdrawn", NULL, CELL_FLAG }, SQL_WITHDRAWN(NOUN_ATTACHMENT, "a.id") },
	COLUMNS_OF_ENTRY("a"),
	{ { "days_ahead", "Dated ahead of the register", "d", CELL_INTEGER },
	  "days_ahead(a.made_day, a.recorded_at_ms)" },
};
static const struct list_filter attachment_filters[] = {
	{ "uuid", "Id", FILTER_TEXT, "a.uuid = {value}" },
	FILTERS_OF_BOND,
	{ "end", "End, by its letter", FILTER_WORD, "a.bond_end = {value}", .words = &bond_end_words },
	{ "method", "Method", FILTER_WORD, "a.method = {value}", .words = &attach_method_words },
	{ "live", "Live", FILTER_FLAG, ATTACHMENT_LIVE, .sql_no = "NOT " ATTACHMENT_LIVE },
	{ "spot_taken", "On a spoilt spot", FILTER_FLAG, "a.spot_taken = 1",
	  .sql_no = "a.spot_taken = 0" },
};
static const struct list_sort attachment_sorts[] = {
	{ "newest", "newest first", { "a.made_day" }, .descending = true },
};
#define ATTACHMENTS(bonds) .name = "attachments", .title = "Attachments", \
	.summary = "Each act of fixing an end of a bond.", \
	.from = "attachment a JOIN " bonds " b ON b.bond_id = a.bond_id " \
		"JOIN line l ON l.id = b.line_id LEFT JOIN kit k ON k.id = a.kit_id", \
	.id = "a.id", \
	.columns = attachment_columns, .n_columns = COUNT(attachment_columns), \
	.filters = attachment_filters, .n_filters = COUNT(attachment_filters), \
	.sorts = attachment_sorts, .n_sorts = COUNT(attachment_sorts)

const struct list attachment_list = { ATTACHMENTS("bond_state") };
const struct list entered_attachment_list = { ATTACHMENTS(EVERY_BOND) };

#define LAST_CALIBRATION(column) "(SELECT c." column " FROM calibration c " \
	"WHERE c.instrument_id = i.id AND " SQL_STANDS(NOUN_CALIBRATION, "c.id") " " \
	"ORDER BY c.calibrated_day DESC, c.id DESC LIMIT 1)"

/* Empty where nobody has said what it can do. */
#define CAN(method, title, bit) { { method, title, NULL, CELL_FLAG }, \
	"(SELECT m.methods & " bit " <> 0 FROM instrument_methods m WHERE m.instrument_id = i.id " \
	"ORDER BY m.version DESC LIMIT 1)" }

static const struct list_column instrument_columns[] = {
	{ { "id", "Number", NULL, CELL_INTEGER }, "i.id" },
	{ { "serial", "Serial number", NULL, CELL_TEXT }, "i.serial" },
	{ { "name", "Name", NULL, CELL_TEXT, .width = 30 }, "i.name" },
	{ { "calibrated_day", "Calibrated", NULL, CELL_DAY }, LAST_CALIBRATION("calibrated_day") },
	{ { "calibration_due_day", "Calibration due", NULL, CELL_DAY }, LAST_CALIBRATION("due_day") },
	{ { "uncertainty_percent", "Off by, of the reading", "%", CELL_REAL },
	  LAST_CALIBRATION("uncertainty_percent") },
	{ { "uncertainty_uohm", "added to it", "µΩ", CELL_REAL },
	  LAST_CALIBRATION("uncertainty_uohm") },
	{ { "figure_kind", "Stated as", NULL, CELL_WORD, &figure_kind_words },
	  LAST_CALIBRATION("figure_kind") },
	{ { "as_found", "As found", NULL, CELL_WORD, &as_found_words }, LAST_CALIBRATION("as_found") },
	CAN("four_wire", "Four-wire", "1"),
	CAN("two_wire", "Two-wire", "2"),
	CAN("voltage_drop", "Voltage drop", "4"),
};
static const struct list_sort instrument_sorts[] = {
	{ "serial", "by serial number", { "i.serial" }, { true } },
};
const struct list instrument_list = {
	.name = "instruments", .title = "Instruments", .summary = "Resistance meters.",
	.from = "instrument i", .id = "i.id",
	.columns = instrument_columns, .n_columns = COUNT(instrument_columns),
	.sorts = instrument_sorts, .n_sorts = 1,
};

static const struct list_column kit_columns[] = {
	{ { "id", "Number", NULL, CELL_INTEGER }, "k.id" },
	{ { "code", "Kit", NULL, CELL_TEXT }, "k.code" },
	{ { "name", "Name", NULL, CELL_TEXT, .width = 30 }, "k.name" },
	{ { "checked_day", "Last checked", NULL, CELL_DAY },
	  "(SELECT max(q.checked_day) FROM kit_check q WHERE q.kit_id = k.id AND q.passed = 1 "
	  "AND NOT " SQL_REPLACED("kit_check", NOUN_KIT_CHECK, "q.id") ")" },
	{ { "service_due_day", "Service due", NULL, CELL_DAY },
	  "(SELECT v.due_day FROM kit_service v WHERE v.kit_id = k.id ORDER BY v.id DESC LIMIT 1)" },
};
static const struct list_sort kit_sorts[] = {
	{ "code", "by code", { "k.code" }, { true } },
};
const struct list kit_list = {
	.name = "kits", .title = "Kits", .summary = "Sets of brazing equipment.",
	.from = "kit k", .id = "k.id",
	.columns = kit_columns, .n_columns = COUNT(kit_columns),
	.sorts = kit_sorts, .n_sorts = 1,
};
