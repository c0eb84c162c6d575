#include "service/import/propose_columns.h"

#include <string.h>

#include "base/utf8.h"
#include "service/import/propose_trade.h"
#include "service/import/unit.h"

/* The heading without the unit in brackets at its end. */
static struct csv_cell without_unit(const struct csv_cell *heading, const struct member *m)
{
	size_t at = heading->len;

	while (at > 0 && heading->text[at - 1] != '(' && heading->text[at - 1] != '[') {
		at--;
	}
	return at > 1 && unit_in_heading(m, heading->text + at - 1, heading->len - at + 1) != NULL ?
		(struct csv_cell){ heading->text, at - 1 } : *heading;
}

/* The only column whose heading is the field's name or title; SIZE_MAX when there is none. */
static size_t column_like(const struct import_proposal *p, const struct member *m)
{
	size_t found = SIZE_MAX;

	for (size_t i = 0; i < p->n_columns; i++) {
		const struct csv_cell h = without_unit(&p->headings->name[i], m);

		if (h.len > 0 && (import_alike(h.text, h.len, m->name, strlen(m->name)) ||
			import_alike(h.text, h.len, m->title, strlen(m->title)))) {
			if (found != SIZE_MAX) {
				return SIZE_MAX;
			}
			found = i;
		}
	}
	return found;
}

/* What the cells of a column say of its unit. */
struct cell_units {
	size_t filled, numbers, named;
	const struct unit *first;
	bool is_mixed;
};

static struct cell_units look_at_cells(const struct import_proposal *p, const struct member *m,
	size_t column)
{
	struct cell_units seen = { 0 };

	for (size_t r = 0; r < p->n_rows; r++) {
		const struct csv_cell *cell = &p->preview[r * p->n_columns + column];
		size_t number, rest;
		const struct unit *u = unit_in_cell(m, cell->text, cell->len, &number, &rest);

		seen.filled += cell->len > 0;
		seen.numbers += number > 0 && (rest == cell->len || u != NULL);
		seen.named += u != NULL;
		seen.is_mixed = seen.is_mixed || (u != NULL && seen.first != NULL && u != seen.first);
		seen.first = seen.first != NULL ? seen.first : u;
	}
	return seen;
}

/* The code of the unit that a column seems to be in, and why; NULL: nothing says it. */
const char *import_unit_like(const struct import_proposal *p, const struct member *m, size_t column,
	char why[CSV_WHY_SIZE])
{
	const struct csv_cell *heading = &p->headings->name[column];
	const struct unit *said = unit_in_heading(m, heading->text, heading->len);
	struct cell_units seen = look_at_cells(p, m, column);

	if (import_is_place(m) && seen.numbers * 2 < seen.filled) {
		text_fit(why, CSV_WHY_SIZE, "its cells are chainages, no plain numbers");
		return UNIT_LINE;
	}
	if (seen.named > 0 && (seen.is_mixed || seen.named < seen.numbers)) {
		text_fit(why, CSV_WHY_SIZE, "%zu of %zu cells name their unit", seen.named, seen.numbers);
		return seen.named == seen.numbers ? UNIT_CELL : NULL;
	}
	if (seen.named > 0 && said != NULL && said != seen.first) {
		text_fit(why, CSV_WHY_SIZE, "the heading says %s, and the cells say %s", said->title,
			seen.first->title);
		return NULL;
	}
	said = said != NULL ? said : seen.first;
	if (said != NULL) {
		text_fit(why, CSV_WHY_SIZE, "%s %s", seen.named > 0 ? "its cells say" : "its heading says",
			said->title);
		return said->code;
	}
	text_fit(why, CSV_WHY_SIZE, "nothing in the file says it");
	return NULL;
}

static bool is_taken(const struct import_proposal *p, size_t column)
{
	const struct import_column *columns = p->settings.columns.items;
	const struct csv_cell *h = &p->headings->name[column];

	for (size_t i = 0; i < p->settings.columns.count; i++) {
		if (columns[i].column != NULL && strlen(columns[i].column) == h->len &&
			memcmp(columns[i].column, h->text, h->len) == 0) {
			return true;
		}
	}
	return false;
}

/* The only free column of numbers with a unit of the member's, which no other of its quantities can
 * have been meant for. */
static size_t column_of_unit(const struct import_proposal *p, const struct member *m)
{
	size_t found = SIZE_MAX;

	for (size_t i = 0; i < p->n_columns; i++) {
		struct cell_units seen = look_at_cells(p, m, i);
		const struct csv_cell *h = &p->headings->name[i];

		if (!is_taken(p, i) && seen.numbers > 0 && seen.numbers * 2 >= seen.filled &&
			(seen.named > 0 || unit_in_heading(m, h->text, h->len) != NULL)) {
			if (found != SIZE_MAX) {
				return SIZE_MAX;
			}
			found = i;
		}
	}
	return found;
}

static bool take_column(struct import_proposal *p, const struct member *m, size_t column,
	struct problems *why)
{
	const struct csv_cell *h = &p->headings->name[column];
	struct import_column *columns = p->settings.columns.items;
	char *heading = form_alloc(&p->memory, h->len + 1);

	if (heading == NULL) {
		return problems_add(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	memcpy(heading, h->text, h->len);
	columns[p->settings.columns.count++] = (struct import_column){ .field = m->name,
		.column = heading };
	return true;
}

bool import_propose_columns(struct import_proposal *p, const struct import_fields *fields,
	struct problems *why)
{
	static const char *const by_unit[] = { "shown_uohm", "temp_c" };
	bool taken[CSV_CELLS];
	struct import_column *columns = form_alloc(&p->memory, IMPORT_FIELDS * sizeof *columns);
	bool ok = columns != NULL || problems_add(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");

	p->settings.columns = (struct form_list){ columns, 0 };
	for (const struct member *m = fields->form.members; ok && m->name != NULL; m++) {
		size_t column = column_like(p, m);

		ok = column == SIZE_MAX || take_column(p, m, column, why);
	}
	for (size_t i = 0; ok && i < 2; i++) {
		const struct member *m = form_member(&fields->form, by_unit[i]);
		size_t column = m != NULL && import_settings_column(&p->settings, m->name) == NULL ?
			column_of_unit(p, m) : SIZE_MAX;

		ok = column == SIZE_MAX || take_column(p, m, column, why);
	}
	for (size_t i = 0; i < p->n_columns; i++) {
		taken[i] = is_taken(p, i);
	}
	return ok && import_propose_trade(p, fields, taken, why);
}

static size_t column_named(const struct import_proposal *p, const char *name)
{
	for (size_t i = 0; name != NULL && i < p->n_columns; i++) {
		const struct csv_cell *h = &p->headings->name[i];

		if (strlen(name) == h->len && memcmp(name, h->text, h->len) == 0) {
			return i;
		}
	}
	return SIZE_MAX;
}

/* Units for the columns that have none yet; what was given stays. */
bool import_propose_units(struct import_proposal *p, const struct import_fields *fields,
	struct problems *why)
{
	size_t count = p->settings.columns.count;
	struct import_column *columns = form_alloc(&p->memory, (count + 1) * sizeof *columns);

	if (columns == NULL) {
		return problems_add(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	if (count > 0) {
		memcpy(columns, p->settings.columns.items, count * sizeof *columns);
	}
	for (size_t i = 0; i < count; i++) {
		const struct member *m = form_member(&fields->form, columns[i].field);
		size_t column = column_named(p, columns[i].column);
		char ignored[CSV_WHY_SIZE];

		if (columns[i].unit == NULL && m != NULL && units_of(m) != NULL && column != SIZE_MAX) {
			columns[i].unit = import_unit_like(p, m, column, ignored);
		}
	}
	p->settings.columns.items = columns;
	return true;
}
