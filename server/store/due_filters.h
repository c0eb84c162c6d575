/* What the due list and the strip have in common, so that they always show the same bonds. The
 * conditions are over bond_state s alone. */
#ifndef STORE_DUE_FILTERS_H
#define STORE_DUE_FILTERS_H

#include "store/bond.h"

enum { DUE_FILTERS = 10, DUE_TOTALS = 5 };

extern const struct list_filter due_filters[DUE_FILTERS];
extern const struct list_total due_totals[DUE_TOTALS];   /* in the order of enum due_state */

#define DUE_WHERE "s.due_day IS NOT NULL"

#endif
