#include "encode/parts.h"

#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/day.h"
#include "base/log.h"

bool refuse_no_memory(struct problem *why)
{
	return problem_set(why, PROBLEM_NO_MEMORY, NULL, "out of memory");
}

bool refuse_cut_short(const struct rows *rows, struct problem *why)
{
	return problem_set(why, PROBLEM_STORE, NULL,
		"the list could not be read to its end and was cut short after %zu rows", rows->count);
}

bool rows_start(struct rows *rows, const struct table *table, struct problem *why)
{
	*rows = (struct rows){ .table = table };
	rows->row = calloc(table->n_columns > 0 ? table->n_columns : 1, sizeof *rows->row);
	return rows->row != NULL || refuse_no_memory(why);
}

bool rows_next(struct rows *rows)
{
	bool given = rows->table->next(rows->table->source, rows->row, &rows->failed);

	rows->count += given ? 1 : 0;
	return given;
}

void rows_release(struct rows *rows)
{
	free(rows->row);
	*rows = (struct rows){ 0 };
}

void cell_add(const struct column *column, const struct cell *cell, struct text *to)
{
	char written[INSTANT_TEXT_SIZE];

	switch (column->type) {
	case CELL_INTEGER:
		text_add_integer(to, cell->integer);
		break;
	case CELL_REAL:
		text_add_real(to, cell->real);
		break;
	case CELL_TEXT:
		text_add(to, cell->text, cell->len);
		break;
	case CELL_DAY:
		day_write((int32_t)cell->integer, written);
		text_add_z(to, written);
		break;
	case CELL_INSTANT:
		instant_write(cell->integer, written);
		text_add_z(to, written);
		break;
	case CELL_FLAG:
		text_add_z(to, cell->integer != 0 ? "true" : "false");
		break;
	case CELL_WORD:
		text_add_z(to, column->words->code[cell->integer]);
		break;
	}
}

static bool write_all(int fd, const char *bytes, size_t len)
{
	while (len > 0) {
		ssize_t written = write(fd, bytes, len);

		if (written < 0 && errno != EINTR) {
			return false;
		}
		if (written > 0) {
			bytes += written;
			len -= (size_t)written;
		}
	}
	return true;
}

bool flush_text(struct text *buffer, size_t least, int fd, struct problem *why)
{
	if (buffer->failed) {
		return refuse_no_memory(why);
	}
	if (buffer->len == 0 || buffer->len < least) {
		return true;
	}
	if (!write_all(fd, buffer->data, buffer->len)) {
		log_line(LOG_ERROR, "file not written", "cause", strerror(errno), NULL);
		return problem_set(why, PROBLEM_STORE, NULL, "the file could not be written to its end");
	}
	text_clear(buffer);
	return true;
}
