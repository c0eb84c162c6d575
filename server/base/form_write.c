#include <math.h>

#include "base/form.h"

static void write_form(const struct form *form, const void *from, bool whole, struct text *to);
static void write_value(const struct member *m, const void *at, bool whole, struct text *to);

static void write_list(const struct member *m, const struct form_list *list, struct text *to)
{
	const struct member *first = m->form->members;
	bool bare = first->name != NULL && first->name[0] == '\0';

	text_add_char(to, '[');
	for (size_t i = 0; i < list->count; i++) {
		const char *item = (const char *)list->items + i * m->form->size;

		text_add_z(to, i > 0 ? "," : "");
		if (bare) {
			write_value(first, item + first->offset, false, to);
		} else {
			form_write(m->form, item, to);
		}
	}
	text_add_char(to, ']');
}

/* (nothing in it is to be escaped) */
static void write_quoted(const char *bytes, struct text *to)
{
	text_add_char(to, '"');
	text_add_z(to, bytes);
	text_add_char(to, '"');
}

static void write_value(const struct member *m, const void *at, bool whole, struct text *to)
{
	char day[DAY_TEXT_SIZE], instant[INSTANT_TEXT_SIZE];
	const char *text;

	switch (m->type) {
	case MEMBER_TEXT:
		text = *(const char *const *)at;
		text_add_json(to, text, __builtin_strlen(text));
		break;
	case MEMBER_UUID:
		text_add_json(to, at, __builtin_strlen(at));
		break;
	case MEMBER_INTEGER:
		text_add_integer(to, *(const int64_t *)at);
		break;
	case MEMBER_REAL:
		text_add_real(to, *(const double *)at);
		break;
	case MEMBER_FLAG:
		text_add_z(to, *(const int *)at != 0 ? "true" : "false");
		break;
	case MEMBER_DAY:
		day_write(*(const int32_t *)at, day);
		write_quoted(day, to);
		break;
	case MEMBER_INSTANT:
		instant_write(*(const int64_t *)at, instant);
		write_quoted(instant, to);
		break;
	case MEMBER_WORD:
		write_quoted(m->words->code[*(const int *)at], to);
		break;
	case MEMBER_OBJECT:
		write_form(m->form, at, whole, to);
		break;
	case MEMBER_LIST:
		write_list(m, at, to);
		break;
	}
}

static void write_form(const struct form *form, const void *from, bool whole, struct text *to)
{
	const char *joint = "";

	text_add_char(to, '{');
	for (const struct member *m = form->members; m->name != NULL; m++) {
		bool absent = form_is_absent(m, from);

		if (absent && !whole) {
			continue;
		}
		text_add_z(to, joint);
		write_quoted(m->name, to);
		text_add_char(to, ':');
		if (absent && m->type != MEMBER_OBJECT && m->type != MEMBER_LIST) {
			text_add_z(to, "null");
		} else {
			write_value(m, (const char *)from + m->offset, whole, to);
		}
		joint = ",";
	}
	text_add_char(to, '}');
}

void form_write(const struct form *form, const void *from, struct text *to)
{
	write_form(form, from, false, to);
}

void form_write_whole(const struct form *form, const void *from, struct text *to)
{
	write_form(form, from, true, to);
}
