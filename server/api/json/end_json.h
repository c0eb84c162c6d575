/* The ends of a bond in words, as members of JSON. */
#ifndef API_JSON_END_JSON_H
#define API_JSON_END_JSON_H

#include "api/json.h"
#include "rules/end_words.h"

/* "end" (the letter that the API takes), "short" and "words"; of -1, the bond as a whole, null. */
void json_end_words(struct json *j, const struct end_words *ends, int end);

/* A member of that name: the quantity with the end that it belongs to. */
void json_quantity_words(struct json *j, const char *name, const struct end_words *ends,
	enum quantity quantity);
/* "quantity_words": an object with each quantity so, by its code. */
void json_quantities_words(struct json *j, const struct end_words *ends);

#endif
