/*
 * A file opened: what is no CSV in one of the encodings that are read becomes one, once, before
 * anything else looks at it. So a workbook is tried, taken, kept and mended as every file is.
 *
 * A sheet of a workbook (base/workbook/workbook.h) and UTF-16 become UTF-8; of a sheet the cells
 * are parted by commas. Its numbers and days are written as the settings read them.
 */
#ifndef SERVICE_IMPORT_OPENED_H
#define SERVICE_IMPORT_OPENED_H

#include "base/workbook/workbook.h"
#include "service/import/settings.h"

struct import_opened {
	const char *bytes;               /* of the file itself, or of rows */
	size_t len;
	struct text rows;
	struct workbook_sheets sheets;   /* none: no workbook */
	bool is_utf16;
};

/*
 * Sets what of the settings is not a question any more: the encoding, and of a workbook the
 * separator and the sheet (its name is the opened file's). One that has several sheets to see is
 * read when settings->sheet names one of them, or where `proposing`: then the first of them, or the
 * one that is named. False: *why, with the names where one is to be chosen. Release it in any case;
 * the file's bytes outlive it.
 */
bool import_open(const char *bytes, size_t len, bool proposing, struct import_settings *settings,
	struct import_opened *to, struct problems *why);
void import_opened_release(struct import_opened *opened);

#endif
