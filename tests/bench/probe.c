/*
 * What the register gives without the server, for comparison.
 *
 * usage: bench-probe due REGISTER LINE_ID ROWS SECONDS [FILE]
 *            the raw loop: the due list's statement as the program prepares it, and each answer's
 *            bytes in one write, once to FILE and then to /dev/null
 *        bench-probe describe REGISTER LINE_ID ROWS
 *            that statement, its values and columns as JSON, for a server in another language
 *        bench-probe repeat REGISTER
 *            the repeat places of the whole network, computed from the failures
 *        bench-probe recompute REGISTER
 *            every bond and reading, read with what is kept of it, judged, and held against that
 *
 * The totals of an answer are counted once: the server too keeps them until the register changes.
 */
#include <fcntl.h>
#include <inttypes.h>
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <time.h>
#include <unistd.h>

#include "base/clock.h"
#include "base/day.h"
#include "derived/derive.h"
#include "derived/rebuild.h"
#include "service/access/register.h"
#include "store/lists/list_build.h"
#include "store/record/bond.h"

enum { COLUMNS_MOST = 64, ANSWER_MOST = 1 << 20 };

struct raw {
	struct store *store;
	struct list_query query;
	struct build build;
	struct text totals;
	struct text head[COLUMNS_MOST];    /* ,"label": */
	sqlite3_stmt *rows;
	int n_columns;                     /* hidden ones too */
};

static char answer[ANSWER_MOST];

static void must(bool ok, const char *what)
{
	if (!ok) {
		fprintf(stderr, "bench-probe: %s\n", what);
		exit(EXIT_FAILURE);
	}
}

static void ask(struct raw *r, char **argv)
{
	const struct query_pair pairs[] = { { "line", argv[3] }, { "limit", argv[4] } };
	struct problems wrong = { 0 };
	struct problem why = { 0 };
	int64_t numbers[LIST_TOTALS];

	r->store = store_open(argv[2], STORE_READ, &why);
	must(r->store != NULL && register_clock(r->store, &why), why.detail);
	must(list_query_read(&due_list, pairs, 2, clock_today(), &r->query, &wrong),
		wrong.item[0].detail);
	must(list_totals(r->store, &r->query, numbers, &why), why.detail);
	for (size_t i = 0; i < due_list.n_totals; i++) {
		text_addf(&r->totals, "%s\"%s\":%" PRId64, i > 0 ? "," : "", due_list.totals[i].name,
			numbers[i]);
	}
	r->build.query = &r->query;
	list_build_rows(&r->build);
	r->rows = sql_select(r->store, r->build.sql.data, r->build.values, r->build.count, &why);
	must(r->rows != NULL, why.detail);
	r->n_columns = (int)due_list.n_columns;
	must(r->n_columns <= COLUMNS_MOST, "the list has more columns than there is room for");
	for (int i = 0; i < r->n_columns; i++) {
		text_addf(&r->head[i], "%c\"%s\":", i > 0 ? ',' : '{', due_list.columns[i].shown.name);
	}
}

static char *put(char *to, const char *bytes, size_t len)
{
	memcpy(to, bytes, len);
	return to + len;
}

static char *put_integer(char *to, int64_t value)
{
	char digits[24];
	size_t at = sizeof digits;
	uint64_t left = value < 0 ? 0 - (uint64_t)value : (uint64_t)value;

	do {
		digits[--at] = (char)('0' + left % 10);
		left /= 10;
	} while (left > 0);
	if (value < 0) {
		digits[--at] = '-';
	}
	return put(to, digits + at, sizeof digits - at);
}

static char *put_quoted(char *to, const char *bytes, size_t len)
{
	*to++ = '"';
	for (size_t i = 0; i < len; i++) {
		if (bytes[i] == '"' || bytes[i] == '\\') {
			*to++ = '\\';
		}
		*to++ = bytes[i];
	}
	*to++ = '"';
	return to;
}

static char *put_cell(char *to, const struct column *column, const struct cell *cell)
{
	static struct text real;

	if (cell->is_null) {
		return put(to, "null", 4);
	}
	switch (column->type) {
	case CELL_INTEGER:
		return put_integer(to, cell->integer);
	case CELL_FLAG:
		return cell->integer != 0 ? put(to, "true", 4) : put(to, "false", 5);
	case CELL_WORD:
		return put_quoted(to, column->words->code[cell->integer],
			strlen(column->words->code[cell->integer]));
	case CELL_TEXT:
		return put_quoted(to, cell->text, cell->len);
	case CELL_DAY:
		*to = '"';
		day_write((int32_t)cell->integer, to + 1);
		to[DAY_TEXT_SIZE] = '"';
		return to + DAY_TEXT_SIZE + 1;
	case CELL_REAL:
		text_clear(&real);
		text_add_real(&real, cell->real);
		return put(to, real.data, real.len);
	case CELL_INSTANT:
		break;
	}
	must(false, "the raw loop cannot write this kind of column yet");
	return to;
}

static void fetch(const struct raw *r, struct cell *cells)
{
	for (int i = 0; i < r->n_columns; i++) {
		struct cell *cell = &cells[i];

		*cell = (struct cell){ .is_null = sqlite3_column_type(r->rows, i) == SQLITE_NULL };
		if (cell->is_null) {
			continue;
		}
		if (due_list.columns[i].shown.type == CELL_TEXT) {
			cell->text = (const char *)sqlite3_column_text(r->rows, i);
			cell->len = (size_t)sqlite3_column_bytes(r->rows, i);
		} else if (due_list.columns[i].shown.type == CELL_REAL) {
			cell->real = sqlite3_column_double(r->rows, i);
		} else {
			cell->integer = sqlite3_column_int64(r->rows, i);
		}
	}
	due_list.finish(r->query.today, cells);
}

/* Where the next page begins: the sort's name and keys of the last row, as base64. */
static void keep_cursor(const struct raw *r, char *cursor, size_t size)
{
	int n = 0;
	size_t at = (size_t)snprintf(cursor, size, "%s", r->query.sort->name);

	while (n < LIST_SORT_KEYS && r->query.sort->keys[n] != NULL) {
		n++;
	}
	for (int i = 0; i <= n && at < size; i++) {
		at += (size_t)snprintf(cursor + at, size - at, "\x1f%s",
			(const char *)sqlite3_column_text(r->rows, r->n_columns + i));
	}
}

/* One answer as the server gives it; its length. */
static size_t answer_once(const struct raw *r)
{
	struct cell cells[COLUMNS_MOST];
	char cursor[256] = "";
	char *to = put(answer, "{\"rows\":[", 9);
	size_t given = 0;
	bool more = false;

	while (sqlite3_step(r->rows) == SQLITE_ROW) {
		if (given == r->query.limit) {
			more = true;
			break;
		}
		fetch(r, cells);
		if (given++ > 0) {
			to = put(to, ",\n", 2);
		}
		for (int i = 0; i < r->n_columns && !due_list.columns[i].hidden; i++) {
			to = put(to, r->head[i].data, r->head[i].len);
			to = put_cell(to, &due_list.columns[i].shown, &cells[i]);
		}
		*to++ = '}';
		if (given == r->query.limit) {
			keep_cursor(r, cursor, sizeof cursor);
		}
	}
	sqlite3_reset(r->rows);
	if (more) {
		to = put(to, "],\"next\":\"", 10);
		sodium_bin2base64(to, 512, (const unsigned char *)cursor, strlen(cursor),
			sodium_base64_VARIANT_URLSAFE_NO_PADDING);
		to = put(to + strlen(to), "\"", 1);
	} else {
		to = put(to, "],\"next\":null", 13);
	}
	to = put(to, ",\"totals\":{", 11);
	to = put(to, r->totals.data, r->totals.len);
	return (size_t)(put(to, "}}", 2) - answer);
}

static double seconds_of(clockid_t clock)
{
	struct timespec t;

	clock_gettime(clock, &t);
	return (double)t.tv_sec + (double)t.tv_nsec / 1e9;
}

static void write_out(const char *path, size_t len, int *fd)
{
	if (*fd < 0) {
		*fd = open(path, O_WRONLY | O_CREAT | O_TRUNC, 0600);
	}
	must(write(*fd, answer, len) == (ssize_t)len, path);
}

static void due(struct raw *r, double seconds, const char *path)
{
	int kept = -1, null = -1;
	size_t len, count = 0;
	double begun, cpu;

	len = answer_once(r);
	if (path != NULL) {
		write_out(path, len, &kept);
		close(kept);
	}
	begun = seconds_of(CLOCK_MONOTONIC);
	cpu = seconds_of(CLOCK_PROCESS_CPUTIME_ID);
	while (seconds_of(CLOCK_MONOTONIC) < begun + seconds) {
		write_out("/dev/null", answer_once(r), &null);
		count++;
	}
	printf("{\"requests\": %zu, \"seconds\": %.6f, \"cpu_s\": %.6f}\n", count,
		seconds_of(CLOCK_MONOTONIC) - begun, seconds_of(CLOCK_PROCESS_CPUTIME_ID) - cpu);
}

static void describe_column(const struct list_column *column, struct text *to)
{
	static const char *const types[] = { [CELL_INTEGER] = "integer", [CELL_REAL] = "real",
		[CELL_TEXT] = "text", [CELL_DAY] = "day", [CELL_INSTANT] = "instant",
		[CELL_FLAG] = "flag", [CELL_WORD] = "word" };
	const struct words *words = column->shown.words;

	text_addf(to, "{\"name\":\"%s\",\"type\":\"%s\",\"hidden\":%s,\"words\":[",
		column->shown.name, types[column->shown.type], column->hidden ? "true" : "false");
	for (int i = 0; words != NULL && i < words->n; i++) {
		text_addf(to, "%s\"%s\"", i > 0 ? "," : "", words->code[i]);
	}
	text_add_z(to, "]}");
}

/* (the values of a list of one line are whole numbers) */
static void describe(const struct raw *r)
{
	struct text to = { 0 };

	text_add_z(&to, "{\"sql\":");
	text_add_json(&to, r->build.sql.data, r->build.sql.len);
	text_add_z(&to, ",\"values\":[");
	for (size_t i = 0; i < r->build.count; i++) {
		text_addf(&to, "%s%" PRId64, i > 0 ? "," : "", r->build.values[i].integer);
	}
	text_addf(&to, "],\"sort\":\"%s\",\"limit\":%zu,\"totals\":{%s},\"columns\":[",
		r->query.sort->name, r->query.limit, r->totals.data);
	for (int i = 0; i < r->n_columns; i++) {
		text_add_z(&to, i > 0 ? "," : "");
		describe_column(&due_list.columns[i], &to);
	}
	text_add_z(&to, "]}");
	must(!to.failed, "out of memory");
	puts(to.data);
	text_release(&to);
}

static void repeat(const char *path)
{
	struct failure_group *groups = NULL;
	struct view view = { 0 };
	struct problem why = { 0 };
	size_t count = 0, failures = 0, places = 0;
	struct store *store = store_open(path, STORE_READ, &why);
	double cpu;

	must(store != NULL && register_clock(store, &why), why.detail);
	view = (struct view){ .store = store, .today = clock_today() };
	cpu = seconds_of(CLOCK_PROCESS_CPUTIME_ID);
	must(store_read_begin(store, &why), why.detail);
	must(store_failure_groups(store, 0, &groups, &count, &why), why.detail);
	for (size_t i = 0; i < count; i++) {
		struct derived_places found;

		must(derive_places(&view, &groups[i], &found, &why), why.detail);
		failures += found.n_failures;
		places += found.n_places;
		derived_places_release(&found);
	}
	printf("{\"cpu_s\": %.6f, \"groups\": %zu, \"failures\": %zu, \"places\": %zu}\n",
		seconds_of(CLOCK_PROCESS_CPUTIME_ID) - cpu, count, failures, places);
	store_read_end(store);
	free(groups);
	view_release(&view);
	store_close(store);
}

/* What check does of bonds and readings, without the file's own check. */
static void recompute(const char *path)
{
	const struct origin origin = { .now_ms = clock_now_ms() };
	struct view view = { 0 };
	struct act act = { 0 };
	struct problems many = { 0 };
	struct problem why = { 0 };
	struct check_result result = { 0 };
	struct store *store = store_open(path, STORE_READ, &why);
	double cpu;

	must(store != NULL && register_clock(store, &why), why.detail);
	view = (struct view){ .store = store, .today = clock_today() };
	must(act_begin(&act, &view, &origin, &many), many.item[0].detail);
	must(store_read_begin(store, &why), why.detail);
	cpu = seconds_of(CLOCK_PROCESS_CPUTIME_ID);
	must(check_bonds(&act, &result, &many), many.item[0].detail);
	printf("{\"cpu_s\": %.6f, \"bonds\": %" PRId64 ", \"readings\": %" PRId64
		", \"differences\": %zu}\n", seconds_of(CLOCK_PROCESS_CPUTIME_ID) - cpu,
		result.bonds, result.readings, result.differences);
	store_read_end(store);
	act_release(&act);
	view_release(&view);
	store_close(store);
}

int main(int argc, char **argv)
{
	struct raw raw = { 0 };

	must(sodium_init() >= 0, "libsodium");
	if (argc == 3 && strcmp(argv[1], "repeat") == 0) {
		repeat(argv[2]);
		return EXIT_SUCCESS;
	}
	if (argc == 3 && strcmp(argv[1], "recompute") == 0) {
		recompute(argv[2]);
		return EXIT_SUCCESS;
	}
	must(argc >= 5, "usage: bench-probe due|describe|repeat|recompute REGISTER ...");
	ask(&raw, argv);
	if (strcmp(argv[1], "describe") == 0) {
		describe(&raw);
	} else {
		must(argc >= 6, "say for how many seconds");
		due(&raw, strtod(argv[5], NULL), argc > 6 ? argv[6] : NULL);
	}
	for (int i = 0; i < raw.n_columns; i++) {
		text_release(&raw.head[i]);
	}
	text_release(&raw.totals);
	text_release(&raw.build.sql);
	store_close(raw.store);
	return EXIT_SUCCESS;
}
