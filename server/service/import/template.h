/*
 * A template joins columns of a file into one value: text with headings in braces.
 *
 *     "{DISTRICT} {LINE}"       both, with a space between
 *     "{MILEPOST:prefix}"       the letters before the number: "MP 12.3" gives "MP"
 *     "{MILEPOST:rest}"         what follows them: "12.3"
 *     "{MILEPOST:joined}"       the same, where a hyphen after the letters only joins: "J-3.4"
 *     "{km}+{m:3}"              the number with at least 3 digits before its mark: "12+031"
 *     "{km:km}+{m:m}+{cm:cm}"   the sum of lengths, each column in its unit: 12, 31, 7 is 12031.07 m
 *     "{{" and "}}"             a brace as it is
 *
 * The prefix is the letters and spaces at the start, and a hyphen that stands between letters and
 * what follows ("J-3.4" has the prefix J; "-0.5" has none). Whether that hyphen is a minus nobody
 * can tell, so :rest refuses such a cell; who knows says :joined. Letters after the number stay in
 * the rest, so that who reads the number refuses them.
 *
 * Without its digits stated a number after a decimal mark would be another one (31 m and 7 cm are
 * not 31.7 m), so the parts of a number and of a place need them. A cell that is to have digits is
 * a plain number, and no wider where others follow on.
 *
 * A sum (service/import/sum.h) is of columns with their units and nothing else but plus signs.
 *
 * White space of the joined value is collapsed to single spaces and trimmed. A template whose
 * columns are all empty gives nothing.
 */
#ifndef SERVICE_IMPORT_TEMPLATE_H
#define SERVICE_IMPORT_TEMPLATE_H

#include <stddef.h>

#include "base/problem.h"
#include "base/text.h"

enum { TEMPLATE_PIECES = 24 };

enum template_what { TEMPLATE_TEXT, TEMPLATE_CELL, TEMPLATE_PREFIX, TEMPLATE_REST,
	TEMPLATE_JOINED, TEMPLATE_DIGITS, TEMPLATE_LENGTH };

struct template_piece {
	enum template_what what;
	const char *text;         /* TEMPLATE_TEXT: as it is; otherwise a heading. Borrowed */
	size_t len;
	size_t digits;            /* TEMPLATE_DIGITS: 1 to 9 */
	const char *unit;         /* TEMPLATE_LENGTH: its code (service/import/unit.h) */
};

/* The pieces of a template; 0: *why is PROBLEM_VALUE at "columns" and says what is wrong. One
 * without any column is wrong too: that is a constant. */
size_t template_parse(const char *text, struct template_piece to[TEMPLATE_PIECES],
	struct problem *why);

/* The bytes of a cell that are its prefix; what is trimmed off between is in neither part. */
void template_split(const char *cell, size_t len, size_t *prefix_len, size_t *rest_start);

/* What keeps a cell out of :rest; NULL: nothing. */
const char *template_rest_fault(const char *cell, size_t len);

/* Appends the cell with its digits filled up; `close`: what stands before it is part of the same
 * number. NULL, or what is wrong with the cell. */
const char *template_add_digits(struct text *to, size_t digits, bool close, const char *cell,
	size_t len);

/* A piece whose number would be another one without its digits stated: it follows a decimal mark or
 * another number. NULL: there is none. */
const struct template_piece *template_loose(const struct template_piece *pieces, size_t count);

/* Whether piece n goes on with the number of the one before. */
bool template_is_close(enum template_what before, const char *text, size_t len);

/* Appends text with its white space collapsed: none at the start (from `begin` in *to), none
 * doubled. template_trim drops what is left at the end. */
void template_add(struct text *to, size_t begin, const char *text, size_t len);
void template_trim(struct text *to, size_t begin);

#endif
