#include "store/kept/judgement.h"

#include <endian.h>
#include <math.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

#include "rules/judge/asked.h"
#include "rules/judge/judge.h"
#include "store/sql.h"

#define COUNT(array) (sizeof (array) / sizeof (array)[0])

/* The words of a state: where each stands in the number. The bits are written to registers: add
 * only at the end. */
static const struct said_part {
	size_t at;
	int shift, bits;
	int least;                      /* the value that is kept as 0 */
} said_parts[] = {
	{ offsetof(struct reading_state, asked), 0, 16, 0 },
	{ offsetof(struct reading_state, status), 16, 3, 0 },
	{ offsetof(struct reading_state, parallel), 19, 1, 0 },
	{ offsetof(struct reading_state, told), 20, 3, 0 },
	{ offsetof(struct reading_state, verdict), 24, 3, 0 },
	{ offsetof(struct reading_state, remark), 27, 6, 0 },
	{ offsetof(struct reading_state, meter), 33, 4, 0 },
	{ offsetof(struct reading_state, limit_kind), 37, 4, -1 },
};
_Static_assert(ASKEDS <= 16 && STATUS_DROPPED_OVER < 8 && VERDICT_OVER < 8 && REMARKS <= 64 &&
	METER_STATED < 16 && LIMITS < 16, "each has its bits");

/* What stands in the bytes: two versions, then a byte that says which of these there are, by bits
 * in this order, then those. Likewise: add only at the end. */
static const struct figure {
	const char *name;
	size_t at;
} figures[READING_FIGURES] = {
	{ "r_uohm", offsetof(struct reading_state, r_uohm) },
	{ "r20_uohm", offsetof(struct reading_state, r20_uohm) },
	{ "thermal_uv", offsetof(struct reading_state, thermal_uv) },
	{ "equivalent_m", offsetof(struct reading_state, equivalent_m) },
	{ "limit_value", offsetof(struct reading_state, limit) },
	{ "u95", offsetof(struct reading_state, u95) },
	{ "p_within", offsetof(struct reading_state, p_within) },
};
static const struct figure versions[] = {
	{ "rulebook_version", offsetof(struct reading_state, rulebook_version) },
	{ "told_version", offsetof(struct reading_state, told_version) },
};
enum { VERSIONS = COUNT(versions), THERE_AT = VERSIONS * READING_VERSION_BYTES,
	FIGURES_AT = THERE_AT + 1, FIGURE_BYTES = 8 };

static void put_version(int64_t version, unsigned char *to)
{
	uint32_t bits = htole32((uint32_t)version);

	memcpy(to, &bits, READING_VERSION_BYTES);
}

static int64_t version_at(const unsigned char *from)
{
	uint32_t bits;

	memcpy(&bits, from, READING_VERSION_BYTES);
	return (int64_t)le32toh(bits);
}

static void put_real(double real, unsigned char *to)
{
	uint64_t bits;

	real += 0.0;   /* there is one zero */
	memcpy(&bits, &real, FIGURE_BYTES);
	bits = htole64(bits);
	memcpy(to, &bits, FIGURE_BYTES);
}

static double real_at(const unsigned char *from)
{
	uint64_t bits;
	double real;

	memcpy(&bits, from, FIGURE_BYTES);
	bits = le64toh(bits);
	memcpy(&real, &bits, FIGURE_BYTES);
	return real;
}

/* (of what had no verdict nobody asks under which version it had none: any that judges alike) */
static int64_t version_of(const struct reading_state *s, size_t which)
{
	int64_t version = *(const int64_t *)((const char *)s + versions[which].at);

	return which == 0 || s->told != VERDICT_NONE ? version : 0;
}

void reading_state_write(const struct reading_state *s, struct reading_kept *to)
{
	unsigned there = 0;

	to->said = 0;
	for (size_t i = 0; i < COUNT(said_parts); i++) {
		const struct said_part *p = &said_parts[i];

		to->said |= (int64_t)(*(const int *)((const char *)s + p->at) - p->least) << p->shift;
	}
	for (size_t i = 0; i < VERSIONS; i++) {
		put_version(version_of(s, i), &to->figures[i * READING_VERSION_BYTES]);
	}
	to->len = FIGURES_AT;
	for (size_t i = 0; i < READING_FIGURES; i++) {
		double real = *(const double *)((const char *)s + figures[i].at);

		if (isfinite(real)) {
			put_real(real, &to->figures[to->len]);
			to->len += FIGURE_BYTES;
			there |= 1u << i;
		}
	}
	to->figures[THERE_AT] = (unsigned char)there;
}

/* Where a figure begins; 0: there is none. */
static size_t place_of(const unsigned char *bytes, size_t len, size_t which)
{
	size_t place = FIGURES_AT;

	if (len < FIGURES_AT || (bytes[THERE_AT] >> which & 1) == 0) {
		return 0;
	}
	for (size_t i = 0; i < which; i++) {
		place += (bytes[THERE_AT] >> i & 1) != 0 ? FIGURE_BYTES : 0;
	}
	return place + FIGURE_BYTES <= len ? place : 0;
}

void reading_state_read(const struct reading_kept *kept, struct reading_state *to)
{
	*to = (struct reading_state){ 0 };
	for (size_t i = 0; i < COUNT(said_parts); i++) {
		const struct said_part *p = &said_parts[i];

		*(int *)((char *)to + p->at) = (int)(kept->said >> p->shift & ((1 << p->bits) - 1)) +
			p->least;
	}
	for (size_t i = 0; i < VERSIONS && kept->len >= FIGURES_AT; i++) {
		*(int64_t *)((char *)to + versions[i].at) =
			version_at(&kept->figures[i * READING_VERSION_BYTES]);
	}
	for (size_t i = 0; i < READING_FIGURES; i++) {
		size_t place = place_of(kept->figures, kept->len, i);

		*(double *)((char *)to + figures[i].at) = place > 0 ? real_at(&kept->figures[place]) : NAN;
	}
}

bool reading_kept_same(const struct reading_kept *a, const struct reading_kept *b)
{
	return a->said == b->said && a->len == b->len && memcmp(&a->figures[READING_VERSION_BYTES],
		&b->figures[READING_VERSION_BYTES], a->len - READING_VERSION_BYTES) == 0;
}

int64_t reading_kept_version(const struct reading_kept *kept)
{
	return version_at(kept->figures);
}

void reading_kept_put_version(struct reading_kept *kept, int64_t version)
{
	put_version(version, kept->figures);
}

/* figure(bytes, name): NULL when there is none. */
static void figure(sqlite3_context *context, int count, sqlite3_value **values)
{
	const unsigned char *bytes = sqlite3_value_blob(values[0]);
	size_t len = (size_t)sqlite3_value_bytes(values[0]);
	const char *name = (const char *)sqlite3_value_text(values[1]);

	(void)count;
	for (size_t i = 0; name != NULL && i < VERSIONS; i++) {
		if (strcmp(name, versions[i].name) == 0 && len >= FIGURES_AT) {
			sqlite3_result_int64(context, version_at(&bytes[i * READING_VERSION_BYTES]));
			return;
		}
	}
	for (size_t i = 0; name != NULL && i < READING_FIGURES; i++) {
		if (strcmp(name, figures[i].name) == 0) {
			size_t place = place_of(bytes, len, i);

			if (place > 0) {
				sqlite3_result_double(context, real_at(&bytes[place]));
			}
			return;
		}
	}
}

/* reading_figures(versions and figures in the order above): the bytes, for schema files. */
static void figures_of(sqlite3_context *context, int count, sqlite3_value **values)
{
	struct reading_state s = { .told = VERDICT_WITHIN };
	struct reading_kept kept;

	(void)count;
	for (size_t i = 0; i < VERSIONS; i++) {
		*(int64_t *)((char *)&s + versions[i].at) = sqlite3_value_int64(values[i]);
	}
	for (size_t i = 0; i < READING_FIGURES; i++) {
		*(double *)((char *)&s + figures[i].at) = taken_real(values[VERSIONS + i]);
	}
	reading_state_write(&s, &kept);
	sqlite3_result_blob(context, kept.figures, (int)kept.len, SQLITE_TRANSIENT);
}

bool sql_figures_open(sqlite3 *db)
{
	return sqlite3_create_function_v2(db, "figure", 2, SQLITE_UTF8 | SQLITE_DIRECTONLY |
		SQLITE_DETERMINISTIC, NULL, figure, NULL, NULL, NULL) == SQLITE_OK &&
		sqlite3_create_function_v2(db, "reading_figures", VERSIONS + READING_FIGURES,
		SQLITE_UTF8 | SQLITE_DIRECTONLY, NULL, figures_of, NULL, NULL, NULL) == SQLITE_OK;
}

bool store_reading_state_put(struct store *store, int64_t inspection_id, int64_t n,
	const struct reading_kept *kept, struct problem *why)
{
	static const char sql[] = "INSERT INTO reading_state (inspection_id, n, said, figures) "
		"VALUES ($1, $2, $3, $4) ON CONFLICT (inspection_id, n) DO UPDATE SET "
		"said = excluded.said, figures = excluded.figures";
	const struct value values[] = { value_integer(inspection_id), value_integer(n),
		value_integer(kept->said), value_bytes(kept->figures, kept->len) };

	return sql_run(store, sql, values, COUNT(values), why);
}

bool store_verdict_former_insert(struct store *store, int64_t inspection_id, int64_t n,
	const struct reading_state *former, double value, int64_t edition, int64_t now_ms,
	struct problem *why)
{
	static const char sql[] = "INSERT INTO verdict_former (inspection_id, n, rulebook_version, "
		"verdict, limit_kind, limit_value, value, u95, replaced_at_ms, edition) "
		"VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)";
	const struct value values[] = { value_integer(inspection_id), value_integer(n),
		value_integer(former->rulebook_version), value_integer(former->verdict),
		value_word(former->limit_kind), value_real(former->limit), value_real(value),
		value_real(former->u95), value_integer(now_ms), value_integer(edition) };

	return sql_run(store, sql, values, sizeof values / sizeof values[0], why);
}

bool store_verdicts_former(struct store *store, int64_t inspection_id, int64_t n,
	struct verdict_former **all, size_t *count, struct problem *why)
{
	static const char sql[] = "SELECT rulebook_version, verdict, limit_kind, limit_value, value, "
		"u95, edition, replaced_at_ms FROM verdict_former WHERE inspection_id = $1 AND n = $2 "
		"ORDER BY id";
	sqlite3_stmt *rows = sql_select(store, sql, (struct value[]){ value_integer(inspection_id),
		value_integer(n) }, 2, why);

	*all = NULL;
	*count = 0;
	while (sql_row(store, rows, why)) {
		if (!array_grow((void **)all, *count, sizeof **all, why)) {
			sql_done(rows);
			break;
		}
		(*all)[(*count)++] = (struct verdict_former){ sqlite3_column_int64(rows, 0),
			sqlite3_column_int(rows, 1), column_word(rows, 2), column_real(rows, 3),
			column_real(rows, 4), column_real(rows, 5), sqlite3_column_int64(rows, 6),
			sqlite3_column_int64(rows, 7) };
	}
	if (why->code != PROBLEM_NONE) {
		free(*all);
		*all = NULL;
		*count = 0;
	}
	return why->code == PROBLEM_NONE;
}

bool store_grade_former_insert(struct store *store, int64_t bond_id,
	const struct grade_former *former, struct problem *why)
{
	static const char sql[] = "INSERT INTO grade_former (bond_id, grade, reasons, "
		"rulebook_version, edition, replaced_at_ms) VALUES ($1, $2, $3, $4, $5, $6)";
	const struct value values[] = { value_integer(bond_id), value_integer(former->grade),
		value_integer(former->reasons), value_id(former->rulebook_version),
		value_integer(former->edition), value_integer(former->replaced_at_ms) };

	return sql_run(store, sql, values, sizeof values / sizeof values[0], why);
}

bool store_grades_former(struct store *store, int64_t bond_id, struct grade_former **all,
	size_t *count, struct problem *why)
{
	static const char sql[] = "SELECT grade, reasons, coalesce(rulebook_version, 0), edition, "
		"replaced_at_ms FROM grade_former WHERE bond_id = $1 ORDER BY id";
	sqlite3_stmt *rows = sql_select(store, sql, (struct value[]){ value_integer(bond_id) }, 1, why);

	*all = NULL;
	*count = 0;
	while (sql_row(store, rows, why)) {
		if (!array_grow((void **)all, *count, sizeof **all, why)) {
			sql_done(rows);
			break;
		}
		(*all)[(*count)++] = (struct grade_former){ (enum grade)sqlite3_column_int(rows, 0),
			(unsigned)sqlite3_column_int64(rows, 1), sqlite3_column_int64(rows, 2),
			sqlite3_column_int64(rows, 3), sqlite3_column_int64(rows, 4) };
	}
	if (why->code != PROBLEM_NONE) {
		free(*all);
		*all = NULL;
		*count = 0;
	}
	return why->code == PROBLEM_NONE;
}
