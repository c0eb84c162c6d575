/*
 * A template that adds: "{km:km}+{m:m}+{cm:cm}" makes metres of lengths in several columns, each in
 * its unit, the largest first. Internal to the importer.
 *
 * Each cell is a plain number without a sign, and only the last may have a fraction: whether what
 * stands behind "-1" or "1.5" is to be added nobody can tell. Of a place each part after the first
 * is less than one of the unit before it: past a post people count on, and 1031 m past one lie
 * before the next (the line's own notation takes such a place: "{km}+{m:3}").
 */
#ifndef SERVICE_IMPORT_SUM_H
#define SERVICE_IMPORT_SUM_H

#include "base/form.h"
#include "service/import/template.h"

/* Whether the template adds: any column of it has a unit. */
bool sum_is(const struct template_piece *pieces, size_t count);

/* What is wrong with a template that adds, for the member; NULL: nothing. */
const char *sum_fault(const struct member *member, const struct template_piece *pieces,
	size_t count);

struct sum {
	const struct member *member;
	char decimal;                 /* the mark of the cells */
	double metres;
	double most;                  /* what the next part lies below, in metres; 0: anything */
};

/* Adds a cell in its unit. NULL, or what is wrong with the cell. */
const char *sum_add(struct sum *sum, const char *unit, bool is_last, const char *cell, size_t len);

/* The sum as text, with the decimal mark. */
void sum_write(const struct sum *sum, struct text *to);

#endif
