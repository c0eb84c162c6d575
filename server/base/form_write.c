#include <math.h>

#include "base/form.h"

static void write_list(const struct member *m, const struct form_list *list, struct text *to)
{
	text_add_char(to, '[');
	for (size_t i = 0; i < list->count; i++) {
		text_add_z(to, i > 0 ? "," : "");
		form_write(m->form, (const char *)list->items + i * m->form->size, to);
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

static void write_value(const struct member *m, const void *at, struct text *to)
{
	char day[DAY_TEXT_SIZE];
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
	case MEMBER_WORD:
		write_quoted(m->words->code[*(const int *)at], to);
		break;
	case MEMBER_OBJECT:
		form_write(m->form, at, to);
		break;
	case MEMBER_LIST:
		write_list(m, at, to);
		break;
	}
}

void form_write(const struct form *form, const void *from, struct text *to)
{
	const char *joint = "";

	text_add_char(to, '{');
	for (const struct member *m = form->members; m->name != NULL; m++) {
		if (!form_is_absent(m, from)) {
			text_add_z(to, joint);
			write_quoted(m->name, to);
			text_add_char(to, ':');
			write_value(m, (const char *)from + m->offset, to);
			joint = ",";
		}
	}
	text_add_char(to, '}');
}
