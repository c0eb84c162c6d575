/*
 * The pictures of photos: files in photos/ beside the register, each named by the SHA-256 of its
 * bytes. What had come of one when its sender was cut off lies in photos-coming/, of each person
 * apart, and may be lost.
 */
#ifndef STORE_PHOTO_FILE_H
#define STORE_PHOTO_FILE_H

#include "base/picture.h"
#include "base/text.h"
#include "base/uuid.h"
#include "store/store.h"

enum { SHA256_TEXT_SIZE = 65 };

/* Is it the SHA-256 of something, 64 digits in lower case? Only such is ever a file's name. */
bool photo_hash_is(const char *text);
void photo_hash(const char *bytes, size_t len, char to[SHA256_TEXT_SIZE]);

/* Its bytes; -1: it is not there. */
int64_t photo_file_size(const char *register_path, const char *sha256);

/* True: it is on disk. False: PROBLEM_FULL (too little room is left for the register itself) or
 * PROBLEM_STORE. */
bool photo_file_keep(const char *register_path, const char *sha256, const char *bytes, size_t len,
	struct problem *why);

/* Reads it, and looks whether it is what it was. False: PROBLEM_NOT_FOUND (missing) or
 * PROBLEM_DAMAGED. */
bool photo_file_read(const char *register_path, const char *sha256, struct text *to,
	struct problem *why);

/* It is wanted: no sweep takes it for a week. */
void photo_file_touch(const char *register_path, const char *sha256);

/* Whether a photo names it. */
bool photo_file_is_named(struct store *store, const char *sha256, bool *named,
	struct problem *why);

/* What has come so far of one that a person sends; empty when nothing has. */
void photo_coming_read(const char *register_path, int64_t person_id, const char *sha256,
	struct text *to);
int64_t photo_coming_size(const char *register_path, int64_t person_id, const char *sha256);
/* Keeps what has come; not when there is too much of that. */
void photo_coming_keep(const char *register_path, int64_t person_id, const char *sha256,
	const struct text *bytes);
void photo_coming_forget(const char *register_path, int64_t person_id, const char *sha256);

/* Removes what was sent a week ago and no photo names. It reads on a connection of its own. */
bool photo_files_sweep(struct store *store, const char *register_path, int64_t now_ms,
	struct problem *why);

/* Reads the files of every photo, and tells what is missing or changed. False: *why. */
struct photo_files_check {
	int64_t photos;
	void (*told)(void *arg, const char *sentence);
	void *arg;
};
bool photo_files_check(struct store *store, const char *register_path,
	struct photo_files_check *check, struct problem *why);

#endif
