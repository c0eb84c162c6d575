/*
 * A backup of a register: a folder that holds
 *
 *     register.db      the register as it was at one moment, in one file
 *     imports/...      the files of the import that was under way then
 *     backup.json      what it is: when, by which program, each file's length and SHA-256
 *
 * It is made while the server serves, by a process that only reads. backup.json is written last,
 * and the folder gets its name when all is on disk and was read again: a folder that has its name
 * is a whole backup. Its bytes are as good as the register: who reads it reads everything.
 */
#ifndef SERVICE_BACKUP_BACKUP_H
#define SERVICE_BACKUP_BACKUP_H

#include "base/file.h"
#include "base/form.h"
#include "store/store.h"

#define BACKUP_SAID "backup.json"
#define BACKUP_REGISTER "register.db"

enum { BACKUP_FILES_MOST = 1000000, BACKUP_SAID_MOST = 256 << 20 };

/* One file of it; name is its path within the folder. */
struct backup_file {
	const char *name;
	int64_t bytes;
	const char *sha256;
};

struct backup_said {
	int64_t made_at_ms;          /* the moment whose state it is, as far as the clock was right */
	const char *program;         /* version */
	int64_t bonds, inspections;  /* of the record, withdrawn ones too: to know it again by */
	struct form_list files;      /* struct backup_file */
};
extern const struct form backup_said_form;

/*
 * Makes one of the register in data_folder, in a new folder at `to`, whose parent is there; reads
 * it again and looks at the copy as store_check_file does. *said describes it, in memory. False:
 * *why, and nothing is left at `to`.
 */
bool backup_make(const char *data_folder, const char *to, struct progress *progress,
	struct backup_said *said, struct form_memory *memory, struct problem *why);

/* Reads backup.json of a folder. */
bool backup_read(const char *folder, struct backup_said *said, struct form_memory *memory,
	struct problem *why);

/*
 * Puts a backup (its folder, as said) in the place of a register: data_folder is there and holds
 * none. Every file is compared with what is said of it; the register is brought to this program's
 * schema, looked at as store_check_file does, and gets its name last. False: *why, and data_folder
 * is as it was.
 */
bool backup_restore(const char *folder, const struct backup_said *said, const char *data_folder,
	struct progress *progress, struct problem *why);

/* Reads every file of a backup and compares it with what is said of it. */
bool backup_is_whole(const char *folder, const struct backup_said *said,
	struct progress *progress, struct problem *why);

#endif
