/* UTF-8 as RFC 3629 has it: no overlong forms, no surrogates, nothing over U+10FFFF. */
#ifndef BASE_UTF8_H
#define BASE_UTF8_H

#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Bytes of the character at text (1 to 4), 0 when it is not valid or len is 0. */
size_t utf8_step(const char *text, size_t len);

/* How many of the first `most` bytes of text are whole, valid characters. */
size_t utf8_fit(const char *text, size_t len, size_t most);

/* How many characters there are; a byte that belongs to none is one too. */
size_t utf8_count(const char *text, size_t len);

bool utf8_valid(const char *text, size_t len);

/* Writes one code point (1 to 4 bytes into to) and returns how many. */
size_t utf8_put(uint32_t code_point, char to[4]);

/* Drops white space around: ASCII's, and the no-break space that spreadsheets leave. */
void utf8_trim(const char **text, size_t *len);

/*
 * Into a fixed array of size bytes (at least 4). What does not fit is cut at a whole character and
 * ends in "...". Every text that somebody wrote and that has to be cut is cut by these.
 */
void text_fit(char *to, size_t size, const char *format, ...) __attribute__((format(printf, 3, 4)));
void text_fit_va(char *to, size_t size, const char *format, va_list args)
	__attribute__((format(printf, 3, 0)));
void text_fit_copy(char *to, size_t size, const char *text, size_t len);

#endif
