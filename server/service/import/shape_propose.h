/* Where a file's table seems to begin and to end: proposed, with reasons. Internal to the importer.
 * */
#ifndef SERVICE_IMPORT_SHAPE_PROPOSE_H
#define SERVICE_IMPORT_SHAPE_PROPOSE_H

#include "service/import/settings.h"

enum { SHAPE_WHY_SIZE = 240 };

struct shape_proposal {
	int64_t begins_row, ends_row;   /* 0: with the file's first and last row */
	size_t offset;                  /* of the row where it begins, in the bytes */
	char begins_why[SHAPE_WHY_SIZE], ends_why[SHAPE_WHY_SIZE];
};

/*
 * A table begins with the first row that is about as wide as those below it, when nothing but rows
 * of a cell or two stand above. It ends before a row that begins with a word for a total, in any of
 * several languages, when that is one of the last. What the settings state of either is not
 * proposed, but its offset is told. False: out of memory.
 */
bool import_propose_shape(const char *bytes, size_t len, const struct import_settings *settings,
	struct shape_proposal *to, struct problems *why);

#endif
