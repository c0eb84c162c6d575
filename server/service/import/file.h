/* A file's bytes, with a limit. */
#ifndef SERVICE_IMPORT_FILE_H
#define SERVICE_IMPORT_FILE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/problem.h"

/* From a browser and from the command line. The whole file is held in memory. */
#define IMPORT_BROWSER_BYTES ((size_t)64 << 20)
#define IMPORT_FILE_BYTES ((size_t)1 << 30)

/* False: *why is PROBLEM_TOO_LARGE and says the limit. */
bool import_size_check(uint64_t len, size_t most, struct problem *why);

/* *bytes is the caller's (free()). False: PROBLEM_NOT_FOUND with what the system said,
 * PROBLEM_TOO_LARGE, or PROBLEM_NO_MEMORY. */
bool import_file_read(const char *path, size_t most, char **bytes, size_t *len,
	struct problem *why);

#endif
