#include "rules/plausible.h"

#include "base/day.h"
#include "base/utf8.h"

static const char *const from_code[] = { "desk", "tablet" };
static const char *const from_title[] = { "a desk", "a tablet" };
const struct words sent_from_words = { "sent_from", from_code, from_title, 2 };

int32_t day_counted(int32_t day, int32_t arrived_day)
{
	return day > arrived_day + 1 ? arrived_day : day;
}

/* False, with a problem, when the day of what is after today. */
static bool not_in_the_future(const char *field, const char *what, int32_t day, int32_t today,
	struct problems *why)
{
	char day_text[DAY_TEXT_SIZE], today_text[DAY_TEXT_SIZE];

	if (day == DAY_NONE || day <= today) {
		return true;
	}
	day_write(day, day_text);
	day_write(today, today_text);
	return problems_add(why, PROBLEM_VALUE, field, "%s on %s cannot be: that is after today, %s.",
		what, day_text, today_text);
}

/* The same of work, which is dated by its shift. */
static bool not_far_ahead(const char *field, const char *what, int32_t day, int32_t today,
	enum sent_from from, struct problems *why)
{
	char day_text[DAY_TEXT_SIZE], today_text[DAY_TEXT_SIZE];

	if (day == DAY_NONE || day <= today + 1 || from == SENT_FROM_TABLET) {
		return true;
	}
	day_write(day, day_text);
	day_write(today, today_text);
	return problems_add(why, PROBLEM_VALUE, field, "%s on %s cannot be: that is more than one day "
		"after today, %s.", what, day_text, today_text);
}

/* False, with a problem, when `day` lies before the earlier one. */
static bool not_before(const char *field, const char *what, int32_t day, const char *earlier_what,
	int32_t earlier_day, struct problems *why)
{
	char day_text[DAY_TEXT_SIZE], earlier_text[DAY_TEXT_SIZE];

	if (day == DAY_NONE || earlier_day == DAY_NONE || day >= earlier_day) {
		return true;
	}
	day_write(day, day_text);
	day_write(earlier_day, earlier_text);
	return problems_add(why, PROBLEM_RULE, field,
		"%s on %s cannot be: that is before %s on %s. One of the two days is wrong.",
		what, day_text, earlier_what, earlier_text);
}

bool plausible_bond(int32_t installed_day, int32_t removed_day, int32_t today,
	struct problems *why)
{
	bool installed = not_in_the_future("installed_day", "Installed", installed_day, today, why);
	bool removed = not_in_the_future("removed_day", "Removed", removed_day, today, why);
	bool order = not_before("removed_day", "Removed", removed_day, "the bond was installed",
		installed_day, why);

	return installed && removed && order;
}

bool plausible_installed(int32_t installed_day, const char *work, int32_t work_day,
	struct problems *why)
{
	return not_before("installed_day", work, work_day, "the bond was installed", installed_day,
		why);
}

static bool after_installation(const char *field, const char *what, int32_t day,
	int32_t installed_day, int32_t today, enum sent_from from, struct problems *why)
{
	bool past = not_far_ahead(field, what, day, today, from, why);
	bool order = not_before(field, what, day, "the bond was installed", installed_day, why);

	return past && order;
}

bool plausible_inspection(int32_t day, int32_t installed_day, int32_t today,
	enum sent_from from, struct problems *why)
{
	return after_installation("day", "An inspection", day, installed_day, today, from, why);
}

bool plausible_attachment(int32_t made_day, int32_t installed_day, int32_t today,
	enum sent_from from, struct problems *why)
{
	return after_installation("made_day", "An attachment made", made_day, installed_day, today,
		from, why);
}

bool plausible_failure(int32_t found_day, int32_t installed_day, int32_t today,
	enum sent_from from, struct problems *why)
{
	return after_installation("found_day", "A failure found", found_day, installed_day, today, from,
		why);
}

bool plausible_kit_check(int32_t checked_day, int32_t today, enum sent_from from,
	struct problems *why)
{
	return not_far_ahead("checked_day", "A check", checked_day, today, from, why);
}

bool plausible_found(int32_t found_day, int32_t today, enum sent_from from, struct problems *why)
{
	return not_far_ahead("found_day", "A bond found", found_day, today, from, why);
}

bool plausible_bridge(const char *field, int32_t day, int32_t today, enum sent_from from,
	struct problems *why)
{
	return not_far_ahead(field, "A temporary bridge", day, today, from, why);
}

bool plausible_photo(int32_t taken_day, int32_t today, enum sent_from from, struct problems *why)
{
	return not_far_ahead("taken_day", "A photo", taken_day, today, from, why);
}

bool plausible_repair(int32_t day, int32_t found_day, int32_t today, enum sent_from from,
	struct problems *why)
{
	bool past = not_far_ahead("day", "Made good", day, today, from, why);
	bool order = not_before("day", "Made good", day, "the failure was found", found_day, why);

	return past && order;
}

bool plausible_deferral(int32_t until_day, int32_t due_day, int32_t today, struct problems *why)
{
	char until_text[DAY_TEXT_SIZE], other_text[DAY_TEXT_SIZE];

	if (due_day == DAY_NONE) {
		return problems_add(why, PROBLEM_RULE, NULL,
			"This bond is out of service and never due: there is nothing to defer.");
	}
	day_write(until_day, until_text);
	if (until_day <= today) {
		day_write(today, other_text);
		return problems_add(why, PROBLEM_VALUE, "until_day",
			"Deferred until %s cannot be: the new day must be after today, %s.", until_text,
			other_text);
	}
	if (until_day <= due_day) {
		day_write(due_day, other_text);
		return problems_add(why, PROBLEM_RULE, "until_day",
			"Deferred until %s defers nothing: the bond is due only on "
			"%s.", until_text, other_text);
	}
	return true;
}

bool plausible_span(int64_t a_mm, int64_t b_mm, const char *field, struct problems *why)
{
	uint64_t span_mm = a_mm > b_mm ? (uint64_t)a_mm - (uint64_t)b_mm :
		(uint64_t)b_mm - (uint64_t)a_mm;

	if (span_mm <= PLAUSIBLE_SPAN_MM) {
		return true;
	}
	return problems_add(why, PROBLEM_RULE, field, "The two ends of the bond would be %llu m apart: "
		"more than %d m cannot be, one of the two places is wrong.",
		(unsigned long long)(span_mm / 1000), PLAUSIBLE_SPAN_MM / 1000);
}

/* The code point of a valid character of `step` bytes. */
static uint32_t code_point(const char *text, size_t step)
{
	const unsigned char *u = (const unsigned char *)text;
	uint32_t c = step == 1 ? u[0] : step == 2 ? u[0] & 0x1F : step == 3 ? u[0] & 0x0F : u[0] & 0x07;

	for (size_t i = 1; i < step; i++) {
		c = c << 6 | (u[i] & 0x3F);
	}
	return c;
}

/* Unicode general categories Cc, Zl, Zp, Zs (but the plain space), and of Cf those that a label
 * could hide; from memory of the code charts. */
static bool prints(uint32_t c)
{
	static const struct { uint32_t from, to; } hidden[] = {
		{ 0x00, 0x1F }, { 0x7F, 0xA0 }, { 0xAD, 0xAD }, { 0x34F, 0x34F }, { 0x61C, 0x61C },
		{ 0x115F, 0x1160 }, { 0x1680, 0x1680 }, { 0x17B4, 0x17B5 }, { 0x180B, 0x180F },
		{ 0x2000, 0x200F }, { 0x2028, 0x202F }, { 0x205F, 0x206F }, { 0x3000, 0x3000 },
		{ 0x3164, 0x3164 }, { 0xFE00, 0xFE0F }, { 0xFEFF, 0xFEFF }, { 0xFFA0, 0xFFA0 },
		{ 0xFFF0, 0xFFFF }, { 0xE0000, 0xE0FFF },
	};

	for (size_t i = 0; i < sizeof hidden / sizeof hidden[0]; i++) {
		if (c >= hidden[i].from && c <= hidden[i].to) {
			return false;
		}
	}
	return true;
}

bool plausible_label(const char *text, size_t len, const char *field, struct problems *why)
{
	size_t characters = 0;

	for (size_t at = 0; at < len; characters++) {
		size_t step = utf8_step(text + at, len - at);

		if (step == 0 || !prints(code_point(text + at, step))) {
			return problems_add(why, PROBLEM_VALUE, field, "Character %zu of the label cannot be "
				"printed: use letters, digits, signs and plain spaces.", characters + 1);
		}
		at += step;
	}
	if (characters < 1 || characters > PLAUSIBLE_LABEL_CHARACTERS) {
		return problems_add(why, PROBLEM_VALUE, field,
			"The label has %zu characters: it needs 1 to %d.", characters,
			PLAUSIBLE_LABEL_CHARACTERS);
	}
	if (text[0] == ' ' || text[len - 1] == ' ') {
		return problems_add(why, PROBLEM_VALUE, field,
			"The label has a space before or after it: leave that out.");
	}
	return true;
}
