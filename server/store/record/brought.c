#include "store/record/brought.h"

#include <stdlib.h>

#include "store/record/correction.h"
#include "store/sql.h"

#define COUNT(array) (sizeof (array) / sizeof (array)[0])

#define TAKEN_BACK(noun, id) "EXISTS (SELECT 1 FROM correction_open o WHERE o.noun = " noun \
	" AND o.row_id = " id " AND o.withdrawn = 1 AND " SQL_FOR_EVER ")"
#define COUNTS(noun, id) "NOT " TAKEN_BACK(noun, id)

bool store_brought_get(struct store *store, enum sent_noun noun, int64_t id, struct brought *to,
	struct problem *why)
{
	static const char *const of[] = {
		[SENT_BOND] = "SELECT 0, " TAKEN_BACK(NOUN_BOND, "b.id") " FROM bond b WHERE b.id = $1",
		[SENT_LINE] = "SELECT 0, " TAKEN_BACK(NOUN_LINE, "l.id") " FROM line l WHERE l.id = $1",
		[SENT_TRACK] = "SELECT 0, " TAKEN_BACK(NOUN_TRACK, "t.id") " FROM track t WHERE t.id = $1",
		[SENT_MAP] = "SELECT m.line_id, " TAKEN_BACK(NOUN_MAP, "m.id")
			" FROM line_map m WHERE m.id = $1",
	};
	sqlite3_stmt *row = sql_select(store, of[noun], (struct value[]){ value_integer(id) }, 1, why);

	*to = (struct brought){ .noun = noun };
	if (sql_row(store, row, why)) {
		to->id = id;
		to->line_id = sqlite3_column_int64(row, 0);
		to->withdrawn = sqlite3_column_int(row, 1) != 0;
		sql_done(row);
	}
	return why->code == PROBLEM_NONE;
}

#define BROUGHT "SELECT " NOUN_BOND " AS noun, b.id, 0, 1 AS turn FROM bond b " \
	"WHERE b.import_id = $1 AND " COUNTS(NOUN_BOND, "b.id") " UNION ALL SELECT " NOUN_MAP \
	", m.id, m.line_id, 2 FROM line_map m WHERE m.import_id = $1 AND " COUNTS(NOUN_MAP, "m.id") \
	" UNION ALL SELECT " NOUN_TRACK ", t.id, 0, 3 FROM track t WHERE t.import_id = $1 AND " \
	COUNTS(NOUN_TRACK, "t.id") " UNION ALL SELECT " NOUN_LINE ", l.id, 0, 4 FROM line l " \
	"WHERE l.import_id = $1 AND " COUNTS(NOUN_LINE, "l.id")

bool store_brought(struct store *store, int64_t import_id, struct brought **all, size_t *count,
	struct problem *why)
{
	static const char sql[] = BROUGHT " ORDER BY turn, 2 DESC";
	sqlite3_stmt *rows = sql_select(store, sql, (struct value[]){ value_integer(import_id) }, 1,
		why);

	*all = NULL;
	*count = 0;
	while (sql_row(store, rows, why)) {
		if (!array_grow((void **)all, *count, sizeof **all, why)) {
			sql_done(rows);
			break;
		}
		(*all)[(*count)++] = (struct brought){ (enum sent_noun)sqlite3_column_int(rows, 0),
			sqlite3_column_int64(rows, 1), sqlite3_column_int64(rows, 2), false };
	}
	if (why->code != PROBLEM_NONE) {
		free(*all);
		*all = NULL;
	}
	return why->code == PROBLEM_NONE;
}

bool store_brought_any(struct store *store, int64_t import_id, bool *any, struct problem *why)
{
	static const char sql[] = "SELECT EXISTS (" BROUGHT ")";
	int64_t found = 0;
	bool ok = sql_integer(store, sql, (struct value[]){ value_integer(import_id) }, 1, 0, &found,
		why);

	*any = found != 0;
	return ok;
}

/* (a word that confirmed a correction is withdrawn with the correction) */
#define ON_BOND "EXISTS (SELECT 1 FROM inspection i WHERE i.bond_id = $1 AND " \
	COUNTS(NOUN_INSPECTION, "i.id") ") OR EXISTS (SELECT 1 FROM failure f WHERE f.bond_id = $1 AND " \
	COUNTS(NOUN_FAILURE, "f.id") ") OR EXISTS (SELECT 1 FROM attachment a WHERE a.bond_id = $1 AND " \
	COUNTS(NOUN_ATTACHMENT, "a.id") ") OR EXISTS (SELECT 1 FROM deferral d WHERE d.bond_id = $1 AND " \
	COUNTS(NOUN_DEFERRAL, "d.id") ") OR EXISTS (SELECT 1 FROM ruling g WHERE g.bond_id = $1 AND " \
	"g.kind <> 2 AND " COUNTS(NOUN_RULING, "g.id") ") OR EXISTS (SELECT 1 FROM rail_mark m " \
	"WHERE m.bond_id = $1 AND m.there = 1 AND NOT EXISTS (SELECT 1 FROM rail_mark n " \
	"WHERE n.bond_id = m.bond_id AND n.bond_end = m.bond_end AND n.kind = m.kind " \
	"AND n.offset_mm = m.offset_mm AND n.id > m.id))"
#define RENEWAL_HOLDS "r.withdrawn = 0 AND NOT EXISTS (SELECT 1 FROM renewal c " \
	"WHERE c.replaces_id = r.id)"

/* A line on which an import under way brought a bond. */
#define COMING(line) "EXISTS (SELECT 1 FROM bond_coming c WHERE c.line_id = (" line ") AND " \
	"EXISTS (SELECT 1 FROM correction_open o WHERE o.noun = " NOUN_BOND " AND o.row_id = c.bond_id " \
	"AND NOT " SQL_FOR_EVER "))"

static const char on_bond[] = "SELECT " ON_BOND;
static const char on_brought_bond[] = "SELECT " ON_BOND " OR EXISTS (SELECT 1 FROM bond_fact v "
	"WHERE v.bond_id = $1 AND v.version > 1)";
static const char on_line[] = "SELECT EXISTS (SELECT 1 FROM bond_state s WHERE s.line_id = $1) "
	"OR " COMING("SELECT $1") " "
	"OR EXISTS (SELECT 1 FROM failure f WHERE f.line_id = $1 AND " COUNTS(NOUN_FAILURE, "f.id") ") "
	"OR EXISTS (SELECT 1 FROM renewal r WHERE r.line_id = $1 AND " RENEWAL_HOLDS ") "
	"OR EXISTS (SELECT 1 FROM track t WHERE t.line_id = $1 AND " COUNTS(NOUN_TRACK, "t.id") ") "
	"OR EXISTS (SELECT 1 FROM line_map m WHERE m.line_id = $1 AND " COUNTS(NOUN_MAP, "m.id") ")";
static const char on_track[] = "SELECT EXISTS (SELECT 1 FROM track t JOIN bond_state s "
	"ON s.line_id = t.line_id JOIN end_fact e ON e.bond_id = s.bond_id AND e.version = s.version "
	"WHERE t.id = $1 AND e.track_id = t.id) "
	"OR " COMING("SELECT line_id FROM track WHERE id = $1") " "
	"OR EXISTS (SELECT 1 FROM track t JOIN failure f ON f.line_id = t.line_id "
	"AND f.track_id = t.id WHERE t.id = $1 AND " COUNTS(NOUN_FAILURE, "f.id") ") "
	"OR EXISTS (SELECT 1 FROM renewal r WHERE r.track_id = $1 AND " RENEWAL_HOLDS ") "
	"OR EXISTS (SELECT 1 FROM track t JOIN line_map m ON m.line_id = t.line_id "
	"AND m.track_id = t.id WHERE t.id = $1 AND " COUNTS(NOUN_MAP, "m.id") ")";
static const char on_map[] = "SELECT EXISTS (SELECT 1 FROM line_map m JOIN bond_state s "
	"ON s.line_id = m.line_id JOIN bond_fact v ON v.bond_id = s.bond_id "
	"WHERE m.id = $1 AND v.recorded_at_ms >= m.recorded_at_ms) "
	"OR " COMING("SELECT line_id FROM line_map WHERE id = $1") " "
	"OR EXISTS (SELECT 1 FROM line_map m JOIN failure f ON f.line_id = m.line_id "
	"WHERE m.id = $1 AND f.recorded_at_ms >= m.recorded_at_ms AND " COUNTS(NOUN_FAILURE, "f.id") ") "
	"OR EXISTS (SELECT 1 FROM line_map m JOIN renewal r ON r.line_id = m.line_id "
	"WHERE m.id = $1 AND r.recorded_at_ms >= m.recorded_at_ms AND " RENEWAL_HOLDS ")";
_Static_assert(RULING_CONFIRMS == 2, "the statements above say so");

bool store_brought_stands(struct store *store, const struct brought *b, bool of_import,
	bool *stands, struct problem *why)
{
	const char *sql = b->noun == SENT_BOND ? (of_import ? on_brought_bond : on_bond) :
		b->noun == SENT_MAP ? on_map : b->noun == SENT_TRACK ? on_track : on_line;
	int64_t found = 0;
	bool ok = sql_integer(store, sql, (struct value[]){ value_integer(b->id) }, 1, 0, &found, why);

	*stands = found != 0;
	return ok;
}

bool store_brought_withdraw(struct store *store, const struct brought *b, struct problem *why)
{
	static const char sql[] = "INSERT INTO correction_open (noun, row_id, bond_id, withdrawn) "
		"VALUES ($1, $2, $3, 1)";
	const struct value values[] = { value_integer(b->noun), value_integer(b->id),
		value_integer(b->noun == SENT_BOND ? b->id : 0) };

	return sql_run(store, sql, values, COUNT(values), why) &&
		(b->noun != SENT_MAP || sql_mark_step(store, "maps", why));
}
