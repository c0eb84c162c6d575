/* The folder of a backup, and what is beside a register. */
#ifndef SERVICE_BACKUP_FOLDER_H
#define SERVICE_BACKUP_FOLDER_H

#include "base/problem.h"

enum { BACKUP_PATH_SIZE = 4096 };

/* What is beside the register, by folder; ended by NULL. */
extern const char *const backup_folders[];

/* FOLDER/NAME, and what a folder is called until it is whole (FOLDER.part). */
bool backup_path(char to[BACKUP_PATH_SIZE], const char *folder, const char *name,
	struct problem *why);
bool backup_part(char to[BACKUP_PATH_SIZE], const char *folder, struct problem *why);

/* A new folder with those that a backup has within; and its names on disk. */
bool backup_folders_make(const char *at, struct problem *why);
bool backup_folders_sync(const char *at, struct problem *why);

/* Removes a folder of a backup or of a part of one, with what a backup holds and nothing else. */
void backup_remove(const char *folder);

/* What errno says, of a path; returns false. */
bool backup_failed(const char *path, struct problem *why);

#endif
