#include "service/backup/pack.h"

#include <archive.h>
#include <archive_entry.h>
#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "service/backup/folder.h"
#include "service/backup/said.h"

enum { BLOCK = 10240, SOME = 1 << 16 };

/* Reading, what is not the disk's or the pipe's fault is the archive's. */
static bool archive_failed(struct archive *a, bool reading, struct problem *why)
{
	const char *says = archive_error_string(a);

	int cause = archive_errno(a);

	return problem_set(why, cause == ENOSPC ? PROBLEM_FULL :
		reading && cause != EIO ? PROBLEM_DAMAGED : PROBLEM_STORE, NULL,
		"The archive of the backup: %s.", says != NULL ? says : "not known");
}

static bool pack_bytes(struct archive *a, int fd, struct problem *why)
{
	char some[SOME];
	ssize_t got;

	while ((got = read(fd, some, sizeof some)) > 0) {
		if (archive_write_data(a, some, (size_t)got) != got) {
			return archive_failed(a, false, why);
		}
	}
	return got == 0 || backup_failed("backup", why);
}

static bool pack_file(struct archive *a, const char *folder, const char *name, int64_t made_at_ms,
	struct problem *why)
{
	struct archive_entry *entry = archive_entry_new();
	char path[BACKUP_PATH_SIZE];
	struct stat is;
	bool ok = false;
	int fd;

	if (entry == NULL || !backup_path(path, folder, name, why)) {
		archive_entry_free(entry);
		return ok;
	}
	fd = open(path, O_RDONLY | O_CLOEXEC | O_NOFOLLOW);
	if (fd < 0 || fstat(fd, &is) != 0) {
		backup_failed(path, why);
	} else {
		archive_entry_set_pathname(entry, name);
		archive_entry_set_size(entry, is.st_size);
		archive_entry_set_filetype(entry, AE_IFREG);
		archive_entry_set_perm(entry, 0600);
		archive_entry_set_mtime(entry, made_at_ms / 1000, 0);
		ok = (archive_write_header(a, entry) == ARCHIVE_OK || archive_failed(a, false, why)) &&
			pack_bytes(a, fd, why);
	}
	if (fd >= 0) {
		close(fd);
	}
	archive_entry_free(entry);
	return ok;
}

bool backup_pack(const char *folder, const struct backup_said *said, int to,
	struct problem *why)
{
	const struct backup_file *files = said->files.items;
	struct archive *a = archive_write_new();
	bool ok;

	if (a == NULL) {
		return problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	ok = (archive_write_set_format_pax_restricted(a) == ARCHIVE_OK &&
		archive_write_set_bytes_per_block(a, BLOCK) == ARCHIVE_OK &&
		archive_write_open_fd(a, to) == ARCHIVE_OK) || archive_failed(a, false, why);
	ok = ok && pack_file(a, folder, BACKUP_SAID, said->made_at_ms, why);
	for (size_t i = 0; ok && i < said->files.count; i++) {
		ok = pack_file(a, folder, files[i].name, said->made_at_ms, why);
	}
	ok = (archive_write_close(a) == ARCHIVE_OK || (ok && archive_failed(a, false, why))) && ok;
	archive_write_free(a);
	return ok;
}

static bool unpack_bytes(struct archive *a, const char *path, struct problem *why)
{
	int fd = open(path, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
	bool ok;

	if (fd < 0) {
		return backup_failed(path, why);
	}
	ok = archive_read_data_into_fd(a, fd) == ARCHIVE_OK || archive_failed(a, true, why);
	if (close(fd) != 0 && ok) {
		ok = backup_failed(path, why);
	}
	return ok;
}

static bool unpack_entry(struct archive *a, struct archive_entry *entry, const char *folder,
	struct problem *why)
{
	const char *name = archive_entry_pathname(entry);
	char path[BACKUP_PATH_SIZE];

	if (name == NULL || !backup_name_is_below(name) ||
		archive_entry_filetype(entry) != AE_IFREG) {
		return problem_set(why, PROBLEM_VALUE, NULL, "This is no backup: it holds \"%s\".",
			name != NULL ? name : "");
	}
	return backup_path(path, folder, name, why) && unpack_bytes(a, path, why);
}

static bool unpack_all(struct archive *a, const char *folder, struct problem *why)
{
	struct archive_entry *entry;
	int code = ARCHIVE_OK;

	while (why->code == PROBLEM_NONE &&
		(code = archive_read_next_header(a, &entry)) == ARCHIVE_OK) {
		unpack_entry(a, entry, folder, why);
	}
	return why->code == PROBLEM_NONE && (code == ARCHIVE_EOF || archive_failed(a, true, why));
}

bool backup_unpack(int from, const char *folder, struct problem *why)
{
	struct archive *a = archive_read_new();
	bool ok;

	if (a == NULL || !backup_folders_make(folder, why)) {
		archive_read_free(a);
		return why->code != PROBLEM_NONE ? false :
			problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	ok = (archive_read_support_format_tar(a) == ARCHIVE_OK &&
		archive_read_open_fd(a, from, BLOCK) == ARCHIVE_OK) || archive_failed(a, true, why);
	ok = ok && unpack_all(a, folder, why);
	archive_read_free(a);
	if (!ok) {
		backup_remove(folder);
	}
	return ok;
}
