/* Which known name was probably meant by a mistyped one. */
#ifndef BASE_NEAR_H
#define BASE_NEAR_H

#include <stdbool.h>
#include <stddef.h>

/* The nearest name so far; zeroed at first. name is borrowed from the caller, NULL: none is
 * near. */
struct near {
	const char *name;
	size_t distance;
};

/*
 * Takes `known` when it is nearer to `typed` than what was found before: at most two characters
 * changed, added, dropped or swapped with a neighbour, one in names of up to five; letter case
 * does not count. Known names of one or two characters, or over 40, are near nothing.
 */
void near_try(struct near *nearest, const char *typed, size_t len, const char *known);

#endif
