/* UTF-8 as RFC 3629 has it: no overlong forms, no surrogates, nothing over U+10FFFF. */
#ifndef BASE_UTF8_H
#define BASE_UTF8_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Bytes of the character at text (1 to 4), 0 when it is not valid or len is 0. */
size_t utf8_step(const char *text, size_t len);

bool utf8_valid(const char *text, size_t len);

/* Writes one code point (1 to 4 bytes into to) and returns how many. */
size_t utf8_put(uint32_t code_point, char to[4]);

/* Drops white space around: ASCII's, and the no-break space that spreadsheets leave. */
void utf8_trim(const char **text, size_t *len);

#endif
