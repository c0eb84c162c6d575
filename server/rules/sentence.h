/*
 * Writes one sentence for people into memory of a fixed size, without the formatting functions
 * of stdio: the rules also run on the tablet, where nothing may be imported.
 *
 *     struct sentence s;
 *     sentence_begin(&s, to, sizeof to);
 *     sentence_add(&s, "Due ");
 *     sentence_add_day(&s, due_day);
 *
 * `to` is NUL-terminated after every call. What does not fit is left out, at a whole UTF-8
 * character, and `cut` is set. A size of 0 is allowed: then nothing is written at all.
 */
#ifndef RULES_SENTENCE_H
#define RULES_SENTENCE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct sentence {
	char *to;      /* the caller's */
	size_t size;   /* bytes at to, with the closing NUL */
	size_t len;    /* bytes written, without it */
	bool cut;      /* something did not fit; nothing is added after that */
};

void sentence_begin(struct sentence *s, char *to, size_t size);
void sentence_add(struct sentence *s, const char *text);
void sentence_add_integer(struct sentence *s, int64_t value);

/* Rounded to so many decimals (0 to 6), without zeros at the end: "2", "1.25". Nothing for what is
 * not finite or not below 1e12. */
void sentence_add_real(struct sentence *s, double value, int decimals);

/* YYYY-MM-DD; nothing for DAY_NONE. */
void sentence_add_day(struct sentence *s, int32_t day);

/* "1 month", "12 months": the number, a space, the unit, and an s unless the number is 1. */
void sentence_add_count(struct sentence *s, int64_t count, const char *unit);

#endif
