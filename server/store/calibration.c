#include "store/calibration.h"

#include "store/sql.h"

bool store_calibrations(struct store *store, struct calibration_of **all, size_t *count,
	struct problem *why)
{
	static const char sql[] = "SELECT instrument_id, calibrated_day, due_day, uncertainty_percent, "
		"uncertainty_uohm FROM calibration ORDER BY instrument_id, calibrated_day, id";
	sqlite3_stmt *rows = sql_select(store, sql, NULL, 0, why);

	*all = NULL;
	*count = 0;
	while (sql_row(store, rows, why)) {
		if (!sql_grow((void **)all, *count, sizeof **all, why)) {
			sql_done(rows);
			break;
		}
		(*all)[(*count)++] = (struct calibration_of){ sqlite3_column_int64(rows, 0),
			{ sqlite3_column_int(rows, 1), sqlite3_column_int(rows, 2),
			sqlite3_column_double(rows, 3), sqlite3_column_double(rows, 4) } };
	}
	return why->code == PROBLEM_NONE;
}
