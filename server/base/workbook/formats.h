/*
 * What a workbook is in: the two formats, each with its list of sheets and its rows. Internal to
 * the workbook reader.
 */
#ifndef BASE_WORKBOOK_FORMATS_H
#define BASE_WORKBOOK_FORMATS_H

#include "base/workbook/archive.h"
#include "base/workbook/sheet.h"
#include "base/workbook/xml.h"

struct workbook_format {
	bool (*list)(struct archive *archive, struct workbook_sheets *sheets, struct problem *why);
	bool (*rows)(struct archive *archive, size_t sheet, struct sheet *to, struct problem *why);
};
extern const struct workbook_format workbook_xlsx, workbook_ods;

/* False: too many sheets, or no memory. */
bool workbook_add_sheet(struct workbook_sheets *sheets, const char *name, bool is_hidden,
	struct problem *why);

#endif
