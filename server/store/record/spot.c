#include "store/record/spot.h"

#include <stdlib.h>

#include "store/record/work.h"
#include "store/sql.h"

#define COUNT(array) (sizeof (array) / sizeof (array)[0])

/* An attachment stands at most so far from its end's reference mark
 * (service/record/attachment.c). */
enum { OFFSET_MOST_MM = 100000 };

/* The ends that are or were on the rail and can reach the stretch; $1 to $4 are the stretch. */
#define ENDS_ON_RAIL "e.on_what = 0 AND e.track_id = $1 AND e.rail = $2 " \
	"AND e.distance_mm BETWEEN $3 - 100000 AND $4 + 100000"

/* A place that was given up before something was recorded is not that thing's place. */
#define SAID_WHEN(thing) "NOT EXISTS (SELECT 1 FROM bond_fact n WHERE n.bond_id = e.bond_id " \
	"AND n.version = e.version + 1 AND n.recorded_at_ms < " thing ".recorded_at_ms)"

/* The rail that stood at a place on a day was renewed since, and until $5. */
#define RENEWED(at, day_of) "EXISTS (SELECT 1 FROM renewal w WHERE w.track_id = $1 " \
	"AND w.rails IN ($2, 2) AND " at " BETWEEN w.from_mm AND w.to_mm AND " day_of " < w.day " \
	"AND w.day <= $5 AND w.withdrawn = 0 " \
	"AND NOT EXISTS (SELECT 1 FROM renewal c WHERE c.replaces_id = w.id))"

#define FACT_NOW "JOIN bond_fact f ON f.bond_id = e.bond_id AND f.version = " \
	"(SELECT max(v.version) FROM bond_fact v WHERE v.bond_id = e.bond_id) " \
	"AND " SQL_STANDS(NOUN_BOND, "e.bond_id")

#define NEXT_OF_END "(SELECT n.made_day FROM attachment n WHERE n.bond_id = a.bond_id " \
	"AND n.bond_end = a.bond_end AND (n.made_day, n.id) > (a.made_day, a.id) " \
	"AND " SQL_COUNTS("attachment", NOUN_ATTACHMENT, "n.id") " " \
	"ORDER BY n.made_day, n.id LIMIT 1)"

static bool add_spots(struct store *store, const char *sql, const struct value *values,
	size_t n_values, struct rail_spot **all, size_t *count, struct problem *why)
{
	sqlite3_stmt *rows = sql_select(store, sql, values, n_values, why);

	while (sql_row(store, rows, why)) {
		struct rail_spot *s;

		if (!array_grow((void **)all, *count, sizeof **all, why)) {
			sql_done(rows);
			break;
		}
		s = &(*all)[(*count)++];
		*s = (struct rail_spot){ .kind = (enum mark_kind)sqlite3_column_int(rows, 0),
			.at_mm = sqlite3_column_int64(rows, 1), .bond_id = sqlite3_column_int64(rows, 2),
			.bond_end = sqlite3_column_int(rows, 3), .is_placed = sqlite3_column_int(rows, 5) != 0,
			.method = column_word(rows, 7), .made_day = column_day(rows, 8),
			.until_day = column_day(rows, 9) };
		column_text(rows, 4, s->label, sizeof s->label);
		column_text(rows, 6, s->uuid, sizeof s->uuid);
	}
	return why->code == PROBLEM_NONE;
}

/* $6: without this attachment. */
static bool add_attached(struct store *store, const struct value values[6],
	struct rail_spot **all, size_t *count, struct problem *why)
{
	static const char sql[] = "SELECT DISTINCT CASE WHEN f.status = 0 AND " NEXT_OF_END " IS NULL "
		"AND " ATTACHMENT_ENDED_DAY " IS NULL THEN 1 ELSE 0 END, "
		"e.distance_mm + coalesce(a.offset_mm, 0) AS at, a.bond_id, a.bond_end, f.label, "
		"a.offset_mm IS NOT NULL, a.uuid, a.method, a.made_day, "
		"coalesce(" NEXT_OF_END ", " ATTACHMENT_ENDED_DAY ", f.removed_day), a.id "
		"FROM end_fact e " FACT_NOW " JOIN attachment a ON a.bond_id = e.bond_id "
		"AND a.bond_end = e.bond_end WHERE " ENDS_ON_RAIL " "
		"AND e.distance_mm + coalesce(a.offset_mm, 0) BETWEEN $3 AND $4 AND " SAID_WHEN("a")
		" AND NOT " RENEWED("e.distance_mm + coalesce(a.offset_mm, 0)", "a.made_day")
		" AND a.made_day <= $5 AND a.id <> $6 "
		"AND " SQL_COUNTS("attachment", NOUN_ATTACHMENT, "a.id") " "
		"ORDER BY a.bond_id, a.bond_end, a.made_day, a.id";

	_Static_assert(MARK_SPOILT == 0 && MARK_LIVE == 1 && BOND_IN_SERVICE == 0 &&
		END_ON_RAIL == 0 && OFFSET_MOST_MM == 100000, "the statements say so");
	return add_spots(store, sql, values, 6, all, count, why);
}

/* An end in service of which no attachment was ever recorded is attached all the same. */
static bool add_without_record(struct store *store, const struct value values[5],
	struct rail_spot **all, size_t *count, struct problem *why)
{
	static const char sql[] = "SELECT 1, e.distance_mm, e.bond_id, e.bond_end, f.label, 0, NULL, "
		"NULL, f.installed_day, NULL FROM end_fact e " FACT_NOW " WHERE " ENDS_ON_RAIL
		" AND e.distance_mm BETWEEN $3 AND $4 AND e.version = f.version AND f.status = 0 "
		"AND NOT " RENEWED("e.distance_mm", "coalesce(f.installed_day, -2147483648)")
		" AND NOT EXISTS (SELECT 1 FROM attachment a WHERE a.bond_id = e.bond_id "
		"AND a.bond_end = e.bond_end AND " SQL_COUNTS("attachment", NOUN_ATTACHMENT, "a.id")
		") ORDER BY e.bond_id, e.bond_end";

	return add_spots(store, sql, values, 5, all, count, why);
}

/* Of each mark the newest word of its end; a day is that on which it was recorded. */
static bool add_noted(struct store *store, const struct value values[5], struct rail_spot **all,
	size_t *count, struct problem *why)
{
	static const char sql[] = "SELECT DISTINCT m.kind, e.distance_mm + m.offset_mm AS at, m.bond_id, "
		"m.bond_end, f.label, 1, NULL, NULL, NULL, NULL FROM end_fact e " FACT_NOW
		" JOIN rail_mark m ON m.bond_id = e.bond_id AND m.bond_end = e.bond_end "
		"WHERE " ENDS_ON_RAIL " AND e.distance_mm + m.offset_mm BETWEEN $3 AND $4 "
		"AND " SAID_WHEN("m")
		" AND m.there = 1 AND NOT EXISTS (SELECT 1 FROM rail_mark l WHERE l.bond_id = m.bond_id "
		"AND l.bond_end = m.bond_end AND l.kind = m.kind AND l.offset_mm = m.offset_mm "
		"AND l.id > m.id) AND NOT " RENEWED("e.distance_mm + m.offset_mm",
		"m.recorded_at_ms / 86400000") " ORDER BY m.bond_id, m.bond_end, at";

	return add_spots(store, sql, values, 5, all, count, why);
}

bool store_rail_spots(struct store *store, const struct rail_stretch *on, int64_t but,
	int32_t until_day, struct rail_spot **all, size_t *count, struct problem *why)
{
	const struct value values[] = { value_integer(on->track_id), value_integer(on->rail),
		value_integer(on->from_mm), value_integer(on->to_mm), value_integer(until_day),
		value_integer(but) };

	*all = NULL;
	*count = 0;
	if (!add_attached(store, values, all, count, why) ||
		!add_without_record(store, values, all, count, why) ||
		!add_noted(store, values, all, count, why)) {
		free(*all);
		*all = NULL;
		*count = 0;
		return false;
	}
	return true;
}

bool store_unstated_ends(struct store *store, int64_t line_id, const struct rail_stretch *on,
	int64_t but, int64_t *count, struct problem *why)
{
	/* the ends of a bond lie at most 2 km apart (rules/plausible.h) */
	static const char sql[] = "SELECT count(*) FROM bond_state s JOIN end_fact e "
		"ON e.bond_id = s.bond_id AND e.version = s.version WHERE s.line_id = $1 "
		"AND s.distance_mm BETWEEN $2 - 2000000 AND $3 + 2000000 AND s.status = 0 "
		"AND e.on_what = 0 AND e.distance_mm BETWEEN $2 AND $3 AND (e.track_id IS NULL "
		"OR (e.track_id = $4 AND e.rail IS NULL)) AND s.bond_id <> $5";
	const struct value values[] = { value_integer(line_id), value_integer(on->from_mm),
		value_integer(on->to_mm), value_integer(on->track_id), value_integer(but) };

	return sql_integer(store, sql, values, COUNT(values), 0, count, why);
}

#define NAME_OF(column) "(SELECT p.name FROM person_fact p WHERE p.person_id = " column \
	" ORDER BY p.version DESC LIMIT 1)"

bool store_used_spots(struct store *store, int64_t line_id, struct used_spot **all, size_t *count,
	struct problem *why)
{
	static const char sql[] = "SELECT a.id, a.bond_id, a.bond_end, l.code, s.label, a.uuid, "
		"coalesce(a.person_name, " NAME_OF("a.person_id") "), " NAME_OF("a.recorded_by") ", "
		"a.made_day, a.offset_mm, s.status = 0 AND " NEXT_OF_END " IS NULL AND "
		ATTACHMENT_ENDED_DAY " IS NULL FROM attachment a "
		"JOIN bond_state s ON s.bond_id = a.bond_id JOIN line l ON l.id = s.line_id "
		"WHERE a.spot_taken = 1 AND ($1 = 0 OR s.line_id = $1) "
		"AND " SQL_COUNTS("attachment", NOUN_ATTACHMENT, "a.id") " "
		"ORDER BY a.made_day DESC, a.id DESC";
	sqlite3_stmt *rows = sql_select(store, sql, (struct value[]){ value_integer(line_id) }, 1,
		why);

	*all = NULL;
	*count = 0;
	while (sql_row(store, rows, why)) {
		struct used_spot *u;

		if (!array_grow((void **)all, *count, sizeof **all, why)) {
			sql_done(rows);
			break;
		}
		u = &(*all)[(*count)++];
		*u = (struct used_spot){ .id = sqlite3_column_int64(rows, 0),
			.bond_id = sqlite3_column_int64(rows, 1), .bond_end = sqlite3_column_int(rows, 2),
			.made_day = column_day(rows, 8), .offset_mm = sqlite3_column_int64(rows, 9),
			.is_live = sqlite3_column_int(rows, 10) != 0 };
		column_text(rows, 3, u->line, sizeof u->line);
		column_text(rows, 4, u->label, sizeof u->label);
		column_text(rows, 5, u->uuid, sizeof u->uuid);
		column_text(rows, 6, u->person, sizeof u->person);
		column_text(rows, 7, u->recorded_by, sizeof u->recorded_by);
	}
	if (why->code != PROBLEM_NONE) {
		free(*all);
		*all = NULL;
	}
	return why->code == PROBLEM_NONE;
}
