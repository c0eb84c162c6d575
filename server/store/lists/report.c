#include "store/lists/report.h"

#include "base/clock.h"
#include "store/kept/odd.h"
#include "store/sql.h"

#define NOT_REPLACED(table, noun, alias) "NOT " SQL_REPLACED(table, noun, alias ".id")

/* What read_bond reads, first in every statement here. */
#define BOND_COLUMNS "s.bond_id, s.label, s.chainage, s.kind, s.criticality, s.status, s.surveyed, " \
	"f.installed_day, f.removed_day, b.recorded_at_ms"
#define BOND_TABLES "bond_state s " \
	"JOIN bond_fact f ON f.bond_id = s.bond_id AND f.version = s.version " \
	"JOIN bond b ON b.id = s.bond_id "
enum { BOND_READ = 10 };

/* Bits, of none of which: all. */
#define WANTED_KINDS(kinds, criticalities) "(" kinds " = 0 OR " kinds " >> s.kind & 1) " \
	"AND (" criticalities " = 0 OR " criticalities " >> s.criticality & 1) "
#define IN_SERVICE "s.status = 0 "
/* (where no day of installation is known, the rules say) */
#define MAYBE_IN_SERVICE_ON(day) "(f.installed_day IS NULL OR f.installed_day <= " day ") " \
	"AND (s.status = 0 OR f.removed_day > " day ") "
/* In service, and kept as having a thing that looks wrong, or not counted yet. */
#define ODD(what) "s.odd <> 0 AND " SQL_ODD_ROWS(what) " > 0 AND " IN_SERVICE

static const char *text_at(struct sqlite3_stmt *row, int column)
{
	const char *text = (const char *)sqlite3_column_text(row, column);

	return text != NULL ? text : "";
}

static void read_bond(struct sqlite3_stmt *row, struct report_bond *to)
{
	*to = (struct report_bond){ sqlite3_column_int64(row, 0), text_at(row, 1), text_at(row, 2),
		(enum bond_kind)sqlite3_column_int(row, 3), (enum criticality)sqlite3_column_int(row, 4),
		(enum bond_status)sqlite3_column_int(row, 5), sqlite3_column_int(row, 6) != 0,
		column_day(row, 7), column_day(row, 8), clock_day_of(sqlite3_column_int64(row, 9)) };
}

static bool start(struct store *store, const char *sql, const struct value *values, size_t count,
	struct report_rows *rows, struct problem *why)
{
	*rows = (struct report_rows){ store, sql_select(store, sql, values, count, why) };
	return rows->rows != NULL;
}

/* The statement is the connection's again at the end of its rows. */
static bool next(struct report_rows *rows, struct problem *why)
{
	if (!sql_row(rows->store, rows->rows, why)) {
		rows->rows = NULL;
		return false;
	}
	return true;
}

void store_report_close(struct report_rows *rows)
{
	if (rows->rows != NULL) {
		sql_done(rows->rows);
		rows->rows = NULL;
	}
}

bool store_report_lines(struct store *store, struct report_line **lines, size_t *count,
	struct problem *why)
{
	static const char sql[] = "SELECT l.id, l.code, " LINE_SAID("name") " FROM line l "
		"WHERE " SQL_STANDS(NOUN_LINE, "l.id") " ORDER BY l.code";
	struct sqlite3_stmt *row = sql_select(store, sql, NULL, 0, why);

	*lines = NULL;
	*count = 0;
	while (sql_row(store, row, why)) {
		struct report_line *line;

		if (!array_grow((void **)lines, *count, sizeof **lines, why)) {
			sql_done(row);
			break;
		}
		line = &(*lines)[(*count)++];
		line->id = sqlite3_column_int64(row, 0);
		column_text(row, 1, line->code, sizeof line->code);
		column_text(row, 2, line->name, sizeof line->name);
	}
	return why->code == PROBLEM_NONE;
}

/* (it need not say that it stands where it does: then it is judged anew) */
#define NOTHING_OF(table, more) "AND NOT EXISTS (SELECT 1 FROM " table " x " \
	"WHERE x.bond_id = s.bond_id" more ") "
#define STANDS "(s.rulebook_version = $1 AND s.edition = $2 AND s.status = 0 " \
	NOTHING_OF("inspection", " AND x.day > $3") NOTHING_OF("attachment", " AND x.made_day > $3") \
	NOTHING_OF("failure", " AND (x.found_day > $3 OR EXISTS (SELECT 1 FROM repair y " \
	"WHERE y.failure_id = x.id AND y.day > $3))") NOTHING_OF("deferral", "") NOTHING_OF("ruling", "") \
	NOTHING_OF("attachment_end", "") ")"

/* (what is kept of a bond, after BOND_COLUMNS) */
#define KEPT_COLUMNS "s.due_basis, s.due_day, s.soon_from_day, s.overdue_from_day, " \
	"s.deferred_to_day, s.inspect_day, s.mend_day, s.notice_days, s.asked"

bool store_report_states(struct store *store, int64_t line_id, const struct report_states_of *of,
	struct report_rows *rows, struct problem *why)
{
	static const char sql[] = "SELECT " BOND_COLUMNS ", " KEPT_COLUMNS ", s.line_id, "
		STANDS " FROM " BOND_TABLES "WHERE s.line_id = $4 AND " WANTED_KINDS("$5", "$6")
		"AND " MAYBE_IN_SERVICE_ON("$3")
		" ORDER BY s.distance_mm, s.bond_id";
	const struct value values[] = { value_integer(of->rulebook_version),
		value_integer(of->edition), value_integer(of->day), value_integer(line_id),
		value_integer(of->kinds), value_integer(of->criticalities) };

	return start(store, sql, values, 6, rows, why);
}

/* Whatever STANDS may say no of, and what was not in service yet: more than that does no harm. (What
 * was known on a day was recorded at most 14 hours before it began in UTC.) */
#define MOVED "SELECT bond_id FROM bond_state WHERE rulebook_version <> $1 OR edition <> $2 " \
	"OR status <> 0 OR due_day IS NULL " \
	"UNION SELECT bond_id FROM inspection WHERE day > $3 " \
	"UNION SELECT bond_id FROM attachment WHERE made_day > $3 " \
	"UNION SELECT bond_id FROM failure WHERE found_day > $3 UNION SELECT x.bond_id FROM repair y " \
	"JOIN failure x ON x.id = y.failure_id WHERE y.day > $3 " \
	"UNION SELECT bond_id FROM deferral UNION SELECT bond_id FROM ruling " \
	"UNION SELECT bond_id FROM attachment_end " \
	"UNION SELECT bond_id FROM bond_fact WHERE installed_day > $3 " \
	"UNION SELECT id FROM bond WHERE recorded_at_ms > $3 * 86400000"

bool store_report_moved(struct store *store, const struct report_states_of *of,
	struct report_rows *rows, struct problem *why)
{
	static const char sql[] = "SELECT " BOND_COLUMNS ", " KEPT_COLUMNS ", s.line_id, 0 "
		"FROM " BOND_TABLES "WHERE +s.bond_id IN (" MOVED ") ORDER BY s.bond_id";
	const struct value values[] = { value_integer(of->rulebook_version),
		value_integer(of->edition), value_integer(of->day) };

	return start(store, sql, values, 3, rows, why);
}

bool store_report_state_next(struct report_rows *rows, struct report_state *to,
	struct problem *why)
{
	struct sqlite3_stmt *row = rows->rows;

	if (!next(rows, why)) {
		return false;
	}
	read_bond(row, &to->bond);
	to->kept = (struct due){ .basis = (enum due_basis)sqlite3_column_int(row, BOND_READ),
		.due_day = column_day(row, BOND_READ + 1), .soon_from_day = column_day(row, BOND_READ + 2),
		.overdue_from_day = column_day(row, BOND_READ + 3),
		.deferred_until_day = column_day(row, BOND_READ + 4),
		.inspect_day = column_day(row, BOND_READ + 5), .mend_day = column_day(row, BOND_READ + 6),
		.notice_days = sqlite3_column_int(row, BOND_READ + 7) };
	to->asked = sqlite3_column_int64(row, BOND_READ + 8);
	to->line_id = sqlite3_column_int64(row, BOND_READ + 9);
	to->stands = sqlite3_column_int(row, BOND_READ + 10) != 0;
	return true;
}

bool store_report_has_not_due(struct store *store, int64_t line_id, int32_t day, bool *has,
	struct problem *why)
{
	static const char sql[] = "SELECT EXISTS (SELECT 1 FROM bond_state s JOIN bond_fact f ON "
		"f.bond_id = s.bond_id AND f.version = s.version WHERE s.line_id = $1 "
		"AND s.due_day IS NULL AND (s.status = 0 OR f.removed_day > $2))";
	const struct value values[] = { value_integer(line_id), value_integer(day) };
	int64_t found = 0;
	bool ok = sql_integer(store, sql, values, 2, 0, &found, why);

	*has = found != 0;
	return ok;
}

/* (the deferral is told; whether it holds is for the rules) */
bool store_report_tell(struct store *store, int64_t bond_id, int32_t day, struct report_told *to,
	struct problem *why)
{
	static const char sql[] = "SELECT (SELECT x.day FROM inspection x "
		"WHERE x.bond_id = $1 AND " SQL_OUTCOME("x") " = 0 AND x.day <= $2 AND "
		NOT_REPLACED("inspection", NOUN_INSPECTION, "x") " ORDER BY x.day DESC, x.id DESC LIMIT 1), "
		"(SELECT x.reason FROM deferral x WHERE x.bond_id = $1 AND x.decided_day <= $2 AND "
		NOT_REPLACED("deferral", NOUN_DEFERRAL, "x") " ORDER BY x.id DESC LIMIT 1)";
	const struct value values[] = { value_integer(bond_id), value_integer(day) };

	store_report_close(&to->rows);
	if (!start(store, sql, values, 2, &to->rows, why) || !next(&to->rows, why)) {
		return false;
	}
	to->inspected_day = column_day(to->rows.rows, 0);
	to->deferral_reason = text_at(to->rows.rows, 1);
	return true;
}

bool store_report_visits(struct store *store, int64_t line_id, const struct report_visits_of *of,
	struct report_rows *rows, struct problem *why)
{
	static const char sql[] = "SELECT " BOND_COLUMNS ", i.uuid, i.day, i.purpose, "
		"(SELECT p.day FROM inspection p WHERE p.bond_id = i.bond_id AND " SQL_OUTCOME("p") " = 0 "
		"AND (p.day < i.day OR (p.day = i.day AND p.id < i.id)) AND "
		NOT_REPLACED("inspection", NOUN_INSPECTION, "p") " ORDER BY p.day DESC LIMIT 1) FROM " BOND_TABLES
		"JOIN inspection i ON i.bond_id = s.bond_id WHERE s.line_id = $1 AND "
		"" WANTED_KINDS("$2", "$3") "AND ($4 = 0 OR visits_among(s.visits, $5, $6, $4)) "
		"AND " SQL_OUTCOME("i") " = 0 AND i.day >= $5 AND i.day <= $6 "
		"AND ($4 = 0 OR visits_among(s.visits, i.day, i.day, $4)) "
		"AND " NOT_REPLACED("inspection", NOUN_INSPECTION, "i") " ORDER BY i.day, i.id";
	const struct value values[] = { value_integer(line_id), value_integer(of->kinds),
		value_integer(of->criticalities), value_integer(of->timely), value_integer(of->from_day),
		value_integer(of->to_day) };

	return start(store, sql, values, 6, rows, why);
}

bool store_report_visit_next(struct report_rows *rows, struct report_visit *to,
	struct problem *why)
{
	if (!next(rows, why)) {
		return false;
	}
	read_bond(rows->rows, &to->bond);
	to->uuid = text_at(rows->rows, BOND_READ);
	to->day = sqlite3_column_int(rows->rows, BOND_READ + 1);
	to->purpose = (enum purpose)sqlite3_column_int(rows->rows, BOND_READ + 2);
	to->before_day = column_day(rows->rows, BOND_READ + 3);
	return true;
}

bool store_report_odd_bonds(struct store *store, int64_t line_id, enum odd what,
	struct report_rows *rows, struct problem *why)
{
	static const char no_rail[] = "SELECT " BOND_COLUMNS ", (SELECT sum(e.bond_end + 1) "
		"FROM end_fact e WHERE e.bond_id = s.bond_id AND e.version = s.version "
		"AND e.on_what = 0 AND (e.track_id IS NULL OR e.rail IS NULL)) FROM " BOND_TABLES
		"WHERE s.line_id = $1 AND " ODD("0") "AND s.surveyed = 1 "
		"ORDER BY s.distance_mm, s.bond_id";
	static const char same_place[] = "SELECT " BOND_COLUMNS ", o.label FROM " BOND_TABLES
		"JOIN bond_state o ON o.line_id = s.line_id AND o.distance_mm >= s.distance_mm "
		"AND o.distance_mm <= s.distance_mm + $1 WHERE s.line_id = $2 AND " ODD("1")
		"AND o.status = 0 AND o.kind = s.kind AND o.track_id = s.track_id AND o.rail = s.rail "
		"AND (o.distance_mm > s.distance_mm OR o.bond_id > s.bond_id) "
		"ORDER BY s.distance_mm, s.bond_id, o.distance_mm, o.bond_id";
	static const char no_day[] = "SELECT " BOND_COLUMNS " FROM " BOND_TABLES
		"WHERE s.line_id = $1 AND " ODD("4") "AND s.surveyed = 1 AND f.installed_day IS NULL "
		"ORDER BY s.distance_mm, s.bond_id";
	static const char alike[] = "SELECT " BOND_COLUMNS " FROM " BOND_TABLES
		"WHERE s.line_id = $1 AND " ODD("5") "AND s.surveyed = 1 "
		"AND ends_alike(s.bond_id, s.version, s.kind) = 1 ORDER BY s.distance_mm, s.bond_id";
	const struct value near[] = { value_integer(ODD_PLACE_MM), value_integer(line_id) };

	return what == ODD_SAME_PLACE ? start(store, same_place, near, 2, rows, why) :
		start(store, what == ODD_NO_RAIL ? no_rail : what == ODD_ENDS_ALIKE ? alike : no_day,
			near + 1, 1, rows, why);
}

bool store_report_odd_bond_next(struct report_rows *rows, enum odd what,
	struct report_bond_odd *to, struct problem *why)
{
	do {
		if (!next(rows, why)) {
			return false;
		}
		to->ends = what == ODD_NO_RAIL ? sqlite3_column_int(rows->rows, BOND_READ) : 0;
	} while (what == ODD_NO_RAIL && to->ends == 0);
	read_bond(rows->rows, &to->bond);
	to->other = what == ODD_SAME_PLACE ? text_at(rows->rows, BOND_READ) : "";
	return true;
}

bool store_report_readings(struct store *store, int64_t line_id, struct report_rows *rows,
	struct problem *why)
{
	static const char sql[] = "SELECT " BOND_COLUMNS ", i.day, r.quantity, "
		"figure(t.figures, 'r20_uohm'), t.remark "
		"FROM " BOND_TABLES "JOIN inspection i ON i.bond_id = s.bond_id "
		"JOIN reading r ON r.inspection_id = i.id "
		"JOIN reading_state t ON t.inspection_id = r.inspection_id AND t.n = r.n "
		"WHERE s.line_id = $1 AND s.odd <> 0 AND (" SQL_ODD_ROWS("2") " > 0 OR "
		SQL_ODD_ROWS("3") " > 0) AND "
		"" IN_SERVICE "AND " NOT_REPLACED("inspection", NOUN_INSPECTION, "i")
		" ORDER BY s.distance_mm, s.bond_id, r.quantity, i.day, i.id, r.n";

	return start(store, sql, (struct value[]){ value_integer(line_id) }, 1, rows, why);
}

bool store_report_reading_next(struct report_rows *rows, struct report_reading *to,
	struct problem *why)
{
	if (!next(rows, why)) {
		return false;
	}
	read_bond(rows->rows, &to->bond);
	to->day = sqlite3_column_int(rows->rows, BOND_READ);
	to->quantity = (enum quantity)sqlite3_column_int(rows->rows, BOND_READ + 1);
	to->r20_uohm = column_real(rows->rows, BOND_READ + 2);
	to->remark = (enum reading_remark)sqlite3_column_int(rows->rows, BOND_READ + 3);
	return true;
}

bool store_report_due_cells(struct store *store, int64_t line_id, struct report_rows *rows,
	struct problem *why)
{
	static const char sql[] = "SELECT kind, criticality, counts_as, asked, due_day, soon_from_day, "
		"overdue_from_day, deferred_to_day, bonds FROM due_count WHERE line_id = $1";

	return start(store, sql, (struct value[]){ value_integer(line_id) }, 1, rows, why);
}

bool store_report_due_cell_next(struct report_rows *rows, struct report_due_cell *to,
	struct problem *why)
{
	struct sqlite3_stmt *row = rows->rows;

	if (!next(rows, why)) {
		return false;
	}
	*to = (struct report_due_cell){ .kind = (enum bond_kind)sqlite3_column_int(row, 0),
		.criticality = (enum criticality)sqlite3_column_int(row, 1),
		.counts_as = sqlite3_column_int(row, 2), .asked = sqlite3_column_int(row, 3) != 0,
		.due = { .due_day = sqlite3_column_int(row, 4),
		.soon_from_day = sqlite3_column_int(row, 5),
		.overdue_from_day = sqlite3_column_int(row, 6),
		.deferred_until_day = sqlite3_column_int(row, 7) },
		.bonds = sqlite3_column_int64(row, 8) };
	return true;
}

bool store_report_unsurveyed(struct store *store, int64_t line_id, int64_t *count,
	struct problem *why)
{
	static const char sql[] = "SELECT sum(bonds) FROM due_count WHERE line_id = $1 "
		"AND surveyed = 0 AND counts_as & $2";
	const struct value values[] = { value_integer(line_id), value_integer(DUE_COUNTS_FIRST) };

	return sql_integer(store, sql, values, 2, 0, count, why);
}

bool store_report_bonds(struct store *store, int64_t line_id, int64_t *count,
	struct problem *why)
{
	static const char sql[] = "SELECT count(*) FROM bond_state WHERE line_id = $1";

	return sql_integer(store, sql, (struct value[]){ value_integer(line_id) }, 1, 0, count, why);
}

bool store_report_highest(struct store *store, int64_t *bond_id, struct problem *why)
{
	static const char sql[] = "SELECT max(bond_id) FROM bond_state";

	return sql_integer(store, sql, NULL, 0, 0, bond_id, why);
}
