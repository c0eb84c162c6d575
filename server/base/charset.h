/*
 * Files to UTF-8 from the encodings that people's files come in. Which one a file is in is told by
 * a person (base/csv_propose.h proposes), never by the name of who made it: one publisher's
 * products differ.
 *
 * The tables are our own, not iconv's: glibc loads those of the two code pages at run time, as
 * modules that a bare machine may lack, and a file must read the same everywhere; nor does iconv
 * say what a byte alone is, which the proposal asks. A test holds them against iconv's.
 */
#ifndef BASE_CHARSET_H
#define BASE_CHARSET_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/problem.h"
#include "base/table.h"
#include "base/text.h"

enum charset { CHARSET_UTF_8, CHARSET_WINDOWS_1252, CHARSET_CP850 };
extern const struct words charset_words;

/*
 * Appends the bytes as UTF-8. A UTF-8 byte order mark at the start is dropped.
 * False: PROBLEM_MALFORMED naming the first byte that is none of the encoding with its line, its
 * byte in the line and its offset in the file; or PROBLEM_NO_MEMORY. NUL passes: the CSV reader
 * refuses it.
 */
bool charset_to_utf8(enum charset from, const char *bytes, size_t len, struct text *to,
	struct problem *why);

/* Whether the bytes are UTF-16: they begin with its mark, or every other one of the first is
 * NUL. */
bool charset_is_utf16(const char *bytes, size_t len);

/* Appends UTF-16 as UTF-8, without the mark. False: PROBLEM_MALFORMED says where half a character
 * stands; or PROBLEM_NO_MEMORY. */
bool charset_utf16_to_utf8(const char *bytes, size_t len, struct text *to, struct problem *why);

/* The code point of a byte in Windows-1252 or code page 850; 0 when the byte is not defined
 * (81 8D 8F 90 9D in Windows-1252). */
uint32_t charset_code_point(enum charset from, unsigned char byte);

#endif
