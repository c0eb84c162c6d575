#include "service/backup/backup.h"

#include <dirent.h>
#include <errno.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/array.h"
#include "base/clock.h"
#include "service/backup/folder.h"
#include "service/backup/said.h"
#include "store/copy.h"
#include "store/photo_file.h"
#include "store/record/import_begun.h"

struct making {
	const char *data, *part;      /* folders */
	struct store *store;
	struct progress *progress;
	struct form_memory *memory;
	struct backup_file *files;    /* owned array; its texts are in memory */
	size_t count;
};

static const char *keep_text(struct form_memory *memory, const char *z)
{
	size_t size = strlen(z) + 1;
	char *to = form_alloc(memory, size);

	return to != NULL ? memcpy(to, z, size) : NULL;
}

static bool add_file(struct making *m, const char *name, int64_t bytes, const char *hash,
	struct problem *why)
{
	struct backup_file f = { .bytes = bytes };

	f.name = keep_text(m->memory, name);
	f.sha256 = keep_text(m->memory, hash);
	if (f.name == NULL || f.sha256 == NULL) {
		return problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	if (!array_grow((void **)&m->files, m->count, sizeof *m->files, why)) {
		return false;
	}
	m->files[m->count++] = f;
	return true;
}

static bool copy_register(struct making *m, struct problem *why)
{
	char path[BACKUP_PATH_SIZE], hash[FILE_HASH_SIZE];
	int64_t bytes;

	if (!backup_path(path, m->part, BACKUP_REGISTER, why) ||
		!store_copy(m->store, path, m->progress, why)) {
		return false;
	}
	return file_copy_path(path, NULL, m->progress, &bytes, hash) ?
		add_file(m, BACKUP_REGISTER, bytes, hash, why) : backup_failed(path, why);
}

static bool is_kept(struct making *m, const char *folder, const char *name, bool *kept,
	struct problem *why)
{
	return strcmp(folder, "photos") == 0 ? photo_file_is_named(m->store, name, kept, why) :
		store_import_keeps(m->store, name, kept, why);
}

/* A file that goes meanwhile is of an import that ended meanwhile (see imports_are_there): that of
 * a photo stays. A photo that has none is told by check. */
static bool copy_beside(struct making *m, const char *folder, const char *name,
	struct problem *why)
{
	char below[NAME_MAX + sizeof "imports/"], from[BACKUP_PATH_SIZE], to[BACKUP_PATH_SIZE];
	char hash[FILE_HASH_SIZE];
	bool kept = false;
	int64_t bytes;

	if (!is_kept(m, folder, name, &kept, why) || !kept) {
		return why->code == PROBLEM_NONE;
	}
	snprintf(below, sizeof below, "%s/%s", folder, name);
	if (!backup_path(from, m->data, below, why) || !backup_path(to, m->part, below, why)) {
		return false;
	}
	if (!file_copy_path(from, to, m->progress, &bytes, hash)) {
		return errno == ENOENT || backup_failed(from, why);
	}
	return add_file(m, below, bytes, hash, why);
}

static bool copy_folder(struct making *m, const char *name, struct problem *why)
{
	char path[BACKUP_PATH_SIZE];
	struct dirent *entry;
	bool ok = true;
	DIR *folder;

	if (!backup_path(path, m->data, name, why)) {
		return false;
	}
	folder = opendir(path);
	while (ok && folder != NULL && (entry = readdir(folder)) != NULL) {
		ok = entry->d_name[0] == '.' || copy_beside(m, name, entry->d_name, why);
	}
	if (folder != NULL) {
		closedir(folder);
	}
	return ok;
}

static bool copy_folders(struct making *m, struct problem *why)
{
	bool ok = true;

	for (size_t i = 0; ok && backup_folders[i] != NULL; i++) {
		ok = copy_folder(m, backup_folders[i], why);
	}
	return ok;
}

/* The register that was copied goes on with the import that was under way: from its file. */
static bool imports_are_there(struct making *m, bool *there, struct problem *why)
{
	struct import_begun begun = { 0 };
	bool ok = store_import_under_way(m->store, &begun, why);

	*there = begun.id == 0;
	for (size_t i = 0; i < m->count && !*there; i++) {
		const char *slash = strchr(m->files[i].name, '/');

		*there = slash != NULL && strcmp(slash + 1, begun.kept_as) == 0;
	}
	import_begun_release(&begun);
	return ok;
}

static bool make_once(struct making *m, bool *whole, struct problem *why)
{
	bool ok = store_read_now(m->store, why) && copy_register(m, why) && copy_folders(m, why) &&
		imports_are_there(m, whole, why);

	store_read_end(m->store);
	return ok;
}

/* An import may end while the register is copied: its file is gone then, and the state that was
 * copied would go on with it. */
static bool make(struct making *m, struct problem *why)
{
	enum { TRIES = 5 };
	bool whole = false;

	for (int i = 0; i < TRIES && !whole; i++) {
		if (i > 0) {
			backup_remove(m->part);
			m->count = 0;
			if (!backup_folders_make(m->part, why)) {
				return false;
			}
		}
		if (!make_once(m, &whole, why)) {
			return false;
		}
	}
	return whole || problem_set(why, PROBLEM_BUSY, NULL, "Imports end faster than they can be "
		"copied: try again when they are done.");
}

static bool prove(const char *part, struct backup_said *said, struct problem *why)
{
	char path[BACKUP_PATH_SIZE];
	struct store *copy;
	bool ok;

	if (!backup_path(path, part, BACKUP_REGISTER, why)) {
		return false;
	}
	copy = store_open(path, STORE_READ, why);
	ok = copy != NULL && store_check_file(copy, why) &&
		store_copy_counts(copy, &said->bonds, &said->inspections, why);
	store_close(copy);
	return ok;
}

/* The array becomes the decoding's own, as a list that was read is. */
static bool list_files(struct making *m, struct form_list *to, struct problem *why)
{
	to->items = form_alloc(m->memory, m->count * sizeof *m->files + 1);
	to->count = to->items != NULL ? m->count : 0;
	if (to->count > 0) {
		memcpy(to->items, m->files, m->count * sizeof *m->files);
	}
	return to->items != NULL || problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
}

/* It gets its name last. */
static bool finish(struct making *m, const char *to, struct backup_said *said, struct problem *why)
{
	char path[BACKUP_PATH_SIZE], above[BACKUP_PATH_SIZE];

	return list_files(m, &said->files, why) && prove(m->part, said, why) &&
		backup_path(path, m->part, BACKUP_SAID, why) && backup_path(above, to, "..", why) &&
		backup_said_write_file(path, said, why) && backup_folders_sync(m->part, why) &&
		((rename(m->part, to) == 0 && folder_sync(above)) || backup_failed(to, why));
}

bool backup_make(const char *data_folder, const char *to, struct progress *progress,
	struct backup_said *said, struct form_memory *memory, struct problem *why)
{
	char path[BACKUP_PATH_SIZE], part[BACKUP_PATH_SIZE];
	struct making m = { .data = data_folder, .part = part, .progress = progress,
		.memory = memory };
	bool ok;

	if (!backup_path(path, data_folder, BACKUP_REGISTER, why) ||
		!backup_part(part, to, why) || !backup_folders_make(part, why)) {
		return false;
	}
	form_clear(&backup_said_form, said);
	said->made_at_ms = clock_now_ms();
	said->program = BONDBOOK_VERSION;
	m.store = store_open(path, STORE_READ, why);
	ok = m.store != NULL && make(&m, why);
	store_close(m.store);
	ok = ok && finish(&m, to, said, why);
	free(m.files);
	if (!ok) {
		backup_remove(part);
	}
	return ok;
}
