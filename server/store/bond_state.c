#include "base/day.h"
#include "store/bond.h"
#include "store/sql.h"

/* The newest complete inspection that no correction replaces. */
static bool last_inspection(struct store *store, int64_t bond_id, int32_t *day, int64_t *at_ms,
	struct problem *why)
{
	static const char sql[] = "SELECT i.day, i.recorded_at_ms FROM inspection i "
		"WHERE i.bond_id = $1 AND i.outcome = 0 "
		"AND NOT EXISTS (SELECT 1 FROM inspection c WHERE c.replaces_id = i.id) "
		"ORDER BY i.day DESC, i.id DESC LIMIT 1";
	sqlite3_stmt *row = sql_select(store, sql, (struct value[]){ value_integer(bond_id) }, 1,
		why);

	*day = DAY_NONE;
	*at_ms = 0;
	if (sql_row(store, row, why)) {
		*day = sqlite3_column_int(row, 0);
		*at_ms = sqlite3_column_int64(row, 1);
		sql_done(row);
	}
	return why->code == PROBLEM_NONE;
}

/* The newest deferral, if no complete inspection is of a later day than its decision, or of the
 * same day and recorded after it. */
static bool live_deferral(struct store *store, int64_t bond_id, int32_t inspected_day,
	int64_t inspected_at_ms, struct bond_history *to, struct problem *why)
{
	static const char sql[] = "SELECT d.id, d.until_day, d.decided_day, d.recorded_at_ms "
		"FROM deferral d WHERE d.bond_id = $1 "
		"AND NOT EXISTS (SELECT 1 FROM deferral c WHERE c.replaces_id = d.id) "
		"ORDER BY d.id DESC LIMIT 1";
	sqlite3_stmt *row = sql_select(store, sql, (struct value[]){ value_integer(bond_id) }, 1,
		why);

	to->due.deferred_until_day = DAY_NONE;
	to->deferral_id = 0;
	if (sql_row(store, row, why)) {
		int32_t decided = sqlite3_column_int(row, 2);
		bool ended = inspected_day != DAY_NONE && (inspected_day > decided ||
			(inspected_day == decided && inspected_at_ms > sqlite3_column_int64(row, 3)));

		if (!ended) {
			to->deferral_id = sqlite3_column_int64(row, 0);
			to->due.deferred_until_day = sqlite3_column_int(row, 1);
		}
		sql_done(row);
	}
	return why->code == PROBLEM_NONE;
}

bool store_bond_history(struct store *store, const struct bond *bond, struct bond_history *to,
	struct problem *why)
{
	static const char since[] = "SELECT recorded_at_ms FROM bond WHERE id = $1";
	static const char open[] = "SELECT count(*) FROM failure f WHERE f.bond_id = $1 "
		"AND NOT EXISTS (SELECT 1 FROM failure c WHERE c.replaces_id = f.id) "
		"AND NOT EXISTS (SELECT 1 FROM repair r WHERE r.failure_id = f.id)";
	const struct value id = value_integer(bond->id);
	int64_t inspected_at_ms, known_ms;

	*to = (struct bond_history){ .due = { .kind = bond->kind, .criticality = bond->criticality,
		.in_service = bond->status == BOND_IN_SERVICE, .installed_day = bond->installed_day } };
	if (!last_inspection(store, bond->id, &to->due.inspected_day, &inspected_at_ms, why) ||
		!live_deferral(store, bond->id, to->due.inspected_day, inspected_at_ms, to, why) ||
		!sql_integer(store, since, &id, 1, 0, &known_ms, why) ||
		!sql_integer(store, open, &id, 1, 0, &to->failures_open, why)) {
		return false;
	}
	to->due.known_since_day = instant_day(known_ms);
	return true;
}

bool store_bond_state_put(struct store *store, const struct bond *b, const struct bond_state *s,
	struct problem *why)
{
	static const char sql[] = "INSERT INTO bond_state (bond_id, version, line_id, label, kind, "
		"criticality, status, surveyed, track_id, rail, distance_mm, chainage, "
		"last_inspection_day, due_day, soon_from_day, overdue_from_day, due_basis, "
		"deferred_to_day, deferral_id, failures_open, rulebook_version) "
		"VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, "
		"$19, $20, $21) ON CONFLICT (bond_id) DO UPDATE SET version = excluded.version, "
		"line_id = excluded.line_id, label = excluded.label, kind = excluded.kind, "
		"criticality = excluded.criticality, status = excluded.status, "
		"surveyed = excluded.surveyed, track_id = excluded.track_id, rail = excluded.rail, "
		"distance_mm = excluded.distance_mm, chainage = excluded.chainage, "
		"last_inspection_day = excluded.last_inspection_day, due_day = excluded.due_day, "
		"soon_from_day = excluded.soon_from_day, overdue_from_day = excluded.overdue_from_day, "
		"due_basis = excluded.due_basis, deferred_to_day = excluded.deferred_to_day, "
		"deferral_id = excluded.deferral_id, failures_open = excluded.failures_open, "
		"rulebook_version = excluded.rulebook_version";
	const struct bond_end_fact *a = &b->end[END_A];
	const struct value values[] = { value_integer(b->id), value_integer(b->version),
		value_integer(b->line_id), value_text(b->label), value_integer(b->kind),
		value_integer(b->criticality), value_integer(b->status), value_integer(b->surveyed),
		value_id(a->track_id), value_word(a->rail), value_integer(a->distance_mm),
		value_text(s->chainage), value_day(s->last_inspection_day), value_day(s->due.due_day),
		value_day(s->due.soon_from_day), value_day(s->due.overdue_from_day),
		value_integer(s->due.basis), value_day(s->due.deferred_until_day),
		value_id(s->deferral_id), value_integer(s->failures_open),
		value_integer(s->rulebook_version) };

	return sql_run(store, sql, values, sizeof values / sizeof values[0], why);
}

bool store_bond_state_get(struct store *store, int64_t bond_id, struct bond_state *s,
	struct problem *why)
{
	static const char sql[] = "SELECT version, chainage, last_inspection_day, due_day, "
		"soon_from_day, overdue_from_day, due_basis, deferred_to_day, deferral_id, failures_open, "
		"rulebook_version FROM bond_state WHERE bond_id = $1";
	sqlite3_stmt *row = sql_select(store, sql, (struct value[]){ value_integer(bond_id) }, 1,
		why);

	if (!sql_row(store, row, why)) {
		if (why->code == PROBLEM_NONE) {
			problem_set(why, PROBLEM_NOT_FOUND, NULL, "There is no bond %lld.",
				(long long)bond_id);
		}
		return false;
	}
	*s = (struct bond_state){ .version = sqlite3_column_int64(row, 0),
		.last_inspection_day = column_day(row, 2),
		.due = { .basis = (enum due_basis)sqlite3_column_int(row, 6), .due_day = column_day(row, 3),
		.soon_from_day = column_day(row, 4), .overdue_from_day = column_day(row, 5),
		.deferred_until_day = column_day(row, 7) },
		.deferral_id = sqlite3_column_int64(row, 8), .failures_open = sqlite3_column_int64(row, 9),
		.rulebook_version = sqlite3_column_int64(row, 10) };
	column_text(row, 1, s->chainage, sizeof s->chainage);
	sql_done(row);
	return true;
}

bool store_deferral_reason(struct store *store, int64_t deferral_id, char *to, size_t size,
	struct problem *why)
{
	static const char sql[] = "SELECT reason FROM deferral WHERE id = $1";
	sqlite3_stmt *row = sql_select(store, sql, (struct value[]){ value_integer(deferral_id) }, 1,
		why);

	to[0] = '\0';
	if (sql_row(store, row, why)) {
		column_text(row, 0, to, size);
		sql_done(row);
	}
	return why->code == PROBLEM_NONE;
}
