#include "service/import/file.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

bool import_size_check(uint64_t len, size_t most, struct problem *why)
{
	return len <= most || problem_set(why, PROBLEM_TOO_LARGE, NULL, "The file has %.1f MB, and at "
		"most %zu MB can be taken %s.", (double)len / (1 << 20), most >> 20,
		most < IMPORT_FILE_BYTES ? "from a browser: use bondbook import on the server, or part it" :
		"at once: part it");
}

/* Reads up to len bytes; what grows meanwhile is not read, what shrinks ends it. */
static bool read_all(int fd, char *to, size_t *len)
{
	size_t done = 0;

	while (done < *len) {
		ssize_t got = read(fd, to + done, *len - done);

		if (got < 0 && errno == EINTR) {
			continue;
		}
		if (got < 0) {
			return false;
		}
		if (got == 0) {
			break;
		}
		done += (size_t)got;
	}
	*len = done;
	return true;
}

bool import_file_read(const char *path, size_t most, char **bytes, size_t *len,
	struct problem *why)
{
	int fd = open(path, O_RDONLY | O_CLOEXEC);
	struct stat is;
	bool ok = false;

	*bytes = NULL;
	*len = 0;
	if (fd < 0 || fstat(fd, &is) != 0) {
		problem_set(why, PROBLEM_NOT_FOUND, NULL, "%.200s: %s.", path, strerror(errno));
	} else if (!S_ISREG(is.st_mode)) {
		problem_set(why, PROBLEM_NOT_FOUND, NULL, "%.200s is no file.", path);
	} else if (import_size_check((uint64_t)is.st_size, most, why)) {
		*len = (size_t)is.st_size;
		*bytes = malloc(*len + 1);
		ok = *bytes != NULL ? read_all(fd, *bytes, len) ||
			problem_set(why, PROBLEM_NOT_FOUND, NULL, "%.200s: %s.", path, strerror(errno)) :
			problem_set(why, PROBLEM_NO_MEMORY, NULL, "There is no memory for the file.");
	}
	if (fd >= 0) {
		close(fd);
	}
	if (!ok) {
		free(*bytes);
		*bytes = NULL;
	}
	return ok;
}
