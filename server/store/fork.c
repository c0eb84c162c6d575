#include "store/fork.h"

#include <assert.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/array.h"
#include "store/connection.h"

/* https://www.sqlite.org/fileformat2.html part 4.1: a header, then frames of a header and a
 * page. */
enum { LOG_HEADER = 32, FRAME_HEADER = 24 };
enum { SHM_REGIONS_MOST = 4096, TRIES = 20 };

/* A register's file (is_log: its log) as the fork has it; behind it the file that SQLite's own VFS
 * opened. */
struct fork_file {
	sqlite3_file base;
	sqlite3_file *real;             /* to read; its pMethods NULL: there is none */
	bool is_log;
	/* of the log */
	sqlite3_file *register_file;
	unsigned char header[LOG_HEADER];
	int64_t page_size;              /* 0: no header was read */
	unsigned char *heads;           /* of its frames, as SQLite read them for its index; owned */
	int64_t n_heads;
	FILE *own;                      /* what the fork wrote, from own_from on */
	int64_t own_from, own_end;
	/* of the register's file */
	void **regions;                 /* the index of the log; owned */
	int n_regions;
	int region_size;
};

static struct fork_file *of(sqlite3_file *file)
{
	return (struct fork_file *)(void *)file;
}

static sqlite3_vfs *plain_vfs(void)
{
	return sqlite3_vfs_find(NULL);
}

static int close_file(sqlite3_file *file)
{
	struct fork_file *f = of(file);

	if (f->own != NULL) {
		fclose(f->own);
	}
	free(f->heads);
	return f->real->pMethods != NULL ? f->real->pMethods->xClose(f->real) : SQLITE_OK;
}

static int read_real(sqlite3_file *real, void *to, int len, int64_t at)
{
	if (real->pMethods == NULL) {
		memset(to, 0, (size_t)len);
		return SQLITE_IOERR_SHORT_READ;
	}
	return real->pMethods->xRead(real, to, len, at);
}

static int read_own(struct fork_file *f, void *to, int len, int64_t at)
{
	ssize_t got = pread(fileno(f->own), to, (size_t)len, at);

	if (got == len) {
		return SQLITE_OK;
	}
	if (got >= 0) {
		memset((char *)to + got, 0, (size_t)(len - got));
	}
	return got < 0 ? SQLITE_IOERR_READ : SQLITE_IOERR_SHORT_READ;
}

/* Whoever begins the log anew writes a frame's header before its page: the header as it was
 * says, read after the page, that the page is as it was. */
static bool is_kept(struct fork_file *f, int64_t frame)
{
	unsigned char head[FRAME_HEADER];

	return read_real(f->real, head, sizeof head, LOG_HEADER +
		frame * (FRAME_HEADER + f->page_size)) == SQLITE_OK &&
		memcmp(head, f->heads + frame * FRAME_HEADER, sizeof head) == 0;
}

static int64_t page_of(const unsigned char *head)
{
	return (int64_t)head[0] << 24 | head[1] << 16 | head[2] << 8 | head[3];
}

/* SQLite reads the header and all frames once, to make its index of them. */
static bool note_head(struct fork_file *f, const unsigned char *head)
{
	if (!array_grow((void **)&f->heads, (size_t)f->n_heads, FRAME_HEADER, NULL)) {
		return false;
	}
	memcpy(f->heads + f->n_heads++ * FRAME_HEADER, head, FRAME_HEADER);
	return true;
}

static int read_log(struct fork_file *f, void *to, int len, int64_t at)
{
	int64_t frame_size = FRAME_HEADER + f->page_size, frame = (at - LOG_HEADER) / frame_size;
	int64_t in_page = (at - LOG_HEADER) % frame_size - FRAME_HEADER;
	int code = read_real(f->real, to, len, at);

	if (at == 0 && len == LOG_HEADER && code == SQLITE_OK) {
		memcpy(f->header, to, sizeof f->header);
		f->page_size = page_of(f->header + 8);
		f->n_heads = 0;
	}
	if (at >= LOG_HEADER && f->page_size > 0 && in_page < 0 && code == SQLITE_OK) {
		return frame != f->n_heads || len != frame_size || note_head(f, to) ? SQLITE_OK :
			SQLITE_NOMEM;
	}
	if (at < LOG_HEADER || in_page < 0 || frame >= f->n_heads || is_kept(f, frame)) {
		return code;
	}
	return read_real(f->register_file, to, len,
		(page_of(f->heads + frame * FRAME_HEADER) - 1) * f->page_size + in_page);
}

static int read_file(sqlite3_file *file, void *to, int len, sqlite3_int64 at)
{
	struct fork_file *f = of(file);

	if (!f->is_log) {
		return read_real(f->real, to, len, at);
	}
	return f->own != NULL && at >= f->own_from ? read_own(f, to, len, at) :
		read_log(f, to, len, at);
}

/* The log is written from where it ended on, and again within what was written. */
static int write_file(sqlite3_file *file, const void *from, int len, sqlite3_int64 at)
{
	struct fork_file *f = of(file);

	if (!f->is_log) {
		return SQLITE_IOERR_WRITE;
	}
	if (f->own == NULL) {
		f->own = tmpfile();
		f->own_from = at;
	}
	if (f->own == NULL || at < f->own_from ||
		pwrite(fileno(f->own), from, (size_t)len, at) != len) {
		return SQLITE_IOERR_WRITE;
	}
	f->own_end = at + len > f->own_end ? at + len : f->own_end;
	return SQLITE_OK;
}

static int keep_size(sqlite3_file *file, sqlite3_int64 size)
{
	(void)size;
	return of(file)->is_log ? SQLITE_OK : SQLITE_IOERR_TRUNCATE;
}

static int nothing(sqlite3_file *file, int flags)
{
	(void)file;
	(void)flags;
	return SQLITE_OK;
}

static int size_of(sqlite3_file *file, sqlite3_int64 *size)
{
	struct fork_file *f = of(file);

	if (!f->is_log) {
		return f->real->pMethods->xFileSize(f->real, size);
	}
	if (f->own != NULL || f->real->pMethods == NULL) {
		*size = f->own_end;
		return SQLITE_OK;
	}
	return f->real->pMethods->xFileSize(f->real, size);
}

static int nobody_reserves(sqlite3_file *file, int *reserved)
{
	(void)file;
	*reserved = 0;
	return SQLITE_OK;
}

static int control(sqlite3_file *file, int what, void *arg)
{
	(void)file;
	(void)what;
	(void)arg;
	return SQLITE_NOTFOUND;
}

static int sector_size(sqlite3_file *file)
{
	(void)file;
	return 4096;
}

static int characteristics(sqlite3_file *file)
{
	(void)file;
	return SQLITE_IOCAP_POWERSAFE_OVERWRITE;
}

/* The index of the log, in memory of the fork's own: empty at first, so that SQLite makes it of
 * the log as after a crash. */
static int map_index(sqlite3_file *file, int region, int size, int extend, void volatile **to)
{
	struct fork_file *f = of(file);

	*to = NULL;
	if (region >= SHM_REGIONS_MOST) {
		return SQLITE_IOERR_SHMSIZE;
	}
	if (region >= f->n_regions && extend != 0) {
		void **more = realloc(f->regions, (size_t)(region + 1) * sizeof *more);

		if (more == NULL) {
			return SQLITE_IOERR_NOMEM;
		}
		memset(more + f->n_regions, 0, (size_t)(region + 1 - f->n_regions) * sizeof *more);
		f->regions = more;
		f->n_regions = region + 1;
	}
	if (region < f->n_regions) {
		if (f->regions[region] == NULL) {
			f->regions[region] = calloc(1, (size_t)size);
		}
		*to = f->regions[region];
		return *to != NULL ? SQLITE_OK : SQLITE_IOERR_NOMEM;
	}
	return SQLITE_OK;
}

static int lock_index(sqlite3_file *file, int offset, int n, int flags)
{
	(void)file;
	(void)offset;
	(void)n;
	(void)flags;
	return SQLITE_OK;
}

static void index_barrier(sqlite3_file *file)
{
	(void)file;
}

static int unmap_index(sqlite3_file *file, int remove)
{
	struct fork_file *f = of(file);

	(void)remove;
	for (int i = 0; i < f->n_regions; i++) {
		free(f->regions[i]);
	}
	free(f->regions);
	f->regions = NULL;
	f->n_regions = 0;
	return SQLITE_OK;
}

static const sqlite3_io_methods methods = { .iVersion = 2, .xClose = close_file, .xRead = read_file,
	.xWrite = write_file, .xTruncate = keep_size, .xSync = nothing, .xFileSize = size_of,
	.xLock = nothing, .xUnlock = nothing, .xCheckReservedLock = nobody_reserves,
	.xFileControl = control, .xSectorSize = sector_size,
	.xDeviceCharacteristics = characteristics, .xShmMap = map_index, .xShmLock = lock_index,
	.xShmBarrier = index_barrier, .xShmUnmap = unmap_index };

static int open_log(struct fork_file *f, const char *name, int flags)
{
	sqlite3_file *main_file = sqlite3_database_file_object(name);
	int code = plain_vfs()->xOpen(plain_vfs(), name, f->real,
		(flags & ~(SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE)) | SQLITE_OPEN_READONLY, NULL);

	f->is_log = true;
	f->register_file = of(main_file)->real;
	if (code != SQLITE_OK) {
		f->real->pMethods = NULL;   /* nothing was written yet */
	}
	return SQLITE_OK;
}

static int open_file(sqlite3_vfs *vfs, const char *name, sqlite3_file *file, int flags, int *got)
{
	struct fork_file *f = of(file);
	int code;

	(void)vfs;
	if ((flags & (SQLITE_OPEN_MAIN_DB | SQLITE_OPEN_WAL)) == 0) {
		return plain_vfs()->xOpen(plain_vfs(), name, file, flags, got);   /* a temporary one */
	}
	memset(f, 0, sizeof *f);
	f->real = (sqlite3_file *)(void *)(f + 1);
	f->real->pMethods = NULL;
	code = (flags & SQLITE_OPEN_WAL) != 0 ? open_log(f, name, flags) :
		plain_vfs()->xOpen(plain_vfs(), name, f->real, (flags & ~(SQLITE_OPEN_READWRITE |
		SQLITE_OPEN_CREATE)) | SQLITE_OPEN_READONLY, NULL);
	if (got != NULL) {
		*got = flags;
	}
	f->base.pMethods = code == SQLITE_OK ? &methods : NULL;
	return code;
}

static int remove_nothing(sqlite3_vfs *vfs, const char *name, int sync)
{
	(void)vfs;
	(void)name;
	(void)sync;
	return SQLITE_IOERR_DELETE;
}

static void make_vfs(void)
{
	static sqlite3_vfs fork_vfs;

	fork_vfs = *plain_vfs();
	fork_vfs.pNext = NULL;
	fork_vfs.zName = "fork";
	fork_vfs.szOsFile = (int)sizeof (struct fork_file) + plain_vfs()->szOsFile;
	fork_vfs.xOpen = open_file;
	fork_vfs.xDelete = remove_nothing;
	sqlite3_vfs_register(&fork_vfs, 0);
}

/* Whether the log is the one that SQLite made its index of: it did not begin anew meanwhile. */
static bool is_same_log(struct store *fork)
{
	unsigned char now[LOG_HEADER];
	sqlite3_file *log = NULL;
	struct fork_file *f;

	sqlite3_file_control(fork->db, "main", SQLITE_FCNTL_JOURNAL_POINTER, &log);
	f = of(log);
	return f == NULL || f->base.pMethods == NULL || f->page_size == 0 ||
		(read_real(f->real, now, sizeof now, 0) == SQLITE_OK &&
		memcmp(now, f->header, sizeof now) == 0);
}

struct store *store_fork(struct store *reader, struct problem *why)
{
	static pthread_once_t once = PTHREAD_ONCE_INIT;
	struct store *fork = NULL;
	int64_t any;
	bool ok;

	assert(sqlite3_get_autocommit(reader->db) == 0);
	ok = sql_integer(reader, "SELECT count(*) FROM rulebook", NULL, 0, 0, &any, why);
	pthread_once(&once, make_vfs);
	for (int tries = 0; ok && tries < TRIES; tries++) {
		fork = store_open_fork(sqlite3_db_filename(reader->db, "main"), "fork", why);
		if (fork == NULL || is_same_log(fork)) {
			break;
		}
		store_close(fork);
		fork = NULL;
	}
	if (fork == NULL && why->code == PROBLEM_NONE) {
		problem_set(why, PROBLEM_BUSY, NULL, "The register is busy: please try it again.");
	}
	if (fork != NULL && reader->over != NULL) {
		store_watch(fork, reader->over, reader->over_arg);
	}
	return fork;
}
