#include "api/json.h"

#include <string.h>

#include "base/day.h"

struct json json_begin(struct text *to)
{
	text_add_char(to, '{');
	return (struct json){ to, "" };
}

void json_end(struct json *j)
{
	text_add_char(j->to, '}');
}

void json_name(struct json *j, const char *name)
{
	text_add_z(j->to, j->joint);
	text_add_char(j->to, '"');
	text_add_z(j->to, name);
	text_add(j->to, "\":", 2);
	j->joint = ",";
}

void json_text(struct json *j, const char *name, const char *text)
{
	json_name(j, name);
	if (text == NULL || text[0] == '\0') {
		text_add_z(j->to, "null");
	} else {
		text_add_json(j->to, text, strlen(text));
	}
}

void json_integer(struct json *j, const char *name, int64_t value)
{
	json_name(j, name);
	text_add_integer(j->to, value);
}

void json_id(struct json *j, const char *name, int64_t id)
{
	json_name(j, name);
	if (id == 0) {
		text_add_z(j->to, "null");
	} else {
		text_add_integer(j->to, id);
	}
}

void json_real(struct json *j, const char *name, double value)
{
	json_name(j, name);
	text_add_real(j->to, value);
}

void json_flag(struct json *j, const char *name, bool value)
{
	json_name(j, name);
	text_add_z(j->to, value ? "true" : "false");
}

void json_word(struct json *j, const char *name, const struct words *words, int word)
{
	json_text(j, name, word >= 0 && word < words->n ? words->code[word] : NULL);
}

void json_day(struct json *j, const char *name, int32_t day)
{
	char text[DAY_TEXT_SIZE];

	day_write(day, text);
	json_text(j, name, text);
}

void json_instant(struct json *j, const char *name, int64_t instant_ms)
{
	char text[INSTANT_TEXT_SIZE];

	instant_write(instant_ms, text);
	json_text(j, name, instant_ms != 0 ? text : NULL);
}
