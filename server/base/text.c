#include "base/text.h"

#include <inttypes.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"

void text_release(struct text *t)
{
	free(t->data);
	*t = (struct text){ 0 };
}

void text_clear(struct text *t)
{
	t->len = 0;
	t->failed = false;
	if (t->data != NULL) {
		t->data[0] = '\0';
	}
}

char *text_grow(struct text *t, size_t more)
{
	if (t->failed) {
		return NULL;
	}
	if (more + 1 > t->size - t->len) {
		size_t size = t->size > 0 ? t->size : 256;
		char *data;

		while (size - t->len < more + 1) {
			size *= 2;
		}
		data = realloc(t->data, size);
		if (data == NULL) {
			t->failed = true;
			return NULL;
		}
		t->data = data;
		t->size = size;
	}
	return t->data + t->len;
}

size_t integer_write(int64_t value, char *to)
{
	char digits[INTEGER_MOST];
	size_t at = sizeof digits;
	uint64_t left = value < 0 ? -(uint64_t)value : (uint64_t)value;

	do {
		digits[--at] = (char)('0' + left % 10);
		left /= 10;
	} while (left > 0);
	if (value < 0) {
		digits[--at] = '-';
	}
	memcpy(to, digits + at, sizeof digits - at);
	return sizeof digits - at;
}

void text_add_integer(struct text *t, int64_t value)
{
	char *to = text_room(t, INTEGER_MOST);

	if (to != NULL) {
		t->len += integer_write(value, to);
		t->data[t->len] = '\0';
	}
}

/* Most pieces are short: written at once, and again only when the room was too small. */
void text_addf(struct text *t, const char *format, ...)
{
	enum { USUAL = 128 };
	char *to = text_room(t, USUAL);
	size_t room = to != NULL ? t->size - t->len : 0;
	va_list args;
	int len;

	va_start(args, format);
	len = vsnprintf(to, room, format, args);
	va_end(args);
	if (len >= 0 && (size_t)len >= room && room > 0) {
		to = text_room(t, (size_t)len);
		va_start(args, format);
		if (to != NULL) {
			vsnprintf(to, (size_t)len + 1, format, args);
		}
		va_end(args);
	}
	if (to == NULL || len < 0) {
		t->failed = true;
		return;
	}
	t->len += (size_t)len;
}

/* Values with up to six decimals, as measured ones have, without printf: n / 10^k is the nearest
 * double to its decimal form when both are exact, so equality proves that it reads back. */
static bool add_short_real(struct text *t, double value)
{
	static const double powers[] = { 1e3, 1e6 };
	static const int places[] = { 3, 6 };

	for (int i = 0; i < 2 && fabs(value) < 1e8; i++) {
		double scaled = nearbyint(value * powers[i]);
		char digits[32];
		char *at = digits + sizeof digits;
		uint64_t left = (uint64_t)fabs(scaled);
		int after = places[i];

		if (scaled / powers[i] != value || left == 0) {
			continue;
		}
		while (after > 0 && left % 10 == 0) {
			left /= 10;
			after--;
		}
		while (left > 0 || after >= 0) {
			*--at = (char)('0' + left % 10);
			left /= 10;
			if (--after == 0) {
				*--at = '.';
			}
		}
		if (value < 0) {
			*--at = '-';
		}
		text_add(t, at, (size_t)(digits + sizeof digits - at));
		return true;
	}
	return false;
}

void text_add_real(struct text *t, double value)
{
	char digits[32];

	if (!isfinite(value)) {
		text_add_z(t, "null");
		return;
	}
	if (value == floor(value) && fabs(value) < 1e15) {
		text_add_integer(t, (int64_t)value);
		return;
	}
	if (add_short_real(t, value)) {
		return;
	}
	/* %g drops zeros at the end, so 15 digits give the shortest form wherever 15 suffice */
	for (int precision = 15; precision <= 17; precision++) {
		snprintf(digits, sizeof digits, "%.*g", precision, value);
		if (strtod(digits, NULL) == value) {
			break;
		}
	}
	text_add_z(t, digits);
}

/* True when one of eight bytes is below 0x20, above 0x7F, a quote or a backslash: then its top bit
 * is set after the subtraction. (A borrow may set that of a byte after it, never clear the
 * first.) */
static bool has_special(uint64_t eight)
{
	const uint64_t ones = 0x0101010101010101u, tops = 0x8080808080808080u;
	uint64_t quote = eight ^ (ones * '"'), slash = eight ^ (ones * '\\');

	return ((eight | (eight - ones * 0x20) | (quote - ones) | (slash - ones)) & tops) != 0;
}

/* How many bytes at the beginning stand in a JSON string as they are. */
static size_t plain_bytes(const char *bytes, size_t len)
{
	size_t at = 0;
	uint64_t eight;

	for (; at + sizeof eight <= len; at += sizeof eight) {
		memcpy(&eight, bytes + at, sizeof eight);
		if (has_special(eight)) {
			break;
		}
	}
	while (at < len && (unsigned char)bytes[at] >= 0x20 && (unsigned char)bytes[at] < 0x80 &&
		bytes[at] != '"' && bytes[at] != '\\') {
		at++;
	}
	return at;
}

void text_add_json(struct text *t, const char *bytes, size_t len)
{
	static const char hex[] = "0123456789abcdef";
	size_t from = 0;
	size_t at = plain_bytes(bytes, len);
	char *to = text_room(t, len + 2);

	if (to != NULL && at == len) {
		to[0] = '"';
		memcpy(to + 1, bytes, len);
		memcpy(to + 1 + len, "\"", 2);
		t->len += len + 2;
		return;
	}
	text_add_char(t, '"');
	while (at < len) {
		unsigned char c = (unsigned char)bytes[at];
		size_t step = c < 0x80 ? 1 : utf8_step(bytes + at, len - at);

		if (c >= 0x20 && c != '"' && c != '\\' && step > 0) {
			at += step;
			continue;
		}
		text_add(t, bytes + from, at - from);
		if (step == 0) {
			text_add_z(t, "\xEF\xBF\xBD");
		} else if (c == '"' || c == '\\') {
			char pair[2] = { '\\', (char)c };

			text_add(t, pair, 2);
		} else {
			char escape[6] = { '\\', 'u', '0', '0', hex[c >> 4], hex[c & 15] };

			text_add(t, escape, 6);
		}
		at++;
		from = at;
	}
	text_add(t, bytes + from, at - from);
	text_add_char(t, '"');
}

void text_add_query(struct text *t, const char *z)
{
	for (; *z != '\0'; z++) {
		bool plain = (*z >= 'a' && *z <= 'z') || (*z >= 'A' && *z <= 'Z') ||
			(*z >= '0' && *z <= '9') || *z == '-' || *z == '_' || *z == '.';

		text_addf(t, plain ? "%c" : "%%%02X", plain ? *z : (unsigned char)*z);
	}
}

char *text_detach(struct text *t, size_t *len)
{
	char *data = t->data;

	if (len != NULL) {
		*len = t->len;
	}
	*t = (struct text){ 0 };
	return data;
}
