#include "rules/sentence.h"

#include <math.h>
#include <string.h>

#include "base/day.h"

/* A minus in words for people, as the pages write it; a hyphen is no sign. */
#define MINUS "\u2212"

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

enum { DECIMALS_MOST = 9 };

/* A number of few figures, apart: whole + fraction / 10^decimals, and its sign. */
struct rounded {
	bool negative;
	uint64_t whole, fraction;
	int decimals;
};

/* The fraction of a double below 1e15 is read as whole 2^-60, with which a digit is one product:
 * exact for all of 2^-7 and more, and no tie of 9 decimals lies below 2^-10. */
static struct rounded round_to(double value, int decimals)
{
	const uint64_t one = (uint64_t)1 << 60;
	double size = fabs(value), whole = floor(size);
	uint64_t rest = (uint64_t)((size - whole) * (double)one), most = 1;
	struct rounded to = { value < 0, (uint64_t)whole, 0,
		decimals < 0 ? 0 : decimals > DECIMALS_MOST ? DECIMALS_MOST : decimals };

	for (int i = 0; i < to.decimals; i++) {
		rest *= 10;
		to.fraction = to.fraction * 10 + rest / one;
		rest %= one;
		most *= 10;
	}
	if (rest >= one / 2 && ++to.fraction == most) {
		to.fraction = 0;
		to.whole++;
	}
	to.negative = to.negative && (to.whole > 0 || to.fraction > 0);
	return to;
}

static void add_rounded(struct sentence *s, const struct rounded *number)
{
	char digits[1 + DECIMALS_MOST];
	uint64_t rest = number->fraction;

	if (number->negative) {
		sentence_add(s, MINUS);
	}
	sentence_add_integer(s, (int64_t)number->whole);
	if (number->decimals > 0) {
		digits[0] = '.';
		for (int i = number->decimals; i > 0; i--) {
			digits[i] = (char)('0' + rest % 10);
			rest /= 10;
		}
		add_bytes(s, digits, 1 + (size_t)number->decimals);
	}
}

/* What no number stands for is written here, and true. */
static bool add_beyond(struct sentence *s, double value)
{
	if (isnan(value)) {
		sentence_add(s, "not known");
	} else if (value >= 1e15) {
		sentence_add(s, "more than 10^15");
	} else if (value <= -1e15) {
		sentence_add(s, "less than " MINUS "10^15");
	} else {
		return false;
	}
	return true;
}

void sentence_add_decimal(struct sentence *s, double value, int decimals)
{
	struct rounded number;

	if (!add_beyond(s, value)) {
		number = round_to(value, decimals);
		add_rounded(s, &number);
	}
}

void sentence_add_real(struct sentence *s, double value, int decimals)
{
	struct rounded number;

	if (!add_beyond(s, value)) {
		number = round_to(value, decimals);
		while (number.decimals > 0 && number.fraction % 10 == 0) {
			number.fraction /= 10;
			number.decimals--;
		}
		add_rounded(s, &number);
	}
}

/* As few decimals as show the figures. Of 9.996 and three figures that is one, 10.0. */
static int decimals_for(double value, int figures)
{
	double ten_times = fabs(value) * 10, least = 1;
	int decimals = 0;

	for (int i = 0; i < figures; i++) {
		least *= 10;
	}
	while (decimals < DECIMALS_MOST && floor(ten_times + 0.5) < least) {
		ten_times *= 10;
		decimals++;
	}
	return decimals;
}

void sentence_add_figures(struct sentence *s, double value, int figures)
{
	sentence_add_real(s, value, decimals_for(value, figures));
}

void sentence_add_integer(struct sentence *s, int64_t value)
{
	char digits[19];
	size_t at = sizeof digits;
	uint64_t rest = value < 0 ? 0 - (uint64_t)value : (uint64_t)value;

	do {
		digits[--at] = (char)('0' + rest % 10);
		rest /= 10;
	} while (rest > 0);
	sentence_add(s, value < 0 ? MINUS : "");
	add_bytes(s, digits + at, sizeof digits - at);
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
