#include "store/setting.h"

#include "store/record/known.h"
#include "store/sql.h"

static const char *const name_of[] = { [SETTING_ZONE] = "zone", [SETTING_BEGAN_DAY] = "began_day",
	[SETTING_FACTOR_ROLES] = "second_factor_roles" };

bool store_setting_get(struct store *store, enum setting setting, char to[SETTING_VALUE_SIZE],
	struct problem *why)
{
	static const char sql[] = "SELECT value FROM register_setting WHERE name = $1 "
		"ORDER BY version DESC LIMIT 1";
	sqlite3_stmt *row = sql_select(store, sql, (struct value[]){ value_text(name_of[setting]) }, 1,
		why);

	to[0] = '\0';
	if (sql_row(store, row, why)) {
		column_text(row, 0, to, SETTING_VALUE_SIZE);
		sql_done(row);
	}
	return why->code == PROBLEM_NONE;
}

bool store_setting_put(struct store *store, enum setting setting, const char *value,
	const char *reason, const struct origin *origin, struct problem *why)
{
	static const char sql[] = "INSERT INTO register_setting (name, version, value, reason, "
		"recorded_at_ms, recorded_by) VALUES ($1, (SELECT coalesce(max(s.version), 0) + 1 "
		"FROM register_setting s WHERE s.name = $1), $2, $3, $4, $5)";
	const struct value values[] = { value_text(name_of[setting]), value_text(value),
		value_text(reason), value_integer(origin->now_ms), value_id(origin->person_id) };

	return sql_run(store, sql, values, 5, why) && store_known_changed(store, why);
}

bool store_made_at(struct store *store, int64_t *instant_ms, struct problem *why)
{
	static const char sql[] = "SELECT min(applied_at_ms) FROM schema_version";

	return sql_integer(store, sql, NULL, 0, 0, instant_ms, why);
}
