/* backup.json: what a backup says of itself. */
#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "service/backup/folder.h"
#include "service/backup/said.h"

#define FILE_(f) offsetof(struct backup_file, f)
#define SAID(f) offsetof(struct backup_said, f)

static const struct member file_members[] = {
	{ .name = "name", .title = "File", .type = MEMBER_TEXT, .required = true,
	  .offset = FILE_(name) },
	{ .name = "bytes", .title = "Bytes", .type = MEMBER_INTEGER, .required = true,
	  .offset = FILE_(bytes), .least = 0, .most = INFINITY },
	{ .name = "sha256", .title = "SHA-256", .type = MEMBER_TEXT, .required = true,
	  .offset = FILE_(sha256), .longest = FILE_HASH_SIZE - 1 },
	{ 0 }
};
static const struct form file_form = { "BackupFile", file_members, sizeof(struct backup_file) };

static const struct member said_members[] = {
	{ .name = "made_at", .title = "Made", .type = MEMBER_INSTANT, .required = true,
	  .offset = SAID(made_at_ms) },
	{ .name = "program", .title = "Program", .type = MEMBER_TEXT, .required = true,
	  .offset = SAID(program) },
	{ .name = "bonds", .title = "Bonds", .type = MEMBER_INTEGER, .required = true,
	  .offset = SAID(bonds), .least = 0, .most = INFINITY },
	{ .name = "inspections", .title = "Inspections", .type = MEMBER_INTEGER, .required = true,
	  .offset = SAID(inspections), .least = 0, .most = INFINITY },
	{ .name = "files", .title = "Files", .type = MEMBER_LIST, .required = true,
	  .offset = SAID(files), .longest = BACKUP_FILES_MOST, .form = &file_form },
	{ 0 }
};
const struct form backup_said_form = { "Backup", said_members, sizeof(struct backup_said) };

/* ("register.db", "imports/0190-...") */
bool backup_name_is_below(const char *name)
{
	size_t part = 0;

	for (const char *at = name; *at != '\0'; at++) {
		if (*at == '/') {
			if (part == 0) {
				return false;
			}
			part = 0;
			continue;
		}
		if (strchr("abcdefghijklmnopqrstuvwxyz0123456789-_.", *at) == NULL ||
			(*at == '.' && part == 0)) {
			return false;
		}
		part++;
	}
	return part > 0;
}

static bool check_said(const struct backup_said *said, struct problem *why)
{
	const struct backup_file *files = said->files.items;
	bool has_register = false;

	for (size_t i = 0; i < said->files.count; i++) {
		if (!backup_name_is_below(files[i].name) || strlen(files[i].sha256) != FILE_HASH_SIZE - 1) {
			return problem_set(why, PROBLEM_VALUE, "files", "\"%s\" is no file of a backup.",
				files[i].name);
		}
		has_register = has_register || strcmp(files[i].name, BACKUP_REGISTER) == 0;
	}
	return has_register || problem_set(why, PROBLEM_VALUE, "files", "There is no %s among the "
		"files that this backup says it holds.", BACKUP_REGISTER);
}

bool backup_said_read(const char *json, size_t len, struct backup_said *said,
	struct form_memory *memory, struct problem *why)
{
	struct problems all = { 0 };

	if (!form_from_json(&backup_said_form, json, len, said, memory, &all)) {
		return problem_set(why, PROBLEM_VALUE, all.item[0].field, "This is no description of a "
			"backup: %s", all.item[0].detail);
	}
	return check_said(said, why);
}

static bool read_text(const char *path, struct text *to, struct problem *why)
{
	int fd = open(path, O_RDONLY | O_CLOEXEC);
	struct stat is;
	ssize_t got = -1;

	if (fd < 0 || fstat(fd, &is) != 0 || is.st_size > BACKUP_SAID_MOST) {
		problem_set(why, PROBLEM_NOT_FOUND, NULL, "There is no backup here: %s cannot be read "
			"(%s).", path, fd < 0 ? strerror(errno) : "it is too long");
	} else {
		char *room = text_grow(to, (size_t)is.st_size + 1);

		got = room != NULL ? read(fd, room, (size_t)is.st_size) : -1;
		if (got == is.st_size) {
			room[got] = '\0';
			to->len += (size_t)got;
		} else {
			problem_set(why, PROBLEM_STORE, NULL, "%s could not be read to its end.", path);
		}
	}
	if (fd >= 0) {
		close(fd);
	}
	return why->code == PROBLEM_NONE;
}

bool backup_said_read_file(const char *path, struct backup_said *said, struct form_memory *memory,
	struct problem *why)
{
	struct text json = { 0 };
	bool ok = read_text(path, &json, why) &&
		backup_said_read(json.data, json.len, said, memory, why);

	text_release(&json);
	return ok;
}

bool backup_said_write_file(const char *path, const struct backup_said *said,
	struct problem *why)
{
	struct text json = { 0 };
	int fd = open(path, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0600);
	bool ok;

	form_write(&backup_said_form, said, &json);
	text_add_char(&json, '\n');
	ok = fd >= 0 && !json.failed && file_write(fd, json.data, json.len) && fsync(fd) == 0;
	if (fd >= 0 && close(fd) != 0) {
		ok = false;
	}
	text_release(&json);
	return ok || problem_set(why, errno == ENOSPC ? PROBLEM_FULL : PROBLEM_STORE, NULL,
		"%s could not be written: %s.", path, strerror(errno));
}

bool backup_read(const char *folder, struct backup_said *said, struct form_memory *memory,
	struct problem *why)
{
	char path[BACKUP_PATH_SIZE];

	return backup_path(path, folder, BACKUP_SAID, why) &&
		backup_said_read_file(path, said, memory, why);
}
