#include "store/record.h"

#include <math.h>
#include <stdlib.h>

#include "base/form.h"
#include "store/bond_row.h"
#include "store/sql.h"

/* Room for one more in the arrays of one kind, which all have the same room. */
static bool make_room(size_t count, size_t *room, void **const arrays[], const size_t *sizes,
	size_t n_arrays, struct problem *why)
{
	size_t more = *room > 0 ? *room * 2 : 64;

	if (count < *room) {
		return true;
	}
	for (size_t i = 0; i < n_arrays; i++) {
		void *moved = realloc(*arrays[i], more * sizes[i]);

		if (moved == NULL) {
			return problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
		}
		*arrays[i] = moved;
	}
	*room = more;
	return true;
}

static bool room_for_bond(struct records *to, struct problem *why)
{
	void **const arrays[] = { (void **)&to->bonds };

	return make_room(to->n_bonds, &to->room_bonds, arrays, (size_t[]){ sizeof *to->bonds }, 1, why);
}

static bool room_for_visit(struct records *to, struct problem *why)
{
	void **const arrays[] = { (void **)&to->visits, (void **)&to->visit_ids,
		(void **)&to->visit_at_ms };
	const size_t sizes[] = { sizeof *to->visits, sizeof *to->visit_ids, sizeof *to->visit_at_ms };

	return make_room(to->n_visits, &to->room_visits, arrays, sizes, 3, why);
}

static bool room_for_reading(struct records *to, struct problem *why)
{
	void **const arrays[] = { (void **)&to->readings, (void **)&to->reading_keys };
	const size_t sizes[] = { sizeof *to->readings, sizeof *to->reading_keys };

	return make_room(to->n_readings, &to->room_readings, arrays, sizes, 2, why);
}

static bool room_for_attachment(struct records *to, struct problem *why)
{
	void **const arrays[] = { (void **)&to->attachments };

	return make_room(to->n_attachments, &to->room_attachments, arrays,
		(size_t[]){ sizeof *to->attachments }, 1, why);
}

static bool room_for_replaced(struct records *to, struct problem *why)
{
	void **const arrays[] = { (void **)&to->replaced };

	return make_room(to->n_replaced, &to->room_replaced, arrays,
		(size_t[]){ sizeof *to->replaced }, 1, why);
}

static const struct value *range_of(int64_t first_id, int64_t last_id, struct value values[2])
{
	values[0] = value_integer(first_id);
	values[1] = value_integer(last_id);
	return values;
}

/* The bond that a row belongs to: rows come by bond, so the search goes on where it was. NULL: of a
 * bond that is not among them. */
static struct record *bond_of(const struct records *to, size_t *at, int64_t id)
{
	while (*at < to->n_bonds && to->bonds[*at].bond.id < id) {
		(*at)++;
	}
	return *at < to->n_bonds && to->bonds[*at].bond.id == id ? &to->bonds[*at] : NULL;
}

static void read_bond(sqlite3_stmt *row, struct record *r)
{
	struct bond *b = &r->bond;

	*r = (struct record){ .bond = { .id = sqlite3_column_int64(row, 0),
		.version = sqlite3_column_int64(row, 1), .line_id = sqlite3_column_int64(row, 2),
		.kind = (enum bond_kind)sqlite3_column_int(row, 4),
		.criticality = (enum criticality)sqlite3_column_int(row, 5),
		.status = (enum bond_status)sqlite3_column_int(row, 6),
		.surveyed = sqlite3_column_int(row, 7) != 0, .installed_day = column_day(row, 8),
		.removed_day = column_day(row, 9), .material = column_word(row, 10),
		.conductor_class = sqlite3_column_int64(row, 11), .area_mm2 = column_real(row, 12),
		.length_m = column_real(row, 13), .cables = sqlite3_column_int64(row, 14),
		.latitude = NAN, .longitude = NAN,
		.end = { { .on = (enum end_on)sqlite3_column_int(row, 16),
		.track_id = sqlite3_column_int64(row, 17), .rail = column_word(row, 18), .face = -1,
		.distance_mm = sqlite3_column_int64(row, 19) },
		{ .on = (enum end_on)sqlite3_column_int(row, 20),
		.track_id = sqlite3_column_int64(row, 21), .rail = column_word(row, 22), .face = -1,
		.distance_mm = sqlite3_column_int64(row, 23) } } },
		.known_since_day = instant_day(sqlite3_column_int64(row, 15)),
		.inspected_day = DAY_NONE, .deferred_until_day = DAY_NONE,
		.failure_since_day = DAY_NONE,
		.has_state = sqlite3_column_type(row, 24) != SQLITE_NULL };
	column_text(row, 3, b->label, sizeof b->label);
	if (r->has_state) {
		bond_state_read(row, 24, &r->state);
	}
}

static bool read_bonds(struct store *store, int64_t first_id, int64_t last_id, struct records *to,
	struct problem *why)
{
	static const char sql[] = "SELECT b.id, f.version, f.line_id, f.label, f.kind, f.criticality, "
		"f.status, f.surveyed, f.installed_day, f.removed_day, f.material, f.conductor_class, "
		"f.area_mm2, f.length_m, f.cables, b.recorded_at_ms, x.on_what, x.track_id, x.rail, "
		"x.distance_mm, y.on_what, y.track_id, y.rail, y.distance_mm, " BOND_STATE_COLUMNS
		" FROM bond b CROSS JOIN bond_fact f ON f.bond_id = b.id AND f.version = "
		"(SELECT max(g.version) FROM bond_fact g WHERE g.bond_id = b.id) "
		"CROSS JOIN end_fact x ON x.bond_id = f.bond_id AND x.version = f.version AND x.bond_end = 0 "
		"CROSS JOIN end_fact y ON y.bond_id = f.bond_id AND y.version = f.version AND y.bond_end = 1 "
		"LEFT JOIN bond_state s ON s.bond_id = b.id WHERE b.id BETWEEN $1 AND $2 ORDER BY b.id";
	struct value values[2];
	sqlite3_stmt *rows = sql_select(store, sql, range_of(first_id, last_id, values), 2, why);

	while (sql_row(store, rows, why)) {
		if (!room_for_bond(to, why)) {
			sql_done(rows);
			break;
		}
		read_bond(rows, &to->bonds[to->n_bonds++]);
	}
	return why->code == PROBLEM_NONE;
}

/* What the rules ask of the conductor and the rail; the rail is end A's, or else end B's. */
static bool know(struct store *store, struct known *known, struct records *to, struct problem *why)
{
	for (size_t i = 0; i < to->n_bonds; i++) {
		struct record *r = &to->bonds[i];
		const struct bond_end_fact *end = r->bond.end;
		int64_t track_id = end[END_A].track_id != 0 && end[END_A].on == END_ON_RAIL ?
			end[END_A].track_id : end[END_B].track_id != 0 ? end[END_B].track_id :
			end[END_A].track_id;

		if (!store_known_cable(store, known, r->bond.material, r->bond.conductor_class,
			r->bond.area_mm2, &r->cable_uohm_per_m, why) ||
			!store_known_rail(store, known, track_id, &r->rail, why)) {
			return false;
		}
	}
	return true;
}

static bool add_visit(struct records *to, struct record *r, sqlite3_stmt *row, struct problem *why)
{
	struct judge_visit *v;

	if (!room_for_visit(to, why)) {
		return false;
	}
	v = &to->visits[to->n_visits];
	*v = (struct judge_visit){ .day = sqlite3_column_int(row, 2),
		.purpose = (enum purpose)sqlite3_column_int(row, 3),
		.outcome = (enum outcome)sqlite3_column_int(row, 4), .seen_a = column_word(row, 5),
		.seen_b = column_word(row, 6) };
	to->visit_ids[to->n_visits] = sqlite3_column_int64(row, 1);
	to->visit_at_ms[to->n_visits] = sqlite3_column_int64(row, 7);
	if (r->n_visits++ == 0) {
		r->visit = to->n_visits;
	}
	if (v->outcome == OUTCOME_COMPLETE) {
		r->inspected_day = v->day;
	}
	to->n_visits++;
	return true;
}

/* A row with a reading; its visit is the last one added. */
static bool add_reading(struct store *store, struct known *known, struct records *to,
	struct record *r, sqlite3_stmt *row, struct problem *why)
{
	struct judge_reading *j;

	if (!room_for_reading(to, why)) {
		return false;
	}
	j = &to->readings[to->n_readings];
	*j = (struct judge_reading){ .visit = r->n_visits - 1,
		.values = { .quantity = (enum quantity)sqlite3_column_int(row, 9),
		.method = (enum reading_method)sqlite3_column_int(row, 10), .material = r->bond.material,
		.forward_uv = column_real(row, 11), .reverse_uv = column_real(row, 12),
		.current_a = column_real(row, 13), .shown_uohm = column_real(row, 14),
		.lead_uohm = column_real(row, 15), .rail_uv = column_real(row, 16),
		.rail_m = column_real(row, 17), .joint_m = column_real(row, 18),
		.temp_c = column_real(row, 19) } };
	to->reading_keys[to->n_readings] = (struct record_reading){
		.inspection_id = to->visit_ids[to->n_visits - 1], .n = sqlite3_column_int64(row, 8) };
	if (r->n_readings++ == 0) {
		r->reading = to->n_readings;
	}
	to->n_readings++;
	return store_known_meter(store, known, sqlite3_column_int64(row, 20),
		to->visits[to->n_visits - 1].day, &j->meter, why);
}

static int by_id(const void *a, const void *b)
{
	const int64_t one = *(const int64_t *)a, two = *(const int64_t *)b;

	return one < two ? -1 : one > two;
}

/* What corrections replace, few or none, is asked once and not at each row. */
static bool read_replaced(struct store *store, const char *sql, int64_t first_id, int64_t last_id,
	struct records *to, struct problem *why)
{
	struct value values[2];
	sqlite3_stmt *rows = sql_select(store, sql, range_of(first_id, last_id, values), 2, why);

	to->n_replaced = 0;
	while (sql_row(store, rows, why)) {
		if (!room_for_replaced(to, why)) {
			sql_done(rows);
			break;
		}
		to->replaced[to->n_replaced++] = sqlite3_column_int64(rows, 0);
	}
	if (to->n_replaced > 1) {
		qsort(to->replaced, to->n_replaced, sizeof *to->replaced, by_id);
	}
	return why->code == PROBLEM_NONE;
}

static bool is_replaced(const struct records *r, int64_t id)
{
	return r->n_replaced > 0 &&
		bsearch(&id, r->replaced, r->n_replaced, sizeof id, by_id) != NULL;
}

static bool read_visits(struct store *store, struct known *known, int64_t first_id,
	int64_t last_id, struct records *to, struct problem *why)
{
	static const char sql[] = "SELECT i.bond_id, i.id, i.day, i.purpose, i.outcome, i.seen_a, "
		"i.seen_b, i.recorded_at_ms, r.n, r.quantity, r.method, r.forward_uv, r.reverse_uv, "
		"r.current_a, r.shown_uohm, r.lead_uohm, r.rail_uv, r.rail_m, r.joint_m, r.temp_c, "
		"r.instrument_id FROM inspection i LEFT JOIN reading r ON r.inspection_id = i.id "
		"WHERE i.bond_id BETWEEN $1 AND $2 ORDER BY i.bond_id, i.day, i.id, r.n";
	struct value values[2];
	sqlite3_stmt *rows = sql_select(store, sql, range_of(first_id, last_id, values), 2, why);
	size_t at = 0;
	bool ok = true;

	while (ok && sql_row(store, rows, why)) {
		struct record *r = bond_of(to, &at, sqlite3_column_int64(rows, 0));

		if (r == NULL || sqlite3_column_int(rows, 2) > to->until_day ||
			is_replaced(to, sqlite3_column_int64(rows, 1))) {
			continue;
		}
		if (r->n_visits == 0 || to->visit_ids[to->n_visits - 1] != sqlite3_column_int64(rows, 1)) {
			ok = add_visit(to, r, rows, why);
		}
		if (ok && sqlite3_column_type(rows, 8) != SQLITE_NULL) {
			ok = add_reading(store, known, to, r, rows, why);
		}
	}
	if (!ok) {
		sql_done(rows);
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

/* In the order of the readings, so that one walk finds each: one step into the table a visit, where
 * joined to the readings it would be one for each of them. */
static bool read_states(struct store *store, int64_t first_id, int64_t last_id,
	struct records *to, struct problem *why)
{
	static const char sql[] = "SELECT t.inspection_id, t.n, t.r_uohm, t.r20_uohm, t.thermal_uv, "
		"t.equivalent_m, t.remark, t.meter, t.verdict, t.limit_kind, t.limit_value, t.u95, "
		"t.p_within, t.rulebook_version FROM inspection i "
		"CROSS JOIN reading_state t ON t.inspection_id = i.id "
		"WHERE i.bond_id BETWEEN $1 AND $2 ORDER BY i.bond_id, i.day, i.id, t.n";
	struct value values[2];
	sqlite3_stmt *rows = sql_select(store, sql, range_of(first_id, last_id, values), 2, why);
	size_t at = 0;

	while (sql_row(store, rows, why)) {
		int64_t inspection_id = sqlite3_column_int64(rows, 0), n = sqlite3_column_int64(rows, 1);
		size_t found = at;

		if (is_replaced(to, inspection_id)) {
			continue;
		}
		/* (a state of a reading that is not among them is passed over) */
		while (found < to->n_readings && (to->reading_keys[found].inspection_id != inspection_id ||
			to->reading_keys[found].n != n)) {
			found++;
		}
		if (found < to->n_readings) {
			to->reading_keys[found].has_state = true;
			read_state(rows, &to->reading_keys[found].state);
			at = found + 1;
		}
	}
	return why->code == PROBLEM_NONE;
}

static void read_attachment(sqlite3_stmt *row, struct record_attachment *a)
{
	*a = (struct record_attachment){ .id = sqlite3_column_int64(row, 1),
		.end = (enum bond_end)sqlite3_column_int(row, 2), .made_day = sqlite3_column_int(row, 3),
		.live = true, .offset_mm = sqlite3_column_type(row, 5) == SQLITE_NULL ? FORM_NO_INTEGER :
		sqlite3_column_int64(row, 5),
		.facts = { .method = (enum attach_method)sqlite3_column_int(row, 4),
		.ground_bright = column_word(row, 6), .battery_charged = column_word(row, 7),
		.gun_flush = column_word(row, 8), .hammer_passed = column_word(row, 9),
		.solder_all_round = column_word(row, 10), .arc_s = column_real(row, 11),
		.hold_s = column_real(row, 12), .stub_mm = column_real(row, 13),
		.reading = VERDICT_NONE } };
}

static bool read_attachments(struct store *store, int64_t first_id, int64_t last_id,
	struct records *to, struct problem *why)
{
	static const char sql[] = "SELECT a.bond_id, a.id, a.bond_end, a.made_day, a.method, "
		"a.offset_mm, a.ground_bright, a.battery_charged, a.gun_flush, a.hammer_passed, "
		"a.solder_all_round, a.arc_s, a.hold_s, a.stub_mm FROM attachment a "
		"WHERE a.bond_id BETWEEN $1 AND $2 "
		"ORDER BY a.bond_id, a.bond_end, a.made_day, a.id";
	struct value values[2];
	sqlite3_stmt *rows = sql_select(store, sql, range_of(first_id, last_id, values), 2, why);
	size_t at = 0;

	while (sql_row(store, rows, why)) {
		struct record *r = bond_of(to, &at, sqlite3_column_int64(rows, 0));
		struct record_attachment *a;

		if (r == NULL || sqlite3_column_int(rows, 3) > to->until_day ||
			is_replaced(to, sqlite3_column_int64(rows, 1))) {
			continue;
		}
		if (!room_for_attachment(to, why)) {
			sql_done(rows);
			break;
		}
		a = &to->attachments[to->n_attachments];
		read_attachment(rows, a);
		if (r->n_attachments > 0 && a[-1].end == a->end) {
			a[-1].live = false;
		}
		if (r->n_attachments++ == 0) {
			r->attachment = to->n_attachments;
		}
		to->n_attachments++;
	}
	return why->code == PROBLEM_NONE;
}

static bool read_failures(struct store *store, int64_t first_id, int64_t last_id,
	struct records *to, struct problem *why)
{
	static const char sql[] = "SELECT f.bond_id, count(*), min(f.found_day) FROM failure f "
		"WHERE f.bond_id BETWEEN $1 AND $2 AND f.found_day <= $3 "
		"AND NOT EXISTS (SELECT 1 FROM failure c WHERE c.replaces_id = f.id) "
		"AND NOT EXISTS (SELECT 1 FROM repair r WHERE r.failure_id = f.id AND r.day <= $3 "
		"AND NOT EXISTS (SELECT 1 FROM repair c WHERE c.replaces_id = r.id)) "
		"GROUP BY f.bond_id ORDER BY f.bond_id";
	const struct value values[] = { value_integer(first_id), value_integer(last_id),
		value_integer(to->until_day) };
	sqlite3_stmt *rows = sql_select(store, sql, values, 3, why);
	size_t at = 0;

	while (sql_row(store, rows, why)) {
		struct record *r = bond_of(to, &at, sqlite3_column_int64(rows, 0));

		if (r != NULL) {
			r->failures_open = sqlite3_column_int64(rows, 1);
			r->failure_since_day = column_day(rows, 2);
		}
	}
	return why->code == PROBLEM_NONE;
}

/* A deferral is ended by a complete inspection of a later day than its decision, or of the same day
 * and recorded after it. */
static bool is_ended(const struct records *to, const struct record *r, int32_t decided_day,
	int64_t decided_at_ms)
{
	for (size_t i = r->visit; i < r->visit + r->n_visits; i++) {
		const struct judge_visit *v = &to->visits[i];

		if (v->outcome == OUTCOME_COMPLETE && (v->day > decided_day ||
			(v->day == decided_day && to->visit_at_ms[i] > decided_at_ms))) {
			return true;
		}
	}
	return false;
}

/* The newest deferral of a bond is the one that may be live. */
static bool read_deferrals(struct store *store, int64_t first_id, int64_t last_id,
	struct records *to, struct problem *why)
{
	static const char sql[] = "SELECT d.bond_id, d.id, d.until_day, d.decided_day, "
		"d.recorded_at_ms FROM deferral d WHERE d.bond_id BETWEEN $1 AND $2 "
		"AND NOT EXISTS (SELECT 1 FROM deferral c WHERE c.replaces_id = d.id) "
		"ORDER BY d.bond_id, d.id";
	struct value values[2];
	sqlite3_stmt *rows = sql_select(store, sql, range_of(first_id, last_id, values), 2, why);
	size_t at = 0;

	while (sql_row(store, rows, why)) {
		struct record *r = bond_of(to, &at, sqlite3_column_int64(rows, 0));
		bool ended;

		if (r == NULL) {
			continue;
		}
		ended = is_ended(to, r, sqlite3_column_int(rows, 3), sqlite3_column_int64(rows, 4));
		r->deferral_id = ended ? 0 : sqlite3_column_int64(rows, 1);
		r->deferred_until_day = ended ? DAY_NONE : sqlite3_column_int(rows, 2);
	}
	return why->code == PROBLEM_NONE;
}

bool store_records_read(struct store *store, struct known *known, int64_t first_id,
	int64_t last_id, int32_t until_day, struct records *to, struct problem *why)
{
	static const char inspections[] = "SELECT c.replaces_id FROM inspection c "
		"WHERE c.replaces_id IS NOT NULL AND c.bond_id BETWEEN $1 AND $2";
	static const char attachments[] = "SELECT c.replaces_id FROM attachment c "
		"WHERE c.replaces_id IS NOT NULL AND c.bond_id BETWEEN $1 AND $2";

	to->until_day = until_day;
	to->n_bonds = to->n_visits = to->n_readings = to->n_attachments = 0;
	return read_bonds(store, first_id, last_id, to, why) && know(store, known, to, why) &&
		read_replaced(store, inspections, first_id, last_id, to, why) &&
		read_visits(store, known, first_id, last_id, to, why) &&
		read_states(store, first_id, last_id, to, why) &&
		read_replaced(store, attachments, first_id, last_id, to, why) &&
		read_attachments(store, first_id, last_id, to, why) &&
		read_failures(store, first_id, last_id, to, why) &&
		read_deferrals(store, first_id, last_id, to, why);
}

void records_release(struct records *r)
{
	free(r->bonds);
	free(r->visits);
	free(r->visit_ids);
	free(r->visit_at_ms);
	free(r->readings);
	free(r->reading_keys);
	free(r->attachments);
	free(r->replaced);
	*r = (struct records){ 0 };
}

bool store_record_range(struct store *store, int64_t after, int64_t not_version, size_t most,
	int64_t *first_id, int64_t *last_id, struct problem *why)
{
	static const char any[] = "SELECT min(id) FROM bond WHERE id > $1";
	static const char made_before[] = "SELECT bond_id FROM bond_state WHERE bond_id > $1 "
		"AND rulebook_version <> $2 ORDER BY bond_id LIMIT 1";
	static const char end[] = "SELECT max(id) FROM (SELECT id FROM bond WHERE id >= $1 ORDER BY id "
		"LIMIT $2) AS range";
	const struct value first[] = { value_integer(after), value_integer(not_version) };

	*last_id = 0;
	if (!sql_integer(store, not_version < 0 ? any : made_before, first, not_version < 0 ? 1 : 2, 0,
		first_id, why)) {
		return false;
	}
	return *first_id == 0 || sql_integer(store, end, (struct value[]){ value_integer(*first_id),
		value_integer((int64_t)most) }, 2, *first_id, last_id, why);
}
