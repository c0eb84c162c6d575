/*
 * Any bytes as a picture's file. What is taken has a size within the bounds and was taken at each
 * of its beginnings too, with the same size once that is known; a byte more behind it is refused.
 */
#include <assert.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/picture.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static bool is_sized(const struct picture *p)
{
	return p->width >= 1 && p->width <= PICTURE_SIDE_MOST && p->height >= 1 &&
		p->height <= PICTURE_SIDE_MOST;
}

/* In memory of exactly that size, so that reading past it is seen. */
static bool begins(const uint8_t *data, size_t len, struct picture *to)
{
	uint8_t *copy = malloc(len > 0 ? len : 1);
	struct problem why = { 0 };
	bool ok;

	assert(copy != NULL);
	memcpy(copy, data, len);
	ok = picture_begins(copy, len, to, &why);
	assert(ok == (why.code == PROBLEM_NONE));
	free(copy);
	return ok;
}

static void check_taken(const uint8_t *data, size_t size, const struct picture *whole)
{
	uint8_t *longer = malloc(size + 1);
	struct picture p;
	struct problem why = { 0 };

	assert(longer != NULL && is_sized(whole));
	memcpy(longer, data, size);
	longer[size] = 0;
	assert(!picture_read(longer, size + 1, &p, &why));
	free(longer);
	for (size_t len = 0; len < size; len += len < 256 ? 1 : 997) {
		assert(begins(data, len, &p));
		assert(p.width == 0 || (p.width == whole->width && p.height == whole->height));
	}
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
	struct picture p;
	struct problem why = { 0 };

	begins(data, size, &p);
	if (picture_read(data, size, &p, &why)) {
		assert(why.code == PROBLEM_NONE);
		check_taken(data, size, &p);
	} else {
		assert(why.code == PROBLEM_VALUE || why.code == PROBLEM_TOO_LARGE);
	}
	return 0;
}
