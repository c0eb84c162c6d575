/*
 * The temperatures of a round. The newest entries of a day are kept with the connection, so that
 * the next one of that day asks only for what came since: to ask for all forty costs a fifth of
 * recording a visit. Entries never change, and one that is rolled back takes what is kept along.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "rules/judge.h"
#include "store/inspection.h"
#include "store/sql.h"

/* (of the newest entries of the day alone: a round is of these hours) */
enum { ENTRIES_MOST = 40 };

struct round_entry {
	int64_t person_id;      /* who recorded it */
	bool in_tunnel;
	double temp_c;          /* NAN: none was measured */
};

struct round_kept {
	int32_t day;
	int64_t newest_id;      /* of an inspection; 0: none is kept */
	struct round_entry entries[ENTRIES_MOST];   /* newest first */
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
		**kept = (struct round_kept){ .day = day };
	}
	return *kept;
}

/* Puts what came since and until before an inspection in front. */
static bool catch_up(struct store *store, struct round_kept *kept, int64_t before_id,
	struct problem *why)
{
	static const char sql[] = "SELECT i.id, i.recorded_by, i.surroundings, "
		"(SELECT min(r.temp_c) FROM reading r WHERE r.inspection_id = i.id AND r.quantity = 0 "
		"AND coalesce(r.temp_carried, 0) = 0) FROM inspection i "
		"WHERE i.day = $1 AND i.id > $2 AND i.id < $3 ORDER BY i.id DESC LIMIT $4";
	const struct value values[] = { value_integer(kept->day), value_integer(kept->newest_id),
		value_integer(before_id), value_integer(ENTRIES_MOST) };
	struct round_kept now = { .day = kept->day, .newest_id = kept->newest_id };
	sqlite3_stmt *rows = sql_select(store, sql, values, 4, why);

	while (sql_row(store, rows, why)) {
		if (now.n == 0) {
			now.newest_id = sqlite3_column_int64(rows, 0);
		}
		now.entries[now.n++] = (struct round_entry){ sqlite3_column_int64(rows, 1),
			sqlite3_column_int(rows, 2) == SURROUNDINGS_TUNNEL, column_real(rows, 3) };
	}
	for (size_t i = 0; i < kept->n && now.n < ENTRIES_MOST; i++) {
		now.entries[now.n++] = kept->entries[i];
	}
	if (why->code == PROBLEM_NONE) {
		*kept = now;
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
	for (size_t n = 0; n < kept->n && *count < ROUND_TEMPS_MOST; n++) {
		const struct round_entry *e = &kept->entries[n];

		if (e->person_id == person_id && !isnan(e->temp_c) &&
			e->in_tunnel == (i->surroundings == SURROUNDINGS_TUNNEL)) {
			to[(*count)++] = e->temp_c;
		}
	}
	return true;
}
