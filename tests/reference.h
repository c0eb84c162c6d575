/*
 * Small published tables under tests/reference/: lines of '#' name the source, then a heading,
 * then rows of numbers.
 */
#ifndef TESTS_REFERENCE_H
#define TESTS_REFERENCE_H

#include <check.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { REFERENCE_ROWS = 100, REFERENCE_COLUMNS = 16 };

struct reference {
	double cell[REFERENCE_ROWS][REFERENCE_COLUMNS];
	size_t rows;
};

static inline void reference_read(const char *name, struct reference *to)
{
	char path[512], line[512];
	bool heading = true;
	FILE *file;

	snprintf(path, sizeof path, "%s/%s", TESTS_REFERENCE, name);
	file = fopen(path, "r");
	ck_assert_msg(file != NULL, "%s can be opened", path);
	to->rows = 0;
	while (fgets(line, sizeof line, file) != NULL) {
		char *at = line;

		if (line[0] == '#' || heading) {
			heading = line[0] == '#';
			continue;
		}
		ck_assert_uint_lt(to->rows, REFERENCE_ROWS);
		for (size_t i = 0; i < REFERENCE_COLUMNS && *at != '\0'; i++) {
			to->cell[to->rows][i] = strtod(at, &at);
			at += *at == ',' || *at == '\n';
		}
		to->rows++;
	}
	fclose(file);
	ck_assert_uint_gt(to->rows, 0);
}

#endif
