/*
 * Any bytes against a form with a member of every type: as a JSON body, and as the cells of a row
 * (bytes parted by LF), read in both ways.
 */
#include <assert.h>
#include <math.h>
#include <stddef.h>
#include <string.h>

#include "base/day.h"
#include "base/form.h"
#include "base/utf8.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static const char *const codes[] = { "four_wire", "two_wire", "drop_ratio" };
static const char *const titles[] = { "Four-wire", "Two-wire", "Voltage-drop ratio" };
static const struct words words = { "method", codes, titles, 3 };

struct inner {
	int word;
	double real;
	const char *text;
};

static const struct member inner_members[] = {
	{ "word", "Word", NULL, MEMBER_WORD, true, offsetof(struct inner, word), .words = &words },
	{ "real", "Real", "A", MEMBER_REAL, false, offsetof(struct inner, real), 0.01, 1000 },
	{ "text", "Text", NULL, MEMBER_TEXT, false, offsetof(struct inner, text), .longest = 12 },
	{ 0 }
};
static const struct form inner_form = { "Inner", inner_members, sizeof(struct inner) };

struct bare {
	int64_t integer;
};

static const struct member bare_members[] = {
	{ "", NULL, NULL, MEMBER_INTEGER, true, offsetof(struct bare, integer) },
	{ 0 }
};
static const struct form bare_form = { "Bare", bare_members, sizeof(struct bare) };

struct outer {
	const char *text;
	int64_t integer;
	double real;
	int flag;
	int32_t day;
	int word;
	char uuid[UUID_TEXT_SIZE];
	struct inner object;
	struct form_list list;
	struct form_list bare;
	int64_t at_ms;
};

static const struct member outer_members[] = {
	{ "text", "Text", NULL, MEMBER_TEXT, true, offsetof(struct outer, text) },
	{ "integer", "Integer", NULL, MEMBER_INTEGER, false, offsetof(struct outer, integer) },
	{ "real", "Real", "mm", MEMBER_REAL, false, offsetof(struct outer, real), 0, INFINITY },
	{ "flag", "Flag", NULL, MEMBER_FLAG, false, offsetof(struct outer, flag) },
	{ "day", "Day", NULL, MEMBER_DAY, false, offsetof(struct outer, day) },
	{ "word", "Word", NULL, MEMBER_WORD, false, offsetof(struct outer, word), .words = &words },
	{ "uuid", "Id", NULL, MEMBER_UUID, false, offsetof(struct outer, uuid) },
	{ "object", "Object", NULL, MEMBER_OBJECT, false, offsetof(struct outer, object),
		.form = &inner_form },
	{ "list", "List", NULL, MEMBER_LIST, false, offsetof(struct outer, list), .longest = 4,
		.form = &inner_form },
	{ "bare", "Bare", NULL, MEMBER_LIST, false, offsetof(struct outer, bare), .form = &bare_form },
	{ "at", "At", NULL, MEMBER_INSTANT, false, offsetof(struct outer, at_ms) },
	{ 0 }
};
static const struct form outer_form = { "Outer", outer_members, sizeof(struct outer) };

static void check_problem(const struct problem *why)
{
	assert(why->code != PROBLEM_NONE);
	assert(utf8_valid(why->field, strlen(why->field)));
	assert(utf8_valid(why->detail, strlen(why->detail)) && why->detail[0] != '\0');
}

/* What is read as an instant is written so that it reads back. */
static void check_instant(int64_t at_ms)
{
	char text[INSTANT_TEXT_SIZE];
	int64_t again_ms = 0;

	if (at_ms != FORM_NO_INTEGER) {
		instant_write(at_ms, text);
		assert(instant_read(text, strlen(text), &again_ms) && again_ms == at_ms);
	}
}

static void as_body(const char *bytes, size_t len)
{
	struct outer to;
	struct form_memory memory = { 0 };
	struct problems why = { 0 };
	bool right = form_from_json(&outer_form, bytes, len, &to, &memory, &why);

	assert(right == (why.count == 0));
	for (size_t i = 0; i < why.count && i < PROBLEMS_SHOWN; i++) {
		check_problem(&why.item[i]);
	}
	if (right) {
		assert(to.text != NULL && utf8_valid(to.text, strlen(to.text)));
		assert(isnan(to.real) || to.real >= 0);
		assert(to.list.count <= 4);
		check_instant(to.at_ms);
	}
	form_memory_release(&memory);
}

static void as_cells(const char *bytes, size_t len, const struct form_reading *reading)
{
	const struct member *m = outer_members;
	struct outer to;
	struct form_memory memory = { 0 };
	struct problems all = { 0 };

	form_clear(&outer_form, &to);
	while (m->name != NULL) {
		const char *end = len > 0 ? memchr(bytes, '\n', len) : NULL;
		size_t cell = end != NULL ? (size_t)(end - bytes) : len;
		struct problem why = { 0 };

		if (form_from_cell(m, bytes, cell, reading, &to, &memory, &why)) {
			assert(why.code == PROBLEM_NONE);
		} else {
			check_problem(&why);
			assert(form_is_absent(m, &to));
			problems_take(&all, &why);
		}
		m++;
		if (end == NULL) {
			break;
		}
		bytes += cell + 1;
		len -= cell + 1;
	}
	check_instant(to.at_ms);
	form_check_required(&outer_form, &to, &all);
	form_memory_release(&memory);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	const char *bytes = (const char *)data;

	as_body(bytes, size);
	as_cells(bytes, size, &(struct form_reading){ DAY_YMD, '.' });
	as_cells(bytes, size, &(struct form_reading){ DAY_DMY, ',' });
	return 0;
}
