/*
 * One value into its member: the checks that JSON bodies and the cells of files share. Internal
 * to the form; everybody else includes base/form.h.
 *
 * Each function writes the member's field in the struct at `to` when the value is right. False:
 * *why has the member's name as field and a sentence with the value in it.
 */
#ifndef BASE_FORM_VALUE_H
#define BASE_FORM_VALUE_H

#include "base/form.h"

/* "NAME must be EXPECTED; it is SHOWN". shown is text for people, see form_show. */
bool form_refuse(const struct member *member, const char *shown, struct problem *why);

/* "NAME is required: EXPECTED". */
bool form_require(const struct member *member, struct problem *why);

/* What the member takes, for a sentence: "a number from 0.01 to 1000 A". */
void form_expect(const struct member *member, struct text *to);

/* The value in quotes, cut when long, without line ends. */
enum { FORM_SHOWN_SIZE = 64 };
void form_show(const char *bytes, size_t len, char shown[FORM_SHOWN_SIZE]);

bool form_put_text(const struct member *member, const char *bytes, size_t len, void *to,
	struct form_memory *memory, struct problem *why);
bool form_put_integer(const struct member *member, int64_t value, const char *shown, void *to,
	struct problem *why);
bool form_put_real(const struct member *member, double value, const char *shown, void *to,
	struct problem *why);
bool form_put_uuid(const struct member *member, const char *text, size_t len, const char *shown,
	void *to, struct problem *why);

/* The member's field in a struct, as its C type. */
#define FORM_FIELD(type, member, base) ((type *)(void *)((char *)(base) + (member)->offset))
#define FORM_FIELD_READ(type, member, base) \
	((const type *)(const void *)((const char *)(base) + (member)->offset))

/* The member's name for a sentence, "each item" for the bare values of a list. */
const char *form_name(const struct member *member);

/* The most bytes of a text, or items of a list. */
size_t form_longest(const struct member *member);

#endif
