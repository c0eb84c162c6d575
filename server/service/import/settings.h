/*
 * How a file is to be read: stated by a person, or proposed (service/import/propose.h) and
 * confirmed. Nothing is guessed when an import runs.
 *
 * As JSON (import_settings_form) it is what the API takes, what a named mapping keeps, and what
 * stands beside each import in the register:
 *
 *     {"separator":"semicolon","encoding":"cp850","decimal":"comma","day_order":"dmy",
 *      "columns":[{"field":"line","column":"Strecke"},
 *                 {"field":"label","template":"{Strecke}-{Nr}"},
 *                 {"field":"kind","constant":"rail_joint"}],
 *      "words":[{"field":"a_rail","from":"L","to":"left"},{"field":"a_rail","from":"*"}],
 *      "only":[{"column":"Art","begins_with":"SV"}]}
 *
 * The columns are named by the first row; where that is data itself ("first_row":"data"), and where
 * a heading is empty, they are "Column 1", "Column 2" ... A first row that looks like data is taken
 * for neither until somebody says which it is.
 *
 * Of a workbook "sheet" names the sheet, and separator and encoding are not stated.
 *
 * A field takes a column by its heading, or several joined by a template (service/
 * import_template.h), or a constant. Then the words apply: a value that equals `from` becomes
 * `to`; no `from` stands for the empty cell, no `to` for nothing, and "*" for every other value
 * that is not empty. Rows that do not meet every condition of `only` are left out, and counted.
 *
 * Where the table stands in the file, and which of its cells are not as they seem, is the shape
 * (service/import/shape.h): "begins_row":4,"ends_row":120,"as_above":["Line"],"in_rows":["2019",
 * "2020"].
 *
 * The numbers of a column are in the unit that is stated, as {"field":"shown_uohm","column":"R
 * (mOhm)", "unit":"mohm"}. Only a column whose heading is the field's own name, "shown_uohm", has
 * said it already. A constant is in the register's unit.
 *
 * A column with numbers that nothing takes is named in `left_out`, or the file is not taken
 * (service/import/look.h): "left_out":["Nr","Old no."].
 */
#ifndef SERVICE_IMPORT_SETTINGS_H
#define SERVICE_IMPORT_SETTINGS_H

#include "base/charset.h"
#include "base/form.h"
#include "rules/terms.h"
#include "service/import/kind.h"

struct import_column {
	const char *field;
	const char *column, *template, *constant;   /* one of them */
	const char *unit;               /* of its numbers: a code (service/import/unit.h), or NULL */
};

struct import_word {
	const char *field, *from, *to;
};

struct import_only {
	const char *column, *begins_with, *equals;
	int not_empty;
};

struct import_left_out {
	const char *column;
};

struct import_taken {
	const char *field;
};

enum { IMPORT_ROWS_TAKEN = 1000, IMPORT_WORDS = 500, IMPORT_CONDITIONS = 16 };

struct import_settings {
	const char *sheet;              /* of a workbook; NULL: its only one */
	int separator, encoding, decimal, day_order, first_row;
	double tolerance_m;
	int leave_wrong_out;
	int row_meant;                  /* what follows is stated by an engineer */
	double meter_percent, meter_uohm;
	const char *stated_reason;
	struct form_list columns;       /* struct import_column */
	struct form_list words;         /* struct import_word */
	struct form_list only;          /* struct import_only */
	struct form_list left_out;      /* struct import_left_out */
	int64_t begins_row, ends_row;   /* of the table (service/import/shape.h); 0: all of the file */
	struct form_list as_above;      /* struct import_left_out: columns */
	struct form_list in_rows;       /* the same */
	int known;                      /* what the file says otherwise of what is known */
	struct form_list take;          /* struct import_taken: the fields that are taken then, */
	struct form_list take_rows;     /* int64_t: of these rows alone; none: of all */
};
extern const struct form import_settings_form;

enum { SEPARATOR_COMMA, SEPARATOR_SEMICOLON, SEPARATOR_TAB, SEPARATOR_BAR };
enum { DECIMAL_POINT, DECIMAL_COMMA };
enum { FIRST_ROW_HEADINGS, FIRST_ROW_DATA };
enum { KNOWN_STAYS, KNOWN_TAKES };
extern const struct words known_words, separator_words, decimal_words, day_order_words,
	first_row_words;

char import_separator(const struct import_settings *settings);

/* How cells are read; what was not stated is not needed (import_settings_check). */
struct form_reading import_reading(const struct import_settings *settings);

/* What can be said without the file: a problem for each setting that is missing or wrong. */
bool import_settings_check(const struct import_kind *kind, const struct import_settings *settings,
	struct problems *why);

/* The entry of a field; NULL when nothing is mapped to it. */
const struct import_column *import_settings_column(const struct import_settings *settings,
	const char *field);

/* Whether a unit other than the line's own notation is stated of the member, for all of it or for
 * each column that is added. */
bool import_has_unit(const struct import_settings *settings, const struct member *member);

#endif
