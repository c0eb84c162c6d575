#include "store/copy.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <unistd.h>

#include "base/log.h"
#include "store/connection.h"

/* 8 MB of the usual pages: long enough to be fast, short enough to be stopped. */
enum { PAGES_AT_ONCE = 2048 };

static bool failed(int code, const char *to, struct problem *why)
{
	log_line(LOG_ERROR, "the register could not be copied", "to", to, "why", sqlite3_errstr(code),
		NULL);
	return problem_set(why, (code & 0xFF) == SQLITE_FULL ? PROBLEM_FULL :
		(code & 0xFF) == SQLITE_CORRUPT ? PROBLEM_DAMAGED : PROBLEM_STORE, NULL,
		"The register could not be copied to %s: %s.", to, sqlite3_errstr(code));
}

static int copy_pages(sqlite3_backup *copy, int64_t page_bytes, struct progress *progress)
{
	int code = SQLITE_OK;

	while (code == SQLITE_OK && !atomic_load(&progress->stop)) {
		code = sqlite3_backup_step(copy, PAGES_AT_ONCE);
		atomic_store(&progress->of, page_bytes * sqlite3_backup_pagecount(copy));
		atomic_store(&progress->done, page_bytes *
			(sqlite3_backup_pagecount(copy) - sqlite3_backup_remaining(copy)));
	}
	return code == SQLITE_OK ? SQLITE_INTERRUPT : code;
}

/* Nobody sees the copy before it is whole: nothing of it need be undone, nor synced page by page.
 * (What SQLite copied is in the mode of the register, with a log; the copy is to be one file.) */
static int copy_into(sqlite3 *to, struct store *from, int64_t page_bytes,
	struct progress *progress)
{
	sqlite3_backup *copy;
	int code, ended;

	code = sqlite3_exec(to, "PRAGMA journal_mode = OFF; PRAGMA synchronous = OFF", NULL, NULL,
		NULL);
	copy = code == SQLITE_OK ? sqlite3_backup_init(to, "main", from->db, "main") : NULL;
	if (copy == NULL) {
		return code != SQLITE_OK ? code : sqlite3_errcode(to);
	}
	code = copy_pages(copy, page_bytes, progress);
	ended = sqlite3_backup_finish(copy);
	if (code != SQLITE_DONE || ended != SQLITE_OK) {
		return ended != SQLITE_OK ? ended : code;
	}
	return sqlite3_exec(to, "PRAGMA journal_mode = DELETE", NULL, NULL, NULL);
}

static int sync_file(const char *path)
{
	int fd = open(path, O_RDWR | O_CLOEXEC);
	bool ok = fd >= 0 && fsync(fd) == 0;

	if (fd >= 0) {
		close(fd);
	}
	return ok ? SQLITE_OK : SQLITE_IOERR_FSYNC;
}

bool store_copy(struct store *from, const char *to, struct progress *progress,
	struct problem *why)
{
	sqlite3 *db = NULL;
	int64_t page_bytes = 0;
	int code, fd;

	if (!sql_integer(from, "PRAGMA page_size", NULL, 0, 0, &page_bytes, why)) {
		return false;
	}
	fd = open(to, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
	if (fd < 0) {
		return problem_set(why, errno == ENOSPC ? PROBLEM_FULL : PROBLEM_STORE, NULL,
			"%s cannot be written: %s.", to, strerror(errno));
	}
	close(fd);
	code = sqlite3_open_v2(to, &db, SQLITE_OPEN_READWRITE | SQLITE_OPEN_NOMUTEX |
		SQLITE_OPEN_EXRESCODE, NULL);
	code = code == SQLITE_OK ? copy_into(db, from, page_bytes, progress) : code;
	sqlite3_close(db);
	code = code == SQLITE_OK ? sync_file(to) : code;
	if (code != SQLITE_OK) {
		unlink(to);
		return failed(code, to, why);
	}
	return true;
}

bool store_copy_counts(struct store *store, int64_t *bonds, int64_t *inspections,
	struct problem *why)
{
	return sql_integer(store, "SELECT count(*) FROM bond", NULL, 0, 0, bonds, why) &&
		sql_integer(store, "SELECT count(*) FROM inspection", NULL, 0, 0, inspections, why);
}
