#include "base/decimal.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { LONGEST = 60 };

static size_t count_digits(const char *text, size_t len, size_t from)
{
	size_t at = from;

	while (at < len && text[at] >= '0' && text[at] <= '9') {
		at++;
	}
	return at - from;
}

/* Bytes of the sign, 0 when there is none. */
static size_t read_sign(const char *text, size_t len, bool *negative)
{
	*negative = false;
	if (len >= 1 && (text[0] == '+' || text[0] == '-')) {
		*negative = text[0] == '-';
		return 1;
	}
	if (len >= 3 && memcmp(text, "\xE2\x88\x92", 3) == 0) {
		*negative = true;
		return 3;
	}
	return 0;
}

/* Bytes of the exponent at text + from, 0 when there is none or it is not complete. */
static size_t count_exponent(const char *text, size_t len, size_t from)
{
	size_t at = from;
	size_t digits;

	if (at >= len || (text[at] != 'e' && text[at] != 'E')) {
		return 0;
	}
	at++;
	if (at < len && (text[at] == '+' || text[at] == '-')) {
		at++;
	}
	digits = count_digits(text, len, at);
	return digits > 0 ? at + digits - from : 0;
}

bool decimal_read(const char *text, size_t len, char decimal, double *value)
{
	char plain[LONGEST + 1];
	bool negative;
	size_t from = read_sign(text, len, &negative);
	size_t whole = count_digits(text, len, from);
	size_t at = from + whole;
	size_t part = 0;
	char *end;
	double read;

	if (at < len && text[at] == decimal) {
		part = count_digits(text, len, at + 1);
		at += 1 + part;
	}
	at += count_exponent(text, len, at);
	if (at != len || whole + part == 0 || len - from > LONGEST) {
		return false;
	}
	for (size_t i = from; i < len; i++) {
		plain[i - from] = text[i] == ',' ? '.' : text[i];
	}
	plain[len - from] = '\0';
	/* the program never leaves the C locale, so strtod's mark is the point */
	read = strtod(plain, &end);
	if (*end != '\0' || !isfinite(read)) {
		return false;
	}
	*value = negative && read != 0 ? -read : read;
	return true;
}

bool decimal_is_whole(double value)
{
	return fabs(value) <= 9007199254740992.0 && value == floor(value);
}

bool decimal_read_integer(const char *text, size_t len, char decimal, int64_t *value)
{
	bool negative;
	size_t from = read_sign(text, len, &negative);
	size_t digits = count_digits(text, len, from);
	int64_t read = 0;
	double real;

	if (digits == 0 || from + digits != len) {
		if (!decimal_read(text, len, decimal, &real) || !decimal_is_whole(real)) {
			return false;
		}
		*value = (int64_t)real;
		return true;
	}
	for (size_t i = from; i < len; i++) {
		int digit = text[i] - '0';

		if (read > (INT64_MAX - digit) / 10) {
			return false;
		}
		read = read * 10 + digit;
	}
	*value = negative ? -read : read;
	return true;
}
