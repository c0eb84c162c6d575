/*
 * Due days as they are kept, many at a time: for a rulebook that changes all of them. One statement
 * for many bonds, which asks a function of ours for each figure, takes a quarter less than one
 * statement for each bond.
 */
#include "base/clock.h"
#include "rules/edition.h"
#include "store/connection.h"
#include "store/kept/visit_count.h"
#include "store/record/bond.h"

static int32_t last_visit_day(sqlite3_value *visits)
{
	const unsigned char *bytes = sqlite3_value_blob(visits);
	int len = sqlite3_value_bytes(visits);

	return len < VISIT_BYTES ? DAY_NONE : visit_kept_read(&bytes[len - VISIT_BYTES]).day;
}

/* When it began matters to due_compute only where an inspection or a proof is missing: it is looked
 * up there alone. */
#define BEGAN(what, from) "CASE WHEN s.last_inspection_day IS NULL OR s.evidence_until_day IS NULL " \
	"THEN (SELECT " what " FROM " from ") END, "

static int32_t known_since_day(sqlite3_value *recorded_at_ms)
{
	return sqlite3_value_type(recorded_at_ms) == SQLITE_NULL ? DAY_NONE :
		clock_day_of(sqlite3_value_int64(recorded_at_ms));
}

/* Rows that are taken, as many as there is room for. */
struct taking {
	struct due_kept *to;
	size_t most, count;
};

static bool take_due(void *arg, sqlite3_value **row, struct problem *why)
{
	struct taking *taking = arg;

	(void)why;
	taking->to[taking->count++] = (struct due_kept){ .bond_id = sqlite3_value_int64(row[0]),
		.facts = { .kind = (enum bond_kind)sqlite3_value_int(row[1]),
		.criticality = (enum criticality)sqlite3_value_int(row[2]),
		.in_service = sqlite3_value_int(row[3]) == BOND_IN_SERVICE,
		.installed_day = taken_day(row[4]), .inspected_day = taken_day(row[5]),
		.known_since_day = known_since_day(row[6]), .deferred_until_day = DAY_NONE,
		.is_judged = true, .is_watched = sqlite3_value_int(row[23]) != 0,
		.commissioning_day = taken_day(row[19]), .lacks_since_day = taken_day(row[20]),
		.wants_reading = sqlite3_value_int(row[21]) != 0,
		.ever_proved = sqlite3_value_int(row[22]) != 0,
		.evidence_until_day = taken_day(row[16]), .act_since_day = taken_day(row[17]),
		.early_day = DAY_NONE },
		.is_whole = sqlite3_value_int(row[7]) != 0, .line_id = sqlite3_value_int64(row[8]),
		.surveyed = sqlite3_value_int(row[9]) != 0,
		.due = { .due_day = taken_day(row[10]), .soon_from_day = taken_day(row[11]),
		.overdue_from_day = taken_day(row[12]), .deferred_until_day = taken_day(row[13]),
		.inspect_day = taken_day(row[24]), .mend_day = taken_day(row[25]),
		.notice_days = sqlite3_value_int(row[26]) },
		.version = sqlite3_value_int64(row[14]),
		.grade = (enum grade)sqlite3_value_int(row[15]),
		.evidence_until_day = taken_day(row[16]), .early_day = taken_day(row[18]),
		.last_visit_day = last_visit_day(row[27]) };
	return taking->count < taking->most;
}

bool store_dues_after(struct store *store, int64_t after, int64_t until, int64_t version,
	struct due_kept *to, size_t most, size_t *count, struct problem *why)
{
	static const char sql[] = "SELECT 1 FROM bond_state s WHERE s.bond_id > $1 "
		"AND s.bond_id <= $2 AND (s.rulebook_version <> $3 OR s.rulebook_version < 1 "
		"OR s.edition <> $4 OR s.odd < 0) "
		"AND enough(s.bond_id, s.kind, s.criticality, s.status, "
		BEGAN("f.installed_day", "bond_fact f WHERE f.bond_id = s.bond_id AND f.version = s.version")
		"s.last_inspection_day, " BEGAN("b.recorded_at_ms", "bond b WHERE b.id = s.bond_id")
		"(s.reasons >> $5) & 1 OR s.judged_again OR "
		"EXISTS (SELECT 1 FROM deferral d WHERE d.bond_id = s.bond_id), "
		"s.line_id, s.surveyed, s.due_day, s.soon_from_day, s.overdue_from_day, s.deferred_to_day, "
		"CASE WHEN s.edition = $4 AND s.odd >= 0 THEN s.rulebook_version ELSE 0 END, s.grade, "
		"s.evidence_until_day, s.act_since_day, s.early_day, s.commissioning_day, "
		"s.lacks_since_day, s.wants_reading, s.ever_proved, s.is_watched, "
		"s.inspect_day, s.mend_day, s.notice_days, s.visits) ORDER BY s.bond_id";
	const struct value values[] = { value_integer(after), value_integer(until),
		value_integer(version), value_integer(RULES_EDITION), value_integer(REASON_FORECAST) };
	struct taking taking = { to, most, 0 };
	bool ok = sql_walk_by(store, sql, values, 5, take_due, &taking, why);

	*count = taking.count;
	return ok;
}

/* In the statement below: moved(bond, 0) whether it moves, then its figures. */
struct moving {
	const struct due_moved *all;
	size_t count, at;                    /* the rows come in the order of their bonds */
};
enum { MOVES, DUE_DAY, SOON_FROM_DAY, OVERDUE_FROM_DAY, BASIS, INSPECT_DAY, MEND_DAY, NOTICE_DAYS,
	OWN_MONTHS };

static void moved(sqlite3_context *context, int count, sqlite3_value **values)
{
	const struct store *store = sqlite3_user_data(context);
	struct moving *m = store->moving;
	int64_t bond_id = sqlite3_value_int64(values[0]);
	const struct due *due;

	(void)count;
	while (m != NULL && m->at < m->count && m->all[m->at].bond_id < bond_id) {
		m->at++;
	}
	if (m == NULL || m->at == m->count || m->all[m->at].bond_id != bond_id) {
		sqlite3_result_int(context, 0);
		return;
	}
	due = &m->all[m->at].due;
	const int64_t figures[] = { [MOVES] = 1, [DUE_DAY] = due->due_day,
		[SOON_FROM_DAY] = due->soon_from_day, [OVERDUE_FROM_DAY] = due->overdue_from_day,
		[BASIS] = due->basis, [INSPECT_DAY] = due->inspect_day, [MEND_DAY] = due->mend_day,
		[NOTICE_DAYS] = due->notice_days, [OWN_MONTHS] = due->own_months };
	int64_t figure = figures[sqlite3_value_int(values[1])];

	if (figure == DAY_NONE) {
		sqlite3_result_null(context);
	} else {
		sqlite3_result_int64(context, figure);
	}
}

bool sql_due_open(struct store *store, sqlite3 *db)
{
	return sqlite3_create_function_v2(db, "moved", 2, SQLITE_UTF8 | SQLITE_DIRECTONLY, store, moved,
		NULL, NULL, NULL) == SQLITE_OK;
}

bool store_dues_write(struct store *store, const struct due_moved *all, size_t count,
	int64_t version, struct problem *why)
{
	static const char sql[] = "UPDATE bond_state SET due_day = moved(bond_id, 1), "
		"soon_from_day = moved(bond_id, 2), overdue_from_day = moved(bond_id, 3), "
		"due_basis = moved(bond_id, 4), inspect_day = moved(bond_id, 5), "
		"mend_day = moved(bond_id, 6), notice_days = moved(bond_id, 7), "
		"own_months = moved(bond_id, 8), rulebook_version = $1 "
		"WHERE bond_id BETWEEN $2 AND $3 AND moved(bond_id, 0)";
	struct moving m = { all, count, 0 };
	sqlite3_stmt *update;

	if (count == 0) {
		return true;
	}
	update = sql_select(store, sql, (struct value[]){ value_integer(version),
		value_integer(all[0].bond_id), value_integer(all[count - 1].bond_id) }, 3, why);
	store->moving = &m;
	sql_row(store, update, why);
	store->moving = NULL;
	return why->code == PROBLEM_NONE;
}
