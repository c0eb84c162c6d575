/* Files that must be on disk before anybody is told of them. */
#ifndef BASE_FILE_H
#define BASE_FILE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/progress.h"

/* SHA-256 in hexadecimal, with the closing NUL. */
enum { FILE_HASH_SIZE = 65 };

/* All of it, however the system cuts it. False: errno. */
bool file_write(int fd, const void *from, size_t len);

/* The names within a folder, as they are now, are on disk. False: errno. */
bool folder_sync(const char *path);

/*
 * Reads `from` to its end from where it stands; what was read goes to `to` unless that is -1, its
 * length to *bytes, its SHA-256 to hash. progress->done grows by what was read; NULL: nobody waits.
 * False: errno, which is ECANCELED when progress says stop.
 */
bool file_copy(int from, int to, struct progress *progress, int64_t *bytes,
	char hash[FILE_HASH_SIZE]);

/* The same of a file by its path (no symbolic link) into a new one, on disk when this returns true;
 * `to` NULL: it is read only. False: errno; a file that was begun is left. */
bool file_copy_path(const char *from, const char *to, struct progress *progress, int64_t *bytes,
	char hash[FILE_HASH_SIZE]);

#endif
