/*
 * Visits lie by bond and day (an index has all that is asked of them); readings, and what is kept
 * of them, lie by the number of the inspection, which follows the days on which records came in. So
 * the readings of many bonds are walked in that order, run by run, and put in their visits' order
 * afterwards: stepping into the tables once for each visit costs three times as much.
 */
#include "store/record/record_parts.h"

#include <stdlib.h>
#include <string.h>

#include "base/clock.h"
#include "rules/plausible.h"

/* Between neighbours of a run at most so many numbers are of other bonds' inspections: passing over
 * their readings is cheaper than asking again. */
enum { GAP_MOST = 4 };

enum { DAY_MS = 86400000 };

struct record_turn {
	int64_t inspection_id;
	size_t visit;
};

/* A reading as it came, without what the rules make of it. */
struct record_arrival {
	size_t visit;
	struct reading_values values;
	struct meter meter;
	int64_t instrument_id;
	double round_temp_c;
	struct record_reading key;
};

/* Rows come by day, and are given in the order of rules/judge/judge.h. What comes after moves
 * on. */
static size_t place_of(struct records *to, struct record *r, const struct judge_visit *v)
{
	size_t at = to->n_visits;

	if (r->n_visits == 0) {
		r->visit = at;
	}
	for (; at > r->visit && judge_visit_is_before(v, &to->visits[at - 1]); at--) {
		to->visits[at] = to->visits[at - 1];
		to->visit_ids[at] = to->visit_ids[at - 1];
		to->visit_imports[at] = to->visit_imports[at - 1];
	}
	return at;
}

/* (only of what may be dated ahead is the register's day of its arrival asked for) */
static int32_t counted_day(int32_t day, int64_t arrived_at_ms)
{
	return day <= arrived_at_ms / DAY_MS ? DAY_NONE : day_counted(day, clock_day_of(arrived_at_ms));
}

static struct judge_visit read_visit(sqlite3_value **row)
{
	int32_t day = sqlite3_value_int(row[2]);
	int64_t arrived_at_ms = sqlite3_value_int64(row[7]);

	return (struct judge_visit){ .day = day, .counted_day = counted_day(day, arrived_at_ms),
		.purpose = (enum purpose)sqlite3_value_int(row[3]),
		.outcome = (enum outcome)sqlite3_value_int(row[4]), .seen_a = taken_word(row[5]),
		.seen_b = taken_word(row[6]), .arrived_at_ms = arrived_at_ms,
		.cables_whole = sqlite3_value_type(row[8]) == SQLITE_NULL ? -1 :
		sqlite3_value_int64(row[8]), .alone = sqlite3_value_int(row[9]) != 0,
		.strength_a = taken_word(row[10]), .strength_b = taken_word(row[11]),
		.at_ms = sqlite3_value_int64(row[13]) };
}

/* (an engineer may have stated since what the rows of its import meant) */
static bool is_meant(struct place *p, struct judge_visit *v, int64_t import_id,
	struct problem *why)
{
	int meant = -1;

	if (import_id == 0 || (v->seen_a >= 0 && v->seen_b >= 0)) {
		return true;
	}
	if (!store_known_meant(p->store, p->known, import_id, &meant, why)) {
		return false;
	}
	v->outcome = outcome_as_meant(v->outcome, v->seen_a, v->seen_b, meant);
	return true;
}

static bool add_visit(struct place *p, struct record *r, sqlite3_value **row,
	struct problem *why)
{
	struct records *to = p->to;
	const struct array arrays[] = { { (void **)&to->visits, sizeof *to->visits },
		{ (void **)&to->visit_ids, sizeof *to->visit_ids },
		{ (void **)&to->visit_imports, sizeof *to->visit_imports },
		{ (void **)&to->visit_ends, sizeof *to->visit_ends } };
	struct judge_visit v = read_visit(row);
	size_t at;

	if (!is_meant(p, &v, sqlite3_value_int64(row[12]), why)) {
		return false;
	}
	if (!arrays_room(arrays, 4, &to->room_visits, to->n_visits + 1, why)) {
		return false;
	}
	at = place_of(to, r, &v);
	to->visits[at] = v;
	to->visit_ids[at] = sqlite3_value_int64(row[1]);
	to->visit_imports[at] = sqlite3_value_int64(row[12]);
	to->visit_ends[to->n_visits] = 0;
	r->n_visits++;
	if (v.outcome == OUTCOME_COMPLETE) {
		r->inspected_day = v.counted_day != DAY_NONE ? v.counted_day : v.day;
	}
	to->n_visits++;
	return true;
}

static bool take_visit(void *arg, sqlite3_value **row, struct problem *why)
{
	struct place *p = arg;
	struct record *r = record_of(p, row);

	return !record_is_past(p, row) && (r == NULL ||
		sqlite3_value_int(row[2]) > p->to->until_day ||
		record_is_replaced(p->to, sqlite3_value_int64(row[1])) || add_visit(p, r, row, why));
}

static bool read_visits(struct place *p, struct problem *why)
{
	static const char *const sql[] = RECORD_WALK("inspection i", "i.bond_id", "i.bond_id, i.id, "
		"i.day, i.purpose, i.outcome, i.seen_a, i.seen_b, i.recorded_at_ms, i.cables_whole, "
		"i.alone, i.strength_a, i.strength_b, i.import_id, i.done_at_ms",
		"i.bond_id, i.day, i.id");

	return record_replaced(p, RECORD_CORRECTED("inspection", NOUN_INSPECTION), why) &&
		record_walk(p, sql, take_visit, why);
}

static int by_inspection(const void *a, const void *b)
{
	const struct record_turn *one = a, *two = b;

	return one->inspection_id < two->inspection_id ? -1 : one->inspection_id > two->inspection_id;
}

static bool sort_turns(struct records *to, struct problem *why)
{
	if (!array_room((void **)&to->turns, &to->room_turns, to->n_visits,
		sizeof *to->turns, why)) {
		return false;
	}
	for (size_t v = 0; v < to->n_visits; v++) {
		to->turns[v] = (struct record_turn){ to->visit_ids[v], v };
	}
	if (to->n_visits > 1) {
		qsort(to->turns, to->n_visits, sizeof *to->turns, by_inspection);
	}
	return true;
}

static bool add_reading(struct place *p, size_t visit, sqlite3_value **row, struct problem *why)
{
	struct records *to = p->to;
	struct record_arrival *a;

	if (!array_room((void **)&to->arrivals, &to->room_arrivals, to->n_arrivals + 1,
		sizeof *to->arrivals, why)) {
		return false;
	}
	a = &to->arrivals[to->n_arrivals++];
	*a = (struct record_arrival){ .visit = visit,
		.values = { .quantity = (enum quantity)sqlite3_value_int(row[2]),
		.method = (enum reading_method)sqlite3_value_int(row[3]),
		.forward_uv = taken_real(row[4]), .reverse_uv = taken_real(row[5]),
		.current_a = taken_real(row[6]), .shown_uohm = taken_real(row[7]),
		.lead_uohm = taken_real(row[8]), .rail_uv = taken_real(row[9]),
		.rail_m = taken_real(row[10]), .joint_m = taken_real(row[11]),
		.temp_c = taken_real(row[12]), .is_lug_only = taken_word(row[14]) == PROBED_LUG,
		.is_carried = sqlite3_value_int(row[15]) != 0 },
		.instrument_id = sqlite3_value_int64(row[13]), .round_temp_c = taken_real(row[16]),
		.key = { .inspection_id = to->visit_ids[visit], .n = sqlite3_value_int64(row[1]) } };
	to->visit_ends[visit]++;
	return a->instrument_id == 0 ? store_known_stated(p->store, p->known,
		to->visit_imports[visit], &a->meter, why) : store_known_meter(p->store, p->known,
		a->instrument_id, to->visits[visit].day, &a->meter, why);
}

/* Those of other bonds' visits in between are passed over. */
static bool take_reading(void *arg, sqlite3_value **row, struct problem *why)
{
	struct place *p = arg;
	const struct record_turn *turns = p->to->turns;
	int64_t inspection_id = sqlite3_value_int64(row[0]);

	while (p->at < p->end && turns[p->at].inspection_id < inspection_id) {
		p->at++;
	}
	return p->at < p->end && (turns[p->at].inspection_id > inspection_id ||
		add_reading(p, turns[p->at].visit, row, why));
}

/* A walk through rows by inspection, of the run. */
static bool walk_run(struct place *p, const char *const sql[2], sql_take *take,
	struct problem *why)
{
	return sql_walk(p->store, sql[p->end == p->turn + 1 ? WALK_ONE : WALK_FROM],
		p->to->turns[p->turn].inspection_id, take, p, why);
}

static bool read_readings(struct place *p, struct problem *why)
{
	static const char *const sql[] = RECORD_WALK("reading r", "r.inspection_id",
		"r.inspection_id, r.n, r.quantity, r.method, r.forward_uv, r.reverse_uv, r.current_a, "
		"r.shown_uohm, r.lead_uohm, r.rail_uv, r.rail_m, r.joint_m, r.temp_c, r.instrument_id, "
		"r.probed, r.temp_carried, r.round_temp_c", "r.inspection_id, r.n");

	p->at = p->turn;
	return walk_run(p, sql, take_reading, why);
}

static void read_state(sqlite3_value **row, struct reading_kept *to)
{
	const void *bytes = sqlite3_value_blob(row[3]);
	size_t len = (size_t)sqlite3_value_bytes(row[3]);

	to->said = sqlite3_value_int64(row[2]);
	to->len = len < sizeof to->figures ? len : sizeof to->figures;
	if (to->len > 0) {
		memcpy(to->figures, bytes, to->len);
	}
}

static bool take_state(void *arg, sqlite3_value **row, struct problem *why)
{
	struct place *p = arg;
	int64_t inspection_id = sqlite3_value_int64(row[0]), n = sqlite3_value_int64(row[1]);
	struct record_reading *key = NULL;

	(void)why;
	for (; p->at < p->to->n_arrivals; p->at++) {
		key = &p->to->arrivals[p->at].key;
		if (key->inspection_id > inspection_id ||
			(key->inspection_id == inspection_id && key->n >= n)) {
			break;
		}
	}
	if (p->at == p->to->n_arrivals) {
		return false;
	}
	if (key->inspection_id == inspection_id && key->n == n) {
		key->has_state = true;
		read_state(row, &key->kept);
	}
	return true;
}

/* What is kept of the readings from arrivals[at] on, which are the run's. */
static bool read_states(struct place *p, size_t at, struct problem *why)
{
	static const char *const sql[] = RECORD_WALK("reading_state t", "t.inspection_id",
		"t.inspection_id, t.n, t.said, t.figures", "t.inspection_id, t.n");

	p->at = at;
	return walk_run(p, sql, take_state, why);
}

static bool read_runs(struct place *p, struct problem *why)
{
	const struct records *to = p->to;
	bool ok = true;

	for (p->turn = 0; ok && p->turn < to->n_visits; p->turn = p->end) {
		size_t arrived = to->n_arrivals;

		p->end = p->turn + 1;
		while (p->end < to->n_visits && to->turns[p->end].inspection_id -
			to->turns[p->end - 1].inspection_id <= GAP_MOST + 1) {
			p->end++;
		}
		ok = read_readings(p, why) && (to->without_states || read_states(p, arrived, why));
	}
	return ok;
}

/* visit_ends has how many readings each visit has; becomes where they begin, and with each one that
 * is put, in the end, where they end. */
static bool put_in_order(struct records *to, struct problem *why)
{
	const struct array arrays[] = { { (void **)&to->readings, sizeof *to->readings },
		{ (void **)&to->reading_keys, sizeof *to->reading_keys } };
	size_t at = 0;

	if (!arrays_room(arrays, 2, &to->room_readings, to->n_arrivals, why)) {
		return false;
	}
	for (size_t v = 0; v < to->n_visits; v++) {
		size_t count = to->visit_ends[v];

		to->visit_ends[v] = at;
		at += count;
	}
	for (size_t i = 0; i < to->n_arrivals; i++) {
		const struct record_arrival *a = &to->arrivals[i];
		size_t place = to->visit_ends[a->visit]++;

		to->readings[place] = (struct judge_reading){ .visit = a->visit, .values = a->values,
			.meter = a->meter, .instrument_id = a->instrument_id, .round_temp_c = a->round_temp_c };
		to->reading_keys[place] = a->key;
	}
	to->n_readings = to->n_arrivals;
	return true;
}

/* Visits, and so readings, lie by bond. */
static void share_out(struct records *to)
{
	size_t at = 0;

	for (size_t i = 0; i < to->n_bonds; i++) {
		struct record *r = &to->bonds[i];

		r->reading = at;
		if (r->n_visits > 0) {
			r->n_readings = to->visit_ends[r->visit + r->n_visits - 1] - at;
		}
		for (; at < r->reading + r->n_readings; at++) {
			to->readings[at].visit -= r->visit;
			to->readings[at].values.material = r->bond.material;
		}
	}
}

bool record_visits(struct place *p, struct problem *why)
{
	struct records *to = p->to;

	to->n_visits = to->n_readings = to->n_arrivals = 0;
	if (!read_visits(p, why) || !sort_turns(to, why) || !read_runs(p, why) ||
		!put_in_order(to, why)) {
		return false;
	}
	share_out(to);
	return true;
}
