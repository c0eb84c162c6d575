#include "rules/sentence.h"

#include <string.h>

#include "base/day.h"

void sentence_begin(struct sentence *s, char *to, size_t size)
{
	s->to = to;
	s->size = size;
	s->len = 0;
	s->cut = false;
	if (size > 0) {
		to[0] = '\0';
	}
}

static void add_bytes(struct sentence *s, const char *text, size_t len)
{
	size_t room = s->size > 0 ? s->size - 1 - s->len : 0;

	if (s->size == 0 || s->cut) {
		return;
	}
	if (len > room) {
		s->cut = true;
		len = room;
		while (len > 0 && ((unsigned char)text[len] & 0xC0) == 0x80) {
			len--;
		}
	}
	memcpy(s->to + s->len, text, len);
	s->len += len;
	s->to[s->len] = '\0';
}

void sentence_add(struct sentence *s, const char *text)
{
	add_bytes(s, text, strlen(text));
}

void sentence_add_integer(struct sentence *s, int64_t value)
{
	char digits[20];
	size_t at = sizeof digits;
	uint64_t rest = value < 0 ? 0 - (uint64_t)value : (uint64_t)value;

	do {
		digits[--at] = (char)('0' + rest % 10);
		rest /= 10;
	} while (rest > 0);
	if (value < 0) {
		digits[--at] = '-';
	}
	add_bytes(s, digits + at, sizeof digits - at);
}

void sentence_add_real(struct sentence *s, double value, int decimals)
{
	double size = value < 0 ? -value : value;
	int64_t scale = 1, whole, part;
	char digits[8] = ".";
	int len = 0;

	if (!(size < 1e12)) {
		return;
	}
	for (int i = 0; i < decimals; i++) {
		scale *= 10;
	}
	whole = (int64_t)size;
	part = (int64_t)((size - (double)whole) * (double)scale + 0.5);
	whole += part / scale;
	part %= scale;
	sentence_add(s, value < 0 && whole + part > 0 ? "-" : "");
	sentence_add_integer(s, whole);
	for (int i = 1; i <= decimals; i++) {
		scale /= 10;
		digits[i] = (char)('0' + part / scale % 10);
		len = digits[i] != '0' ? i + 1 : len;
	}
	digits[len] = '\0';
	sentence_add(s, digits);
}

void sentence_add_day(struct sentence *s, int32_t day)
{
	char text[DAY_TEXT_SIZE];

	day_write(day, text);
	sentence_add(s, text);
}

void sentence_add_count(struct sentence *s, int64_t count, const char *unit)
{
	sentence_add_integer(s, count);
	sentence_add(s, " ");
	sentence_add(s, unit);
	if (count != 1) {
		sentence_add(s, "s");
	}
}
