#include "store/record/renewal.h"

#include <stdlib.h>

#include "store/sql.h"

#define COUNT(array) (sizeof (array) / sizeof (array)[0])

#define HOLDS(r) r ".withdrawn = 0 AND NOT EXISTS (SELECT 1 FROM renewal c " \
	"WHERE c.replaces_id = " r ".id)"

/* The newest attachment of the end e that was made before the renewal r. */
#define ATTACHED_BEFORE "LEFT JOIN attachment a ON a.id = (SELECT b.id FROM attachment b " \
	"WHERE b.bond_id = e.bond_id AND b.bond_end = e.bond_end AND b.made_day < r.day " \
	"AND " SQL_COUNTS("attachment", NOUN_ATTACHMENT, "b.id") " " \
	"ORDER BY b.made_day DESC, b.id DESC LIMIT 1) "

#define FACT_NOW "JOIN bond_fact f ON f.bond_id = e.bond_id AND f.version = e.version " \
	"AND NOT EXISTS (SELECT 1 FROM bond_fact v WHERE v.bond_id = e.bond_id " \
	"AND v.version > e.version) AND " SQL_STANDS(NOUN_BOND, "e.bond_id") " "

bool store_renewal_insert(struct store *store, struct renewal *r, const struct origin *origin,
	struct problem *why)
{
	static const char sql[] = "INSERT INTO renewal (uuid, content_hash, line_id, track_id, rails, "
		"from_mm, to_mm, from_written, to_written, day, person_name, reason, note, withdrawn, "
		"replaces_id, recorded_at_ms, recorded_by) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, "
		"$10, "
		"$11, $12, $13, $14, $15, $16, $17)";
	const struct value values[] = { value_text(r->uuid), value_text(r->content_hash),
		value_integer(r->line_id), value_integer(r->track_id), value_integer((int64_t)r->rails),
		value_integer(r->from_mm), value_integer(r->to_mm), value_text(r->from_written),
		value_text(r->to_written), value_integer(r->day),
		value_text(r->person_name), value_text(r->reason), value_text(r->note),
		value_integer(r->withdrawn), value_id(r->replaces_id), value_integer(origin->now_ms),
		value_id(origin->person_id) };

	if (!sql_run(store, sql, values, COUNT(values), why)) {
		return false;
	}
	r->id = sql_last_id(store);
	return true;
}

/* A rail that is not stated is among both; an attachment reaches at most 100 m from its mark. */
#define TAKE_OFF "INSERT INTO attachment_end (bond_id, bond_end, renewal_id, ended_day, " \
	"attachment_id, recorded_at_ms, recorded_by) SELECT e.bond_id, e.bond_end, r.id, r.day, a.id, " \
	"$1, $2 FROM renewal r JOIN end_fact e ON e.on_what = 0 AND e.track_id = r.track_id " \
	"AND e.distance_mm BETWEEN r.from_mm - 100000 AND r.to_mm + 100000 " FACT_NOW ATTACHED_BEFORE \
	"WHERE " HOLDS("r") " AND f.status = 0 AND (r.rails = 2 OR e.rail = r.rails) " \
	"AND e.distance_mm + coalesce(a.offset_mm, 0) BETWEEN r.from_mm AND r.to_mm "
#define KEPT_ALREADY " ON CONFLICT (bond_id, bond_end, renewal_id) DO NOTHING"

bool store_renewal_take_off(struct store *store, int64_t renewal_id, int64_t bond_id,
	const struct origin *origin, struct problem *why)
{
	static const char sql[] = TAKE_OFF "AND coalesce(f.installed_day < r.day, 1) AND r.id = $3 "
		"AND ($4 = 0 OR e.bond_id = $4)" KEPT_ALREADY;
	const struct value values[] = { value_integer(origin->now_ms), value_id(origin->person_id),
		value_integer(renewal_id), value_integer(bond_id) };

	return sql_run(store, sql, values, COUNT(values), why);
}

bool store_renewals_take_off(struct store *store, int64_t bond_id, const struct origin *origin,
	struct problem *why)
{
	static const char any[] = "SELECT count(*) FROM renewal";
	static const char sql[] = TAKE_OFF "AND (f.installed_day < r.day OR (f.installed_day IS NULL "
		"AND a.id IS NOT NULL)) AND e.bond_id = $3" KEPT_ALREADY;
	const struct value values[] = { value_integer(origin->now_ms), value_id(origin->person_id),
		value_integer(bond_id) };
	int64_t renewals;

	return sql_integer(store, any, NULL, 0, 0, &renewals, why) &&
		(renewals == 0 || sql_run(store, sql, values, COUNT(values), why));
}

bool store_renewal_bonds(struct store *store, int64_t renewal_id, int64_t **ids, size_t *count,
	struct problem *why)
{
	static const char sql[] = "SELECT DISTINCT bond_id FROM attachment_end WHERE renewal_id = $1 "
		"ORDER BY bond_id";

	return sql_integers(store, sql, renewal_id, ids, count, why);
}

/* The newest attachment of an end from a day on. */
#define MADE_SINCE(day) "(SELECT max(n.made_day) FROM attachment n WHERE n.bond_id = e.bond_id " \
	"AND n.bond_end = e.bond_end AND n.made_day >= " day " " \
	"AND " SQL_COUNTS("attachment", NOUN_ATTACHMENT, "n.id") ")"

#define TAKEN_OFF "EXISTS (SELECT 1 FROM attachment_end x WHERE x.renewal_id = r.id " \
	"AND x.bond_id = e.bond_id AND x.bond_end = e.bond_end)"

bool store_renewal_ends(struct store *store, int64_t renewal_id, struct renewal_end **all,
	size_t *count, struct problem *why)
{
	/* the numbers of enum renewal_answer; the ends of a bond lie at most 2 km apart */
	static const char sql[] = "SELECT e.bond_id, e.bond_end, f.label, f.kind, e.track_id, "
		"e.distance_mm, CASE WHEN f.status = 1 THEN 2 WHEN " MADE_SINCE("r.day") " IS NOT NULL "
		"THEN 1 WHEN " TAKEN_OFF " THEN 0 WHEN e.track_id IS NULL OR e.rail IS NULL THEN 4 "
		"WHEN a.id IS NULL THEN 0 ELSE 3 END, CASE WHEN f.status = 1 THEN f.removed_day "
		"ELSE " MADE_SINCE("r.day") " END, r.line_id FROM renewal r JOIN bond_state s "
		"ON s.bond_id IN (SELECT o.bond_id FROM attachment_end o WHERE o.renewal_id = r.id "
		"UNION SELECT o.bond_id FROM bond_state o WHERE o.line_id = r.line_id "
		"AND o.distance_mm BETWEEN r.from_mm - 2000000 AND r.to_mm + 2000000) "
		"JOIN bond_fact f ON f.bond_id = s.bond_id AND f.version = s.version "
		"JOIN end_fact e ON e.bond_id = f.bond_id AND e.version = f.version AND e.on_what = 0 "
		ATTACHED_BEFORE "WHERE r.id = $1 AND r.withdrawn = 0 AND (" TAKEN_OFF
		" OR (e.distance_mm BETWEEN r.from_mm AND r.to_mm AND (e.track_id IS NULL "
		"OR e.track_id = r.track_id) AND (e.rail IS NULL OR r.rails = 2 OR e.rail = r.rails) "
		"AND coalesce(f.installed_day < r.day, 1) AND f.status = 0)) "
		"ORDER BY e.distance_mm, e.bond_id, e.bond_end";
	sqlite3_stmt *rows = sql_select(store, sql, (struct value[]){ value_integer(renewal_id) },
		1, why);

	_Static_assert(ANSWER_NONE == 0 && ANSWER_ATTACHED == 1 && ANSWER_REMOVED == 2 &&
		ANSWER_OUTSIDE == 3 && ANSWER_RAIL_NOT_STATED == 4 && BOND_REMOVED == 1 &&
		RENEWED_BOTH == 2, "the statements say so");
	*all = NULL;
	*count = 0;
	while (sql_row(store, rows, why)) {
		struct renewal_end *e;

		if (!array_grow((void **)all, *count, sizeof **all, why)) {
			sql_done(rows);
			break;
		}
		e = &(*all)[(*count)++];
		*e = (struct renewal_end){ .bond_id = sqlite3_column_int64(rows, 0),
			.bond_end = sqlite3_column_int(rows, 1), .kind = (enum bond_kind)
			sqlite3_column_int(rows, 3), .track_id = sqlite3_column_int64(rows, 4),
			.distance_mm = sqlite3_column_int64(rows, 5), .answer = (enum renewal_answer)
			sqlite3_column_int(rows, 6), .answer_day = column_day(rows, 7),
			.line_id = sqlite3_column_int64(rows, 8) };
		column_text(rows, 2, e->label, sizeof e->label);
	}
	if (why->code != PROBLEM_NONE) {
		free(*all);
		*all = NULL;
	}
	return why->code == PROBLEM_NONE;
}

#define NAME_OF(column) "(SELECT p.name FROM person_fact p WHERE p.person_id = " column \
	" ORDER BY p.version DESC LIMIT 1)"

/* Ends taken off of bonds in service, to which nothing was attached since. */
#define WITHOUT_ANSWER "(SELECT count(*) FROM attachment_end e JOIN bond_state s " \
	"ON s.bond_id = e.bond_id WHERE e.renewal_id = r.id AND s.status = 0 " \
	"AND " MADE_SINCE("r.day") " IS NULL)"

static const struct list_column columns[] = {
	{ { "uuid", "Renewal", NULL, CELL_TEXT, .width = 36 }, "r.uuid" },
	{ { "line", "Line", NULL, CELL_TEXT }, "l.code" },
	{ { "track", "Track", NULL, CELL_TEXT }, "t.name" },
	{ { "rails", "Rails", NULL, CELL_WORD, &renewed_rails_words }, "r.rails" },
	{ { "from", "From", NULL, CELL_TEXT }, "r.from_written" },
	{ { "to", "To", NULL, CELL_TEXT }, "r.to_written" },
	{ { "from_mm", "From, along the line", "mm", CELL_INTEGER }, "r.from_mm" },
	{ { "to_mm", "To, along the line", "mm", CELL_INTEGER }, "r.to_mm" },
	{ { "day", "Day", NULL, CELL_DAY }, "r.day" },
	{ { "person", "Done by", NULL, CELL_TEXT, .width = 24 }, "r.person_name" },
	{ { "reason", "Reason", NULL, CELL_TEXT, .width = 40 }, "r.reason" },
	{ { "note", "Note", NULL, CELL_TEXT, .width = 40 }, "r.note" },
	{ { "taken_off", "Ends taken off", NULL, CELL_INTEGER },
	  "(SELECT count(*) FROM attachment_end e WHERE e.renewal_id = r.id)" },
	{ { "without_answer", "of them without an answer", NULL, CELL_INTEGER }, WITHOUT_ANSWER },
	{ { "withdrawn", "Withdraws what it replaces", NULL, CELL_FLAG }, "r.withdrawn" },
	{ { "replaced", "Corrected by a later entry", NULL, CELL_FLAG },
	  "EXISTS (SELECT 1 FROM renewal c WHERE c.replaces_id = r.id)" },
	{ { "recorded_by", "Recorded by", NULL, CELL_TEXT, .width = 24 }, NAME_OF("r.recorded_by") },
	{ { "recorded_at", "Recorded at", NULL, CELL_INSTANT }, "r.recorded_at_ms" },
};
static const struct list_filter filters[] = {
	{ "uuid", "Id", FILTER_TEXT, "r.uuid = {value}" },
	{ "line", "Line", FILTER_ID, "r.line_id = {value}" },
	{ "track", "Track", FILTER_ID, "r.track_id = {value}" },
};
static const struct list_sort sorts[] = {
	{ "newest", "newest first", { "r.day" }, .descending = true },
};
const struct list renewal_list = {
	.name = "renewals", .title = "Renewals of rails",
	.summary = "Stretches of a track on which rails were renewed, and how many ends of bonds still "
		"have no answer.",
	.from = "renewal r JOIN line l ON l.id = r.line_id JOIN track t ON t.id = r.track_id",
	.id = "r.id",
	.columns = columns, .n_columns = COUNT(columns),
	.filters = filters, .n_filters = COUNT(filters),
	.sorts = sorts, .n_sorts = COUNT(sorts),
};
