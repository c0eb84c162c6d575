#include "service/backup/folder.h"

#include <dirent.h>
#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "service/backup/backup.h"

const char *const backup_folders[] = { "imports", "photos", NULL };

bool backup_failed(const char *path, struct problem *why)
{
	return problem_set(why, errno == ENOSPC ? PROBLEM_FULL : errno == ECANCELED ? PROBLEM_BUSY :
		PROBLEM_STORE, NULL, "%s: %s.", path, strerror(errno));
}

bool backup_path(char to[BACKUP_PATH_SIZE], const char *folder, const char *name,
	struct problem *why)
{
	int len = snprintf(to, BACKUP_PATH_SIZE, "%s/%s", folder, name);

	return (len > 0 && len < BACKUP_PATH_SIZE) ||
		problem_set(why, PROBLEM_VALUE, NULL, "The path of a folder is too long: %s.", folder);
}

bool backup_part(char to[BACKUP_PATH_SIZE], const char *folder, struct problem *why)
{
	return snprintf(to, BACKUP_PATH_SIZE, "%s.part", folder) < BACKUP_PATH_SIZE ||
		problem_set(why, PROBLEM_VALUE, NULL, "The path of a folder is too long: %s.", folder);
}

bool backup_folders_make(const char *at, struct problem *why)
{
	char path[BACKUP_PATH_SIZE];

	if (mkdir(at, 0700) != 0) {
		return errno != EEXIST ? backup_failed(at, why) : problem_set(why, PROBLEM_CONFLICT, NULL,
			"%s is there already: it is being made by somebody else, or one was ended half-way. "
			"When nobody does, remove it.", at);
	}
	for (size_t i = 0; backup_folders[i] != NULL; i++) {
		if (!backup_path(path, at, backup_folders[i], why)) {
			return false;
		}
		if (mkdir(path, 0700) != 0) {
			return backup_failed(path, why);
		}
	}
	return true;
}

bool backup_folders_sync(const char *at, struct problem *why)
{
	char path[BACKUP_PATH_SIZE];

	for (size_t i = 0; backup_folders[i] != NULL; i++) {
		if (!backup_path(path, at, backup_folders[i], why)) {
			return false;
		}
		if (!folder_sync(path)) {
			return backup_failed(path, why);
		}
	}
	return folder_sync(at) || backup_failed(at, why);
}

static void remove_below(const char *folder, const char *name)
{
	char path[BACKUP_PATH_SIZE];
	struct problem ignored = { 0 };

	if (backup_path(path, folder, name, &ignored)) {
		unlink(path);
	}
}

void backup_remove(const char *folder)
{
	char path[BACKUP_PATH_SIZE];
	struct problem ignored = { 0 };
	struct dirent *entry;

	remove_below(folder, BACKUP_SAID);
	remove_below(folder, BACKUP_REGISTER);
	remove_below(folder, BACKUP_REGISTER "-wal");
	remove_below(folder, BACKUP_REGISTER "-shm");
	for (size_t i = 0; backup_folders[i] != NULL &&
		backup_path(path, folder, backup_folders[i], &ignored); i++) {
		DIR *dir = opendir(path);

		while (dir != NULL && (entry = readdir(dir)) != NULL) {
			remove_below(path, entry->d_name);   /* (. and .. are no files) */
		}
		if (dir != NULL) {
			closedir(dir);
		}
		rmdir(path);
	}
	rmdir(folder);
}
