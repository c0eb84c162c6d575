/*
 * The files that long requests write before they are sent: without a name, on disk, gone when they
 * are closed. Together, and of one person, they are bounded, from the first row until the last byte
 * is sent.
 */
#ifndef API_SPOOL_H
#define API_SPOOL_H

#include <stddef.h>
#include <stdint.h>

#include "base/problem.h"

struct spools;
struct spool;

/* most: bytes of all, of which one person has half; 0: 8 GB. NULL: out of memory. */
struct spools *spools_new(uint64_t most);
void spools_free(struct spools *all);

/* Opens one in TMPDIR or /var/tmp (/tmp may be memory). NULL: *why. */
struct spool *spool_open(struct spools *all, int64_t person_id, struct problem *why);
int spool_file(const struct spool *spool);
/* After more was written: false when that is too much, *why says whose files are. size: NULL, or
 * gets what it is now. */
bool spool_grown(struct spool *spool, size_t *size, struct problem *why);
/* Gives its room back, and leaves the file to whoever has it; a struct spool, for
 * reply.file_end. */
void spool_end(void *spool);

#endif
