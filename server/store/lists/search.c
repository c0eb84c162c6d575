#include "store/lists/search.h"

#include <string.h>

#include "store/lists/search_parts.h"
#include "store/sql.h"

#define BOND_COLUMNS "SELECT s.bond_id, s.distance_mm, s.label, l.code, t.name, s.chainage, " \
	"s.kind, s.status, s.rail FROM bond_state s JOIN line l ON l.id = s.line_id " \
	"LEFT JOIN track t ON t.id = s.track_id "

static void read_bond(sqlite3_stmt *row, struct found_bond *b)
{
	*b = (struct found_bond){ .id = sqlite3_column_int64(row, 0),
		.distance_mm = sqlite3_column_int64(row, 1),
		.kind = (enum bond_kind)sqlite3_column_int(row, 6),
		.status = (enum bond_status)sqlite3_column_int(row, 7), .rail = column_word(row, 8) };
	column_text(row, 2, b->label, sizeof b->label);
	column_text(row, 3, b->line, sizeof b->line);
	column_text(row, 4, b->track, sizeof b->track);
	column_text(row, 5, b->chainage, sizeof b->chainage);
}

static void to_capitals(const char *text, char *to, size_t size)
{
	size_t len = strlen(text);

	len = len < size ? len : size - 1;
	for (size_t i = 0; i < len; i++) {
		to[i] = (char)(text[i] >= 'a' && text[i] <= 'z' ? text[i] - 'a' + 'A' : text[i]);
	}
	to[len] = '\0';
}

/* What begins with a text stands before the text with U+10FFFF after it. */
#define LAST_OF_ALL "\xF4\x8F\xBF\xBF"

static bool add_labels(struct store *store, const char *text, struct found_bond *to, size_t *count,
	struct problem *why)
{
	static const char sql[] = BOND_COLUMNS
		"WHERE s.label >= $1 AND s.label < $2 ORDER BY s.label, s.bond_id LIMIT $3";
	char end[SEARCH_TEXT_SIZE + 4];
	size_t len = strlen(text);
	sqlite3_stmt *rows;

	memcpy(end, text, len);
	memcpy(end + len, LAST_OF_ALL, sizeof LAST_OF_ALL);
	rows = sql_select(store, sql, (struct value[]){ value_text(text), value_text(end),
		value_integer((int64_t)(SEARCH_ROWS - *count)) }, 3, why);
	while (sql_row(store, rows, why)) {
		read_bond(rows, &to[(*count)++]);
	}
	return why->code == PROBLEM_NONE;
}

static bool is_new(const struct found_bond *to, size_t count, int64_t id)
{
	for (size_t i = 0; i < count; i++) {
		if (to[i].id == id) {
			return false;
		}
	}
	return true;
}

/* Adds those that are not there yet. */
static bool join_found(const struct found_bond *found, size_t n, struct found_bond *to,
	size_t *count)
{
	for (size_t i = 0; i < n && *count < SEARCH_ROWS; i++) {
		if (is_new(to, *count, found[i].id)) {
			to[(*count)++] = found[i];
		}
	}
	return true;
}

bool search_add_label(struct store *store, const char *text, struct found_bond *to,
	size_t *count, struct problem *why)
{
	struct found_bond found[SEARCH_ROWS];
	size_t n;

	return store_search_bonds(store, text, found, &n, why) && join_found(found, n, to, count);
}

bool search_add_structure(struct store *store, const char *text, struct found_bond *to,
	size_t *count, struct problem *why)
{
	static const char sql[] = "SELECT s.bond_id, s.distance_mm, s.label, l.code, t.name, "
		"s.chainage, s.kind, s.status, s.rail, e.structure FROM end_fact e JOIN bond_state s "
		"ON s.bond_id = e.bond_id AND s.version = e.version JOIN line l ON l.id = s.line_id "
		"LEFT JOIN track t ON t.id = s.track_id WHERE e.structure COLLATE NOCASE >= $1 "
		"AND e.structure COLLATE NOCASE < $2 AND e.structure IS NOT NULL "
		"ORDER BY e.structure COLLATE NOCASE, e.bond_id LIMIT $3";
	struct found_bond found[SEARCH_ROWS];
	char end[SEARCH_TEXT_SIZE + 4];
	size_t len = strlen(text), n = 0;
	sqlite3_stmt *rows;

	memcpy(end, text, len);
	memcpy(end + len, LAST_OF_ALL, sizeof LAST_OF_ALL);
	rows = sql_select(store, sql, (struct value[]){ value_text(text), value_text(end),
		value_integer(SEARCH_ROWS) }, 3, why);
	while (sql_row(store, rows, why)) {
		read_bond(rows, &found[n]);
		column_text(rows, 9, found[n].structure, sizeof found[n].structure);
		n++;
	}
	return why->code == PROBLEM_NONE && join_found(found, n, to, count);
}

bool store_search_bonds(struct store *store, const char *text, struct found_bond *to,
	size_t *count, struct problem *why)
{
	char capitals[SEARCH_TEXT_SIZE];

	*count = 0;
	to_capitals(text, capitals, sizeof capitals);
	return add_labels(store, text, to, count, why) && (strcmp(text, capitals) == 0 ||
		*count == SEARCH_ROWS || add_labels(store, capitals, to, count, why));
}

bool store_search_near(struct store *store, int64_t line_id, int64_t distance_mm, bool after,
	size_t most, struct found_bond *to, size_t *count, struct problem *why)
{
	static const char from[] = BOND_COLUMNS "WHERE s.line_id = $1 AND s.distance_mm >= $2 "
		"ORDER BY s.distance_mm, s.bond_id LIMIT $3";
	static const char before[] = BOND_COLUMNS "WHERE s.line_id = $1 AND s.distance_mm < $2 "
		"ORDER BY s.distance_mm DESC, s.bond_id DESC LIMIT $3";
	const struct value values[] = { value_integer(line_id), value_integer(distance_mm),
		value_integer((int64_t)most) };
	sqlite3_stmt *rows = sql_select(store, after ? from : before, values, 3, why);

	*count = 0;
	while (sql_row(store, rows, why)) {
		read_bond(rows, &to[(*count)++]);
	}
	return why->code == PROBLEM_NONE;
}

/* The patterns of what begins so, and of a later word that does. LIKE takes the letters A to Z for
 * their small ones by itself; lower() around a column would cost twice as much again. */
struct patterns {
	char first[2 * SEARCH_TEXT_SIZE + 2];
	char word[2 * SEARCH_TEXT_SIZE + 4];
};

static void make_patterns(const char *text, struct patterns *to)
{
	size_t at = 0;

	for (; *text != '\0' && at < 2 * SEARCH_TEXT_SIZE - 2; text++) {
		if (*text == '%' || *text == '_' || *text == '\\') {
			to->first[at++] = '\\';
		}
		to->first[at++] = *text;
	}
	to->first[at++] = '%';
	to->first[at] = '\0';
	memcpy(to->word, "% ", 2);
	memcpy(to->word + 2, to->first, at + 1);
}

#define BEGINS(column) column " LIKE $1 ESCAPE '\\'"
#define HAS_WORD(column) "(" BEGINS(column) " OR " column " LIKE $2 ESCAPE '\\')"

#define LINE_COLUMNS "SELECT l.id, l.code, " LINE_SAID("name") ", l.notation, " \
	LINE_SAID("electrification") ", " \
	"(SELECT count(*) FROM bond_state s WHERE s.line_id = l.id) FROM line l WHERE "
#define SHORT_FIRST "length(l.code), l.code LIMIT 8"

static bool read_lines(struct store *store, sqlite3_stmt *rows, struct found_line *to,
	size_t *count, struct problem *why)
{
	*count = 0;
	while (sql_row(store, rows, why)) {
		struct found_line *l = &to[(*count)++];

		*l = (struct found_line){ .line = { .id = sqlite3_column_int64(rows, 0),
			.notation = (enum notation)sqlite3_column_int(rows, 3),
			.electrification = (enum electrification)sqlite3_column_int(rows, 4) },
			.bonds = sqlite3_column_int64(rows, 5) };
		column_text(rows, 1, l->line.code, sizeof l->line.code);
		column_text(rows, 2, l->line.name, sizeof l->line.name);
	}
	return why->code == PROBLEM_NONE;
}

bool store_search_lines(struct store *store, const char *text, bool names,
	struct found_line *to, size_t *count, struct problem *why)
{
	static const char of_code[] = LINE_COLUMNS "lower(l.code) >= $1 AND lower(l.code) < $2 "
		"AND " SQL_STANDS(NOUN_LINE, "l.id") " ORDER BY "
		SHORT_FIRST;
	static const char of_both[] = LINE_COLUMNS "l.id IN (SELECT w.line_id FROM line_word w "
		"WHERE w.word >= $1 AND w.word < $2) AND " SQL_STANDS(NOUN_LINE, "l.id") " ORDER BY CASE WHEN lower(l.code) >= $1 "
		"AND lower(l.code) < $2 THEN 0 ELSE 1 END, " SHORT_FIRST;
	char small[SEARCH_TEXT_SIZE], end[SEARCH_TEXT_SIZE + 4];
	size_t len = strlen(text);

	for (size_t i = 0; i <= len; i++) {
		small[i] = (char)(text[i] >= 'A' && text[i] <= 'Z' ? text[i] - 'A' + 'a' : text[i]);
	}
	memcpy(end, small, len);
	memcpy(end + len, LAST_OF_ALL, sizeof LAST_OF_ALL);
	return read_lines(store, sql_select(store, names ? of_both : of_code, (struct value[]){
		value_text(small), value_text(end) }, 2, why), to, count, why);
}

bool store_search_people(struct store *store, const char *text, struct found_person *to,
	size_t *count, struct problem *why)
{
	static const char sql[] = "SELECT p.id, f.name, p.login, f.role, f.active FROM person p "
		"JOIN person_fact f ON f.person_id = p.id WHERE NOT EXISTS (SELECT 1 FROM person_fact n "
		"WHERE n.person_id = f.person_id AND n.version > f.version) "
		"AND (" HAS_WORD("f.name") " OR " BEGINS("p.login") ") ORDER BY f.name, p.id LIMIT 8";
	struct patterns p;
	sqlite3_stmt *rows;

	make_patterns(text, &p);
	*count = 0;
	rows = sql_select(store, sql, (struct value[]){ value_text(p.first), value_text(p.word) }, 2,
		why);
	while (sql_row(store, rows, why)) {
		struct found_person *f = &to[(*count)++];

		*f = (struct found_person){ .id = sqlite3_column_int64(rows, 0),
			.role = (enum role)sqlite3_column_int(rows, 3),
			.active = sqlite3_column_int(rows, 4) != 0 };
		column_text(rows, 1, f->name, sizeof f->name);
		column_text(rows, 2, f->login, sizeof f->login);
	}
	return why->code == PROBLEM_NONE;
}

bool store_search_instruments(struct store *store, const char *text,
	struct found_instrument *to, size_t *count, struct problem *why)
{
	static const char sql[] = "SELECT i.id, i.serial, i.name, (SELECT c.due_day FROM calibration c "
		"WHERE c.instrument_id = i.id AND " SQL_STANDS(NOUN_CALIBRATION, "c.id") " "
		"ORDER BY c.calibrated_day DESC, c.id DESC LIMIT 1) "
		"FROM instrument i WHERE " BEGINS("i.serial") " OR " HAS_WORD("i.name")
		" ORDER BY i.serial LIMIT 8";
	struct patterns p;
	sqlite3_stmt *rows;

	make_patterns(text, &p);
	*count = 0;
	rows = sql_select(store, sql, (struct value[]){ value_text(p.first), value_text(p.word) }, 2,
		why);
	while (sql_row(store, rows, why)) {
		struct found_instrument *i = &to[(*count)++];

		*i = (struct found_instrument){ .id = sqlite3_column_int64(rows, 0),
			.due_day = column_day(rows, 3) };
		column_text(rows, 1, i->serial, sizeof i->serial);
		column_text(rows, 2, i->name, sizeof i->name);
	}
	return why->code == PROBLEM_NONE;
}
