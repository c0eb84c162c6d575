/* Writes chainages, with the fewest decimals that read back to the same millimetre. */
#include "rules/place/chainage.h"

#include <stdlib.h>

#include "rules/place/chainage_units.h"

/* Text under construction: len counts on when there is no room, so that nothing is half said. */
struct out {
	char *to;
	size_t size;
	size_t len;
};

static void out_char(struct out *out, char c)
{
	if (out->len + 1 < out->size) {
		out->to[out->len] = c;
	}
	out->len++;
}

static void out_text(struct out *out, const char *text)
{
	while (*text != '\0') {
		out_char(out, *text++);
	}
}

/* Not negative, padded with zeros to at least digits. */
static void out_number(struct out *out, int64_t value, int digits)
{
	char reversed[20];
	int n = 0;

	do {
		reversed[n++] = (char)('0' + value % 10);
		value /= 10;
	} while (value > 0 || n < digits);
	while (n > 0) {
		out_char(out, reversed[--n]);
	}
}

/* A fraction of given digits, without the zeros at its end beyond the least wanted. */
static void out_fraction(struct out *out, char mark, int64_t fraction, int digits, int least)
{
	while (digits > least && fraction % 10 == 0) {
		fraction /= 10;
		digits--;
	}
	if (digits > 0) {
		out_char(out, mark);
		out_number(out, fraction, digits);
	}
}

static void out_metres(struct out *out, int64_t mm, int digits, char mark)
{
	out_number(out, mm / 1000, digits);
	out_fraction(out, mark, mm % 1000, 3, 0);
}

static void out_km_m(struct out *out, int64_t post_mm, int64_t offset_mm)
{
	out_number(out, post_mm / 1000000, 1);
	out_char(out, '+');
	out_metres(out, offset_mm, 3, '.');
}

static void out_hm_m(struct out *out, int64_t post_mm, int64_t offset_mm, bool negative)
{
	out_number(out, post_mm / 1000000, 1);
	out_char(out, ',');
	out_number(out, post_mm / 100000 % 10, 1);
	out_text(out, negative ? " + -" : " + ");
	out_metres(out, offset_mm, 1, ',');
}

/* Three decimals after one to three digits may be read as thousands: then a fourth is written. */
static void out_m(struct out *out, int64_t mm)
{
	bool is_like_thousands = mm >= 1000 && mm < 1000000 && mm % 10 != 0;

	out_number(out, mm / 1000, 1);
	out_fraction(out, '.', mm % 1000 * 10, 4, is_like_thousands ? 4 : 0);
}

static void out_miles(struct out *out, int64_t mm, const struct mile_part *part)
{
	int64_t miles = mm / MILE_MM;
	int64_t rest_mm = mm % MILE_MM;
	int64_t scale = 1;
	int64_t count;
	int decimals = 0;

	while (count = mile_part_nearest(part, rest_mm, scale),
		decimals < part->least_decimals || mile_part_mm(part, count, scale) != rest_mm) {
		scale *= 10;
		decimals++;
	}
	if (count >= part->per_mile * scale) { /* 79.99999 chains rounded up */
		miles++;
		count -= part->per_mile * scale;
	}
	out_number(out, miles, 1);
	if (part->suffix == NULL) {
		out_fraction(out, '.', count, decimals, part->least_decimals);
		return;
	}
	out_text(out, "m ");
	out_number(out, count / scale, 1);
	out_fraction(out, '.', count % scale, decimals, 0);
	out_text(out, part->suffix);
}

size_t chainage_write_label(const struct chainage *label, enum notation notation,
	char *to, size_t size)
{
	struct out out = { to, size, 0 };
	bool negative = label->post_mm < 0 || label->offset_mm < 0;
	int64_t post_mm = llabs(label->post_mm);
	int64_t offset_mm = llabs(label->offset_mm);

	if (negative) {
		out_char(&out, '-');
	}
	switch (notation) {
	case NOTATION_KM_M:
		out_km_m(&out, post_mm, offset_mm);
		break;
	case NOTATION_HM_M:
		out_hm_m(&out, post_mm, offset_mm, negative);
		break;
	case NOTATION_KM:
		out_number(&out, offset_mm / 1000000, 1);
		out_fraction(&out, '.', offset_mm % 1000000, 6, 3);
		break;
	case NOTATION_M:
		out_m(&out, offset_mm);
		break;
	case NOTATION_MILES_CHAINS:
	case NOTATION_MILES_YARDS:
	case NOTATION_MILES:
		out_miles(&out, offset_mm, mile_part_of(notation));
		break;
	}
	if (label->qualifier > 0) {
		out_text(&out, " #");
		out_number(&out, label->qualifier, 1);
	}
	if (size > 0) {
		to[out.len < size ? out.len : 0] = '\0';
	}
	return out.len;
}

size_t chainage_write(int64_t distance_mm, const struct line_map *map, char *to, size_t size)
{
	struct chainage label = { 0, 0, 0 };
	int64_t places[LINE_MAP_MOST];
	size_t count = 0;

	if (!line_map_at(map, distance_mm, &label)) {
		if (size > 0) {
			to[0] = '\0';
		}
		return 0;
	}
	count = chainage_places(&label, map, places, LINE_MAP_MOST);
	for (size_t i = 0; i < count && count > 1; i++) {
		if (places[i] == distance_mm) {
			label.qualifier = (int)i + 1;
		}
	}
	return chainage_write_label(&label, map->notation, to, size);
}
