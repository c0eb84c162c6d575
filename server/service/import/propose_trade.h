/*
 * Columns by the trade's words and by what stands in them, for fields that no heading names by its
 * own name. Internal to the proposer.
 *
 * A column is proposed for a field when its heading has a name of it and its cells can be read so;
 * of two that fit equally neither is. A bond's label that the file has at several places of a line
 * is joined with the place. Of lines the notation is proposed that alone reads the places of the
 * rows, and for a name, where none is the same in all rows of a line, its code.
 */
#ifndef SERVICE_IMPORT_PROPOSE_TRADE_H
#define SERVICE_IMPORT_PROPOSE_TRADE_H

#include "service/import/propose.h"

/* Adds to the settings' columns, in which there is room for every field. taken: for each column of
 * the file, whether one of them has it. */
bool import_propose_trade(struct import_proposal *proposal, const struct import_fields *fields,
	bool taken[CSV_CELLS], struct problems *why);

#endif
