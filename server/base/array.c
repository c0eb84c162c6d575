#include "base/array.h"

#include <stdint.h>
#include <stdlib.h>

enum { ROOM_LEAST = 16 };

static bool move(void **all, size_t room, size_t size, struct problem *why)
{
	void *moved = room <= PTRDIFF_MAX / size ? realloc(*all, room * size) : NULL;

	if (moved == NULL) {
		return why != NULL && problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	*all = moved;
	return true;
}

bool array_grow(void **all, size_t count, size_t size, struct problem *why)
{
	size_t room = count == 0 ? 1 : count <= SIZE_MAX / 2 ? count * 2 : SIZE_MAX;

	return (count & (count - 1)) != 0 || move(all, room, size, why);
}

bool array_room(void **all, size_t *room, size_t wanted, size_t size, struct problem *why)
{
	return arrays_room(&(struct array){ all, size }, 1, room, wanted, why);
}

bool arrays_room(const struct array *arrays, size_t n_arrays, size_t *room, size_t wanted,
	struct problem *why)
{
	size_t more = *room > 0 ? *room : ROOM_LEAST;

	if (wanted <= *room) {
		return true;
	}
	while (more < wanted && more <= SIZE_MAX / 2) {
		more *= 2;
	}
	for (size_t i = 0; i < n_arrays; i++) {
		if (!move(arrays[i].all, more, arrays[i].size, why)) {
			return false;
		}
	}
	*room = more;
	return true;
}
