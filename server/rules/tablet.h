/*
 * What the tablet asks of the rules while nobody can answer it, as a table: the name of a question,
 * the form of what is known, the form of the answer, and the function that gives it. rules.wasm
 * (wasm/module.c) and the case files that hold it to the native program (tests/cases) go by
 * this table alone, so that nothing else knows how a struct is laid out.
 *
 * A question's struct is decoded by its form. An answer's texts and lists live in the answer itself
 * or for ever: nothing is allocated, and the answer must not be moved.
 */
#ifndef RULES_TABLET_H
#define RULES_TABLET_H

#include "base/form.h"
#include "rules/rulebook.h"

struct tablet_rule {
	const char *name;
	const struct form *in, *out;
	/* out: all absent at first, see tablet_ask */
	void (*answer)(const struct rulebook *rulebook, const void *in, void *out);
};

/* "chainage": a text on a line's map -> the place, and how it is written; or a place -> how it is
 *             written. The stretches are checked too. */
extern const struct tablet_rule tablet_chainage;
/* "reading":  what the meter shows -> the value at 20 degrees and what there is to remark. */
extern const struct tablet_rule tablet_reading;

extern const struct tablet_rule *const tablet_rules[];
extern const size_t tablet_rules_count;

/* Room for the largest question and the largest answer. */
enum { TABLET_STRUCT_SIZE = 8192 };

/* The question of a name; NULL. */
const struct tablet_rule *tablet_find(const char *name);

/* Clears the answer and gives it. */
void tablet_ask(const struct tablet_rule *rule, const struct rulebook *rulebook, const void *in,
	void *out);

#endif
