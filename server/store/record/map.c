#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "rules/place/chainage.h"
#include "store/lists/list.h"
#include "store/record/bond.h"
#include "store/record/doer.h"
#include "store/record/line.h"
#include "store/sql.h"

enum { MAP_SLOTS = 256 };

/* Maps read once and kept until a map changes anywhere: the mark "maps" says so. */
struct kept_map {
	int64_t line_id, track_id;
	struct line_map map;
	struct kept_map *next;
};

struct map_cache {
	struct sql_mark mark;
	struct kept_map *slot[MAP_SLOTS];
};

static void clear(struct map_cache *cache)
{
	for (size_t i = 0; i < MAP_SLOTS; i++) {
		while (cache->slot[i] != NULL) {
			struct kept_map *next = cache->slot[i]->next;

			free((void *)cache->slot[i]->map.stretches);
			free(cache->slot[i]);
			cache->slot[i] = next;
		}
	}
}

void map_cache_free(struct map_cache *cache)
{
	if (cache != NULL) {
		clear(cache);
		free(cache);
	}
}

bool store_map_insert(struct store *store, int64_t line_id, int64_t track_id,
	const struct map_stretch *stretches, size_t count, const struct origin *origin,
	struct problem *why)
{
	static const char make[] = "INSERT INTO line_map (line_id, track_id, recorded_at_ms, "
		"recorded_by, import_id) VALUES ($1, $2, $3, $4, $5)";
	static const char add[] = "INSERT INTO map_stretch (map_id, n, distance_mm, start_mm, end_mm, "
		"is_long) VALUES ($1, $2, $3, $4, $5, $6)";
	const struct value values[] = { value_integer(line_id), value_id(track_id),
		value_integer(origin->now_ms), value_id(origin->person_id), value_id(origin->import_id) };
	int64_t map_id;

	if (!sql_run(store, make, values, 5, why)) {
		return false;
	}
	map_id = sql_last_id(store);
	for (size_t i = 0; i < count; i++) {
		const struct value row[] = { value_integer(map_id), value_integer((int64_t)i),
			value_integer(stretches[i].distance_mm), value_integer(stretches[i].start_mm),
			value_integer(stretches[i].end_mm), value_integer(stretches[i].is_long) };

		if (!sql_run(store, add, row, 6, why)) {
			return false;
		}
	}
	return sql_mark_step(store, "maps", why);
}

bool store_map_own(struct store *store, int64_t line_id, int64_t track_id, bool *own,
	struct problem *why)
{
	static const char sql[] = "SELECT max(m.id) FROM line_map m WHERE m.line_id = $1 "
		"AND m.track_id IS $2 AND " SQL_STANDS(NOUN_MAP, "m.id");
	const struct value values[] = { value_integer(line_id), value_id(track_id) };
	int64_t map_id = 0;
	bool ok = sql_integer(store, sql, values, 2, 0, &map_id, why);

	*own = map_id != 0;
	return ok;
}

/* The newest map of the track, else of the line; 0 when there is none. */
static bool map_in_force(struct store *store, int64_t line_id, int64_t track_id, int64_t *map_id,
	struct problem *why)
{
	static const char own[] = "SELECT max(m.id) FROM line_map m WHERE m.line_id = $1 "
		"AND m.track_id = $2 AND " SQL_STANDS(NOUN_MAP, "m.id");
	static const char lines[] = "SELECT max(m.id) FROM line_map m WHERE m.line_id = $1 "
		"AND m.track_id IS NULL AND " SQL_STANDS(NOUN_MAP, "m.id");
	const struct value values[] = { value_integer(line_id), value_integer(track_id) };

	return sql_integer(store, own, values, 2, 0, map_id, why) &&
		(*map_id != 0 || sql_integer(store, lines, values, 1, 0, map_id, why));
}

static bool read_stretches(struct store *store, int64_t map_id, struct kept_map *kept,
	struct problem *why)
{
	static const char count[] = "SELECT count(*) FROM map_stretch WHERE map_id = $1";
	static const char sql[] = "SELECT distance_mm, start_mm, end_mm, is_long FROM map_stretch "
		"WHERE map_id = $1 ORDER BY n";
	const struct value id = value_integer(map_id);
	struct map_stretch *all;
	int64_t n = 0;
	sqlite3_stmt *rows;

	if (!sql_integer(store, count, &id, 1, 0, &n, why)) {
		return false;
	}
	all = calloc(n > 0 ? (size_t)n : 1, sizeof *all);
	if (all == NULL) {
		return problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	kept->map.stretches = all;
	rows = sql_select(store, sql, &id, 1, why);
	while (kept->map.count < (size_t)n && sql_row(store, rows, why)) {
		all[kept->map.count++] = (struct map_stretch){ sqlite3_column_int64(rows, 0),
			sqlite3_column_int64(rows, 1), sqlite3_column_int64(rows, 2),
			sqlite3_column_int(rows, 3) != 0 };
	}
	if (rows != NULL) {
		sql_done(rows);
	}
	return why->code == PROBLEM_NONE;
}

static struct kept_map *read_map(struct store *store, int64_t line_id, int64_t track_id,
	struct problem *why)
{
	struct kept_map *kept = calloc(1, sizeof *kept);
	struct line line;
	int64_t map_id = 0;

	if (kept == NULL) {
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
		return NULL;
	}
	kept->line_id = line_id;
	kept->track_id = track_id;
	if (!store_line_get(store, line_id, &line, why) ||
		!map_in_force(store, line_id, track_id, &map_id, why) ||
		(map_id != 0 && !read_stretches(store, map_id, kept, why))) {
		free((void *)kept->map.stretches);
		free(kept);
		return NULL;
	}
	kept->map.notation = line.notation;
	return kept;
}

static struct map_cache *cache_of(struct store *store, struct problem *why)
{
	struct map_cache **cache = sql_map_cache(store);
	bool same;

	if (*cache == NULL) {
		*cache = calloc(1, sizeof **cache);
		if (*cache == NULL) {
			problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
			return NULL;
		}
	}
	if (!sql_mark_same(store, "maps", &(*cache)->mark, &same, why)) {
		return NULL;
	}
	if (!same) {
		clear(*cache);
	}
	return *cache;
}

const struct line_map *store_map_get(struct store *store, int64_t line_id, int64_t track_id,
	struct problem *why)
{
	struct map_cache *cache = cache_of(store, why);
	struct kept_map *kept;
	size_t slot = (size_t)(line_id * 31 + track_id) % MAP_SLOTS;

	if (cache == NULL) {
		return NULL;
	}
	for (kept = cache->slot[slot]; kept != NULL; kept = kept->next) {
		if (kept->line_id == line_id && kept->track_id == track_id) {
			return &kept->map;
		}
	}
	kept = read_map(store, line_id, track_id, why);
	if (kept == NULL) {
		return NULL;
	}
	kept->next = cache->slot[slot];
	cache->slot[slot] = kept;
	return &kept->map;
}

bool store_chainage(struct store *store, int64_t line_id, int64_t track_id, int64_t distance_mm,
	char *to, struct problem *why)
{
	const struct line_map *map = store_map_get(store, line_id, track_id, why);

	if (map == NULL) {
		return false;
	}
	if (chainage_write(distance_mm, map, to, CHAINAGE_SIZE) == 0) {
		snprintf(to, CHAINAGE_SIZE, "%.3f m from the datum", (double)distance_mm / 1000);
	}
	return true;
}

#define WORD_OF_WITHDRAWAL(column) "(SELECT " column " FROM withdrawal w WHERE " \
	"(w.noun = " NOUN_MAP " AND w.row_id = m.id) OR (w.noun = " NOUN_IMPORT \
	" AND w.row_id = m.import_id) ORDER BY w.id LIMIT 1)"

static const struct list_column columns[] = {
	{ { "id", "Number", NULL, CELL_INTEGER }, "m.id" },
	{ { "line", "Line", NULL, CELL_TEXT }, "l.code" },
	{ { "track", "Track", NULL, CELL_TEXT },
	  "coalesce(t.name, 'tracks without a map of their own')" },
	{ { "stretches", "Stretches", NULL, CELL_INTEGER },
	  "(SELECT count(*) FROM map_stretch x WHERE x.map_id = m.id)" },
	{ { "in_force", "In force", NULL, CELL_FLAG }, "m.id = (SELECT max(n.id) FROM line_map n "
	  "WHERE n.line_id = m.line_id AND n.track_id IS m.track_id AND "
	  SQL_STANDS(NOUN_MAP, "n.id") ")" },
	{ { "import", "Brought by import", NULL, CELL_INTEGER }, "m.import_id" },
	{ { "withdrawn", "Withdrawn", NULL, CELL_FLAG }, SQL_WITHDRAWN(NOUN_MAP, "m.id") },
	{ { "withdrawn_by", "Withdrawn by", NULL, CELL_TEXT, .width = 24 },
	  "CASE WHEN " SQL_WITHDRAWN(NOUN_MAP, "m.id") " THEN "
	  WORD_OF_WITHDRAWAL(NAME_OF("w.recorded_by")) " END" },
	{ { "withdrawn_why", "Why", NULL, CELL_TEXT, .width = 30 },
	  "CASE WHEN " SQL_WITHDRAWN(NOUN_MAP, "m.id") " THEN " WORD_OF_WITHDRAWAL("w.reason") " END" },
	COLUMNS_OF_ENTRY("m"),
};
static const struct list_filter filters[] = {
	{ "line", "Line", FILTER_ID, "m.line_id = {value}" },
};
static const struct list_sort sorts[] = {
	{ "newest", "newest first", { "m.id" }, .descending = true },
};
const struct list map_list = {
	.name = "maps", .title = "Chainage maps",
	.summary = "Each chainage map of each line and track; of several the newest that counts holds.",
	.from = "line_map m JOIN line l ON l.id = m.line_id LEFT JOIN track t ON t.id = m.track_id",
	.id = "m.id",
	.columns = columns, .n_columns = sizeof columns / sizeof columns[0],
	.filters = filters, .n_filters = 1, .sorts = sorts, .n_sorts = 1,
};
