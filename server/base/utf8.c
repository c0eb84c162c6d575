#include "base/utf8.h"

#include <stdio.h>
#include <string.h>

static bool tail(unsigned char c)
{
	return (c & 0xC0) == 0x80;
}

size_t utf8_step(const char *text, size_t len)
{
	const unsigned char *u = (const unsigned char *)text;

	if (len == 0) {
		return 0;
	}
	if (u[0] < 0x80) {
		return 1;
	}
	if (u[0] >= 0xC2 && u[0] <= 0xDF) {
		return len >= 2 && tail(u[1]) ? 2 : 0;
	}
	if (u[0] >= 0xE0 && u[0] <= 0xEF) {
		bool overlong = u[0] == 0xE0 && len >= 2 && u[1] < 0xA0;
		bool surrogate = u[0] == 0xED && len >= 2 && u[1] > 0x9F;

		return len >= 3 && !overlong && !surrogate && tail(u[1]) && tail(u[2]) ? 3 : 0;
	}
	if (u[0] >= 0xF0 && u[0] <= 0xF4) {
		bool overlong = u[0] == 0xF0 && len >= 2 && u[1] < 0x90;
		bool over = u[0] == 0xF4 && len >= 2 && u[1] > 0x8F;

		return len >= 4 && !overlong && !over && tail(u[1]) && tail(u[2]) && tail(u[3]) ? 4 : 0;
	}
	return 0;
}

size_t utf8_fit(const char *text, size_t len, size_t most)
{
	size_t end = 0, step;

	while (end < len && (step = utf8_step(text + end, len - end)) > 0 && end + step <= most) {
		end += step;
	}
	return end;
}

size_t utf8_count(const char *text, size_t len)
{
	size_t n = 0;

	for (size_t at = 0; at < len; n++) {
		size_t step = utf8_step(text + at, len - at);

		at += step > 0 ? step : 1;
	}
	return n;
}

bool utf8_valid(const char *text, size_t len)
{
	while (len > 0) {
		size_t step = utf8_step(text, len);

		if (step == 0) {
			return false;
		}
		text += step;
		len -= step;
	}
	return true;
}

size_t utf8_put(uint32_t code_point, char to[4])
{
	if (code_point < 0x80) {
		to[0] = (char)code_point;
		return 1;
	}
	if (code_point < 0x800) {
		to[0] = (char)(0xC0 | code_point >> 6);
		to[1] = (char)(0x80 | (code_point & 0x3F));
		return 2;
	}
	if (code_point < 0x10000) {
		to[0] = (char)(0xE0 | code_point >> 12);
		to[1] = (char)(0x80 | (code_point >> 6 & 0x3F));
		to[2] = (char)(0x80 | (code_point & 0x3F));
		return 3;
	}
	to[0] = (char)(0xF0 | code_point >> 18);
	to[1] = (char)(0x80 | (code_point >> 12 & 0x3F));
	to[2] = (char)(0x80 | (code_point >> 6 & 0x3F));
	to[3] = (char)(0x80 | (code_point & 0x3F));
	return 4;
}

static size_t space_at_start(const char *text, size_t len)
{
	if (len >= 2 && memcmp(text, "\xC2\xA0", 2) == 0) {
		return 2;
	}
	return len >= 1 && (text[0] == ' ' || (text[0] >= '\t' && text[0] <= '\r')) ? 1 : 0;
}

static size_t space_at_end(const char *text, size_t len)
{
	if (len >= 2 && memcmp(text + len - 2, "\xC2\xA0", 2) == 0) {
		return 2;
	}
	return len >= 1 ? space_at_start(text + len - 1, 1) : 0;
}

void utf8_trim(const char **text, size_t *len)
{
	size_t space;

	while ((space = space_at_start(*text, *len)) > 0) {
		*text += space;
		*len -= space;
	}
	while ((space = space_at_end(*text, *len)) > 0) {
		*len -= space;
	}
}

void text_fit_copy(char *to, size_t size, const char *text, size_t len)
{
	bool whole = len < size;
	size_t end = utf8_fit(text, len, whole ? len : size - 4);

	memcpy(to, text, end);
	memcpy(to + end, "...", whole ? 0 : 3);
	to[end + (whole ? 0 : 3)] = '\0';
}

void text_fit_va(char *to, size_t size, const char *format, va_list args)
{
	int len = vsnprintf(to, size, format, args);

	if (len >= (int)size) {
		memcpy(to + utf8_fit(to, size - 1, size - 4), "...", 4);
	}
}

void text_fit(char *to, size_t size, const char *format, ...)
{
	va_list args;

	va_start(args, format);
	text_fit_va(to, size, format, args);
	va_end(args);
}
