/*
 * The two ends of a bond in words that a person can check on the ballast. Both are named by the
 * first thing, in this order, in which what is on record of them differs:
 *
 *   on what        one is on a rail, the other on a structure or on equipment
 *   structure      both are on one, of different numbers
 *   track          both tracks are stated
 *   rail           both rails are stated; the railway's own label stands with left and right
 *   chainage       the end towards lower or higher chainage; of a rail joint bond the side of the
 *                  joint
 *   face           both are stated: field side or gauge side of the web, foot
 *
 * What is stated of one end only tells nothing apart: the other may be the same. Where nothing
 * differs both names say so. Upper and lower case make no difference.
 */
#ifndef RULES_END_WORDS_H
#define RULES_END_WORDS_H

#include <stdbool.h>

#include "rules/terms.h"

enum ends_differ { ENDS_ALIKE, ENDS_BY_ON, ENDS_BY_STRUCTURE, ENDS_BY_TRACK, ENDS_BY_RAIL,
	ENDS_BY_CHAINAGE, ENDS_BY_FACE };
extern const struct words ends_differ_words;

/* What is on record of an end. Texts are borrowed; NULL and "" are not stated. */
struct end_facts {
	enum end_on on;
	const char *track;
	const char *label[2];     /* the track's own words for its left and right rail */
	int rail, face;           /* enum rail, enum rail_face; -1: not stated */
	int64_t distance_mm;      /* from the line's datum */
	const char *structure;    /* the number of what it is on */
	const char *chainage;     /* as the line writes it */
};

/* Room for texts of 60 bytes. The brief name has at most END_BRIEF_LETTERS characters, unless a
 * track or a structure has a longer name. */
enum { END_BRIEF_SIZE = 192, END_LONG_SIZE = 384, END_BRIEF_LETTERS = 40 };

struct end_words {
	enum ends_differ by;
	char brief[2][END_BRIEF_SIZE];   /* for a button or a cell: "Up, left rail (cess)" */
	char words[2][END_LONG_SIZE];    /* for a sentence: "Up, left rail (cess), at 12+345" */
};

/* By enum bond_end. */
void end_words_make(enum bond_kind kind, const struct end_facts ends[2], struct end_words *to);

/* A quantity with the end that it belongs to: "contact at Up, left rail (cess)". ends may be NULL
 * for what is not of an end. */
bool quantity_is_of_end(enum quantity quantity);
void end_words_quantity(const struct end_words *ends, enum quantity quantity, char *to,
	size_t size);

#endif
