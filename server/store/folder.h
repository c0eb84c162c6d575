/*
 * Folders of files beside the register ("imports", "photos"). A file in one is whole and on disk,
 * or it is not there: it is written under another name, synced, renamed, and the folder synced.
 * Names are the program's own.
 */
#ifndef STORE_FOLDER_H
#define STORE_FOLDER_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/text.h"

enum { FOLDER_PATH_SIZE = 4200 };

/* Of the folder when the name is "". */
void folder_path(const char *register_path, const char *folder, const char *name,
	char to[FOLDER_PATH_SIZE]);

/* True: it is on disk, its own name and the folder's too. False: errno says why, and nothing is
 * left. What was there under the name is replaced. */
bool folder_keep(const char *register_path, const char *folder, const char *name,
	const char *bytes, size_t len);

/* The same without waiting for the disk: for what may be lost. */
bool folder_keep_lightly(const char *register_path, const char *folder, const char *name,
	const char *bytes, size_t len);

void folder_forget(const char *register_path, const char *folder, const char *name);

/* All of a file, of `most` bytes at most. False: errno says why; EFBIG for a longer one. */
bool folder_read(const char *register_path, const char *folder, const char *name, size_t most,
	struct text *to);

/* Calls `each` for every file that was last written before a moment; how many files there are.
 * each may be NULL. */
size_t folder_look(const char *register_path, const char *folder, int64_t before_s,
	void (*each)(void *arg, const char *name), void *arg);

#endif
