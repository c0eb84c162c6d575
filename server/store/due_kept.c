/* Due days as they are kept, many at a time: for a rulebook that changes all of them. */
#include "base/clock.h"
#include "rules/edition.h"
#include "store/bond.h"
#include "store/sql.h"

bool store_dues_after(struct store *store, int64_t after, int64_t version, struct due_kept *to,
	size_t most, size_t *count, struct problem *why)
{
	static const char sql[] = "SELECT s.bond_id, s.kind, s.criticality, s.status, "
		"f.installed_day, s.last_inspection_day, b.recorded_at_ms, "
		"(s.reasons >> $1) & 1 OR s.judged_again OR "
		"EXISTS (SELECT 1 FROM deferral d WHERE d.bond_id = s.bond_id), "
		"s.line_id, s.surveyed, s.due_day, s.soon_from_day, s.overdue_from_day, s.deferred_to_day, "
		"CASE WHEN s.edition = $2 THEN s.rulebook_version ELSE 0 END, s.grade, "
		"s.evidence_until_day, s.act_since_day, s.early_day, s.commissioning_day, "
		"s.lacks_since_day, s.wants_reading, s.ever_proved, s.is_watched, "
		"s.inspect_day, s.mend_day, s.notice_days "
		"FROM bond_state s JOIN bond b ON b.id = s.bond_id "
		"JOIN bond_fact f ON f.bond_id = s.bond_id AND f.version = s.version "
		"WHERE s.bond_id > $3 AND (s.rulebook_version <> $4 OR s.rulebook_version < 1 "
		"OR s.edition <> $2) ORDER BY s.bond_id LIMIT $5";
	const struct value values[] = { value_integer(REASON_FORECAST), value_integer(RULES_EDITION),
		value_integer(after), value_integer(version), value_integer((int64_t)most) };
	sqlite3_stmt *rows = sql_select(store, sql, values, 5, why);

	*count = 0;
	while (sql_row(store, rows, why)) {
		to[(*count)++] = (struct due_kept){ .bond_id = sqlite3_column_int64(rows, 0),
			.facts = { .kind = (enum bond_kind)sqlite3_column_int(rows, 1),
			.criticality = (enum criticality)sqlite3_column_int(rows, 2),
			.in_service = sqlite3_column_int(rows, 3) == BOND_IN_SERVICE,
			.installed_day = column_day(rows, 4), .inspected_day = column_day(rows, 5),
			.known_since_day = clock_day_of(sqlite3_column_int64(rows, 6)),
			.deferred_until_day = DAY_NONE, .is_judged = true,
			.is_watched = sqlite3_column_int(rows, 23) != 0,
			.commissioning_day = column_day(rows, 19), .lacks_since_day = column_day(rows, 20),
			.wants_reading = sqlite3_column_int(rows, 21) != 0,
			.ever_proved = sqlite3_column_int(rows, 22) != 0,
			.evidence_until_day = column_day(rows, 16),
			.act_since_day = column_day(rows, 17), .early_day = DAY_NONE },
			.is_whole = sqlite3_column_int(rows, 7) != 0,
			.line_id = sqlite3_column_int64(rows, 8), .surveyed = sqlite3_column_int(rows, 9) != 0,
			.due = { .due_day = column_day(rows, 10), .soon_from_day = column_day(rows, 11),
			.overdue_from_day = column_day(rows, 12), .deferred_until_day = column_day(rows, 13),
			.inspect_day = column_day(rows, 24), .mend_day = column_day(rows, 25),
			.notice_days = sqlite3_column_int(rows, 26) },
			.version = sqlite3_column_int64(rows, 14),
			.grade = (enum grade)sqlite3_column_int(rows, 15),
			.evidence_until_day = column_day(rows, 16), .early_day = column_day(rows, 18) };
	}
	return why->code == PROBLEM_NONE;
}

bool store_due_write(struct store *store, int64_t bond_id, const struct due *due, int64_t version,
	struct problem *why)
{
	static const char sql[] = "UPDATE bond_state SET due_day = $1, soon_from_day = $2, "
		"overdue_from_day = $3, due_basis = $4, rulebook_version = $5, inspect_day = $6, "
		"mend_day = $7, notice_days = $8, own_months = $9 WHERE bond_id = $10";
	const struct value values[] = { value_day(due->due_day), value_day(due->soon_from_day),
		value_day(due->overdue_from_day), value_integer(due->basis), value_integer(version),
		value_day(due->inspect_day), value_day(due->mend_day), value_integer(due->notice_days),
		value_integer(due->own_months), value_integer(bond_id) };

	return sql_run(store, sql, values, sizeof values / sizeof values[0], why);
}
