/* Which column seems to be what, and in which unit. Internal to the proposer. */
#ifndef SERVICE_IMPORT_PROPOSE_COLUMNS_H
#define SERVICE_IMPORT_PROPOSE_COLUMNS_H

#include "service/import/propose.h"

/* Fills the settings' columns, of which none is given. */
bool import_propose_columns(struct import_proposal *proposal, const struct import_fields *fields,
	struct problems *why);

/* Units for the columns that have none yet; what was given stays. */
bool import_propose_units(struct import_proposal *proposal, const struct import_fields *fields,
	struct problems *why);

/* The code of the unit that a column seems to be in, and why; NULL: nothing says it. */
const char *import_unit_like(const struct import_proposal *proposal, const struct member *m,
	size_t column, char why[CSV_WHY_SIZE]);

#endif
