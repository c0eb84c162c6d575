/*
 * The temperatures of a round. The entries of a day are kept with the connection, so that the next
 * one of that day asks only for what came since: to ask for all of them each time costs more than
 * recording a visit. Entries never change, and one that is rolled back takes what is kept along.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "rules/judge/judge.h"
#include "store/record/inspection.h"
#include "store/sql.h"

/* The newest of the day, of all crews together, count: more than a large railway's crews note in a
 * shift, so that none of a round is lost among the others'. */
enum { ENTRIES_MOST = 2000, ENTRIES_ROOM = 2 * ENTRIES_MOST };

struct round_entry {
	int64_t person_id;      /* who recorded it */
	bool in_tunnel;
	double temp_c;
};

struct round_kept {
	int32_t day;
	int64_t newest_id;      /* of an inspection that was looked at; 0: none */
	struct round_entry entries[ENTRIES_ROOM];   /* with a temperature, oldest first */
	size_t n;
};

void round_kept_free(struct round_kept *kept)
{
	free(kept);
}

static struct round_kept *kept_of(struct store *store, int32_t day, int64_t before_id,
	struct problem *why)
{
	struct round_kept **kept = sql_round_kept(store);

	if (*kept == NULL) {
		*kept = calloc(1, sizeof **kept);
	}
	if (*kept == NULL) {
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	} else if ((*kept)->day != day || (*kept)->newest_id >= before_id) {
		(*kept)->day = day;
		(*kept)->newest_id = 0;
		(*kept)->n = 0;
	}
	return *kept;
}

static void drop_oldest(struct round_kept *kept)
{
	if (kept->n > ENTRIES_MOST) {
		memmove(kept->entries, kept->entries + kept->n - ENTRIES_MOST,
			ENTRIES_MOST * sizeof kept->entries[0]);
		kept->n = ENTRIES_MOST;
	}
}

static void reverse(struct round_entry *entries, size_t n)
{
	for (size_t i = 0; i < n / 2; i++) {
		struct round_entry one = entries[i];

		entries[i] = entries[n - 1 - i];
		entries[n - 1 - i] = one;
	}
}

/* Adds what came since and until before an inspection. */
static bool catch_up(struct store *store, struct round_kept *kept, int64_t before_id,
	struct problem *why)
{
	static const char sql[] = "SELECT i.id, i.recorded_by, i.surroundings, "
		"(SELECT min(r.temp_c) FROM reading r WHERE r.inspection_id = i.id AND r.quantity = 0 "
		"AND coalesce(r.temp_carried, 0) = 0) FROM inspection i "
		"WHERE i.day = $1 AND i.id > $2 AND i.id < $3 ORDER BY i.id DESC LIMIT $4";
	const struct value values[] = { value_integer(kept->day), value_integer(kept->newest_id),
		value_integer(before_id), value_integer(ENTRIES_MOST) };
	sqlite3_stmt *rows = sql_select(store, sql, values, 4, why);
	int64_t newest_id = 0;
	size_t n;

	drop_oldest(kept);
	n = kept->n;
	while (sql_row(store, rows, why)) {
		double temp_c = column_real(rows, 3);

		newest_id = newest_id == 0 ? sqlite3_column_int64(rows, 0) : newest_id;
		if (!isnan(temp_c)) {
			kept->entries[n++] = (struct round_entry){ sqlite3_column_int64(rows, 1),
				sqlite3_column_int(rows, 2) == SURROUNDINGS_TUNNEL, temp_c };
		}
	}
	if (why->code != PROBLEM_NONE) {
		return false;
	}
	reverse(kept->entries + kept->n, n - kept->n);
	kept->n = n;
	kept->newest_id = newest_id != 0 ? newest_id : kept->newest_id;
	return true;
}

bool store_round_temp_of(struct store *store, int64_t inspection_id, double *to,
	struct problem *why)
{
	static const char sql[] = "SELECT max(round_temp_c) FROM reading WHERE inspection_id = $1";
	sqlite3_stmt *row = sql_select(store, sql, (struct value[]){ value_integer(inspection_id) }, 1,
		why);

	*to = NAN;
	if (sql_row(store, row, why)) {
		*to = column_real(row, 0);
		sql_done(row);
	}
	return why->code == PROBLEM_NONE;
}

bool store_round_temps(struct store *store, const struct inspection *i, int64_t person_id,
	double *to, size_t *count, struct problem *why)
{
	struct round_kept *kept = kept_of(store, i->day, i->id, why);

	*count = 0;
	if (kept == NULL || !catch_up(store, kept, i->id, why)) {
		return false;
	}
	for (size_t n = kept->n; n > 0 && *count < ROUND_TEMPS_MOST; n--) {
		const struct round_entry *e = &kept->entries[n - 1];

		if (e->person_id == person_id && e->in_tunnel == (i->surroundings == SURROUNDINGS_TUNNEL)) {
			to[(*count)++] = e->temp_c;
		}
	}
	return true;
}
