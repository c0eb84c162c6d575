#include "service/import/sum.h"

#include <stdio.h>
#include <string.h>

#include "base/decimal.h"
#include "service/import/kind.h"
#include "service/import/unit.h"

static const struct member length = { .name = "", .type = MEMBER_REAL, .unit = "m" };

static double metres_of(const char *code)
{
	const struct unit *unit = unit_of_code(&length, code);
	double metres = unit->factor != 0 ? unit->factor : 1;

	for (int n = 0; n < unit->power; n++) {
		metres *= 10;
	}
	for (int n = 0; n > unit->power; n--) {
		metres /= 10;
	}
	return metres;
}

bool sum_is(const struct template_piece *pieces, size_t count)
{
	for (size_t i = 0; i < count; i++) {
		if (pieces[i].what == TEMPLATE_LENGTH) {
			return true;
		}
	}
	return false;
}

static bool is_plus(const struct template_piece *piece)
{
	for (size_t i = 0; i < piece->len; i++) {
		if (strchr("+ ", piece->text[i]) == NULL) {
			return false;
		}
	}
	return true;
}

const char *sum_fault(const struct member *member, const struct template_piece *pieces,
	size_t count)
{
	double last = 0;

	if (!import_is_place(member) && strcmp(unit_family(member), "m") != 0) {
		return "adds lengths, and this field is none";
	}
	for (size_t i = 0; i < count; i++) {
		if (pieces[i].what != TEMPLATE_LENGTH) {
			if (pieces[i].what != TEMPLATE_TEXT || i == 0 || !is_plus(&pieces[i])) {
				return "adds some of its columns: give each its unit, with + between them";
			}
			continue;
		}
		if (last != 0 && metres_of(pieces[i].unit) >= last) {
			return "adds columns whose units do not go from the largest to the smallest";
		}
		last = metres_of(pieces[i].unit);
	}
	return NULL;
}

const char *sum_add(struct sum *sum, const char *unit, bool is_last, const char *cell, size_t len)
{
	double value, one = metres_of(unit);

	if (len == 0) {
		return "is empty where a length is to be added";
	}
	if (cell[0] == '+' || cell[0] == '-' || !decimal_read(cell, len, sum->decimal, &value) ||
		value < 0) {
		return "is no plain number without a sign, and is to be added";
	}
	if (!is_last && !decimal_is_whole(value)) {
		return "has a fraction, though a smaller unit is to be added";
	}
	if (import_is_place(sum->member) && sum->most != 0 && value * one >= sum->most) {
		return "is as much as one of the unit before it or more, and past a post people count on";
	}
	sum->metres += value * one;
	sum->most = one;
	return NULL;
}

void sum_write(const struct sum *sum, struct text *to)
{
	char written[40];

	snprintf(written, sizeof written, "%.15g", sum->metres);
	for (char *c = written; *c != '\0'; c++) {
		*c = *c == '.' ? sum->decimal : *c;
	}
	text_add_z(to, written);
}
