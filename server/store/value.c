#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"
#include "store/sql.h"

struct value value_null(void)
{
	return (struct value){ VALUE_NULL };
}

struct value value_integer(int64_t integer)
{
	return (struct value){ VALUE_INTEGER, .integer = integer };
}

struct value value_int_or_null(int64_t integer, int64_t absent)
{
	return integer == absent ? value_null() : value_integer(integer);
}

struct value value_id(int64_t id)
{
	return value_int_or_null(id, 0);
}

struct value value_word(int word)
{
	return value_int_or_null(word, -1);
}

struct value value_day(int32_t day)
{
	return value_int_or_null(day, DAY_NONE);
}

struct value value_real(double real)
{
	return isfinite(real) ? (struct value){ VALUE_REAL, .real = real } : value_null();
}

struct value value_text(const char *text)
{
	if (text == NULL || text[0] == '\0') {
		return value_null();
	}
	return (struct value){ VALUE_TEXT, .text = text, .len = strlen(text) };
}

struct value value_bytes(const unsigned char *bytes, size_t len)
{
	return (struct value){ VALUE_BYTES, .text = len > 0 ? (const char *)bytes : "", .len = len };
}

int taken_word(sqlite3_value *value)
{
	return sqlite3_value_type(value) == SQLITE_NULL ? -1 : sqlite3_value_int(value);
}

int32_t taken_day(sqlite3_value *value)
{
	return sqlite3_value_type(value) == SQLITE_NULL ? DAY_NONE : sqlite3_value_int(value);
}

double taken_real(sqlite3_value *value)
{
	return sqlite3_value_type(value) == SQLITE_NULL ? NAN : sqlite3_value_double(value);
}

void taken_text(sqlite3_value *value, char *to, size_t size)
{
	const char *text = (const char *)sqlite3_value_text(value);
	size_t len = text != NULL ? (size_t)sqlite3_value_bytes(value) : 0;
	size_t fits = utf8_fit(text, len, size - 1);

	if (fits > 0) {
		memcpy(to, text, fits);
	}
	to[fits] = '\0';
}

/* A value is asked for once and looked at twice: a connection belongs to one thread, so it may. */
int column_word(sqlite3_stmt *stmt, int column)
{
	return taken_word(sqlite3_column_value(stmt, column));
}

int32_t column_day(sqlite3_stmt *stmt, int column)
{
	return taken_day(sqlite3_column_value(stmt, column));
}

double column_real(sqlite3_stmt *stmt, int column)
{
	return taken_real(sqlite3_column_value(stmt, column));
}

void column_text(sqlite3_stmt *stmt, int column, char *to, size_t size)
{
	taken_text(sqlite3_column_value(stmt, column), to, size);
}

char *column_dup(sqlite3_stmt *stmt, int column)
{
	const char *text = (const char *)sqlite3_column_text(stmt, column);

	return text != NULL ? strdup(text) : NULL;
}

bool sql_integers(struct store *store, const char *sql, int64_t value, int64_t **all, size_t *count,
	struct problem *why)
{
	sqlite3_stmt *rows = sql_select(store, sql, (struct value[]){ value_integer(value) }, 1, why);

	*all = NULL;
	*count = 0;
	while (sql_row(store, rows, why)) {
		if (!array_grow((void **)all, *count, sizeof **all, why)) {
			sql_done(rows);
			break;
		}
		(*all)[(*count)++] = sqlite3_column_int64(rows, 0);
	}
	if (why->code != PROBLEM_NONE) {
		free(*all);
		*all = NULL;
	}
	return why->code == PROBLEM_NONE;
}
