#include "service/import/settings.h"

#include <math.h>
#include <string.h>

#include "base/csv.h"
#include "base/near.h"
#include "base/utf8.h"
#include "service/import/heading.h"
#include "service/import/stated.h"
#include "service/import/sum.h"
#include "service/import/template.h"
#include "service/import/unit.h"

static const char *const separator_codes[] = { "comma", "semicolon", "tab", "bar" };
static const char *const separator_titles[] = { "comma", "semicolon", "tab", "vertical bar" };
const struct words separator_words = { "separator", separator_codes, separator_titles, 4 };

static const char *const decimal_codes[] = { "point", "comma" };
const struct words decimal_words = { "decimal", decimal_codes, decimal_codes, 2 };

static const char *const day_order_codes[] = { "ymd", "dmy", "mdy" };
static const char *const day_order_titles[] = { "year, month, day", "day, month, year",
	"month, day, year" };
const struct words day_order_words = { "day_order", day_order_codes, day_order_titles, 3 };

static const char *const first_row_codes[] = { "headings", "data" };
static const char *const first_row_titles[] = { "the names of the columns", "data already" };
const struct words first_row_words = { "first_row", first_row_codes, first_row_titles, 2 };

static const char *const known_codes[] = { "stays", "takes" };
static const char *const known_titles[] = { "what is known stays", "the chosen fields are taken" };
const struct words known_words = { "known", known_codes, known_titles, 2 };

#define FIELD_MEMBER(holder) { .name = "field", .title = "The register's field", \
	.type = MEMBER_TEXT, .required = true, .offset = offsetof(holder, field), .longest = 40 }

static const struct member column_members[] = {
	FIELD_MEMBER(struct import_column),
	{ .name = "column", .title = "Column", .type = MEMBER_TEXT,
	  .offset = offsetof(struct import_column, column), .help = "Its heading in the file." },
	{ .name = "template", .title = "Template", .type = MEMBER_TEXT,
	  .offset = offsetof(struct import_column, template), .longest = 500,
	  .help = "Text with columns in braces: \"{DISTRICT} {LINE}\"." },
	{ .name = "constant", .title = "The same for all rows", .type = MEMBER_TEXT,
	  .offset = offsetof(struct import_column, constant) },
	{ .name = "unit", .title = "Unit", .type = MEMBER_TEXT,
	  .offset = offsetof(struct import_column, unit), .longest = 20,
	  .help = "Of its numbers, as mohm; cell: each cell names its own; line: a place as the line "
	  "writes it." },
	{ 0 }
};
static const struct form column_form = { "ImportColumn", column_members,
	sizeof (struct import_column) };

static const struct member word_members[] = {
	FIELD_MEMBER(struct import_word),
	{ .name = "from", .title = "In the file", .type = MEMBER_TEXT,
	  .offset = offsetof(struct import_word, from),
	  .help = "Left out: the empty cell. *: every other value." },
	{ .name = "to", .title = "In the register", .type = MEMBER_TEXT,
	  .offset = offsetof(struct import_word, to), .help = "Left out: nothing." },
	{ 0 }
};
static const struct form word_form = { "ImportWord", word_members, sizeof (struct import_word) };

static const struct member only_members[] = {
	{ .name = "column", .title = "Column", .type = MEMBER_TEXT, .required = true,
	  .offset = offsetof(struct import_only, column) },
	{ .name = "begins_with", .title = "Begins with", .type = MEMBER_TEXT,
	  .offset = offsetof(struct import_only, begins_with) },
	{ .name = "equals", .title = "Equals", .type = MEMBER_TEXT,
	  .offset = offsetof(struct import_only, equals) },
	{ .name = "not_empty", .title = "Is not empty", .type = MEMBER_FLAG,
	  .offset = offsetof(struct import_only, not_empty) },
	{ 0 }
};
static const struct form only_form = { "ImportOnly", only_members, sizeof (struct import_only) };

static const struct member left_out_members[] = {
	{ .name = "", .title = "Column", .type = MEMBER_TEXT, .required = true,
	  .offset = offsetof(struct import_left_out, column) },
	{ 0 }
};
static const struct form left_out_form = { "ImportLeftOut", left_out_members,
	sizeof (struct import_left_out) };

static const struct member taken_members[] = {
	{ .name = "", .title = "Field", .type = MEMBER_TEXT, .required = true,
	  .offset = offsetof(struct import_taken, field), .longest = 40 },
	{ 0 }
};
static const struct form taken_form = { "ImportTaken", taken_members,
	sizeof (struct import_taken) };

static const struct member row_members[] = {
	{ .name = "", .title = "Row", .type = MEMBER_INTEGER, .required = true, .least = 1,
	  .most = 1e9 },
	{ 0 }
};
static const struct form row_form = { "ImportRow", row_members, sizeof (int64_t) };

#define OF(field) offsetof(struct import_settings, field)

static const struct member settings_members[] = {
	{ .name = "sheet", .title = "Sheet of the workbook", .type = MEMBER_TEXT, .offset = OF(sheet),
	  .longest = 127 },
	{ .name = "separator", .title = "Separator of the columns", .type = MEMBER_WORD,
	  .offset = OF(separator), .words = &separator_words },
	{ .name = "encoding", .title = "Encoding of the letters", .type = MEMBER_WORD,
	  .offset = OF(encoding), .words = &charset_words },
	{ .name = "decimal", .title = "Decimal mark", .type = MEMBER_WORD, .offset = OF(decimal),
	  .words = &decimal_words },
	{ .name = "day_order", .title = "Order of a date's parts", .type = MEMBER_WORD,
	  .offset = OF(day_order), .words = &day_order_words },
	{ .name = "first_row", .title = "The first row is", .type = MEMBER_WORD,
	  .offset = OF(first_row), .words = &first_row_words,
	  .help = "Needed where it looks like data. Columns without a name are Column 1, 2 ..." },
	{ .name = "tolerance_m", .title = "Length and chainage may differ by", .unit = "m",
	  .type = MEMBER_REAL, .offset = OF(tolerance_m), .least = 0, .most = 1000,
	  .help = "Of chainage maps: what differs more is taken as a jump." },
	{ .name = "leave_wrong_out", .title = "Import the right rows and leave the wrong ones out",
	  .type = MEMBER_FLAG, .offset = OF(leave_wrong_out),
	  .help = "Otherwise one wrong row stops the whole file." },
	{ .name = "row_meant", .title = "What a row of the log meant", .type = MEMBER_WORD,
	  .offset = OF(row_meant), .words = &row_meant_words,
	  .help = "Where the file has no word for each end. both_seen: an engineer's word." },
	{ .name = "meter_percent", .title = "Uncertainty of the reading (k = 2)", .unit = "%",
	  .type = MEMBER_REAL, .offset = OF(meter_percent), .least = 0, .most = 100,
	  .help = "Of the meters of readings that name none; an engineer's word, as what follows." },
	{ .name = "meter_uohm", .title = "added to it (k = 2)", .unit = "µΩ", .type = MEMBER_REAL,
	  .offset = OF(meter_uohm), .least = 0, .most = 1e6 },
	{ .name = "stated_reason", .title = "How that is known", .type = MEMBER_TEXT,
	  .offset = OF(stated_reason), .longest = 2000 },
	{ .name = "columns", .title = "Columns", .type = MEMBER_LIST, .offset = OF(columns),
	  .longest = IMPORT_FIELDS, .form = &column_form },
	{ .name = "words", .title = "Words", .type = MEMBER_LIST, .offset = OF(words),
	  .longest = IMPORT_WORDS, .form = &word_form },
	{ .name = "only", .title = "Only the rows where", .type = MEMBER_LIST, .offset = OF(only),
	  .longest = IMPORT_CONDITIONS, .form = &only_form },
	{ .name = "left_out", .title = "Columns of numbers that are not wanted", .type = MEMBER_LIST,
	  .offset = OF(left_out), .longest = CSV_CELLS, .form = &left_out_form },
	{ .name = "begins_row", .title = "The table begins in row", .type = MEMBER_INTEGER,
	  .offset = OF(begins_row), .least = 1, .most = 1e7,
	  .help = "The row with the names of its columns; titles above it are passed over." },
	{ .name = "ends_row", .title = "Its last row is", .type = MEMBER_INTEGER,
	  .offset = OF(ends_row), .least = 1, .most = 1e7,
	  .help = "What stands below, as totals or another table, is left out." },
	{ .name = "as_above", .title = "Columns where empty means as above", .type = MEMBER_LIST,
	  .offset = OF(as_above), .longest = CSV_CELLS, .form = &left_out_form },
	{ .name = "in_rows", .title = "Columns that each become a record", .type = MEMBER_LIST,
	  .offset = OF(in_rows), .longest = CSV_CELLS, .form = &left_out_form,
	  .help = "As a year per column; the record has two columns more, (heading) and (value)." },
	{ .name = "known", .title = "What the file says otherwise of what is known",
	  .type = MEMBER_WORD, .offset = OF(known), .words = &known_words, .help = "Left out: such a row is wrong." },
	{ .name = "take", .title = "Fields that are taken then", .type = MEMBER_LIST, .offset = OF(take),
	  .longest = IMPORT_FIELDS, .form = &taken_form },
	{ .name = "take_rows", .title = "Of these rows alone", .type = MEMBER_LIST,
	  .offset = OF(take_rows), .longest = IMPORT_ROWS_TAKEN, .form = &row_form,
	  .help = "By their numbers; of all rows when it is left out." },
	{ 0 }
};
const struct form import_settings_form = { "ImportSettings", settings_members,
	sizeof (struct import_settings) };

char import_separator(const struct import_settings *settings)
{
	static const char characters[] = { ',', ';', '\t', '|' };

	return characters[settings->separator >= 0 ? settings->separator : 0];
}

struct form_reading import_reading(const struct import_settings *settings)
{
	static const enum day_format orders[] = { DAY_YMD, DAY_DMY, DAY_MDY };

	return (struct form_reading){
		.day_format = orders[settings->day_order >= 0 ? settings->day_order : 0],
		.decimal = settings->decimal == DECIMAL_COMMA ? ',' : '.' };
}

const struct import_column *import_settings_column(const struct import_settings *settings,
	const char *field)
{
	const struct import_column *columns = settings->columns.items;

	for (size_t i = 0; i < settings->columns.count; i++) {
		if (strcmp(columns[i].field, field) == 0) {
			return &columns[i];
		}
	}
	return NULL;
}

/* False: names the field, and the one that was probably meant. */
static bool check_field(const struct import_fields *fields, const char *list, const char *name,
	struct problems *why)
{
	struct near nearest = { 0 };

	if (form_member(&fields->form, name) != NULL) {
		return true;
	}
	for (const struct member *m = fields->form.members; m->name != NULL; m++) {
		near_try(&nearest, name, strlen(name), m->name);
	}
	return nearest.name != NULL ?
		problems_add(why, PROBLEM_VALUE, list, "There is no field %.40s; do you mean %s?", name,
			nearest.name) :
		problems_add(why, PROBLEM_VALUE, list, "There is no field %.40s in %s.", name,
			fields->form.name);
}

/* The parts of a number and of a place say how many digits they have. */
static void check_template(const struct import_fields *fields, const struct import_column *c,
	struct problems *why)
{
	struct template_piece pieces[TEMPLATE_PIECES];
	const struct member *m = form_member(&fields->form, c->field);
	const struct template_piece *loose;
	struct problem one = { 0 };
	size_t n = template_parse(c->template, pieces, &one);

	if (n == 0) {
		problems_take(why, &one);
		return;
	}
	if (sum_is(pieces, n)) {
		const char *fault = sum_fault(m, pieces, n);

		if (fault != NULL) {
			problems_add(why, PROBLEM_VALUE, "columns", "The template \"%.80s\" %s.", c->template,
				fault);
		}
		return;
	}
	loose = m->type == MEMBER_REAL || m->type == MEMBER_INTEGER || import_is_place(m) ?
		template_loose(pieces, n) : NULL;
	if (loose != NULL) {
		problems_add(why, PROBLEM_VALUE, "columns", "In the template \"%.80s\" say how many digits "
			"%.*s has, as {%.*s:3}: 7 of a hundred is not .7 but .07.", c->template,
			(int)utf8_fit(loose->text, loose->len, 40), loose->text,
			(int)utf8_fit(loose->text, loose->len, 40), loose->text);
	}
}

/* A template that adds says the units of its columns. */
static bool adds(const struct import_column *c)
{
	struct template_piece pieces[TEMPLATE_PIECES];
	struct problem one = { 0 };

	return c->template != NULL && sum_is(pieces, template_parse(c->template, pieces, &one));
}

/* A quantity has a unit, and nobody but a person or the file itself says which. */
static void check_unit(const struct import_column *c, const struct member *m, struct problems *why)
{
	struct text units = { 0 };
	bool is_wrong = c->unit != NULL && !unit_can_be(m, c->unit);
	bool twice = c->unit != NULL && adds(c);
	bool lacks = c->unit == NULL && c->constant == NULL && !adds(c) && units_of(m) != NULL &&
		!import_is_place(m) && !(c->column != NULL && import_alike(c->column, strlen(c->column),
		m->name, strlen(m->name)));

	units_list(m, &units);
	if (twice) {
		problems_add(why, PROBLEM_VALUE, "columns", "%s is added up of columns that have their "
			"units: state no other for it.", m->title);
	} else if (is_wrong) {
		problems_add(why, PROBLEM_VALUE, "columns", units_of(m) == NULL ?
			"%s has no unit to choose%.0s%.0s." :
			"%s cannot be in %.20s; it can be in %s.", m->title, c->unit,
			units.failed ? "" : units.data);
	} else if (lacks) {
		problems_add(why, PROBLEM_VALUE, "columns", "State in which unit the column %.60s is: %s.",
			c->column != NULL ? c->column : c->template != NULL ? c->template : m->title, units.failed ? "" : units.data);
	}
	text_release(&units);
}

static void check_column(const struct import_fields *fields, const struct import_settings *settings,
	const struct import_column *c, struct problems *why)
{
	int sources = (c->column != NULL) + (c->template != NULL) + (c->constant != NULL);

	if (!check_field(fields, "columns", c->field, why)) {
		return;
	}
	if (import_settings_column(settings, c->field) != c) {
		problems_add(why, PROBLEM_VALUE, "columns", "%s is given twice.",
			form_member(&fields->form, c->field)->title);
	}
	if (sources != 1) {
		problems_add(why, PROBLEM_VALUE, "columns",
			"Give %s a column, a template or a constant: one of them.",
			form_member(&fields->form, c->field)->title);
	}
	if (c->template != NULL) {
		check_template(fields, c, why);
	}
	check_unit(c, form_member(&fields->form, c->field), why);
}

static void check_lists(const struct import_fields *fields, const struct import_settings *settings,
	struct problems *why)
{
	const struct import_column *columns = settings->columns.items;
	const struct import_word *words = settings->words.items;
	const struct import_only *only = settings->only.items;

	for (size_t i = 0; i < settings->columns.count; i++) {
		check_column(fields, settings, &columns[i], why);
	}
	for (size_t i = 0; i < settings->words.count; i++) {
		if (check_field(fields, "words", words[i].field, why) &&
			import_settings_column(settings, words[i].field) == NULL) {
			problems_add(why, PROBLEM_VALUE, "words",
				"There are words for %s, but no column gives it.",
				form_member(&fields->form, words[i].field)->title);
		}
	}
	for (size_t i = 0; i < settings->only.count; i++) {
		if ((only[i].begins_with != NULL) + (only[i].equals != NULL) + (only[i].not_empty == 1) !=
			1) {
			problems_add(why, PROBLEM_VALUE, "only", "Say of the column %.60s what it begins with, "
				"what it equals, or that it is not empty: one of them.", only[i].column);
		}
	}
}

bool import_has_unit(const struct import_settings *settings, const struct member *m)
{
	const struct import_column *c = import_settings_column(settings, m->name);

	return c != NULL && ((c->unit != NULL && strcmp(c->unit, UNIT_LINE) != 0) || adds(c));
}

/* What is needed because of the fields that are mapped. */
static void check_reading(const struct import_fields *fields,
	const struct import_settings *settings, struct problems *why)
{
	const char *number = NULL, *day = NULL;

	for (const struct member *m = fields->form.members; m->name != NULL; m++) {
		const struct import_column *c = import_settings_column(settings, m->name);
		const char *shown;

		if (c == NULL) {
			continue;
		}
		shown = c->column != NULL ? c->column : c->template != NULL ? c->template : m->title;
		number = m->type == MEMBER_REAL || m->type == MEMBER_INTEGER ||
			import_has_unit(settings, m) ? shown : number;
		day = m->type == MEMBER_DAY ? shown : day;
	}
	if (settings->separator < 0) {
		problems_add(why, PROBLEM_VALUE, "separator",
			"State the separator: comma, semicolon, tab or bar.");
	}
	if (settings->encoding < 0) {
		problems_add(why, PROBLEM_VALUE, "encoding",
			"State the encoding: utf_8, windows_1252 or cp850.");
	}
	if (settings->decimal < 0 && number != NULL) {
		problems_add(why, PROBLEM_VALUE, "decimal",
			"State the decimal mark of the numbers, as in %.60s: point or comma.", number);
	}
	if (settings->day_order < 0 && day != NULL) {
		problems_add(why, PROBLEM_VALUE, "day_order",
			"State how the dates are written, as in %.60s: ymd, dmy or mdy.", day);
	}
}

/* What is taken is said of fields that the file gives. */
static void check_taken(const struct import_fields *fields, const struct import_settings *settings,
	struct problems *why)
{
	const struct import_taken *taken = settings->take.items;

	if ((settings->take.count > 0 || settings->take_rows.count > 0) &&
		settings->known != KNOWN_TAKES) {
		problems_add(why, PROBLEM_VALUE, "take", "Fields and rows are chosen where known is "
			"\"takes\".");
	}
	for (size_t i = 0; i < settings->take.count; i++) {
		if (check_field(fields, "take", taken[i].field, why) &&
			import_settings_column(settings, taken[i].field) == NULL) {
			problems_add(why, PROBLEM_VALUE, "take", "%s is to be taken, but no column gives it.",
				form_member(&fields->form, taken[i].field)->title);
		}
	}
}

bool import_settings_check(const struct import_kind *kind, const struct import_settings *settings,
	struct problems *why)
{
	struct import_fields fields;
	size_t before = why->count;

	import_kind_fields(kind, &fields);
	check_lists(&fields, settings, why);
	check_reading(&fields, settings, why);
	import_stated_check(kind, settings, why);
	check_taken(&fields, settings, why);
	for (const struct member *m = fields.form.members; m->name != NULL; m++) {
		if (m->required && import_settings_column(settings, m->name) == NULL) {
			problems_add(why, PROBLEM_VALUE, "columns",
				"Say which column gives %s: it is needed.", m->title);
		}
	}
	if (kind->what == IMPORT_MAPS && isnan(settings->tolerance_m)) {
		problems_add(why, PROBLEM_VALUE, "tolerance_m", "State by how many metres the length of a "
			"piece of line may differ from its chainage without being a jump.");
	}
	if (kind->what == IMPORT_FAILURES &&
		import_settings_column(settings, "chainage") != NULL &&
		import_settings_column(settings, "within_m") == NULL) {
		problems_add(why, PROBLEM_VALUE, "columns", "Say within how many metres of the place a "
			"failure belongs to the nearest bond (within_m): by a column, or the same for all rows.");
	}
	return why->count == before;
}
