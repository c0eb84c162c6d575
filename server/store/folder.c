#include "store/folder.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/file.h"

void folder_path(const char *register_path, const char *folder, const char *name,
	char to[FOLDER_PATH_SIZE])
{
	const char *slash = strrchr(register_path, '/');
	int len = slash != NULL ? (int)(slash - register_path) : 1;

	snprintf(to, FOLDER_PATH_SIZE, "%.*s/%s%s%s", len, slash != NULL ? register_path : ".",
		folder, name[0] != '\0' ? "/" : "", name);
}

/* The folder's own name is on disk, too, when this returns true. */
static bool make_folder(const char *register_path, const char *folder, bool synced)
{
	char path[FOLDER_PATH_SIZE], above[FOLDER_PATH_SIZE + 4];

	folder_path(register_path, folder, "", path);
	if (mkdir(path, 0700) != 0 && errno != EEXIST) {
		return false;
	}
	snprintf(above, sizeof above, "%s/..", path);
	return !synced || folder_sync(above);
}

static bool keep(const char *register_path, const char *folder, const char *name,
	const char *bytes, size_t len, bool synced)
{
	char at[FOLDER_PATH_SIZE], path[FOLDER_PATH_SIZE], begun[FOLDER_PATH_SIZE];
	bool ok;
	int fd;

	folder_path(register_path, folder, "", at);
	folder_path(register_path, folder, name, path);
	folder_path(register_path, folder, ".XXXXXX", begun);
	if (!make_folder(register_path, folder, synced) || (fd = mkstemp(begun)) < 0) {
		return false;
	}
	ok = file_write(fd, bytes, len) && (!synced || fsync(fd) == 0);
	ok = close(fd) == 0 && ok && rename(begun, path) == 0 && (!synced || folder_sync(at));
	if (!ok) {
		int cause = errno;

		unlink(begun);
		errno = cause;
	}
	return ok;
}

bool folder_keep(const char *register_path, const char *folder, const char *name,
	const char *bytes, size_t len)
{
	return keep(register_path, folder, name, bytes, len, true);
}

bool folder_keep_lightly(const char *register_path, const char *folder, const char *name,
	const char *bytes, size_t len)
{
	return keep(register_path, folder, name, bytes, len, false);
}

void folder_forget(const char *register_path, const char *folder, const char *name)
{
	char path[FOLDER_PATH_SIZE];

	folder_path(register_path, folder, name, path);
	unlink(path);
}

static bool read_all(int fd, size_t most, struct text *to)
{
	for (;;) {
		char *room = text_grow(to, 1 << 16);
		ssize_t got;

		if (room == NULL) {
			errno = ENOMEM;
			return false;
		}
		got = read(fd, room, 1 << 16);
		if (got == 0) {
			return true;
		}
		if (got < 0 && errno != EINTR) {
			return false;
		}
		to->len += got > 0 ? (size_t)got : 0;
		if (to->len > most) {
			errno = EFBIG;
			return false;
		}
	}
}

bool folder_read(const char *register_path, const char *folder, const char *name, size_t most,
	struct text *to)
{
	char path[FOLDER_PATH_SIZE];
	bool ok;
	int fd;

	folder_path(register_path, folder, name, path);
	fd = open(path, O_RDONLY | O_CLOEXEC | O_NOFOLLOW);
	if (fd < 0) {
		return false;
	}
	ok = read_all(fd, most, to);
	close(fd);
	return ok;
}

size_t folder_look(const char *register_path, const char *folder, int64_t before_s,
	void (*each)(void *arg, const char *name), void *arg)
{
	char path[FOLDER_PATH_SIZE];
	struct dirent *entry;
	size_t count = 0;
	DIR *all;

	folder_path(register_path, folder, "", path);
	all = opendir(path);
	while (all != NULL && (entry = readdir(all)) != NULL) {
		struct stat is;

		folder_path(register_path, folder, entry->d_name, path);
		if (stat(path, &is) != 0 || !S_ISREG(is.st_mode)) {
			continue;
		}
		count++;
		if (each != NULL && is.st_mtime < before_s) {
			each(arg, entry->d_name);
		}
	}
	if (all != NULL) {
		closedir(all);
	}
	return count;
}
