/*
 * Texts that a spreadsheet would run as a formula: those beginning with = + - @, a tab, CR, LF,
 * NUL, or the full-width forms of the four signs. On the way out such a text gets an apostrophe
 * before it, on the way in it loses it again, and what was written reads back the same. Quotes
 * alone do not keep a spreadsheet from evaluating. Numbers are written as numbers, unguarded.
 */
#ifndef BASE_GUARD_H
#define BASE_GUARD_H

#include <stdbool.h>
#include <stddef.h>

/* True when the text, after any apostrophes before it, begins so: it gets one (more). */
bool guard_needed(const char *text, size_t len);

/* Bytes to drop at the start of a text that comes from a file: 1 or 0. */
size_t guard_length(const char *text, size_t len);

#endif
