/* Forms from the cells of a file. */
#include "base/form.h"

#include <string.h>
#include <strings.h>

#include "base/decimal.h"
#include "base/form_value.h"
#include "base/guard.h"
#include "base/utf8.h"

static bool is_one_of(const char *cell, size_t len, const char *const words[])
{
	for (size_t i = 0; words[i] != NULL; i++) {
		if (strlen(words[i]) == len && strncasecmp(words[i], cell, len) == 0) {
			return true;
		}
	}
	return false;
}

static bool put_flag(const struct member *member, const char *cell, size_t len, const char *shown,
	void *to, struct problem *why)
{
	static const char *const yes[] = { "yes", "true", "1", NULL };
	static const char *const no[] = { "no", "false", "0", NULL };

	if (is_one_of(cell, len, yes)) {
		*FORM_FIELD(int, member, to) = 1;
	} else if (is_one_of(cell, len, no)) {
		*FORM_FIELD(int, member, to) = 0;
	} else {
		return problem_set(why, PROBLEM_VALUE, member->name,
			"%s must be yes or no, true or false, 1 or 0; it is %s", form_name(member), shown);
	}
	return true;
}

static bool put_day(const struct member *member, const char *cell, size_t len, const char *shown,
	const struct form_reading *reading, void *to, struct problem *why)
{
	static const char *const written[] = {
		[DAY_YMD] = "year, month, day as 2026-03-31",
		[DAY_DMY] = "day, month, year as 31.03.2026",
		[DAY_MDY] = "month, day, year as 03/31/2026",
	};

	if (!day_read_as(cell, len, reading->day_format, FORM_FIELD(int32_t, member, to))) {
		return problem_set(why, PROBLEM_VALUE, member->name,
			"%s must be a date that exists, written %s; it is %s", form_name(member),
			written[reading->day_format], shown);
	}
	return true;
}

static bool put_number(const struct member *member, const char *cell, size_t len,
	const char *shown, const struct form_reading *reading, void *to, struct problem *why)
{
	char other = reading->decimal == ',' ? '.' : ',';
	int64_t integer;
	double real;

	if (member->type == MEMBER_INTEGER &&
		decimal_read_integer(cell, len, reading->decimal, &integer)) {
		return form_put_integer(member, integer, shown, to, why);
	}
	if (member->type == MEMBER_REAL && decimal_read(cell, len, reading->decimal, &real)) {
		return form_put_real(member, real, shown, to, why);
	}
	if (memchr(cell, other, len) != NULL) {
		return problem_set(why, PROBLEM_VALUE, member->name, "%s must be a number with '%c' as its "
			"decimal mark and no mark for thousands; it is %s", form_name(member), reading->decimal,
			shown);
	}
	return form_refuse(member, shown, why);
}

bool form_from_cell(const struct member *member, const char *cell, size_t len,
	const struct form_reading *reading, void *to, struct form_memory *memory,
	struct problem *why)
{
	char shown[FORM_SHOWN_SIZE];

	utf8_trim(&cell, &len);
	if (member->type == MEMBER_TEXT) {
		size_t guard = guard_length(cell, len);

		return form_put_text(member, cell + guard, len - guard, to, memory, why);
	}
	if (len == 0) {
		return true;
	}
	form_show(cell, len, shown);
	switch (member->type) {
	case MEMBER_INTEGER:
	case MEMBER_REAL:
		return put_number(member, cell, len, shown, reading, to, why);
	case MEMBER_FLAG:
		return put_flag(member, cell, len, shown, to, why);
	case MEMBER_DAY:
		return put_day(member, cell, len, shown, reading, to, why);
	case MEMBER_INSTANT:
		return instant_read(cell, len, FORM_FIELD(int64_t, member, to)) ||
			form_refuse(member, shown, why);
	case MEMBER_WORD: {
		int word = words_find(member->words, cell, len);

		if (word >= 0) {
			*FORM_FIELD(int, member, to) = word;
		}
		return word >= 0 || form_refuse(member, shown, why);
	}
	case MEMBER_UUID:
		return form_put_uuid(member, cell, len, shown, to, why);
	case MEMBER_TEXT:
	case MEMBER_OBJECT:
	case MEMBER_LIST:
		break;
	}
	return problem_set(why, PROBLEM_VALUE, member->name,
		"%s cannot be given in one cell of a file", form_name(member));
}
