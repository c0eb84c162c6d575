/*
 * Arrays that grow, each an owned pointer, which free() ends. What they hold may move: pointers
 * into them are good until the next call.
 *
 *     struct row *rows = NULL;
 *     if (!array_grow((void **)&rows, count, sizeof *rows, why)) ...
 *     rows[count++] = ...
 *
 * False: out of memory, *why says so unless why is NULL, and the array is as it was.
 */
#ifndef BASE_ARRAY_H
#define BASE_ARRAY_H

#include "base/problem.h"

/* Room for one more of `size` bytes where there are `count`, which tells the room: it doubles at
 * every power of two. So nobody else may have made room in it. */
bool array_grow(void **all, size_t count, size_t size, struct problem *why);

/* Room for `wanted` in all, where there is *room, which it sets; for more than is wanted now. */
bool array_room(void **all, size_t *room, size_t wanted, size_t size, struct problem *why);

/* The same of arrays that lie side by side and have one room. */
struct array {
	void **all;
	size_t size;        /* of one in it */
};
bool arrays_room(const struct array *arrays, size_t n_arrays, size_t *room, size_t wanted,
	struct problem *why);

#endif
