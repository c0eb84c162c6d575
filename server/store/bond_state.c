#include <string.h>

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

static bool insert_state(struct store *store, const struct bond *b, const struct bond_state *s,
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

/* What of the kept row decides where a bond is counted, and whether any of it would change. */
struct kept_state {
	bool there, same_facts, same, counted_alike;
};

static bool compare_kept(struct store *store, const struct bond *b, const struct bond_state *s,
	struct kept_state *to, struct problem *why)
{
	static const char sql[] = "SELECT line_id, kind, criticality, due_day, soon_from_day, "
		"overdue_from_day, deferred_to_day, version, chainage, last_inspection_day, due_basis, "
		"deferral_id, failures_open, rulebook_version, surveyed FROM bond_state WHERE bond_id = $1";
	sqlite3_stmt *row = sql_select(store, sql, (struct value[]){ value_integer(b->id) }, 1, why);

	*to = (struct kept_state){ 0 };
	if (!sql_row(store, row, why)) {
		return why->code == PROBLEM_NONE;
	}
	to->there = true;
	to->counted_alike = sqlite3_column_int64(row, 0) == b->line_id &&
		sqlite3_column_int(row, 1) == (int)b->kind &&
		sqlite3_column_int(row, 2) == (int)b->criticality &&
		column_day(row, 3) == s->due.due_day && column_day(row, 4) == s->due.soon_from_day &&
		column_day(row, 5) == s->due.overdue_from_day &&
		column_day(row, 6) == s->due.deferred_until_day &&
		sqlite3_column_int(row, 14) == (b->surveyed ? 1 : 0);
	/* what is said of a bond only changes with its version */
	to->same_facts = sqlite3_column_int64(row, 7) == s->version;
	to->same = to->counted_alike && to->same_facts &&
		strcmp((const char *)sqlite3_column_text(row, 8), s->chainage) == 0 &&
		column_day(row, 9) == s->last_inspection_day &&
		sqlite3_column_int(row, 10) == (int)s->due.basis &&
		sqlite3_column_int64(row, 11) == s->deferral_id &&
		sqlite3_column_int64(row, 12) == s->failures_open &&
		sqlite3_column_int64(row, 13) == s->rulebook_version;
	sql_done(row);
	return true;
}

/* Only what is derived: the indices over what is said of the bond are not touched. */
static bool update_state(struct store *store, int64_t bond_id, const struct bond_state *s,
	struct problem *why)
{
	static const char sql[] = "UPDATE bond_state SET chainage = $1, last_inspection_day = $2, "
		"due_day = $3, soon_from_day = $4, overdue_from_day = $5, due_basis = $6, "
		"deferred_to_day = $7, deferral_id = $8, failures_open = $9, rulebook_version = $10 "
		"WHERE bond_id = $11";
	const struct value values[] = { value_text(s->chainage), value_day(s->last_inspection_day),
		value_day(s->due.due_day), value_day(s->due.soon_from_day),
		value_day(s->due.overdue_from_day), value_integer(s->due.basis),
		value_day(s->due.deferred_until_day), value_id(s->deferral_id),
		value_integer(s->failures_open), value_integer(s->rulebook_version),
		value_integer(bond_id) };

	return sql_run(store, sql, values, sizeof values / sizeof values[0], why);
}

static bool write_state(struct store *store, const struct kept_state *kept, const struct bond *b,
	const struct bond_state *s, struct problem *why)
{
	return kept->same || (kept->same_facts ? update_state(store, b->id, s, why) :
		insert_state(store, b, s, why));
}

bool store_bond_state_write(struct store *store, const struct bond *b, const struct bond_state *s,
	struct problem *why)
{
	struct kept_state kept;

	return compare_kept(store, b, s, &kept, why) && write_state(store, &kept, b, s, why);
}

bool store_bond_state_put(struct store *store, const struct bond *b, const struct bond_state *s,
	struct problem *why)
{
	struct kept_state kept;

	return compare_kept(store, b, s, &kept, why) &&
		(!kept.there || kept.counted_alike || store_due_count_add(store, b->id, b->id, -1, why)) &&
		write_state(store, &kept, b, s, why) &&
		(kept.counted_alike || store_due_count_add(store, b->id, b->id, 1, why));
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
