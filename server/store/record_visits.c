/*
 * Visits lie by bond and day (an index has all that is asked of them); readings, and what is kept of
 * them, lie by the number of the inspection, which follows the days on which records came in. So
 * the readings of many bonds are walked in that order, run by run, and put in their visits' order
 * afterwards: stepping into the tables once for each visit costs three times as much.
 */
#include "store/record_parts.h"

#include <stdlib.h>

/* Between neighbours of a run at most so many numbers are of other bonds' inspections: passing over
 * their readings is cheaper than asking again. */
enum { GAP_MOST = 4 };

struct record_turn {
	int64_t inspection_id;
	size_t visit;
};

/* A reading as it came, without what the rules make of it. */
struct record_arrival {
	size_t visit;
	struct reading_values values;
	struct meter meter;
	struct record_reading key;
};

/* A walk through the visits by the numbers of their inspections. */
struct walk {
	struct store *store;
	struct known *known;
	struct records *to;
	size_t turn, end;                 /* the run: turns[turn] to turns[end - 1] */
};

static bool add_visit(struct records *to, struct record *r, sqlite3_stmt *row, struct problem *why)
{
	const struct record_array arrays[] = { { (void **)&to->visits, sizeof *to->visits },
		{ (void **)&to->visit_ids, sizeof *to->visit_ids },
		{ (void **)&to->visit_at_ms, sizeof *to->visit_at_ms },
		{ (void **)&to->visit_ends, sizeof *to->visit_ends } };
	size_t at = to->n_visits;
	struct judge_visit *v;

	if (!record_room(at + 1, &to->room_visits, arrays, 4, why)) {
		return false;
	}
	v = &to->visits[at];
	*v = (struct judge_visit){ .day = sqlite3_column_int(row, 2),
		.purpose = (enum purpose)sqlite3_column_int(row, 3),
		.outcome = (enum outcome)sqlite3_column_int(row, 4), .seen_a = column_word(row, 5),
		.seen_b = column_word(row, 6) };
	to->visit_ids[at] = sqlite3_column_int64(row, 1);
	to->visit_at_ms[at] = sqlite3_column_int64(row, 7);
	to->visit_ends[at] = 0;
	if (r->n_visits++ == 0) {
		r->visit = at;
	}
	if (v->outcome == OUTCOME_COMPLETE) {
		r->inspected_day = v->day;
	}
	to->n_visits++;
	return true;
}

static bool read_visits(struct store *store, int64_t first_id, int64_t last_id,
	struct records *to, struct problem *why)
{
	static const char corrected[] = "SELECT c.replaces_id FROM inspection c "
		"WHERE c.replaces_id IS NOT NULL AND c.bond_id BETWEEN $1 AND $2";
	static const char sql[] = "SELECT i.bond_id, i.id, i.day, i.purpose, i.outcome, i.seen_a, "
		"i.seen_b, i.recorded_at_ms FROM inspection i WHERE i.bond_id BETWEEN $1 AND $2 "
		"ORDER BY i.bond_id, i.day, i.id";
	size_t at = 0;
	sqlite3_stmt *rows;

	if (!record_replaced(store, corrected, first_id, last_id, to, why)) {
		return false;
	}
	rows = record_range(store, sql, first_id, last_id, why);
	while (sql_row(store, rows, why)) {
		struct record *r = record_of(to, &at, sqlite3_column_int64(rows, 0));

		if (r != NULL && sqlite3_column_int(rows, 2) <= to->until_day &&
			!record_is_replaced(to, sqlite3_column_int64(rows, 1)) &&
			!add_visit(to, r, rows, why)) {
			sql_done(rows);
			break;
		}
	}
	return why->code == PROBLEM_NONE;
}

static int by_inspection(const void *a, const void *b)
{
	const struct record_turn *one = a, *two = b;

	return one->inspection_id < two->inspection_id ? -1 : one->inspection_id > two->inspection_id;
}

static bool sort_turns(struct records *to, struct problem *why)
{
	const struct record_array arrays[] = { { (void **)&to->turns, sizeof *to->turns } };

	if (!record_room(to->n_visits, &to->room_turns, arrays, 1, why)) {
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

static bool add_reading(struct walk *w, size_t visit, sqlite3_stmt *row, struct problem *why)
{
	struct records *to = w->to;
	const struct record_array arrays[] = { { (void **)&to->arrivals, sizeof *to->arrivals } };
	struct record_arrival *a;

	if (!record_room(to->n_arrivals + 1, &to->room_arrivals, arrays, 1, why)) {
		return false;
	}
	a = &to->arrivals[to->n_arrivals++];
	*a = (struct record_arrival){ .visit = visit,
		.values = { .quantity = (enum quantity)sqlite3_column_int(row, 2),
		.method = (enum reading_method)sqlite3_column_int(row, 3),
		.forward_uv = column_real(row, 4), .reverse_uv = column_real(row, 5),
		.current_a = column_real(row, 6), .shown_uohm = column_real(row, 7),
		.lead_uohm = column_real(row, 8), .rail_uv = column_real(row, 9),
		.rail_m = column_real(row, 10), .joint_m = column_real(row, 11),
		.temp_c = column_real(row, 12) },
		.key = { .inspection_id = to->visit_ids[visit], .n = sqlite3_column_int64(row, 1) } };
	to->visit_ends[visit]++;
	return store_known_meter(w->store, w->known, sqlite3_column_int64(row, 13),
		to->visits[visit].day, &a->meter, why);
}

/* The readings of a run; those of other bonds' visits in between are passed over. */
static bool read_readings(struct walk *w, struct problem *why)
{
	static const char sql[] = "SELECT r.inspection_id, r.n, r.quantity, r.method, r.forward_uv, "
		"r.reverse_uv, r.current_a, r.shown_uohm, r.lead_uohm, r.rail_uv, r.rail_m, r.joint_m, "
		"r.temp_c, r.instrument_id FROM reading r WHERE r.inspection_id BETWEEN $1 AND $2 "
		"ORDER BY r.inspection_id, r.n";
	const struct record_turn *turns = w->to->turns;
	sqlite3_stmt *rows = record_range(w->store, sql, turns[w->turn].inspection_id,
		turns[w->end - 1].inspection_id, why);
	size_t at = w->turn;

	while (sql_row(w->store, rows, why)) {
		int64_t inspection_id = sqlite3_column_int64(rows, 0);

		while (turns[at].inspection_id < inspection_id) {
			at++;
		}
		if (turns[at].inspection_id == inspection_id &&
			!add_reading(w, turns[at].visit, rows, why)) {
			sql_done(rows);
			break;
		}
	}
	return why->code == PROBLEM_NONE;
}

static void read_state(sqlite3_stmt *row, struct reading_state *s)
{
	*s = (struct reading_state){ .r_uohm = column_real(row, 2), .r20_uohm = column_real(row, 3),
		.thermal_uv = column_real(row, 4), .equivalent_m = column_real(row, 5),
		.remark = sqlite3_column_int(row, 6), .meter = sqlite3_column_int(row, 7),
		.verdict = sqlite3_column_int(row, 8), .limit_kind = column_word(row, 9),
		.limit = column_real(row, 10), .u95 = column_real(row, 11),
		.p_within = column_real(row, 12), .rulebook_version = sqlite3_column_int64(row, 13) };
}

/* What is kept of the readings from arrivals[at] on, which are the run's. */
static bool read_states(struct walk *w, size_t at, struct problem *why)
{
	static const char sql[] = "SELECT t.inspection_id, t.n, t.r_uohm, t.r20_uohm, t.thermal_uv, "
		"t.equivalent_m, t.remark, t.meter, t.verdict, t.limit_kind, t.limit_value, t.u95, "
		"t.p_within, t.rulebook_version FROM reading_state t "
		"WHERE t.inspection_id BETWEEN $1 AND $2 ORDER BY t.inspection_id, t.n";
	const struct record_turn *turns = w->to->turns;
	const struct records *to = w->to;
	sqlite3_stmt *rows = record_range(w->store, sql, turns[w->turn].inspection_id,
		turns[w->end - 1].inspection_id, why);

	while (sql_row(w->store, rows, why)) {
		int64_t inspection_id = sqlite3_column_int64(rows, 0), n = sqlite3_column_int64(rows, 1);

		while (at < to->n_arrivals && (to->arrivals[at].key.inspection_id < inspection_id ||
			(to->arrivals[at].key.inspection_id == inspection_id && to->arrivals[at].key.n < n))) {
			at++;
		}
		if (at < to->n_arrivals && to->arrivals[at].key.inspection_id == inspection_id &&
			to->arrivals[at].key.n == n) {
			to->arrivals[at].key.has_state = true;
			read_state(rows, &to->arrivals[at].key.state);
		}
	}
	return why->code == PROBLEM_NONE;
}

static bool read_runs(struct walk *w, struct problem *why)
{
	const struct records *to = w->to;
	bool ok = true;

	for (w->turn = 0; ok && w->turn < to->n_visits; w->turn = w->end) {
		size_t arrived = to->n_arrivals;

		w->end = w->turn + 1;
		while (w->end < to->n_visits && to->turns[w->end].inspection_id -
			to->turns[w->end - 1].inspection_id <= GAP_MOST + 1) {
			w->end++;
		}
		ok = read_readings(w, why) && (to->without_states || read_states(w, arrived, why));
	}
	return ok;
}

/* visit_ends has how many readings each visit has; becomes where they begin, and with each one that
 * is put, in the end, where they end. */
static bool put_in_order(struct records *to, struct problem *why)
{
	const struct record_array arrays[] = { { (void **)&to->readings, sizeof *to->readings },
		{ (void **)&to->reading_keys, sizeof *to->reading_keys } };
	size_t at = 0;

	if (!record_room(to->n_arrivals, &to->room_readings, arrays, 2, why)) {
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
			.meter = a->meter };
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

bool record_visits(struct store *store, struct known *known, int64_t first_id, int64_t last_id,
	struct records *to, struct problem *why)
{
	struct walk w = { .store = store, .known = known, .to = to };

	to->n_visits = to->n_readings = to->n_arrivals = 0;
	if (!read_visits(store, first_id, last_id, to, why) || !sort_turns(to, why) ||
		!read_runs(&w, why) || !put_in_order(to, why)) {
		return false;
	}
	share_out(to);
	return true;
}
