/* backup.json, what a backup says of itself, as text and as a file. */
#ifndef SERVICE_BACKUP_SAID_H
#define SERVICE_BACKUP_SAID_H

#include "service/backup/backup.h"

/* Whether a file of a backup may have that name: below its folder, nowhere else, not hidden. */
bool backup_name_is_below(const char *name);

/* From text of any origin: names lead nowhere but below the folder, a register is among them. */
bool backup_said_read(const char *json, size_t len, struct backup_said *said,
	struct form_memory *memory, struct problem *why);

bool backup_said_read_file(const char *path, struct backup_said *said, struct form_memory *memory,
	struct problem *why);

/* On disk when it returns true; the folder is the caller's to sync. */
bool backup_said_write_file(const char *path, const struct backup_said *said,
	struct problem *why);

#endif
