#include "store/photo_file.h"

#include <errno.h>
#include <fcntl.h>
#include <sodium.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/statvfs.h>

#include "base/log.h"
#include "store/folder.h"
#include "store/sql.h"

static const char photos[] = "photos", coming[] = "photos-coming";

/* (what has come of 200 pictures is 600 MB at most, and a day old) */
enum { COMING_MOST = 200, WEEK_S = 7 * 86400, DAY_S = 86400, COMING_NAME = SHA256_TEXT_SIZE + 24 };

/* The register's own: below it no picture is taken. */
static const int64_t ROOM_LEAST = 1 << 30;

bool photo_hash_is(const char *text)
{
	return strlen(text) == SHA256_TEXT_SIZE - 1 &&
		strspn(text, "0123456789abcdef") == SHA256_TEXT_SIZE - 1;
}

void photo_hash(const char *bytes, size_t len, char to[SHA256_TEXT_SIZE])
{
	unsigned char sha256[crypto_hash_sha256_BYTES];

	crypto_hash_sha256(sha256, (const unsigned char *)bytes, len);
	sodium_bin2hex(to, SHA256_TEXT_SIZE, sha256, sizeof sha256);
}

static int64_t size_of(const char *register_path, const char *folder, const char *name)
{
	char path[FOLDER_PATH_SIZE];
	struct stat is;

	folder_path(register_path, folder, name, path);
	return stat(path, &is) == 0 && S_ISREG(is.st_mode) ? (int64_t)is.st_size : -1;
}

int64_t photo_file_size(const char *register_path, const char *sha256)
{
	return size_of(register_path, photos, sha256);
}

static bool has_room(const char *register_path, struct problem *why)
{
	char path[FOLDER_PATH_SIZE];
	struct statvfs disk;

	folder_path(register_path, ".", "", path);
	if (statvfs(path, &disk) != 0 ||
		(int64_t)disk.f_bavail * (int64_t)disk.f_frsize >= ROOM_LEAST) {
		return true;
	}
	return problem_set(why, PROBLEM_FULL, NULL, "The server's disk has less than 1 GB left, which "
		"the register itself needs: the photo was not taken, and can be sent when there is room.");
}

bool photo_file_keep(const char *register_path, const char *sha256, const char *bytes, size_t len,
	struct problem *why)
{
	if (!has_room(register_path, why)) {
		return false;
	}
	if (folder_keep(register_path, photos, sha256, bytes, len)) {
		return true;
	}
	log_line(LOG_ERROR, "a photo could not be kept", "why", strerror(errno), NULL);
	return problem_set(why, errno == ENOSPC ? PROBLEM_FULL : PROBLEM_STORE, NULL,
		"The photo could not be kept on disk: please send it again.");
}

bool photo_file_read(const char *register_path, const char *sha256, struct text *to,
	struct problem *why)
{
	char hash[SHA256_TEXT_SIZE];

	if (!folder_read(register_path, photos, sha256, PICTURE_BYTES_MOST, to) && errno != EFBIG) {
		return errno == ENOENT ? problem_set(why, PROBLEM_NOT_FOUND, NULL,
			"The picture of this photo is missing on the server: its file photos/%s is to be "
			"restored from a backup.", sha256) : problem_set(why, PROBLEM_STORE, NULL,
			"The picture could not be read: %s.", strerror(errno));
	}
	photo_hash(to->data, to->len, hash);
	return strcmp(hash, sha256) == 0 || problem_set(why, PROBLEM_DAMAGED, NULL,
		"The picture of this photo is not what it was: its file photos/%s was changed, and is to "
		"be restored from a backup.", sha256);
}

void photo_file_touch(const char *register_path, const char *sha256)
{
	char path[FOLDER_PATH_SIZE];

	folder_path(register_path, photos, sha256, path);
	utimensat(AT_FDCWD, path, NULL, 0);
}

static void coming_name(int64_t person_id, const char *sha256, char to[COMING_NAME])
{
	snprintf(to, COMING_NAME, "%lld-%s", (long long)person_id, sha256);
}

void photo_coming_read(const char *register_path, int64_t person_id, const char *sha256,
	struct text *to)
{
	char name[COMING_NAME];

	coming_name(person_id, sha256, name);
	if (!folder_read(register_path, coming, name, PICTURE_BYTES_MOST, to)) {
		text_clear(to);
	}
}

int64_t photo_coming_size(const char *register_path, int64_t person_id, const char *sha256)
{
	char name[COMING_NAME];
	int64_t size;

	coming_name(person_id, sha256, name);
	size = size_of(register_path, coming, name);
	return size > 0 ? size : 0;
}

void photo_coming_keep(const char *register_path, int64_t person_id, const char *sha256,
	const struct text *bytes)
{
	char name[COMING_NAME];
	struct problem full = { 0 };

	coming_name(person_id, sha256, name);
	if (folder_look(register_path, coming, 0, NULL, NULL) < COMING_MOST &&
		has_room(register_path, &full)) {
		folder_keep_lightly(register_path, coming, name, bytes->data, bytes->len);
	}
}

void photo_coming_forget(const char *register_path, int64_t person_id, const char *sha256)
{
	char name[COMING_NAME];

	coming_name(person_id, sha256, name);
	folder_forget(register_path, coming, name);
}

/* ---- all of them ---- */

struct sweep {
	struct store *store;
	const char *register_path, *folder;
	struct problem *why;
};

bool photo_file_is_named(struct store *store, const char *sha256, bool *named,
	struct problem *why)
{
	static const char sql[] = "SELECT EXISTS (SELECT 1 FROM photo WHERE sha256 = $1) OR "
		"EXISTS (SELECT 1 FROM photo WHERE small_sha256 = $1)";
	int64_t found = 1;
	bool ok = sql_integer(store, sql, (struct value[]){ value_text(sha256) }, 1, 1, &found, why);

	*named = found != 0;
	return ok;
}

static void sweep_photo(void *arg, const char *name)
{
	const struct sweep *s = arg;
	bool named = true;

	if (s->why->code == PROBLEM_NONE && photo_file_is_named(s->store, name, &named, s->why) &&
		!named) {
		folder_forget(s->register_path, photos, name);
	}
}

static void sweep_coming(void *arg, const char *name)
{
	folder_forget(((const struct sweep *)arg)->register_path, coming, name);
}

bool photo_files_sweep(struct store *store, const char *register_path, int64_t now_ms,
	struct problem *why)
{
	struct sweep s = { .store = store, .register_path = register_path, .why = why };

	folder_look(register_path, coming, now_ms / 1000 - DAY_S, sweep_coming, &s);
	folder_look(register_path, photos, now_ms / 1000 - WEEK_S, sweep_photo, &s);
	return why->code == PROBLEM_NONE;
}

static void check_one(const char *register_path, const struct photo_files_check *check,
	const char *uuid, const char *sha256)
{
	struct text bytes = { 0 };
	struct problem wrong = { 0 };
	char sentence[PROBLEM_DETAIL_SIZE + UUID_TEXT_SIZE + 16];

	if (!photo_file_read(register_path, sha256, &bytes, &wrong)) {
		snprintf(sentence, sizeof sentence, "Photo %s: %s", uuid, wrong.detail);
		check->told(check->arg, sentence);
	}
	text_release(&bytes);
}

bool photo_files_check(struct store *store, const char *register_path,
	struct photo_files_check *check, struct problem *why)
{
	static const char sql[] = "SELECT uuid, sha256, small_sha256 FROM photo ORDER BY id";
	sqlite3_stmt *rows = sql_select(store, sql, NULL, 0, why);

	while (sql_row(store, rows, why)) {
		char uuid[UUID_TEXT_SIZE], sha256[SHA256_TEXT_SIZE], small[SHA256_TEXT_SIZE];

		column_text(rows, 0, uuid, sizeof uuid);
		column_text(rows, 1, sha256, sizeof sha256);
		column_text(rows, 2, small, sizeof small);
		check_one(register_path, check, uuid, sha256);
		if (strcmp(sha256, small) != 0) {
			check_one(register_path, check, uuid, small);
		}
		check->photos++;
	}
	return why->code == PROBLEM_NONE;
}
