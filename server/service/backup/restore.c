/* From a backup to a register: each file as it is said, or none. */
#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "service/backup/folder.h"
#include "service/backup/said.h"
#include "store/copy.h"

/* to NULL: it is only read */
static bool copy_file(const char *folder, const struct backup_file *f, const char *to,
	struct progress *progress, struct problem *why)
{
	char from[BACKUP_PATH_SIZE], copy[BACKUP_PATH_SIZE], hash[FILE_HASH_SIZE];
	int64_t bytes;

	if (!backup_path(from, folder, f->name, why) ||
		(to != NULL && !backup_path(copy, to, f->name, why))) {
		return false;
	}
	if (!file_copy_path(from, to != NULL ? copy : NULL, progress, &bytes, hash)) {
		return backup_failed(errno == ENOSPC && to != NULL ? copy : from, why);
	}
	if (bytes != f->bytes) {
		return problem_set(why, PROBLEM_DAMAGED, NULL, "%s has %lld bytes, and had %lld when the "
			"backup was made: this backup is damaged.", from, (long long)bytes,
			(long long)f->bytes);
	}
	return strcmp(hash, f->sha256) == 0 || problem_set(why, PROBLEM_DAMAGED, NULL,
		"%s is not what it was when the backup was made (its SHA-256 is another): this backup is "
		"damaged.", from);
}

static bool copy_files(const char *folder, const struct backup_said *said, const char *to,
	struct progress *progress, struct problem *why)
{
	const struct backup_file *files = said->files.items;
	bool ok = true;

	for (size_t i = 0; i < said->files.count; i++) {
		atomic_fetch_add(&progress->of, files[i].bytes);
	}
	for (size_t i = 0; ok && i < said->files.count; i++) {
		ok = copy_file(folder, &files[i], to, progress, why);
	}
	return ok;
}

bool backup_is_whole(const char *folder, const struct backup_said *said,
	struct progress *progress, struct problem *why)
{
	return copy_files(folder, said, NULL, progress, why);
}

static bool counts_are(struct store *store, const struct backup_said *said, struct problem *why)
{
	int64_t bonds, inspections;

	if (!store_copy_counts(store, &bonds, &inspections, why)) {
		return false;
	}
	return (bonds == said->bonds && inspections == said->inspections) ||
		problem_set(why, PROBLEM_DAMAGED, NULL, "The backup says that it holds %lld bonds and %lld "
			"inspections, and %lld and %lld are in it.", (long long)said->bonds,
			(long long)said->inspections, (long long)bonds, (long long)inspections);
}

/* An older one is brought to this program's schema here, so that what cannot be is never put in
 * place. */
static bool open_and_check(const char *part, const struct backup_said *said, struct problem *why)
{
	char path[BACKUP_PATH_SIZE];
	struct store *store;
	bool ok;

	if (!backup_path(path, part, BACKUP_REGISTER, why)) {
		return false;
	}
	store = store_open(path, STORE_WRITE, why);
	ok = store != NULL && store_check_file(store, why) && counts_are(store, said, why);
	store_close(store);   /* (the last connection folds the log and removes it) */
	return ok;
}

static bool move_one(const char *part, const char *data_folder, const char *name,
	struct problem *why)
{
	char from[BACKUP_PATH_SIZE], to[BACKUP_PATH_SIZE];

	return backup_path(from, part, name, why) && backup_path(to, data_folder, name, why) &&
		(rename(from, to) == 0 || backup_failed(to, why));
}

static bool move(const char *part, const char *data_folder, struct problem *why)
{
	bool ok = true;

	for (size_t i = 0; ok && backup_folders[i] != NULL; i++) {
		ok = move_one(part, data_folder, backup_folders[i], why);
	}
	return ok;
}

/* By link, which never replaces what is there. */
static bool name_register(const char *part, const char *data_folder, struct problem *why)
{
	char from[BACKUP_PATH_SIZE], to[BACKUP_PATH_SIZE];

	return backup_path(from, part, BACKUP_REGISTER, why) &&
		backup_path(to, data_folder, BACKUP_REGISTER, why) &&
		((link(from, to) == 0 && folder_sync(data_folder)) || backup_failed(to, why));
}

bool backup_restore(const char *folder, const struct backup_said *said, const char *data_folder,
	struct progress *progress, struct problem *why)
{
	char restoring[BACKUP_PATH_SIZE], part[BACKUP_PATH_SIZE];
	bool ok;

	if (!backup_path(restoring, data_folder, "restore", why) ||
		!backup_part(part, restoring, why) || !backup_folders_make(part, why)) {
		return false;
	}
	ok = copy_files(folder, said, part, progress, why) && open_and_check(part, said, why) &&
		move(part, data_folder, why);
	if (ok && !name_register(part, data_folder, why)) {
		struct problem ignored = { 0 };

		move(data_folder, part, &ignored);
		ok = false;
	}
	backup_remove(part);
	return ok && (folder_sync(data_folder) || backup_failed(data_folder, why));
}
