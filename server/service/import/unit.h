/*
 * The units in which a file may have what the register keeps in one: proposed from a column's
 * heading and its cells, stated by a person, and converted exactly. Internal to the importer.
 *
 * A column of a quantity has a unit, by its code ("mohm"), or "cell" where each cell says its own
 * ("0,35 mΩ"). A cell that names another than its column is wrong, and so is one that names none
 * where each should. Places are read as the line writes them ("line") or in a unit of length.
 *
 * Spelling counts where it tells a milli from a mega: MΩ and MOHM are no unit here.
 */
#ifndef SERVICE_IMPORT_UNIT_H
#define SERVICE_IMPORT_UNIT_H

#include "base/csv.h"
#include "base/form.h"

struct unit {
	const char *code;             /* "mohm"; NULL ends the list */
	const char *title;            /* "mΩ" */
	const char *spellings;        /* parted by spaces, in plain letters */
	int power;                    /* times ten to this is the register's unit, or */
	double factor, offset;        /* when the factor is not 0: times this, plus that */
};

#define UNIT_CELL "cell"
#define UNIT_LINE "line"

/* The units of a member, its own first; NULL: it has none to choose from. */
const struct unit *units_of(const struct member *member);

/* What the units of a member are alternatives to: "µΩ"; of a place "place"; "" when it has none. */
const char *unit_family(const struct member *member);

/* The unit of a code; NULL: none of the member's. */
const struct unit *unit_of_code(const struct member *member, const char *code);

/* Whether the code can be stated of the member: a unit's, or "cell", or of a place "line". */
bool unit_can_be(const struct member *member, const char *code);

/* The codes for a sentence: "uohm, mohm, ohm or cell". */
void units_list(const struct member *member, struct text *to);

/* The unit that a heading names, as in "R (mΩ)" or "temp_c"; NULL: none, or more than one. */
const struct unit *unit_in_heading(const struct member *member, const char *heading, size_t len);

/* The unit that stands behind a cell's number; NULL: no number, or no unit of the member's behind
 * it. *number: bytes of the number; *rest: of what follows it. */
const struct unit *unit_in_cell(const struct member *member, const char *cell, size_t len,
	size_t *number, size_t *rest);

/*
 * Adds the cell's number in the register's unit, as text with the decimal mark. stated: a code, or
 * NULL for the register's own. What is no number is added as it is, for who reads it to refuse.
 * False: *why says what is wrong with the cell's unit.
 */
bool unit_convert(const struct member *member, const char *stated, const char *cell, size_t len,
	char decimal, struct text *to, struct problem *why);

#endif
