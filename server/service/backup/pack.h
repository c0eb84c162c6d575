/* A backup as one stream (a tar archive, backup.json first): to standard output, to another
 * machine, and back. */
#ifndef SERVICE_BACKUP_PACK_H
#define SERVICE_BACKUP_PACK_H

#include "service/backup/backup.h"

/* Writes the folder's files that are said. */
bool backup_pack(const char *folder, const struct backup_said *said, int to,
	struct problem *why);

/* Reads one into a new folder; only names that a backup may have. False: *why, and nothing is left
 * there. What the files hold is backup_restore's to compare. */
bool backup_unpack(int from, const char *folder, struct problem *why);

#endif
