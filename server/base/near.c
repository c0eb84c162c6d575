#include "base/near.h"

#include <string.h>

enum { LONGEST = 40 };

static char lower(char c)
{
	return c >= 'A' && c <= 'Z' ? (char)(c + ('a' - 'A')) : c;
}

static size_t least_of(size_t a, size_t b)
{
	return a < b ? a : b;
}

/* Levenshtein's distance with swaps of neighbours; three rows of the matrix in turn. */
static size_t distance(const char *a, size_t a_len, const char *b, size_t b_len)
{
	size_t rows[3][LONGEST + 1];

	for (size_t j = 0; j <= b_len; j++) {
		rows[0][j] = j;
	}
	for (size_t i = 1; i <= a_len; i++) {
		size_t *row = rows[i % 3];
		const size_t *above = rows[(i + 2) % 3];
		const size_t *two_above = rows[(i + 1) % 3];

		row[0] = i;
		for (size_t j = 1; j <= b_len; j++) {
			bool same = lower(a[i - 1]) == lower(b[j - 1]);
			bool swapped = i > 1 && j > 1 && lower(a[i - 1]) == lower(b[j - 2]) &&
				lower(a[i - 2]) == lower(b[j - 1]);

			row[j] = least_of(above[j - 1] + (same ? 0 : 1),
				least_of(above[j], row[j - 1]) + 1);
			if (swapped) {
				row[j] = least_of(row[j], two_above[j - 2] + 1);
			}
		}
	}
	return rows[a_len % 3][b_len];
}

void near_try(struct near *nearest, const char *typed, size_t len, const char *known)
{
	size_t known_len = strlen(known);
	size_t found;

	if (len == 0 || len > LONGEST || known_len > LONGEST || known_len <= 2) {
		return;
	}
	found = distance(typed, len, known, known_len);
	if (found <= (known_len <= 5 ? 1 : 2) &&
		(nearest->name == NULL || found < nearest->distance)) {
		*nearest = (struct near){ known, found };
	}
}
