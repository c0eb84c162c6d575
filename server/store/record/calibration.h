/* Every calibration of every instrument: what a tablet takes along. */
#ifndef STORE_RECORD_CALIBRATION_H
#define STORE_RECORD_CALIBRATION_H

#include "rules/uncertainty.h"
#include "store/lists/list.h"
#include "store/store.h"

struct calibration_of {
	int64_t instrument_id, methods;   /* methods: as in struct meter */
	struct calibration is;
};

/* Columns calibrated_day, due_day, uncertainty_percent, uncertainty_uohm, as_found, figure_kind of
 * a row, from a column on. */
struct sqlite3_stmt;
struct calibration calibration_read(struct sqlite3_stmt *row, int column);

/* By instrument, oldest first; of one day in the order in which they were recorded. *all is the
 * caller's: free(), also after failure. */
bool store_calibrations(struct store *store, struct calibration_of **all, size_t *count,
	struct problem *why);

/* Whose it is; 0: there is no such calibration. */
bool store_calibration_instrument(struct store *store, int64_t id, int64_t *instrument_id,
	struct problem *why);

extern const struct list calibration_list;

#endif
