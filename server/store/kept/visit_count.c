#include "store/kept/visit_count.h"

#include <stdlib.h>

#include "store/sql.h"

/* (a day and the word in one number, the day first) */
void visit_kept_write(const struct visit_kept *visit, unsigned char to[VISIT_BYTES])
{
	uint32_t both = (uint32_t)visit->day << 2 | (uint32_t)visit->timely;

	_Static_assert(TIMELY_DEFERRED == 3, "a word has two bits");
	for (int i = 0; i < VISIT_BYTES; i++) {
		to[i] = (unsigned char)(both >> (24 - 8 * i));
	}
}

struct visit_kept visit_kept_read(const unsigned char from[VISIT_BYTES])
{
	uint32_t both = (uint32_t)from[0] << 24 | (uint32_t)from[1] << 16 | (uint32_t)from[2] << 8 |
		from[3];
	uint32_t day = both >> 2 | ((both >> 31) != 0 ? (uint32_t)3 << 30 : 0);   /* with its sign */

	return (struct visit_kept){ (int32_t)day, (enum timely)(both & 3) };
}

static void visits_among(sqlite3_context *context, int count, sqlite3_value **values)
{
	const unsigned char *bytes = sqlite3_value_blob(values[0]);
	int len = sqlite3_value_bytes(values[0]);
	int64_t from_day = sqlite3_value_int64(values[1]), to_day = sqlite3_value_int64(values[2]);
	int64_t timely = sqlite3_value_int64(values[3]);
	int has = 0;

	(void)count;
	for (int at = 0; at + VISIT_BYTES <= len && !has; at += VISIT_BYTES) {
		struct visit_kept v = visit_kept_read(&bytes[at]);

		has = v.day >= from_day && v.day <= to_day && (timely >> v.timely & 1) != 0;
	}
	sqlite3_result_int(context, has);
}

bool sql_visits_open(sqlite3 *db)
{
	return sqlite3_create_function_v2(db, "visits_among", 4, SQLITE_UTF8 | SQLITE_DIRECTONLY |
		SQLITE_DETERMINISTIC, NULL, visits_among, NULL, NULL, NULL) == SQLITE_OK;
}

static int compare(const void *a, const void *b)
{
	const struct visit_cell *x = a, *y = b;

	return x->day != y->day ? (x->day < y->day ? -1 : 1) :
		x->line_id != y->line_id ? (x->line_id < y->line_id ? -1 : 1) :
		(int)x->timely - (int)y->timely;
}

static bool add_cell(struct store *store, const struct visit_cell *c, int64_t by,
	struct problem *why)
{
	static const char sql[] = "INSERT INTO visit_count (day, line_id, timely, visits) "
		"VALUES ($1, $2, $3, $4) ON CONFLICT (day, line_id, timely) "
		"DO UPDATE SET visits = visit_count.visits + excluded.visits";
	const struct value values[] = { value_integer(c->day), value_integer(c->line_id),
		value_integer(c->timely), value_integer(by) };

	return by == 0 || sql_run(store, sql, values, 4, why);
}

bool store_visit_cells_add(struct store *store, struct visit_cell *cells, size_t count,
	struct problem *why)
{
	size_t next;

	if (count > 1) {
		qsort(cells, count, sizeof *cells, compare);
	}
	for (size_t i = 0; i < count; i = next) {
		int64_t by = 0;

		for (next = i; next < count && compare(&cells[i], &cells[next]) == 0; next++) {
			by += cells[next].by;
		}
		if (!add_cell(store, &cells[i], by, why)) {
			return false;
		}
	}
	return true;
}

/* Calls `each` for each visit that is kept with a bond. */
static bool walk_visits(struct store *store, store_visit_each *each, void *arg,
	struct problem *why)
{
	static const char sql[] = "SELECT line_id, visits FROM bond_state ORDER BY bond_id";
	sqlite3_stmt *row = sql_select(store, sql, NULL, 0, why);

	while (sql_row(store, row, why)) {
		int64_t line_id = sqlite3_column_int64(row, 0);
		const unsigned char *bytes = sqlite3_column_blob(row, 1);
		size_t count = (size_t)sqlite3_column_bytes(row, 1) / VISIT_BYTES;

		for (size_t i = 0; i < count; i++) {
			struct visit_kept v = visit_kept_read(&bytes[i * VISIT_BYTES]);

			each(arg, &(struct visit_cell){ v.day, line_id, v.timely, 1 });
		}
	}
	return why->code == PROBLEM_NONE;
}

/* So many at a time are added up before they are written. */
enum { PILE = 1 << 18 };

struct pile {
	struct store *store;
	struct visit_cell *cells;
	size_t count;
	struct problem why;
};

static void pile_up(void *arg, const struct visit_cell *cell)
{
	struct pile *p = arg;

	if (p->count == PILE && p->why.code == PROBLEM_NONE) {
		store_visit_cells_add(p->store, p->cells, p->count, &p->why);
		p->count = 0;
	}
	if (p->why.code == PROBLEM_NONE) {
		p->cells[p->count++] = *cell;
	}
}

bool store_visit_count_make(struct store *store, struct problem *why)
{
	struct pile p = { .store = store, .cells = calloc(PILE, sizeof *p.cells) };
	bool ok = p.cells != NULL ? sql_run(store, "DELETE FROM visit_count", NULL, 0, why) :
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");

	ok = ok && walk_visits(store, pile_up, &p, why);
	if (ok && p.why.code != PROBLEM_NONE) {
		*why = p.why;
		ok = false;
	}
	ok = ok && store_visit_cells_add(store, p.cells, p.count, why);
	free(p.cells);
	return ok;
}

bool store_visit_lines(struct store *store, int32_t from_day, int32_t to_day, unsigned timely,
	int64_t **ids, size_t *count, struct problem *why)
{
	static const char sql[] = "SELECT DISTINCT line_id FROM visit_count WHERE day BETWEEN $1 AND $2 "
		"AND visits > 0 AND $3 >> timely & 1 ORDER BY line_id";
	const struct value values[] = { value_integer(from_day), value_integer(to_day),
		value_integer(timely) };
	sqlite3_stmt *row = sql_select(store, sql, values, 3, why);

	*ids = NULL;
	*count = 0;
	while (sql_row(store, row, why)) {
		if (!array_grow((void **)ids, *count, sizeof **ids, why)) {
			sql_done(row);
			break;
		}
		(*ids)[(*count)++] = sqlite3_column_int64(row, 0);
	}
	return why->code == PROBLEM_NONE;
}

bool store_visit_counts(struct store *store, int32_t from_day, int32_t to_day,
	store_visit_each *each, void *arg, struct problem *why)
{
	static const char sql[] = "SELECT day, line_id, timely, visits FROM visit_count "
		"WHERE day BETWEEN $1 AND $2";
	const struct value values[] = { value_integer(from_day), value_integer(to_day) };
	sqlite3_stmt *row = sql_select(store, sql, values, 2, why);

	while (sql_row(store, row, why)) {
		each(arg, &(struct visit_cell){ sqlite3_column_int(row, 0), sqlite3_column_int64(row, 1),
			(enum timely)sqlite3_column_int(row, 2), sqlite3_column_int(row, 3) });
	}
	return why->code == PROBLEM_NONE;
}

/* A number of the cell that no other has, as good as (splitmix64, Steele and others 2014). */
static uint64_t mixed(uint64_t z)
{
	z += UINT64_C(0x9e3779b97f4a7c15);
	z = (z ^ z >> 30) * UINT64_C(0xbf58476d1ce4e5b9);
	z = (z ^ z >> 27) * UINT64_C(0x94d049bb133111eb);
	return z ^ z >> 31;
}

static void add_up(void *arg, const struct visit_cell *c)
{
	uint64_t *sum = arg;
	uint64_t cell = mixed(mixed((uint64_t)c->line_id) ^ ((uint64_t)(uint32_t)c->day << 2 |
		(uint64_t)c->timely));

	*sum += cell * (uint64_t)(int64_t)c->by;
}

/* Each cell's number is added once for each of its visits: two ways to count that differ anywhere
 * come to one sum once in 2^64, and no table of a register's cells is needed. */
bool store_visit_count_wrong(struct store *store, bool *wrong, struct problem *why)
{
	uint64_t kept = 0, counted = 0;
	bool ok = store_visit_counts(store, INT32_MIN, INT32_MAX, add_up, &kept, why) &&
		walk_visits(store, add_up, &counted, why);

	*wrong = kept != counted;
	return ok;
}
