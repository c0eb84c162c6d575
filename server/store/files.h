/*
 * The files of a register, as a writing connection has them open: register.db, and the -wal and
 * -shm beside it.
 *
 * SQLite trusts its paths. When the folder is deleted, the log removed or the register replaced
 * under it, it goes on writing to files that nobody can open any more, and reports success. So
 * which files were opened is noted as they are opened, and after each commit it is seen to that
 * the paths still name them.
 */
#ifndef STORE_FILES_H
#define STORE_FILES_H

#include <stdbool.h>
#include <sys/stat.h>

#include "base/problem.h"

enum store_file { FILE_REGISTER, FILE_LOG, FILE_INDEX, STORE_FILES };

struct store_files {
	struct { dev_t device; ino_t inode; } of[STORE_FILES];   /* inode 0: not noted */
};

/* Once, before the first connection is opened. What SQLite makes is its owner's alone (0600). */
void store_files_configure(void);

/* What this thread opens from now on is noted in *files; NULL: no more. */
void store_files_note(struct store_files *files);

/* Notes by their paths those that another connection of this process had opened before. */
void store_files_complete(struct store_files *files, const char *path);

/* What the path of a file names now. What was not noted is taken to be in place. */
enum store_place { PLACE_SAME, PLACE_EMPTY, PLACE_OTHER };
enum store_place store_file_place(const struct store_files *files, const char *path,
	enum store_file file);

/* "", "-wal" or "-shm": what follows the register's path in that of each. */
const char *store_file_ending(enum store_file file);

struct store;

/* Refuses a register of which pages are missing: neither in the file nor in its log. */
bool store_file_is_whole(struct store *store, struct problem *why);

#endif
