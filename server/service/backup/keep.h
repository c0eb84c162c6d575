/* Which backups of a folder are kept, and when the last one was made. */
#ifndef SERVICE_BACKUP_KEEP_H
#define SERVICE_BACKUP_KEEP_H

#include <stddef.h>

#include "service/backup/backup.h"

/* What a backup of this moment is called: 20261130T221503Z. */
enum { BACKUP_NAME_SIZE = 17 };
void backup_name(int64_t now_ms, char to[BACKUP_NAME_SIZE]);

/*
 * Removes those whose names say that they are older than `days` and that are not among the `last`
 * newest (1 at least). A folder that has another name, or no backup.json, is none and stays.
 * *removed counts. False: *why; what was not removed is whole.
 */
bool backup_keep(const char *folder, int64_t last, int64_t days, int64_t now_ms, size_t *removed,
	struct problem *why);

/* Beside the register: what the last backup was, for the server to tell how old it is. */
bool backup_note(const char *data_folder, const struct backup_said *said, struct problem *why);

/* When the last one of a register at this path was made; 0: none is noted, or the note cannot be
 * read. */
int64_t backup_noted_ms(const char *register_path);

#endif
