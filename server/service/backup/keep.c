#include "service/backup/keep.h"

#include <dirent.h>
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/array.h"
#include "base/day.h"
#include "service/backup/folder.h"
#include "service/backup/said.h"

#define NOTE "backed-up.json"
enum { DAY_MS = 24 * 60 * 60 * 1000 };

void backup_name(int64_t now_ms, char to[BACKUP_NAME_SIZE])
{
	char instant[INSTANT_TEXT_SIZE];   /* 2026-11-30T22:15:03.250Z */

	instant_write(now_ms, instant);
	snprintf(to, BACKUP_NAME_SIZE, "%.4s%.2s%.2sT%.2s%.2s%.2sZ", instant, instant + 5, instant + 8,
		instant + 11, instant + 14, instant + 17);
}

/* The moment that a name says; false: it is no backup's. */
static bool name_read(const char *name, int64_t *at_ms)
{
	char instant[INSTANT_TEXT_SIZE], again[BACKUP_NAME_SIZE];

	if (strlen(name) != BACKUP_NAME_SIZE - 1) {
		return false;
	}
	snprintf(instant, sizeof instant, "%.4s-%.2s-%.2sT%.2s:%.2s:%.2sZ", name, name + 4, name + 6,
		name + 9, name + 11, name + 13);
	if (!instant_read(instant, strlen(instant), at_ms)) {
		return false;
	}
	backup_name(*at_ms, again);
	return strcmp(again, name) == 0;
}

struct names {
	int64_t *at_ms;
	size_t count;
};

static int newest_first(const void *a, const void *b)
{
	int64_t x = *(const int64_t *)a, y = *(const int64_t *)b;

	return (x < y) - (x > y);
}

static bool has_said(const char *folder, const char *name, struct problem *why)
{
	char path[BACKUP_PATH_SIZE], said[BACKUP_PATH_SIZE];

	return backup_path(path, folder, name, why) && backup_path(said, path, BACKUP_SAID, why) &&
		access(said, F_OK) == 0;
}

static bool read_names(const char *folder, struct names *to, struct problem *why)
{
	struct dirent *entry;
	DIR *dir = opendir(folder);
	int64_t at_ms;

	if (dir == NULL) {
		return backup_failed(folder, why);
	}
	while (why->code == PROBLEM_NONE && (entry = readdir(dir)) != NULL) {
		if (name_read(entry->d_name, &at_ms) && has_said(folder, entry->d_name, why) &&
			array_grow((void **)&to->at_ms, to->count, sizeof *to->at_ms, why)) {
			to->at_ms[to->count++] = at_ms;
		}
	}
	closedir(dir);
	return why->code == PROBLEM_NONE;
}

/* Its description first: what is left of one that was ended half-way is none any more. */
static bool remove_one(const char *folder, int64_t at_ms, struct problem *why)
{
	char name[BACKUP_NAME_SIZE], path[BACKUP_PATH_SIZE];

	backup_name(at_ms, name);
	if (!backup_path(path, folder, name, why)) {
		return false;
	}
	backup_remove(path);
	return access(path, F_OK) != 0 || problem_set(why, PROBLEM_STORE, NULL,
		"%s could not be removed wholly.", path);
}

bool backup_keep(const char *folder, int64_t last, int64_t days, int64_t now_ms, size_t *removed,
	struct problem *why)
{
	struct names names = { 0 };
	bool ok = read_names(folder, &names, why);

	*removed = 0;
	if (ok && names.count > 0) {
		qsort(names.at_ms, names.count, sizeof *names.at_ms, newest_first);
	}
	for (size_t i = (size_t)(last > 1 ? last : 1); ok && i < names.count; i++) {
		if (now_ms - names.at_ms[i] > days * DAY_MS) {
			ok = remove_one(folder, names.at_ms[i], why);
			*removed += ok;
		}
	}
	free(names.at_ms);
	return ok;
}

bool backup_note(const char *data_folder, const struct backup_said *said, struct problem *why)
{
	char path[BACKUP_PATH_SIZE], part[BACKUP_PATH_SIZE];

	return backup_path(path, data_folder, NOTE, why) && backup_part(part, path, why) &&
		backup_said_write_file(part, said, why) &&
		((rename(part, path) == 0 && folder_sync(data_folder)) || backup_failed(path, why));
}

int64_t backup_noted_ms(const char *register_path)
{
	const char *slash = strrchr(register_path, '/');
	char folder[BACKUP_PATH_SIZE] = ".", path[BACKUP_PATH_SIZE];
	struct form_memory memory = { 0 };
	struct backup_said said;
	struct problem ignored = { 0 };
	int64_t made_ms = 0;

	if (slash != NULL && slash - register_path < BACKUP_PATH_SIZE) {
		snprintf(folder, sizeof folder, "%.*s", (int)(slash - register_path), register_path);
	}
	if (backup_path(path, folder, NOTE, &ignored) &&
		backup_said_read_file(path, &said, &memory, &ignored)) {
		made_ms = said.made_at_ms;
	}
	form_memory_release(&memory);
	return made_ms;
}
