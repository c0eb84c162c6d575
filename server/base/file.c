#include "base/file.h"

#include <errno.h>
#include <fcntl.h>
#include <sodium.h>
#include <stdlib.h>
#include <unistd.h>

enum { COPY_AT_ONCE = 1 << 20 };

bool file_write(int fd, const void *from, size_t len)
{
	const char *at = from;

	while (len > 0) {
		ssize_t done = write(fd, at, len);

		if (done < 0 && errno != EINTR) {
			return false;
		}
		at += done > 0 ? done : 0;
		len -= done > 0 ? (size_t)done : 0;
	}
	return true;
}

bool folder_sync(const char *path)
{
	int fd = open(path, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
	bool ok = fd >= 0 && fsync(fd) == 0;
	int cause = errno;

	if (fd >= 0) {
		close(fd);
	}
	errno = cause;
	return ok;
}

/* 0 at the end, -1: errno */
static ssize_t read_some(int fd, void *to, struct progress *progress)
{
	ssize_t got;

	if (progress != NULL && atomic_load(&progress->stop)) {
		errno = ECANCELED;
		return -1;
	}
	do {
		got = read(fd, to, COPY_AT_ONCE);
	} while (got < 0 && errno == EINTR);
	return got;
}

bool file_copy(int from, int to, struct progress *progress, int64_t *bytes,
	char hash[FILE_HASH_SIZE])
{
	unsigned char sha256[crypto_hash_sha256_BYTES];
	crypto_hash_sha256_state state;
	unsigned char *some = malloc(COPY_AT_ONCE);
	ssize_t got = -1;

	*bytes = 0;
	crypto_hash_sha256_init(&state);
	while (some != NULL && (got = read_some(from, some, progress)) > 0) {
		crypto_hash_sha256_update(&state, some, (unsigned long long)got);
		*bytes += got;
		if (progress != NULL) {
			atomic_fetch_add(&progress->done, got);
		}
		if (to != -1 && !file_write(to, some, (size_t)got)) {
			got = -1;
			break;
		}
	}
	free(some);
	crypto_hash_sha256_final(&state, sha256);
	sodium_bin2hex(hash, FILE_HASH_SIZE, sha256, sizeof sha256);
	return got == 0;
}

static bool close_kept(int fd, bool ok)
{
	int cause = errno;

	if (fd >= 0 && close(fd) != 0 && ok) {
		return false;
	}
	errno = cause;
	return ok;
}

bool file_copy_path(const char *from, const char *to, struct progress *progress, int64_t *bytes,
	char hash[FILE_HASH_SIZE])
{
	int source = open(from, O_RDONLY | O_CLOEXEC | O_NOFOLLOW), into = -1;
	bool ok = source >= 0;

	if (ok && to != NULL) {
		into = open(to, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
		ok = into >= 0;
	}
	ok = ok && file_copy(source, into, progress, bytes, hash) && (into < 0 || fsync(into) == 0);
	ok = close_kept(into, ok);
	return close_kept(source, ok);
}
