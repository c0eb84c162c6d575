/*
 * A template joins columns of a file into one value: text with headings in braces.
 *
 *     "{DISTRICT} {LINE}"       both, with a space between
 *     "{MILEPOST:prefix}"       the letters before the number: "MP 12.3" gives "MP"
 *     "{MILEPOST:rest}"         what follows them: "12.3"
 *     "{{" and "}}"             a brace as it is
 *
 * The prefix is the letters and spaces at the start, and a hyphen that stands between letters and
 * what follows ("J-3.4" is J and 3.4; "-0.5" has no prefix). Letters after the number stay in the
 * rest, so that who reads the number refuses them. White space of the joined value is collapsed
 * to single spaces and trimmed. A template whose columns are all empty gives nothing.
 */
#ifndef SERVICE_IMPORT_TEMPLATE_H
#define SERVICE_IMPORT_TEMPLATE_H

#include <stddef.h>

#include "base/problem.h"
#include "base/text.h"

enum { TEMPLATE_PIECES = 24 };

enum template_what { TEMPLATE_TEXT, TEMPLATE_CELL, TEMPLATE_PREFIX, TEMPLATE_REST };

struct template_piece {
	enum template_what what;
	const char *text;         /* TEMPLATE_TEXT: as it is; otherwise a heading. Borrowed */
	size_t len;
};

/* The pieces of a template; 0: *why is PROBLEM_VALUE at "columns" and says what is wrong. One
 * without any column is wrong too: that is a constant. */
size_t template_parse(const char *text, struct template_piece to[TEMPLATE_PIECES],
	struct problem *why);

/* The bytes of a cell that are its prefix; what is trimmed off between is in neither part. */
void template_split(const char *cell, size_t len, size_t *prefix_len, size_t *rest_start);

/* Appends text with its white space collapsed: none at the start (from `begin` in *to), none
 * doubled. template_trim drops what is left at the end. */
void template_add(struct text *to, size_t begin, const char *text, size_t len);
void template_trim(struct text *to, size_t begin);

#endif
