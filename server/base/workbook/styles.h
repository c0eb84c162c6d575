/* Which numbers of an .xlsx are days or times, by their formats. Internal. */
#ifndef BASE_WORKBOOK_STYLES_H
#define BASE_WORKBOOK_STYLES_H

#include "base/workbook/xml.h"

enum { STYLES = 65536 };

enum style_what { STYLE_NUMBER, STYLE_DAY, STYLE_TIME, STYLE_ELAPSED };

struct style {
	unsigned char what;           /* enum style_what */
	unsigned char digits;         /* of a number that is filled up with zeros; 0: it is not */
};

struct styles {
	struct style *style;          /* owned, by the number in a cell's s */
	size_t count;
};

/* What a format is of, by its code ("dd/mm/yyyy", "00000"). */
struct style style_of_code(const char *code);

/* Reads the styles' part. Release it in any case. */
bool styles_read(struct archive *archive, const char *part, struct styles *styles,
	struct problem *why);
void styles_release(struct styles *styles);

#endif
