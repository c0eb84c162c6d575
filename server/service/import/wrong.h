/*
 * The wrong rows of an import as a file: each as it stands in the original, and after it the row's
 * number, the column, the value and what is wrong. Mended there, it can be imported with the same
 * mapping, which passes the added columns over. Where the first row is data there are no headings
 * to add to, and one column tells it all.
 */
#ifndef SERVICE_IMPORT_WRONG_H
#define SERVICE_IMPORT_WRONG_H

#include <stdbool.h>
#include <stddef.h>

#include "base/text.h"
#include "service/import/import.h"

struct wrong_row {
	size_t row;
	size_t begin, len;       /* its cells in `cells`: separated and quoted */
};

struct wrong_rows {
	struct wrong_row *rows;  /* owned */
	size_t count;
	struct text cells;
	const struct import_settings *settings;
	char separator;
	bool is_without_headings;
};

void wrong_rows_start(struct wrong_rows *wrong, const struct import_settings *settings);

/* The watch's function: app is a struct wrong_rows. */
void wrong_rows_take(void *app, const struct import_wrong *one);

/* The file in UTF-8, handed on in pieces. False: put said no, or memory ran out. */
typedef bool wrong_rows_put(void *app, const char *bytes, size_t len);
bool wrong_rows_write(struct wrong_rows *wrong, const struct import_request *request,
	wrong_rows_put *put, void *app);

/* True for the heading of a column that was added here. */
bool wrong_rows_added(const char *heading, size_t len);

void wrong_rows_release(struct wrong_rows *wrong);

#endif
