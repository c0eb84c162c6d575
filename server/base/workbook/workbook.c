#include "base/workbook/workbook.h"

#include <stdlib.h>
#include <string.h>

#include "base/array.h"
#include "base/utf8.h"
#include "base/workbook/formats.h"

static bool begins(const char *bytes, size_t len, const char *with)
{
	return len >= 4 && memcmp(bytes, with, 4) == 0;
}

bool workbook_is(const char *bytes, size_t len)
{
	return begins(bytes, len, "PK\x03\x04") || begins(bytes, len, "PK\x05\x06") ||
		begins(bytes, len, "\xD0\xCF\x11\xE0");
}

bool workbook_add_sheet(struct workbook_sheets *sheets, const char *name, bool is_hidden,
	struct problem *why)
{
	struct workbook_sheet *one;
	size_t len = utf8_fit(name, strlen(name), WORKBOOK_SHEET_NAME - 1);

	if (sheets->count == WORKBOOK_SHEETS) {
		return problem_set(why, PROBLEM_TOO_LARGE, NULL, "The workbook has more than %d sheets: "
			"save the one that is wanted by itself.", WORKBOOK_SHEETS);
	}
	if (!array_grow((void **)&sheets->sheet, sheets->count, sizeof *sheets->sheet, NULL)) {
		return problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	one = &sheets->sheet[sheets->count++];
	memcpy(one->name, name, len);
	one->name[len] = '\0';
	one->is_hidden = is_hidden;
	return true;
}

void workbook_sheets_release(struct workbook_sheets *sheets)
{
	free(sheets->sheet);
	*sheets = (struct workbook_sheets){ 0 };
}

static const struct workbook_format *format_of(struct archive *archive, struct problem *why)
{
	if (archive_has(archive, "content.xml")) {
		return &workbook_ods;
	}
	if (archive_has(archive, "_rels/.rels")) {
		return &workbook_xlsx;
	}
	problem_set(why, PROBLEM_MALFORMED, NULL, "The file is packed (ZIP) and no workbook: give the "
		"workbook itself, .xlsx or .ods, or a CSV file.");
	return NULL;
}

static struct archive *open_workbook(const char *bytes, size_t len,
	const struct workbook_format **format, struct problem *why)
{
	struct archive *archive;

	if (begins(bytes, len, "\xD0\xCF\x11\xE0")) {
		problem_set(why, PROBLEM_MALFORMED, NULL, "The file is a workbook of the old sort (.xls), "
			"or one protected by a password: open it in the spreadsheet and save it as .xlsx or "
			".ods, without a password.");
		return NULL;
	}
	archive = archive_open(bytes, len, why);
	*format = archive != NULL ? format_of(archive, why) : NULL;
	if (*format == NULL) {
		archive_close(archive);
		return NULL;
	}
	return archive;
}

bool workbook_list(const char *bytes, size_t len, struct workbook_sheets *sheets,
	struct problem *why)
{
	const struct workbook_format *format;
	struct archive *archive;
	bool ok;

	*sheets = (struct workbook_sheets){ 0 };
	archive = open_workbook(bytes, len, &format, why);
	if (archive == NULL) {
		return false;
	}
	ok = format->list(archive, sheets, why) && (sheets->count > 0 || problem_set(why,
		PROBLEM_MALFORMED, NULL, "The workbook has no sheet of cells."));
	archive_close(archive);
	return ok;
}

bool workbook_rows(const char *bytes, size_t len, size_t number,
	const struct workbook_writing *writing, struct text *to, struct problem *why)
{
	struct sheet sheet = { .writing = writing, .to = to, .begin = to->len };
	const struct workbook_format *format;
	struct archive *archive = open_workbook(bytes, len, &format, why);
	bool ok;

	if (archive == NULL) {
		return false;
	}
	ok = format->rows(archive, number, &sheet, why) && sheet_end(&sheet, why);
	archive_close(archive);
	return ok;
}
