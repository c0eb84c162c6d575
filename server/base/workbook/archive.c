#include "base/workbook/archive.h"

#include <stdlib.h>
#include <string.h>
#include <zip.h>

enum { PIECE = 64 << 10 };

struct archive {
	zip_t *zip;
	size_t unpacked;              /* so far */
	char piece[PIECE];
};

/* Each part has one such mark in the list at the end; in what is packed it hardly ever stands. */
static bool has_many_parts(const char *bytes, size_t len)
{
	const char *at = bytes, *end = bytes + len;
	size_t parts = 0;

	while (parts <= ARCHIVE_PARTS && end - at >= 4 &&
		(at = memchr(at, 'P', (size_t)(end - at) - 3)) != NULL) {
		parts += memcmp(at, "PK\x01\x02", 4) == 0;
		at++;
	}
	return parts > ARCHIVE_PARTS;
}

static bool open_zip(struct archive *a, const char *bytes, size_t len, struct problem *why)
{
	zip_error_t error;
	zip_source_t *source;

	zip_error_init(&error);
	source = zip_source_buffer_create(bytes, len, 0, &error);
	a->zip = source != NULL ? zip_open_from_source(source, ZIP_RDONLY, &error) : NULL;
	if (a->zip == NULL) {
		zip_source_free(source);
		problem_set(why, zip_error_code_zip(&error) == ZIP_ER_MEMORY ? PROBLEM_NO_MEMORY :
			PROBLEM_MALFORMED, NULL, "The workbook cannot be opened (%.80s): it is damaged, or was "
			"not copied to its end. Save it again in the spreadsheet.", zip_error_strerror(&error));
	}
	zip_error_fini(&error);
	return a->zip != NULL;
}

struct archive *archive_open(const char *bytes, size_t len, struct problem *why)
{
	struct archive *a;

	if (has_many_parts(bytes, len)) {
		problem_set(why, PROBLEM_MALFORMED, NULL, "The workbook has more than %d parts, as none "
			"has that a spreadsheet wrote: it is not opened.", ARCHIVE_PARTS);
		return NULL;
	}
	a = calloc(1, sizeof *a);
	if (a == NULL) {
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
		return NULL;
	}
	if (!open_zip(a, bytes, len, why)) {
		free(a);
		return NULL;
	}
	return a;
}

void archive_close(struct archive *a)
{
	if (a != NULL) {
		zip_discard(a->zip);
	}
	free(a);
}

bool archive_has(struct archive *a, const char *part)
{
	return zip_name_locate(a->zip, part, 0) >= 0;
}

static bool refuse_size(const char *part, struct problem *why)
{
	return problem_set(why, PROBLEM_TOO_LARGE, NULL, "The workbook's part %.60s unpacks to far "
		"more than a sheet of rows can have: it is not read. Save the sheet alone, as CSV.", part);
}

/* What the file says of a size is not believed: what was unpacked counts. */
static bool read_on(struct archive *a, zip_file_t *file, const char *part, size_t packed,
	archive_put *put, void *app, struct problem *why)
{
	size_t unpacked = 0;
	zip_int64_t got;

	while ((got = zip_fread(file, a->piece, sizeof a->piece)) > 0) {
		unpacked += (size_t)got;
		a->unpacked += (size_t)got;
		if (a->unpacked > ARCHIVE_UNPACKED ||
			(unpacked > ARCHIVE_SMALL && unpacked / ARCHIVE_RATIO > packed)) {
			return refuse_size(part, why);
		}
		if (!put(app, a->piece, (size_t)got)) {
			return false;
		}
	}
	if (got < 0) {
		return problem_set(why, PROBLEM_MALFORMED, NULL, "The workbook's part %.60s cannot be "
			"unpacked (%.80s): it is damaged, or was not copied to its end.", part,
			zip_file_strerror(file));
	}
	return put(app, "", 0);
}

bool archive_read(struct archive *a, const char *part, archive_put *put, void *app,
	struct problem *why)
{
	zip_stat_t stat;
	zip_file_t *file;
	bool ok;

	if (zip_stat(a->zip, part, 0, &stat) != 0) {
		return problem_set(why, PROBLEM_MALFORMED, NULL,
			"The workbook lacks its part %.60s: save it again in the spreadsheet.", part);
	}
	if ((stat.valid & ZIP_STAT_ENCRYPTION_METHOD) != 0 &&
		stat.encryption_method != ZIP_EM_NONE) {
		return problem_set(why, PROBLEM_MALFORMED, NULL, "The workbook is protected by a password: "
			"save it without one.");
	}
	file = zip_fopen(a->zip, part, 0);
	if (file == NULL) {
		return problem_set(why, PROBLEM_MALFORMED, NULL, "The workbook's part %.60s cannot be "
			"unpacked (%.80s): save it again in the spreadsheet.", part, zip_strerror(a->zip));
	}
	ok = read_on(a, file, part, (stat.valid & ZIP_STAT_COMP_SIZE) != 0 ? stat.comp_size : 0, put,
		app, why);
	zip_fclose(file);
	return ok;
}
