#include "store/record/known.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/clock.h"
#include "base/day.h"
#include "rules/conductor.h"
#include "store/record/calibration.h"
#include "store/record/work.h"
#include "store/setting.h"
#include "store/sql.h"

/* The days on which one calibration of an instrument is the newest, or one day before the first. */
struct window {
	int32_t from_day, to_day;           /* both count */
	size_t count;                       /* that one, and the next after these days */
	struct calibration calibrations[2];
	int64_t methods;                    /* of the instrument */
	struct window *next;
};

/* One thing asked for, by two numbers; found by open addressing. (A table of our own: it is asked
 * for every reading that is judged, and uthash, which is of chains of allocated items, hashes and
 * follows them where here the thing lies at the number.) */
struct kept {
	bool there;
	int64_t key, more;
	double first, second;               /* of a cable, of a rail, stated or meant of an import */
	struct window *windows;             /* of an instrument, the one asked for last first */
};

struct shelf {
	struct kept *slots;
	size_t count, room;                 /* room is a power of two, at most half of it in use */
	struct kept *last;                  /* found last: neighbours have much in common */
};

enum shelf_of { METERS, CABLES, RAILS, STATED, MEANT, SHELVES };

struct known {
	struct sql_mark mark;
	struct shelf shelf[SHELVES];
	int32_t began_day;                  /* of the register */
	/* found last: most readings of a visit were taken with one instrument */
	int64_t meter_id;                   /* 0: none */
	int32_t meter_day;
	struct meter meter;
};

static void forget_windows(struct kept *kept)
{
	while (kept->windows != NULL) {
		struct window *next = kept->windows->next;

		free(kept->windows);
		kept->windows = next;
	}
}

static void known_forget(struct known *known)
{
	for (size_t s = 0; s < SHELVES; s++) {
		for (size_t i = 0; i < known->shelf[s].room; i++) {
			forget_windows(&known->shelf[s].slots[i]);
		}
		free(known->shelf[s].slots);
		known->shelf[s] = (struct shelf){ 0 };
	}
	known->meter_id = 0;
}

void known_free(struct known *known)
{
	if (known != NULL) {
		known_forget(known);
	}
	free(known);
}

/* Of an older register, when its file was made. */
static bool read_began(struct store *store, int32_t *day, struct problem *why)
{
	char value[SETTING_VALUE_SIZE];
	int64_t made_at_ms = 0;

	if (!store_setting_get(store, SETTING_BEGAN_DAY, value, why)) {
		return false;
	}
	if (day_read(value, strlen(value), day)) {
		return true;
	}
	if (!store_made_at(store, &made_at_ms, why)) {
		return false;
	}
	*day = clock_day_of(made_at_ms);
	return true;
}

static const char mark[] = "known";

struct known *store_known(struct store *store, struct problem *why)
{
	struct known **known = sql_known(store);
	bool same, is_new = *known == NULL;

	if (is_new) {
		*known = calloc(1, sizeof **known);
	}
	if (*known == NULL) {
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
		return NULL;
	}
	if (!sql_mark_same(store, mark, &(*known)->mark, &same, why)) {
		return NULL;
	}
	if (!same || is_new) {
		known_forget(*known);
		if (!read_began(store, &(*known)->began_day, why)) {
			return NULL;
		}
	}
	return *known;
}

int32_t store_known_began(const struct known *known)
{
	return known->began_day;
}

bool store_known_changed(struct store *store, struct problem *why)
{
	return sql_mark_step(store, mark, why);
}

static struct kept *slot_of(const struct shelf *shelf, int64_t key, int64_t more)
{
	uint64_t hash = ((uint64_t)key * 31 + (uint64_t)more) * 0x9E3779B97F4A7C15u;
	size_t at = (size_t)(hash >> 32) & (shelf->room - 1);

	while (shelf->slots[at].there && (shelf->slots[at].key != key || shelf->slots[at].more != more)) {
		at = (at + 1) & (shelf->room - 1);
	}
	return &shelf->slots[at];
}

static bool grow(struct shelf *shelf, struct problem *why)
{
	struct shelf more = { .count = shelf->count, .room = shelf->room > 0 ? shelf->room * 2 : 64 };

	if (shelf->count * 2 < shelf->room) {
		return true;
	}
	more.slots = calloc(more.room, sizeof *more.slots);
	if (more.slots == NULL) {
		return problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	for (size_t i = 0; i < shelf->room; i++) {
		if (shelf->slots[i].there) {
			*slot_of(&more, shelf->slots[i].key, shelf->slots[i].more) = shelf->slots[i];
		}
	}
	free(shelf->slots);
	*shelf = more;
	return true;
}

/* The slot of a thing, to be filled when it is new; NULL: out of memory. */
static struct kept *find(struct shelf *shelf, int64_t key, int64_t more, struct problem *why)
{
	struct kept *kept = shelf->last;

	if (kept != NULL && kept->there && kept->key == key && kept->more == more) {
		return kept;
	}
	if (!grow(shelf, why)) {
		return NULL;
	}
	kept = slot_of(shelf, key, more);
	kept->key = key;
	kept->more = more;
	shelf->last = kept;
	return kept;
}

static void put(struct shelf *shelf, struct kept *kept)
{
	kept->there = true;
	shelf->count++;
}

#define CALIBRATION "SELECT c.calibrated_day, c.due_day, c.uncertainty_percent, " \
	"c.uncertainty_uohm, c.as_found, c.figure_kind FROM calibration c " \
	"WHERE " SQL_STANDS(NOUN_CALIBRATION, "c.id") " "

static bool add_calibration(struct store *store, const char *sql, int64_t instrument_id,
	int32_t day, struct window *to, struct problem *why)
{
	sqlite3_stmt *row = sql_select(store, sql, (struct value[]){ value_integer(instrument_id),
		value_integer(day) }, 2, why);

	if (sql_row(store, row, why)) {
		to->calibrations[to->count++] = calibration_read(row, 0);
		sql_done(row);
	}
	return why->code == PROBLEM_NONE;
}

/* The one calibration that can count, until when, and what the next one found: an instrument has a
 * long row of them, and a bond's readings were taken with many instruments. */
static bool read_window(struct store *store, int64_t instrument_id, int32_t day, struct window *to,
	struct problem *why)
{
	static const char newest[] = CALIBRATION "AND c.instrument_id = $1 AND c.calibrated_day <= $2 "
		"ORDER BY c.calibrated_day DESC, c.id DESC LIMIT 1";
	static const char next[] = CALIBRATION "AND c.instrument_id = $1 AND c.calibrated_day = "
		"(SELECT min(n.calibrated_day) FROM calibration n WHERE n.instrument_id = $1 "
		"AND n.calibrated_day > $2 AND " SQL_STANDS(NOUN_CALIBRATION, "n.id") ") "
		"ORDER BY c.id DESC LIMIT 1";

	*to = (struct window){ .from_day = day, .to_day = day };
	if (!add_calibration(store, newest, instrument_id, day, to, why) ||
		!store_instrument_methods(store, instrument_id, &to->methods, why)) {
		return false;
	}
	if (to->count == 0) {
		return true;
	}
	if (!add_calibration(store, next, instrument_id, day, to, why)) {
		return false;
	}
	to->from_day = to->calibrations[0].calibrated_day;
	to->to_day = to->count == 1 ? INT32_MAX : to->calibrations[1].calibrated_day - 1;
	return true;
}

/* The window of a day, moved to the front; NULL: none is kept. */
static const struct window *window_kept(struct kept *instrument, int32_t day)
{
	for (struct window **at = &instrument->windows; *at != NULL; at = &(*at)->next) {
		struct window *w = *at;

		if (w->from_day <= day && day <= w->to_day) {
			*at = w->next;
			w->next = instrument->windows;
			instrument->windows = w;
			return w;
		}
	}
	return NULL;
}

/* NULL: *why is set. */
static const struct window *window_on(struct store *store, struct kept *instrument, int32_t day,
	struct problem *why)
{
	const struct window *kept = window_kept(instrument, day);
	struct window *made;

	if (kept != NULL) {
		return kept;
	}
	made = malloc(sizeof *made);
	if (made == NULL) {
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
		return NULL;
	}
	if (!read_window(store, instrument->key, day, made, why)) {
		free(made);
		return NULL;
	}
	made->next = instrument->windows;
	instrument->windows = made;
	return made;
}

bool store_known_meter(struct store *store, struct known *known, int64_t instrument_id,
	int32_t day, struct meter *to, struct problem *why)
{
	struct shelf *shelf = &known->shelf[METERS];
	const struct window *window;
	struct kept *kept;

	if (instrument_id == 0) {
		*to = (struct meter){ METER_NOT_RECORDED, NAN, NAN };
		return true;
	}
	if (instrument_id == known->meter_id && day == known->meter_day) {
		*to = known->meter;
		return true;
	}
	kept = find(shelf, instrument_id, 0, why);
	if (kept == NULL) {
		return false;
	}
	if (!kept->there) {
		put(shelf, kept);
	}
	window = window_on(store, kept, day, why);
	if (window == NULL) {
		return false;
	}
	meter_on(window->calibrations, window->count, day, to);
	to->methods = window->methods;
	known->meter_id = instrument_id;
	known->meter_day = day;
	known->meter = *to;
	return true;
}

static bool read_stated(struct store *store, struct kept *k, struct problem *why)
{
	static const char sql[] = "SELECT g.percent, g.uohm FROM ruling g WHERE g.import_id = $1 "
		"AND g.percent IS NOT NULL AND " SQL_STANDS(NOUN_RULING, "g.id") " "
		"ORDER BY g.id DESC LIMIT 1";
	sqlite3_stmt *row = sql_select(store, sql, (struct value[]){ value_integer(k->key) }, 1, why);

	k->first = k->second = NAN;
	if (sql_row(store, row, why)) {
		k->first = column_real(row, 0);
		k->second = column_real(row, 1);
		sql_done(row);
	}
	return why->code == PROBLEM_NONE;
}

bool store_known_stated(struct store *store, struct known *known, int64_t import_id,
	struct meter *to, struct problem *why)
{
	struct shelf *shelf = &known->shelf[STATED];
	struct kept *kept;

	*to = (struct meter){ METER_NOT_RECORDED, NAN, NAN };
	if (import_id == 0) {
		return true;
	}
	kept = find(shelf, import_id, 0, why);
	if (kept == NULL || (!kept->there && !read_stated(store, kept, why))) {
		return false;
	}
	if (!kept->there) {
		put(shelf, kept);
	}
	if (!isnan(kept->first)) {
		*to = (struct meter){ METER_STATED, kept->first, kept->second };
	}
	return true;
}

bool store_known_meant(struct store *store, struct known *known, int64_t import_id, int *meant,
	struct problem *why)
{
	static const char sql[] = "SELECT " SQL_ROW_MEANT("$1");
	struct shelf *shelf = &known->shelf[MEANT];
	struct kept *kept;
	int64_t said = -1;

	*meant = -1;
	if (import_id == 0) {
		return true;
	}
	kept = find(shelf, import_id, 0, why);
	if (kept == NULL || (!kept->there && !sql_integer(store, sql,
		(struct value[]){ value_integer(import_id) }, 1, -1, &said, why))) {
		return false;
	}
	if (!kept->there) {
		kept->first = (double)said;
		put(shelf, kept);
	}
	*meant = (int)kept->first;
	return true;
}

static bool read_number(struct store *store, const char *sql, const struct value *values,
	size_t count, double *to, struct problem *why)
{
	sqlite3_stmt *row = sql_select(store, sql, values, count, why);

	if (sql_row(store, row, why)) {
		*to = column_real(row, 0);
		sql_done(row);
	}
	return why->code == PROBLEM_NONE;
}

bool store_known_cable(struct store *store, struct known *known, int material,
	int64_t conductor_class, double area_mm2, double *uohm_per_m, struct problem *why)
{
	static const char sql[] = "SELECT k.uohm_per_m FROM conductor k WHERE k.material = $1 "
		"AND k.conductor_class = $2 AND abs(k.area_mm2 - $3) < 0.01 "
		"AND " SQL_STANDS(NOUN_CONDUCTOR, "k.id") " ORDER BY k.id DESC LIMIT 1";
	struct shelf *shelf = &known->shelf[CABLES];
	struct kept *kept;

	*uohm_per_m = NAN;
	if (material < 0 || conductor_class == 0 || !isfinite(area_mm2)) {
		return true;
	}
	/* (areas are to 0.01 mm², as in the published table) */
	kept = find(shelf, material * 16 + conductor_class, llround(area_mm2 * 1000), why);
	if (kept == NULL) {
		return false;
	}
	if (!kept->there) {
		const struct value values[] = { value_integer(material), value_integer(conductor_class),
			value_real(area_mm2) };

		kept->first = conductor_uohm_per_m(material, conductor_class, area_mm2);
		if (!read_number(store, sql, values, 3, &kept->first, why)) {
			return false;
		}
		put(shelf, kept);
	}
	*uohm_per_m = kept->first;
	return true;
}

static bool read_rail(struct store *store, struct kept *k, struct problem *why)
{
	static const char fact[] = "SELECT rail_profile, rail_between_joints_m FROM track_fact "
		"WHERE track_id = $1 ORDER BY version DESC LIMIT 1";
	static const char own[] = "SELECT p.uohm_per_m FROM rail_profile p WHERE p.code = $1 "
		"AND " SQL_STANDS(NOUN_PROFILE, "p.id") " ORDER BY p.id DESC LIMIT 1";
	sqlite3_stmt *row = sql_select(store, fact, (struct value[]){ value_integer(k->key) }, 1, why);
	const struct rail_row *published;
	char profile[32] = "";

	k->first = k->second = NAN;
	if (sql_row(store, row, why)) {
		column_text(row, 0, profile, sizeof profile);
		k->second = column_real(row, 1);
		sql_done(row);
	}
	if (why->code != PROBLEM_NONE || profile[0] == '\0') {
		return why->code == PROBLEM_NONE;
	}
	published = rail_find(profile);
	if (published != NULL) {
		k->first = rail_uohm_per_m(published);
	}
	return read_number(store, own, (struct value[]){ value_text(profile) }, 1, &k->first, why);
}

bool store_known_rail(struct store *store, struct known *known, int64_t track_id,
	struct known_rail *to, struct problem *why)
{
	struct shelf *shelf = &known->shelf[RAILS];
	struct kept *kept;

	*to = (struct known_rail){ NAN, NAN };
	if (track_id == 0) {
		return true;
	}
	kept = find(shelf, track_id, 0, why);
	if (kept == NULL || (!kept->there && !read_rail(store, kept, why))) {
		return false;
	}
	if (!kept->there) {
		put(shelf, kept);
	}
	*to = (struct known_rail){ kept->first, kept->second };
	return true;
}
