/*
 * The wrong rows of an import as a file: each as it stands in the original, and after it the row's
 * number, the column, the value and what is wrong. Mended there, it can be imported with the same
 * mapping, which passes the added columns over.
 */
#ifndef CLI_IMPORT_WRONG_H
#define CLI_IMPORT_WRONG_H

#include <stdbool.h>
#include <stddef.h>

#include "base/text.h"
#include "service/import.h"

struct wrong_row {
	size_t row;
	size_t begin, len;       /* its cells in `cells`: separated and quoted */
};

struct wrong_rows {
	struct wrong_row *rows;  /* owned */
	size_t count;
	struct text cells;
	char separator;
};

/* The watch's function: app is a struct wrong_rows. */
void wrong_rows_take(void *app, const struct import_wrong *one);

/* Writes the file in UTF-8. False: told on stderr. */
bool wrong_rows_write(struct wrong_rows *wrong, const struct import_request *request,
	const char *path);

void wrong_rows_release(struct wrong_rows *wrong);

#endif
