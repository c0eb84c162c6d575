/* Marks in derived_mark that count up: what a connection keeps of the register is good as long as
 * the mark is the same. */
#include "store/sql.h"

bool sql_mark_same(struct store *store, const char *name, struct sql_mark *seen, bool *same,
	struct problem *why)
{
	static const char sql[] = "SELECT value FROM derived_mark WHERE name = $1";
	uint64_t state = sql_state(store);
	int64_t value;

	*same = true;
	if (state != 0 && seen->state == state) {
		return true;
	}
	if (!sql_integer(store, sql, (struct value[]){ value_text(name) }, 1, 0, &value, why)) {
		return false;
	}
	*same = value == seen->value;
	*seen = (struct sql_mark){ value, state };
	return true;
}

bool sql_mark_step(struct store *store, const char *name, struct problem *why)
{
	static const char sql[] = "INSERT INTO derived_mark (name, value) VALUES ($1, 1) "
		"ON CONFLICT (name) DO UPDATE SET value = derived_mark.value + 1";

	sql_state_changed(store);
	return sql_run(store, sql, (struct value[]){ value_text(name) }, 1, why);
}
