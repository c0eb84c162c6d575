#include "store/calibration.h"

#include "store/sql.h"

struct calibration calibration_read(sqlite3_stmt *row, int column)
{
	enum figure_kind kind = (enum figure_kind)sqlite3_column_int(row, column + 5);

	return (struct calibration){ sqlite3_column_int(row, column),
		sqlite3_column_int(row, column + 1),
		calibration_u95(sqlite3_column_double(row, column + 2), kind),
		calibration_u95(sqlite3_column_double(row, column + 3), kind),
		(enum as_found)sqlite3_column_int(row, column + 4) };
}

bool store_calibrations(struct store *store, struct calibration_of **all, size_t *count,
	struct problem *why)
{
	static const char sql[] = "SELECT instrument_id, calibrated_day, due_day, uncertainty_percent, "
		"uncertainty_uohm, as_found, figure_kind, (SELECT m.methods FROM instrument_methods m "
		"WHERE m.instrument_id = c.instrument_id ORDER BY m.version DESC LIMIT 1) "
		"FROM calibration c ORDER BY instrument_id, calibrated_day, id";
	sqlite3_stmt *rows = sql_select(store, sql, NULL, 0, why);

	*all = NULL;
	*count = 0;
	while (sql_row(store, rows, why)) {
		if (!sql_grow((void **)all, *count, sizeof **all, why)) {
			sql_done(rows);
			break;
		}
		(*all)[(*count)++] = (struct calibration_of){ sqlite3_column_int64(rows, 0),
			sqlite3_column_int64(rows, 7), calibration_read(rows, 1) };
	}
	return why->code == PROBLEM_NONE;
}
