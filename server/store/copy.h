/* A copy of the register as it is at one moment, made while others use and change it. */
#ifndef STORE_COPY_H
#define STORE_COPY_H

#include "base/progress.h"
#include "store/store.h"

/*
 * Writes the state that `from` sees (within store_read_begin, which it must be, so that nothing
 * changes half-way) into a file of its own at `to`, which must not be there. It is on disk when
 * this returns true, in one piece, without a log beside it; store_open opens it. progress counts
 * bytes.
 * The register's log cannot begin anew until the read has ended. False: *why, and no file is left.
 */
bool store_copy(struct store *from, const char *to, struct progress *progress,
	struct problem *why);

/* How many of the record it holds, withdrawn ones too: by which a copy is known again. */
bool store_copy_counts(struct store *store, int64_t *bonds, int64_t *inspections,
	struct problem *why);

#endif
