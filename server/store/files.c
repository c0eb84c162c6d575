#include "store/files.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "store/connection.h"

enum { LOG_HEADER = 32, FRAME_HEADER = 24, SALT_AT = 16, SALT_SIZE = 8 };

static _Thread_local struct store_files *noting;

const char *store_file_ending(enum store_file file)
{
	static const char *const endings[STORE_FILES] = { "", "-wal", "-shm" };

	return endings[file];
}

static bool ends_in(const char *path, const char *ending)
{
	size_t len = strlen(path), tail = strlen(ending);

	return len >= tail && strcmp(path + len - tail, ending) == 0;
}

static void note(enum store_file file, const struct stat *st)
{
	noting->of[file].device = st->st_dev;
	noting->of[file].inode = st->st_ino;
}

/* In SQLite's place of open(2). Folders are opened for reading, temporary files O_EXCL. */
static int open_noted(const char *path, int flags, int mode)
{
	int fd = open(path, flags, mode & 0600);
	struct stat st;

	if (fd >= 0 && noting != NULL && (flags & O_RDWR) != 0 && (flags & O_EXCL) == 0 &&
		!ends_in(path, "-journal") && fstat(fd, &st) == 0) {
		note(ends_in(path, "-wal") ? FILE_LOG : ends_in(path, "-shm") ? FILE_INDEX :
			FILE_REGISTER, &st);
	}
	return fd;
}

void store_files_configure(void)
{
	sqlite3_vfs *unix_files = sqlite3_vfs_find(NULL);

	if (unix_files != NULL && unix_files->iVersion >= 3) {
		unix_files->xSetSystemCall(unix_files, "open", (sqlite3_syscall_ptr)open_noted);
	}
}

void store_files_note(struct store_files *files)
{
	noting = files;
}

static bool stat_file(const char *path, enum store_file file, struct stat *st)
{
	char name[4200];
	int len = snprintf(name, sizeof name, "%s%s", path, store_file_ending(file));

	return len > 0 && (size_t)len < sizeof name && stat(name, st) == 0;
}

void store_files_complete(struct store_files *files, const char *path)
{
	struct stat st;

	noting = files;
	for (enum store_file i = 0; i < STORE_FILES; i++) {
		if (files->of[i].inode == 0 && stat_file(path, i, &st)) {
			note(i, &st);
		}
	}
	noting = NULL;
}

enum store_place store_file_place(const struct store_files *files, const char *path,
	enum store_file file)
{
	struct stat st;

	if (files->of[file].inode == 0) {
		return PLACE_SAME;
	}
	if (!stat_file(path, file, &st)) {
		return PLACE_EMPTY;
	}
	return st.st_dev == files->of[file].device && st.st_ino == files->of[file].inode ?
		PLACE_SAME : PLACE_OTHER;
}

static uint32_t number_at(const unsigned char *bytes)
{
	return (uint32_t)bytes[0] << 24 | (uint32_t)bytes[1] << 16 | (uint32_t)bytes[2] << 8 | bytes[3];
}

/* Marks in `there` the pages after the first `in_file` that the log holds. Frames of an earlier use
 * of the log have another salt. */
static void pages_of_log(sqlite3_file *log, int64_t page_size, int64_t in_file, int64_t pages,
	unsigned char *there)
{
	unsigned char head[LOG_HEADER], frame[FRAME_HEADER];
	int64_t at = LOG_HEADER;
	sqlite3_int64 size = 0;

	if (log == NULL || log->pMethods == NULL || log->pMethods->xFileSize(log, &size) != SQLITE_OK ||
		size < LOG_HEADER || log->pMethods->xRead(log, head, sizeof head, 0) != SQLITE_OK) {
		return;
	}
	for (; at + FRAME_HEADER + page_size <= size; at += FRAME_HEADER + page_size) {
		int64_t page;

		if (log->pMethods->xRead(log, frame, sizeof frame, at) != SQLITE_OK ||
			memcmp(frame + SALT_SIZE, head + SALT_AT, SALT_SIZE) != 0) {
			return;
		}
		page = number_at(frame);
		if (page > in_file && page <= pages) {
			there[page - in_file - 1] = 1;
		}
	}
}

static bool missing(int64_t in_file, int64_t pages, const char *path, struct problem *why)
{
	return problem_set(why, PROBLEM_RULE, NULL, "%s is cut short: it holds %lld of its %lld pages. "
		"Restore it from a backup.", path, (long long)in_file, (long long)pages);
}

/* Within a transaction, which keeps the log as it is. */
static bool look_at_pages(struct store *store, struct problem *why)
{
	const char *path = sqlite3_db_filename(store->db, "main");
	sqlite3_file *file = NULL, *log = NULL;
	int64_t pages = 0, page_size = 0, lacking = 0;
	sqlite3_int64 size = 0;
	unsigned char *there;

	if (!sql_integer(store, "PRAGMA page_count", NULL, 0, 0, &pages, why) ||
		!sql_integer(store, "PRAGMA page_size", NULL, 0, 0, &page_size, why)) {
		return false;
	}
	sqlite3_file_control(store->db, "main", SQLITE_FCNTL_FILE_POINTER, &file);
	sqlite3_file_control(store->db, "main", SQLITE_FCNTL_JOURNAL_POINTER, &log);
	if (file == NULL || file->pMethods == NULL || page_size <= 0 ||
		file->pMethods->xFileSize(file, &size) != SQLITE_OK || size / page_size >= pages) {
		return true;   /* (a register in memory has no file) */
	}
	there = calloc((size_t)(pages - size / page_size), 1);
	if (there == NULL) {
		return problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	pages_of_log(log, page_size, size / page_size, pages, there);
	for (int64_t i = 0; i < pages - size / page_size; i++) {
		lacking += there[i] == 0;
	}
	free(there);
	return lacking == 0 || missing(pages - lacking, pages, path, why);
}

bool store_file_is_whole(struct store *store, struct problem *why)
{
	bool ok = store_read_begin(store, why) && look_at_pages(store, why);

	store_read_end(store);
	return ok;
}
