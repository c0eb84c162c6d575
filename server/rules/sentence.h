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
 * character, and `cut` is set. A minus is U+2212, as the pages write it: "−430 mm". A size of 0 is
 * allowed: then nothing is written at all.
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

/*
 * A number with so many decimals (0 to 9), rounded half away from zero; what rounds to zero has no
 * sign. NAN is "not known". From 1e15 on, infinity too, "more than 10^15" (below -1e15 "less than
 * −10^15"): nothing that is measured is so large.
 */
void sentence_add_decimal(struct sentence *s, double value, int decimals);

/* The same without zeros at the end of the fraction, and without the point after which nothing is
 * left: "2", "1.25". */
void sentence_add_real(struct sentence *s, double value, int decimals);

/*
 * The same to so many significant figures (1 to 9), digits before the point always whole: with
 * 3, "1235", "81.9", "1.5", "0.0754". No more than 9 decimals.
 */
void sentence_add_figures(struct sentence *s, double value, int figures);

/* YYYY-MM-DD; nothing for DAY_NONE. */
void sentence_add_day(struct sentence *s, int32_t day);

/* "1 month", "12 months": the number, a space, the unit, and an s unless the number is 1. */
void sentence_add_count(struct sentence *s, int64_t count, const char *unit);

#endif
