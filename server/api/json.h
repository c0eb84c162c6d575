/* Members of a JSON object, one call each: the joint and the absent value are seen to. */
#ifndef API_JSON_H
#define API_JSON_H

#include "base/table.h"
#include "base/text.h"

/* An object under construction: begin, members, end. */
struct json {
	struct text *to;
	const char *joint;      /* "" before the first member, then "," */
};

struct json json_begin(struct text *to);
void json_end(struct json *j);

void json_text(struct json *j, const char *name, const char *text);   /* NULL and "" are null */
void json_integer(struct json *j, const char *name, int64_t value);
void json_id(struct json *j, const char *name, int64_t id);           /* 0 is null */
void json_real(struct json *j, const char *name, double value);
void json_flag(struct json *j, const char *name, bool value);
void json_word(struct json *j, const char *name, const struct words *words, int word);  /* -1: null */
void json_day(struct json *j, const char *name, int32_t day);
void json_instant(struct json *j, const char *name, int64_t instant_ms);  /* UTC; 0 is null */

/* Adds the name alone; the caller adds the value to j->to. */
void json_name(struct json *j, const char *name);

#endif
