/* Every calibration of every instrument: what a tablet takes along. */
#ifndef STORE_CALIBRATION_H
#define STORE_CALIBRATION_H

#include "rules/uncertainty.h"
#include "store/store.h"

struct calibration_of {
	int64_t instrument_id;
	struct calibration is;
};

/* By instrument, oldest first; of one day in the order in which they were recorded. *all is the
 * caller's: free(), also after failure. */
bool store_calibrations(struct store *store, struct calibration_of **all, size_t *count,
	struct problem *why);

#endif
