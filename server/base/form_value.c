#include "base/form_value.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/utf8.h"

enum { LONGEST_USUAL = 200, WORDS_NAMED_BYTES = 150 };

size_t form_longest(const struct member *member)
{
	return member->longest > 0 ? member->longest : LONGEST_USUAL;
}

const char *form_name(const struct member *member)
{
	return member->shown != NULL ? member->shown :
		member->name[0] != '\0' ? member->name : "each item";
}

static bool is_bounded(const struct member *member)
{
	return member->least != 0 || member->most != 0;
}

static bool is_within(const struct member *member, double value)
{
	return !is_bounded(member) || (value >= member->least && value <= member->most);
}

/* For people: a minus is U+2212. */
static void add_bound(struct text *to, const char *before, double bound)
{
	text_add_z(to, before);
	text_add_z(to, bound < 0 ? "\u2212" : "");
	text_add_real(to, fabs(bound));
}

static void add_bounds(const struct member *member, struct text *to)
{
	if (is_bounded(member) && isfinite(member->least) && isfinite(member->most)) {
		add_bound(to, " from ", member->least);
		add_bound(to, " to ", member->most);
	} else if (is_bounded(member) && isfinite(member->least)) {
		add_bound(to, " of at least ", member->least);
	} else if (is_bounded(member) && isfinite(member->most)) {
		add_bound(to, " of at most ", member->most);
	}
	if (member->unit != NULL) {
		text_add_z(to, is_bounded(member) ? " " : " in ");
		text_add_z(to, member->unit);
	}
}

static void add_words(const struct words *words, const char *const *named, struct text *to)
{
	size_t from = to->len;

	text_add_z(to, "one of ");
	for (int i = 0; i < words->n; i++) {
		if (to->len - from > WORDS_NAMED_BYTES) {
			text_addf(to, " and %d more", words->n - i);
			return;
		}
		text_addf(to, "%s%s", i > 0 ? ", " : "", named[i]);
	}
}

void form_expect(const struct member *member, struct text *to)
{
	switch (member->type) {
	case MEMBER_TEXT:
		text_addf(to, member->characters > 0 ? "a text of at most %zu characters" :
			"a text of at most %zu bytes", member->characters > 0 ? member->characters :
			form_longest(member));
		break;
	case MEMBER_INTEGER:
		text_add_z(to, "a whole number");
		add_bounds(member, to);
		break;
	case MEMBER_REAL:
		text_add_z(to, "a number");
		add_bounds(member, to);
		break;
	case MEMBER_FLAG:
		text_add_z(to, "true or false");
		break;
	case MEMBER_DAY:
		text_add_z(to, "a date that exists, written year-month-day as 2026-03-31");
		break;
	case MEMBER_INSTANT:
		text_add_z(to, "an instant with its offset, as 2026-03-31T02:40:00Z");
		break;
	case MEMBER_WORD:
		add_words(member->words, member->shown != NULL ? member->words->title :
			member->words->code, to);
		break;
	case MEMBER_UUID:
		text_add_z(to, "a UUID such as 01890a5d-ac96-774b-bcce-b302099a8057");
		break;
	case MEMBER_OBJECT:
		text_add_z(to, "an object { }");
		break;
	case MEMBER_LIST:
		text_addf(to, "a list [ ] of at most %zu items", form_longest(member));
		break;
	}
}

bool form_refuse(const struct member *member, const char *shown, struct problem *why)
{
	struct text expected = { 0 };

	form_expect(member, &expected);
	if (expected.failed) {
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "out of memory");
	} else {
		problem_set(why, PROBLEM_VALUE, member->name, "%s must be %s; it is %s",
			form_name(member), expected.data, shown);
	}
	text_release(&expected);
	return false;
}

bool form_require(const struct member *member, struct problem *why)
{
	struct text expected = { 0 };

	form_expect(member, &expected);
	if (expected.failed) {
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "out of memory");
	} else {
		problem_set(why, PROBLEM_VALUE, member->name, member->shown != NULL ?
			"%s is needed, and the row has none%.0s" : "%s is required: %s", form_name(member),
			expected.data);
	}
	text_release(&expected);
	return false;
}

void form_show(const char *bytes, size_t len, char shown[FORM_SHOWN_SIZE])
{
	enum { ROOM = FORM_SHOWN_SIZE - 6 };
	size_t at = 0;
	size_t to = 0;

	shown[to++] = '"';
	while (at < len) {
		size_t step = utf8_step(bytes + at, len - at);
		bool plain = step > 0 && (unsigned char)bytes[at] >= 0x20 && bytes[at] != 0x7F;

		if (to + (step > 0 ? step : 1) > ROOM) {
			memcpy(shown + to, "...", 3);
			to += 3;
			break;
		}
		if (plain) {
			memcpy(shown + to, bytes + at, step);
			to += step;
		} else {
			shown[to++] = '?';
		}
		at += step > 0 ? step : 1;
	}
	shown[to++] = '"';
	shown[to] = '\0';
}

bool form_put_integer(const struct member *member, int64_t value, const char *shown, void *to,
	struct problem *why)
{
	if (value == FORM_NO_INTEGER || !is_within(member, (double)value)) {
		return form_refuse(member, shown, why);
	}
	*FORM_FIELD(int64_t, member, to) = value;
	return true;
}

bool form_put_real(const struct member *member, double value, const char *shown, void *to,
	struct problem *why)
{
	if (!isfinite(value) || !is_within(member, value)) {
		return form_refuse(member, shown, why);
	}
	*FORM_FIELD(double, member, to) = value == 0 ? 0 : value;   /* no -0 */
	return true;
}

bool form_put_uuid(const struct member *member, const char *text, size_t len, const char *shown,
	void *to, struct problem *why)
{
	char id[UUID_TEXT_SIZE];

	if (!uuid_read(text, len, id)) {
		return form_refuse(member, shown, why);
	}
	memcpy(FORM_FIELD(char, member, to), id, sizeof id);
	return true;
}

/* Copies with CR LF and lone CR as LF. The bytes copied, or SIZE_MAX at a control character. */
static size_t copy_lines(const char *bytes, size_t len, char *to)
{
	size_t n = 0;

	for (size_t i = 0; i < len; i++) {
		unsigned char c = (unsigned char)bytes[i];
		bool c1 = c == 0xC2 && i + 1 < len && (unsigned char)bytes[i + 1] < 0xA0;

		if (c == '\r') {
			if (i + 1 == len || bytes[i + 1] != '\n') {
				to[n++] = '\n';
			}
			continue;
		}
		if ((c < 0x20 && c != '\n' && c != '\t') || c == 0x7F || c1) {
			return SIZE_MAX;
		}
		to[n++] = (char)c;
	}
	return n;
}

static bool check_length(const struct member *member, const char *bytes, size_t len,
	const char *shown, struct problem *why)
{
	size_t most = member->characters > 0 ? member->characters : form_longest(member);
	size_t has = member->characters > 0 ? utf8_count(bytes, len) : len;

	if (has <= most) {
		return true;
	}
	if (member->shown != NULL && member->characters == 0) {
		return problem_set(why, PROBLEM_VALUE, member->name, "%s is too long: it may have %zu "
			"letters, and one with an accent counts twice; it is %s", member->shown, most, shown);
	}
	return problem_set(why, PROBLEM_VALUE, member->name, "%s must be at most %zu %s long; it has "
		"%zu: %s", form_name(member), most, member->characters > 0 ? "characters" : "bytes", has,
		shown);
}

bool form_put_text(const struct member *member, const char *bytes, size_t len, void *to,
	struct form_memory *memory, struct problem *why)
{
	char shown[FORM_SHOWN_SIZE];
	char *copy;
	size_t n;

	utf8_trim(&bytes, &len);
	if (len == 0) {
		return true;
	}
	form_show(bytes, len, shown);
	if (!utf8_valid(bytes, len)) {
		return problem_set(why, PROBLEM_VALUE, member->name,
			"%s is not valid UTF-8; it is %s", form_name(member), shown);
	}
	if (!check_length(member, bytes, len, shown, why)) {
		return false;
	}
	copy = form_alloc(memory, len + 1);
	if (copy == NULL) {
		return problem_set(why, PROBLEM_NO_MEMORY, NULL, "out of memory");
	}
	n = copy_lines(bytes, len, copy);
	if (n == SIZE_MAX) {
		return problem_set(why, PROBLEM_VALUE, member->name,
			"%s must not hold control characters other than line ends and tabs; it is %s",
			form_name(member), shown);
	}
	copy[n] = '\0';
	*FORM_FIELD(const char *, member, to) = copy;
	return true;
}
