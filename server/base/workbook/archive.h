/*
 * The parts of a ZIP file in memory, unpacked as a stream. Internal to the workbook reader.
 *
 * Whoever made the file may mean harm: parts are counted before they are listed, what unpacks to
 * much more than it was is refused where it does, and all that is unpacked together has a limit.
 */
#ifndef BASE_WORKBOOK_ARCHIVE_H
#define BASE_WORKBOOK_ARCHIVE_H

#include <stdbool.h>
#include <stddef.h>

#include "base/problem.h"

enum { ARCHIVE_PARTS = 10000, ARCHIVE_RATIO = 200 };
#define ARCHIVE_SMALL ((size_t)32 << 20)      /* up to here the ratio does not matter */
#define ARCHIVE_UNPACKED ((size_t)2 << 30)    /* of all parts that are read, together */

struct archive;

/* The bytes are the caller's and outlive it. NULL: *why is PROBLEM_MALFORMED or
 * PROBLEM_NO_MEMORY. */
struct archive *archive_open(const char *bytes, size_t len, struct problem *why);
void archive_close(struct archive *archive);

bool archive_has(struct archive *archive, const char *part);

/* Hands a part's bytes on in pieces, the last one empty. False: put said no, or *why. */
typedef bool archive_put(void *app, const char *bytes, size_t len);
bool archive_read(struct archive *archive, const char *part, archive_put *put, void *app,
	struct problem *why);

#endif
