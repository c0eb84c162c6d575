/* The register's days in statements. */
#include "base/clock.h"
#include "store/sql.h"

static void days_ahead(sqlite3_context *context, int count, sqlite3_value **values)
{
	int64_t ahead;

	(void)count;
	if (sqlite3_value_type(values[0]) == SQLITE_NULL) {
		return;
	}
	ahead = sqlite3_value_int64(values[0]) - clock_day_of(sqlite3_value_int64(values[1]));
	if (ahead > 0) {
		sqlite3_result_int64(context, ahead);
	}
}

bool sql_day_open(sqlite3 *db)
{
	return sqlite3_create_function_v2(db, "days_ahead", 2, SQLITE_UTF8 | SQLITE_DIRECTONLY, NULL,
		days_ahead, NULL, NULL, NULL) == SQLITE_OK;
}
