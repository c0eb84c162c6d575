#include "service/import/propose_trade.h"

#include <sodium.h>
#include <stdlib.h>
#include <string.h>

#include "base/decimal.h"
#include "rules/place/chainage.h"
#include "service/import/propose_columns.h"
#include "service/import/seen.h"
#include "service/import/trade_words.h"
#include "service/import/unit.h"

enum { KEY_COLUMNS = 3, MATCH_LEAST = 10, WHOLE_NAME = 100 };

static const struct csv_cell *cell_at(const struct import_proposal *p, size_t row, size_t column)
{
	return &p->preview[row * p->n_columns + column];
}

static bool has_digit(const struct csv_cell *cell)
{
	for (size_t i = 0; i < cell->len; i++) {
		if (cell->text[i] >= '0' && cell->text[i] <= '9') {
			return true;
		}
	}
	return false;
}

static bool is_number(const struct member *m, const struct csv_cell *cell)
{
	double ignored;
	size_t number = 0, rest = 0;

	return decimal_read(cell->text, cell->len, '.', &ignored) ||
		decimal_read(cell->text, cell->len, ',', &ignored) || (units_of(m) != NULL &&
		unit_in_cell(m, cell->text, cell->len, &number, &rest) != NULL);
}

/* Whether a cell can be what the member takes. */
static bool fits(const struct member *m, const struct csv_cell *cell)
{
	switch (m->type) {
	case MEMBER_WORD:
		return words_find(m->words, cell->text, cell->len) >= 0;
	case MEMBER_DAY:
		return has_digit(cell);
	case MEMBER_REAL:
	case MEMBER_INTEGER:
		return is_number(m, cell);
	default:
		return !import_is_place(m) || has_digit(cell);
	}
}

/* Most of its filled cells do; one that is empty in all first rows fits anything. */
static bool column_fits(const struct import_proposal *p, const struct member *m, size_t column)
{
	size_t filled = 0, right = 0;

	for (size_t r = 0; r < p->n_rows; r++) {
		const struct csv_cell *cell = cell_at(p, r, column);

		filled += cell->len > 0;
		right += cell->len > 0 && fits(m, cell);
	}
	return right * 2 >= filled;
}

/* One pair of a field and a column, the best that is left; and whether another is as good. */
struct match {
	const struct member *member;
	size_t column;
	int score;
	bool is_shared;
};

static int score_of(const struct import_proposal *p, const struct member *m, size_t column)
{
	const struct csv_cell *h = &p->headings->name[column];
	int score = trade_word_score(m->name, h->text, h->len);
	bool is_quantity = units_of(m) != NULL && !import_is_place(m);

	/* what is measured has its name as a whole: "R MOHM" is asked */
	score = is_quantity && score < WHOLE_NAME ? 0 : score;
	return score >= MATCH_LEAST && column_fits(p, m, column) ? score : 0;
}

static struct match best_match(const struct import_proposal *p, const struct import_fields *fields,
	const bool taken[CSV_CELLS], const bool done[IMPORT_FIELDS])
{
	struct match best = { 0 };

	for (size_t f = 0; fields->members[f].name != NULL; f++) {
		const struct member *m = &fields->members[f];

		for (size_t i = 0; !done[f] && i < p->n_columns; i++) {
			int score = taken[i] ? 0 : score_of(p, m, i);

			if (score > best.score) {
				best = (struct match){ m, i, score, false };
			} else if (score > 0 && score == best.score && m == best.member) {
				best.is_shared = true;
			}
		}
	}
	return best;
}

static bool add_column(struct import_proposal *p, const struct import_column *one)
{
	struct import_column *columns = p->settings.columns.items;

	columns[p->settings.columns.count++] = *one;
	return true;
}

static char *heading_text(struct import_proposal *p, size_t column)
{
	const struct csv_cell *h = &p->headings->name[column];
	char *text = form_alloc(&p->memory, h->len + 1);

	if (text != NULL) {
		memcpy(text, h->text, h->len);
	}
	return text;
}

static struct import_column *entry_of(struct import_proposal *p, const char *field)
{
	return (struct import_column *)import_settings_column(&p->settings, field);
}

static size_t column_of(const struct import_proposal *p, const char *field)
{
	const struct import_column *c = import_settings_column(&p->settings, field);

	for (size_t i = 0; c != NULL && c->column != NULL && i < p->n_columns; i++) {
		const struct csv_cell *h = &p->headings->name[i];

		if (strlen(c->column) == h->len && memcmp(c->column, h->text, h->len) == 0) {
			return i;
		}
	}
	return SIZE_MAX;
}

/* "{A}/{B}"; false: no memory. What a heading of braces would mean is not known: then nothing. */
static bool join(struct import_proposal *p, struct import_column *c, size_t a, const char *between,
	size_t b)
{
	char *one = heading_text(p, a), *two = b != SIZE_MAX ? heading_text(p, b) : NULL;
	size_t size = (one != NULL ? strlen(one) : 0) + (two != NULL ? strlen(two) : 0) + 10;
	char *text = form_alloc(&p->memory, size);

	if (one == NULL || text == NULL || (b != SIZE_MAX && two == NULL)) {
		return false;
	}
	if (strpbrk(one, "{}:") == NULL && (two == NULL || strpbrk(two, "{}:") == NULL)) {
		snprintf(text, size, two != NULL ? "{%s}%s{%s}" : "{%s}%.0s", one, between, two);
		*c = (struct import_column){ .field = c->field, .template = text };
	}
	return true;
}

struct reading {
	struct csv csv;
	struct import_shape shape;
	struct import_headings headings;
	struct import_seen seen;
	struct text utf8;
};

/* What stands for the cells. */
static void hash_cells(const struct csv *csv, const size_t *columns, size_t n,
	unsigned char to[IMPORT_KEY_BYTES])
{
	crypto_generichash_state state;

	crypto_generichash_init(&state, NULL, 0, IMPORT_KEY_BYTES);
	for (size_t i = 0; i < n; i++) {
		struct csv_cell cell = import_cell(csv, columns[i]);

		crypto_generichash_update(&state, (const unsigned char *)cell.text, cell.len);
		crypto_generichash_update(&state, (const unsigned char *)"", 1);
	}
	crypto_generichash_final(&state, to, IMPORT_KEY_BYTES);
}

/* True when two rows with the same cells in the key's columns differ in the other. */
static bool rows_differ(struct import_proposal *p, const size_t *key, size_t n_key, size_t other)
{
	struct reading *from = calloc(1, sizeof *from);
	struct problems why = { 0 };
	struct problem one = { 0 };
	bool differ = false, ok = from != NULL && charset_to_utf8((enum charset)p->settings.encoding,
		p->opened.bytes, p->opened.len, &from->utf8, &one);
	enum csv_result got;

	if (ok) {
		csv_start(&from->csv, from->utf8.data, from->utf8.len, import_separator(&p->settings));
		ok = import_shape_begin(&from->shape, &p->settings, &from->csv, &from->headings, &why);
	}
	while (ok && !differ && (got = import_shape_next(&from->shape, &one)) != CSV_END) {
		unsigned char hash[IMPORT_KEY_BYTES], said[IMPORT_KEY_BYTES];
		struct import_entry *entry;

		if (got != CSV_ROW || csv_is_blank(&from->csv)) {
			continue;
		}
		hash_cells(&from->csv, key, n_key, hash);
		hash_cells(&from->csv, &other, 1, said);
		entry = import_seen_at(&from->seen, hash);
		ok = entry != NULL;
		differ = ok && entry->row > 0 && memcmp(entry->content, said, sizeof entry->content) != 0;
		if (ok) {
			entry->row = from->csv.row;
			memcpy(entry->content, said, sizeof entry->content);
		}
	}
	if (from != NULL) {
		import_seen_release(&from->seen);
		text_release(&from->utf8);
	}
	free(from);
	return differ;
}

/* A line that is counted in sections is told by both. */
static bool propose_section(struct import_proposal *p, const char *field,
	bool taken[CSV_CELLS], size_t *section)
{
	size_t line = column_of(p, field);

	*section = SIZE_MAX;
	for (size_t i = 0; line != SIZE_MAX && i < p->n_columns; i++) {
		const struct csv_cell *h = &p->headings->name[i];

		if (!taken[i] && trade_word_score(TRADE_SECTION, h->text, h->len) >= WHOLE_NAME) {
			*section = i;
		}
	}
	if (*section == SIZE_MAX) {
		return true;
	}
	taken[*section] = true;
	return join(p, entry_of(p, field), line, "/", *section);
}

static bool propose_label(struct import_proposal *p, size_t line, size_t section)
{
	size_t label = column_of(p, "label"), place = column_of(p, "a_chainage");
	size_t key[KEY_COLUMNS] = { label, line, section };

	if (label == SIZE_MAX || place == SIZE_MAX || line == SIZE_MAX ||
		!rows_differ(p, key, section != SIZE_MAX ? 3 : 2, place)) {
		return true;
	}
	return join(p, entry_of(p, "label"), label, " ", place);
}

/* Of places with plain numbers several notations are right, and which one is meant is asked. */
static void propose_notation(struct import_proposal *p, const struct member *m)
{
	enum notation only = NOTATION_KM_M;
	size_t n_right = 0;

	for (int n = 0; n < m->words->n; n++) {
		size_t read = 0, filled = 0;

		for (size_t i = 0; i < p->n_columns; i++) {
			const struct csv_cell *h = &p->headings->name[i];
			bool is_place = trade_word_score("a_chainage", h->text, h->len) > 0 ||
				trade_word_score("from", h->text, h->len) > 0;

			for (size_t r = 0; is_place && r < p->n_rows; r++) {
				const struct csv_cell *cell = cell_at(p, r, i);
				struct chainage ignored;
				struct problem why = { 0 };
				double number;

				if (cell->len == 0 || decimal_read(cell->text, cell->len, '.', &number)) {
					continue;
				}
				filled++;
				read += chainage_parse(cell->text, cell->len, (enum notation)n, &ignored, &why);
			}
		}
		if (filled > 0 && read == filled) {
			only = (enum notation)n;
			n_right++;
		}
	}
	if (n_right == 1) {
		add_column(p, &(struct import_column){ .field = m->name,
			.constant = m->words->code[only] });
	}
}

static bool has_name(const struct import_proposal *p)
{
	bool has = false;

	for (size_t i = 0; i < p->n_columns && !has; i++) {
		const struct csv_cell *h = &p->headings->name[i];

		has = trade_word_score("name", h->text, h->len) >= WHOLE_NAME;
	}
	return has;
}

static bool propose_line(struct import_proposal *p, const struct import_fields *fields,
	size_t code, size_t section)
{
	const size_t key[KEY_COLUMNS] = { code, section };
	size_t name = column_of(p, "name");

	if (import_settings_column(&p->settings, "notation") == NULL) {
		propose_notation(p, form_member(&fields->form, "notation"));
	}
	if (code == SIZE_MAX || (name == SIZE_MAX ? has_name(p) :
		!rows_differ(p, key, section != SIZE_MAX ? 2 : 1, name))) {
		return true;
	}
	if (import_settings_column(&p->settings, "name") == NULL) {
		add_column(p, &(struct import_column){ .field = "name" });
	}
	return join(p, entry_of(p, "name"), code, "/", section);
}

bool import_propose_trade(struct import_proposal *p, const struct import_fields *fields,
	bool taken[CSV_CELLS], struct problems *why)
{
	const char *line_field = p->kind->what == IMPORT_LINES ? "code" : "line";
	bool done[IMPORT_FIELDS] = { false };
	struct match match;
	size_t line, section;
	bool ok = true;

	for (size_t f = 0; fields->members[f].name != NULL; f++) {
		done[f] = import_settings_column(&p->settings, fields->members[f].name) != NULL;
	}
	while (ok && (match = best_match(p, fields, taken, done)).score > 0) {
		struct import_column one = { .field = match.member->name };

		done[match.member - fields->members] = true;
		if (!match.is_shared) {
			one.column = heading_text(p, match.column);
			ok = one.column != NULL && add_column(p, &one);
			taken[match.column] = true;
		}
	}
	line = column_of(p, line_field);
	ok = ok && propose_section(p, line_field, taken, &section) &&
		(p->kind->what != IMPORT_BONDS || propose_label(p, line, section)) &&
		(p->kind->what != IMPORT_LINES || propose_line(p, fields, line, section));
	return ok || problems_add(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
}
