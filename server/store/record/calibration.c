#include "store/record/calibration.h"

#include "store/record/doer.h"
#include "store/sql.h"

#define COUNT(array) (sizeof (array) / sizeof (array)[0])

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
		"FROM calibration c WHERE " SQL_STANDS(NOUN_CALIBRATION, "c.id") " "
		"ORDER BY instrument_id, calibrated_day, id";
	sqlite3_stmt *rows = sql_select(store, sql, NULL, 0, why);

	*all = NULL;
	*count = 0;
	while (sql_row(store, rows, why)) {
		if (!array_grow((void **)all, *count, sizeof **all, why)) {
			sql_done(rows);
			break;
		}
		(*all)[(*count)++] = (struct calibration_of){ sqlite3_column_int64(rows, 0),
			sqlite3_column_int64(rows, 7), calibration_read(rows, 1) };
	}
	return why->code == PROBLEM_NONE;
}

bool store_calibration_instrument(struct store *store, int64_t id, int64_t *instrument_id,
	struct problem *why)
{
	static const char sql[] = "SELECT instrument_id FROM calibration WHERE id = $1";

	return sql_integer(store, sql, (struct value[]){ value_integer(id) }, 1, 0, instrument_id, why);
}

#define COLUMN_OF_WITHDRAWAL(name, title, column) { { name, title, NULL, CELL_TEXT, .width = 30 }, \
	"(SELECT " column " FROM withdrawal w WHERE w.noun = " NOUN_CALIBRATION " AND w.row_id = c.id)" }

static const struct list_column columns[] = {
	{ { "id", "Number", NULL, CELL_INTEGER }, "c.id" },
	{ { "instrument", "Instrument", NULL, CELL_TEXT }, "i.serial" },
	{ { "calibrated_day", "Calibrated", NULL, CELL_DAY }, "c.calibrated_day" },
	{ { "calibration_due_day", "Calibration due", NULL, CELL_DAY }, "c.due_day" },
	{ { "uncertainty_percent", "Off by, of the reading", "%", CELL_REAL },
	  "c.uncertainty_percent" },
	{ { "uncertainty_uohm", "added to it", "µΩ", CELL_REAL }, "c.uncertainty_uohm" },
	{ { "figure_kind", "Stated as", NULL, CELL_WORD, &figure_kind_words }, "c.figure_kind" },
	{ { "as_found", "As found", NULL, CELL_WORD, &as_found_words }, "c.as_found" },
	{ { "withdrawn", "Withdrawn", NULL, CELL_FLAG }, SQL_WITHDRAWN(NOUN_CALIBRATION, "c.id") },
	COLUMN_OF_WITHDRAWAL("withdrawn_by", "Withdrawn by", NAME_OF("w.recorded_by")),
	COLUMN_OF_WITHDRAWAL("withdrawn_why", "Why", "w.reason"),
	COLUMNS_OF_ENTRY("c"),
};
static const struct list_filter filters[] = {
	{ "id", "Number", FILTER_ID, "c.id = {value}" },
	{ "instrument", "Instrument", FILTER_ID, "c.instrument_id = {value}" },
};
static const struct list_sort sorts[] = {
	{ "newest", "newest first", { "c.calibrated_day" }, .descending = true },
};
const struct list calibration_list = {
	.name = "calibrations", .title = "Calibrations",
	.summary = "Each calibration of each instrument; a wrong one is withdrawn by its number.",
	.from = "calibration c JOIN instrument i ON i.id = c.instrument_id", .id = "c.id",
	.columns = columns, .n_columns = COUNT(columns),
	.filters = filters, .n_filters = COUNT(filters),
	.sorts = sorts, .n_sorts = COUNT(sorts),
};
