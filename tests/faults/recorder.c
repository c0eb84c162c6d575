/*
 * Preloaded into the program, it writes down what the program does to the files of one folder: what
 * a power cut could leave of that is worked out afterwards (power.py).
 *
 * POWER_FOLDER is the folder, POWER_TRACE the file that is appended to. A record is a struct
 * record, then `len` bytes: what was written, or the name in the folder ("" is the folder itself).
 */
#undef _FILE_OFFSET_BITS   /* both names of open, pwrite and ftruncate are ours */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <fcntl.h>
#include <pthread.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/syscall.h>
#include <time.h>
#include <unistd.h>

enum { FDS = 4096 };

struct record {
	char op;                   /* o pen, c reate, w rite, t runcate, s ync, x: close, u nlink,
	                            * r ename, l ink */
	char pad[3];
	int32_t fd;
	int64_t at;                /* where it is written; the new size */
	int64_t begun_ns, ended_ns;
	int64_t len;
};

static const char *folder;
static size_t folder_len;
static int trace = -1;
static char heeded[FDS];
static pthread_mutex_t lock = PTHREAD_MUTEX_INITIALIZER;

__attribute__((constructor)) static void begin(void)
{
	const char *name = getenv("POWER_TRACE");

	folder = getenv("POWER_FOLDER");
	if (name != NULL && folder != NULL) {
		folder_len = strlen(folder);
		trace = (int)syscall(SYS_openat, AT_FDCWD, name, O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC,
			0600);
	}
}

static int64_t now_ns(void)
{
	struct timespec t;

	clock_gettime(CLOCK_MONOTONIC, &t);
	return (int64_t)t.tv_sec * 1000000000 + t.tv_nsec;
}

static void put(const void *bytes, size_t len)
{
	const char *from = bytes;

	while (len > 0) {
		ssize_t done = syscall(SYS_write, trace, from, len);

		if (done <= 0) {
			abort();
		}
		from += done;
		len -= (size_t)done;
	}
}

static void tell(char op, int fd, int64_t at, int64_t begun_ns, const void *bytes, size_t len)
{
	struct record r = { .op = op, .fd = fd, .at = at, .begun_ns = begun_ns, .ended_ns = now_ns(),
		.len = (int64_t)len };

	put(&r, sizeof r);
	put(bytes, len);
}

/* The name within the folder; NULL: it is elsewhere, or SQLite's index, which is made anew. */
static const char *name_in(const char *path)
{
	size_t len = strlen(path);

	if (trace < 0 || strncmp(path, folder, folder_len) != 0 ||
		(path[folder_len] != '/' && path[folder_len] != '\0') ||
		(len > 4 && strcmp(path + len - 4, "-shm") == 0) ||
		(path[folder_len] == '/' && strcmp(path + folder_len, "/..") == 0)) {
		return NULL;
	}
	return path[folder_len] == '/' ? path + folder_len + 1 : "";
}

static int open_any(const char *path, int flags, mode_t mode)
{
	const char *name = name_in(path);
	int64_t begun = now_ns();
	int fd, is_new;

	if (name == NULL) {
		return (int)syscall(SYS_openat, AT_FDCWD, path, flags, mode);
	}
	pthread_mutex_lock(&lock);
	is_new = syscall(SYS_faccessat, AT_FDCWD, path, F_OK) != 0;
	fd = (int)syscall(SYS_openat, AT_FDCWD, path, flags, mode);
	if (fd >= 0 && fd < FDS) {
		heeded[fd] = 1;
		tell(is_new ? 'c' : 'o', fd, 0, begun, name, strlen(name));
	}
	pthread_mutex_unlock(&lock);
	return fd;
}

static mode_t mode_of(int flags, va_list more)
{
	return (flags & (O_CREAT | O_TMPFILE)) != 0 ? va_arg(more, mode_t) : 0;
}

int open(const char *path, int flags, ...)
{
	va_list more;
	mode_t mode;

	va_start(more, flags);
	mode = mode_of(flags, more);
	va_end(more);
	return open_any(path, flags, mode);
}

int open64(const char *path, int flags, ...)
{
	va_list more;
	mode_t mode;

	va_start(more, flags);
	mode = mode_of(flags, more);
	va_end(more);
	return open_any(path, flags, mode);
}

static int is_heeded(int fd)
{
	return trace >= 0 && fd >= 0 && fd < FDS && heeded[fd];
}

int close(int fd)
{
	int64_t begun = now_ns();
	int code;

	if (!is_heeded(fd)) {
		return (int)syscall(SYS_close, fd);
	}
	pthread_mutex_lock(&lock);
	heeded[fd] = 0;
	tell('x', fd, 0, begun, "", 0);
	code = (int)syscall(SYS_close, fd);
	pthread_mutex_unlock(&lock);
	return code;
}

ssize_t pwrite64(int fd, const void *bytes, size_t len, off64_t at)
{
	int64_t begun = now_ns();
	ssize_t done;

	if (!is_heeded(fd)) {
		return syscall(SYS_pwrite64, fd, bytes, len, at);
	}
	pthread_mutex_lock(&lock);
	done = syscall(SYS_pwrite64, fd, bytes, len, at);
	if (done > 0) {
		tell('w', fd, at, begun, bytes, (size_t)done);
	}
	pthread_mutex_unlock(&lock);
	return done;
}

ssize_t pwrite(int fd, const void *bytes, size_t len, off_t at)
{
	return pwrite64(fd, bytes, len, at);
}

int ftruncate64(int fd, off64_t size)
{
	int64_t begun = now_ns();
	int code;

	if (!is_heeded(fd)) {
		return (int)syscall(SYS_ftruncate, fd, size);
	}
	pthread_mutex_lock(&lock);
	code = (int)syscall(SYS_ftruncate, fd, size);
	if (code == 0) {
		tell('t', fd, size, begun, "", 0);
	}
	pthread_mutex_unlock(&lock);
	return code;
}

int ftruncate(int fd, off_t size)
{
	return ftruncate64(fd, size);
}

/* What the test asks about is the order, so the disk need not be waited for. */
static int sync_any(int fd, long number)
{
	int64_t begun = now_ns();

	if (!is_heeded(fd)) {
		return (int)syscall(number, fd);
	}
	pthread_mutex_lock(&lock);
	tell('s', fd, 0, begun, "", 0);
	pthread_mutex_unlock(&lock);
	return 0;
}

int fsync(int fd)
{
	return sync_any(fd, SYS_fsync);
}

int fdatasync(int fd)
{
	return sync_any(fd, SYS_fdatasync);
}

int unlink(const char *path)
{
	const char *name = name_in(path);
	int64_t begun = now_ns();
	int code;

	if (name == NULL) {
		return (int)syscall(SYS_unlinkat, AT_FDCWD, path, 0);
	}
	pthread_mutex_lock(&lock);
	code = (int)syscall(SYS_unlinkat, AT_FDCWD, path, 0);
	if (code == 0) {
		tell('u', -1, 0, begun, name, strlen(name));
	}
	pthread_mutex_unlock(&lock);
	return code;
}

static int two_names(char op, long number, const char *from, const char *to)
{
	const char *old = name_in(from), *new = name_in(to);
	int64_t begun = now_ns();
	char both[512];
	int code, len;

	pthread_mutex_lock(&lock);
	code = (int)(number == SYS_linkat ? syscall(number, AT_FDCWD, from, AT_FDCWD, to, 0) :
		syscall(number, AT_FDCWD, from, AT_FDCWD, to));
	if (code == 0 && old != NULL && new != NULL) {
		len = snprintf(both, sizeof both, "%s/%s", old, new);
		tell(op, -1, 0, begun, both, (size_t)len);
	}
	pthread_mutex_unlock(&lock);
	return code;
}

int rename(const char *from, const char *to)
{
	return two_names('r', SYS_renameat, from, to);
}

int link(const char *from, const char *to)
{
	return two_names('l', SYS_linkat, from, to);
}
