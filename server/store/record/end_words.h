/*
 * The ends of bonds in words (rules/end_words.h), from what is said of the bond in a version. For
 * lists there are SQL functions, which ask the rule; what they give is never kept, so it is always
 * what the record says:
 *
 *     end_brief(bond_id, version, kind, bond_end)    NULL where bond_end is
 *     quantity_brief(bond_id, version, kind, quantity)
 *     ends_alike(bond_id, version, kind)             1 where the ends are not told apart
 */
#ifndef STORE_RECORD_END_WORDS_H
#define STORE_RECORD_END_WORDS_H

#include "rules/end_words.h"
#include "store/lists/list.h"

/* What the functions ask of a bond whose derived row has this alias. */
#define END_BRIEF(state, end) \
	"end_brief(" state ".bond_id, " state ".version, " state ".kind, " end ")"
/* The columns of an end: in words, and the letter that the API takes. */
#define COLUMN_OF_END(state, end) \
	{ { "end_words", "End", NULL, CELL_TEXT, .width = 30 }, END_BRIEF(state, end) }

#define COLUMN_OF_END_LETTER(end) \
	{ { "end", "A or B", NULL, CELL_WORD, &bond_end_words }, end }

/* The chainages are borrowed until the call returns; they may be NULL. */
bool store_end_words(struct store *store, int64_t bond_id, int64_t version, enum bond_kind kind,
	const char *chainage_a, const char *chainage_b, struct end_words *to, struct problem *why);

#endif
