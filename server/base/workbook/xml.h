/*
 * A part of a workbook as XML, in one pass. Internal to the workbook reader.
 *
 * No spreadsheet writes a DOCTYPE, so one is refused: there are no entities then but the five of
 * XML, and nothing outside the file is ever looked for. Depth and the length of one tag are
 * bounded.
 */
#ifndef BASE_WORKBOOK_XML_H
#define BASE_WORKBOOK_XML_H

#include "base/workbook/archive.h"

enum { XML_DEPTH = 100, XML_TAG_BYTES = 1 << 20 };

/* Each but app may be NULL. False: no more is read, and *why says why not. */
struct xml_reader {
	bool (*begin)(void *app, const char *name, const char **attributes, struct problem *why);
	bool (*end)(void *app, const char *name, struct problem *why);
	bool (*text)(void *app, const char *bytes, size_t len, struct problem *why);
	void *app;
};

bool xml_read(struct archive *archive, const char *part, const struct xml_reader *reader,
	struct problem *why);

/* A name without the prefix of its namespace: of the Office formats the prefix differs. */
const char *xml_local(const char *name);

/* The value of an attribute by its local name; NULL: there is none. */
const char *xml_attribute(const char **attributes, const char *name);

/* The same by its whole name, "table:name". */
const char *xml_attribute_whole(const char **attributes, const char *name);

#endif
