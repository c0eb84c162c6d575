#include "store/record/record.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/clock.h"
#include "base/form.h"
#include "rules/edition.h"
#include "store/record/bond_row.h"
#include "store/record/record_parts.h"

static bool room_for_bond(struct records *to, struct problem *why)
{
	return array_room((void **)&to->bonds, &to->room_bonds, to->n_bonds + 1,
		sizeof *to->bonds, why);
}

static bool room_for_replaced(struct records *to, struct problem *why)
{
	return array_room((void **)&to->replaced, &to->room_replaced, to->n_replaced + 1,
		sizeof *to->replaced, why);
}

bool record_walk(struct place *p, const char *const sql[2], sql_take *take, struct problem *why)
{
	p->at = 0;
	return sql_walk(p->store, sql[p->first_id == p->last_id ? WALK_ONE : WALK_FROM], p->first_id,
		take, p, why);
}

bool record_is_past(const struct place *p, sqlite3_value **row)
{
	return sqlite3_value_int64(row[0]) > p->last_id;
}

struct record *record_bond_of(struct place *p, int64_t bond_id)
{
	const struct records *to = p->to;

	while (p->at < to->n_bonds && to->bonds[p->at].bond.id < bond_id) {
		p->at++;
	}
	return p->at < to->n_bonds && to->bonds[p->at].bond.id == bond_id ? &to->bonds[p->at] : NULL;
}

struct record *record_of(struct place *p, sqlite3_value **row)
{
	return record_bond_of(p, sqlite3_value_int64(row[0]));
}

/* Statements for the few, which no walk is for. */
sqlite3_stmt *record_few(const struct place *p, const char *sql, struct problem *why)
{
	const struct value values[] = { value_integer(p->first_id), value_integer(p->last_id) };

	return sql_select(p->store, sql, values, 2, why);
}

static void read_fact(sqlite3_value **row, struct record *r)
{
	struct bond *b = &r->bond;

	*r = (struct record){ .bond = { .id = sqlite3_value_int64(row[0]),
		.version = sqlite3_value_int64(row[1]), .line_id = sqlite3_value_int64(row[2]),
		.kind = (enum bond_kind)sqlite3_value_int(row[4]),
		.criticality = (enum criticality)sqlite3_value_int(row[5]),
		.status = (enum bond_status)sqlite3_value_int(row[6]),
		.surveyed = sqlite3_value_int(row[7]) != 0, .installed_day = taken_day(row[8]),
		.removed_day = taken_day(row[9]), .material = taken_word(row[10]),
		.conductor_class = sqlite3_value_int64(row[11]), .area_mm2 = taken_real(row[12]),
		.length_m = taken_real(row[13]), .cables = sqlite3_value_int64(row[14]),
		.latitude = NAN, .longitude = NAN },
		.known_since_day = DAY_NONE, .inspected_day = DAY_NONE,
		.detached_day = { DAY_NONE, DAY_NONE } };
	taken_text(row[3], b->label, sizeof b->label);
}

/* What is said of a bond now is said by its highest version, which comes last. */
static bool take_fact(void *arg, sqlite3_value **row, struct problem *why)
{
	struct place *p = arg;
	struct records *to = p->to;

	if (record_is_past(p, row)) {
		return false;
	}
	if (to->n_bonds > 0 && to->bonds[to->n_bonds - 1].bond.id == sqlite3_value_int64(row[0])) {
		to->n_bonds--;
	}
	if (!room_for_bond(to, why)) {
		return false;
	}
	read_fact(row, &to->bonds[to->n_bonds++]);
	return true;
}

static bool take_end(void *arg, sqlite3_value **row, struct problem *why)
{
	struct place *p = arg;
	struct record *r = record_of(p, row);

	(void)why;
	if (r != NULL && r->bond.version == sqlite3_value_int64(row[1])) {
		r->bond.end[sqlite3_value_int(row[2])] = (struct bond_end_fact){
			.on = (enum end_on)sqlite3_value_int(row[3]), .track_id = sqlite3_value_int64(row[4]),
			.rail = taken_word(row[5]), .face = -1, .distance_mm = sqlite3_value_int64(row[6]) };
	}
	return !record_is_past(p, row);
}

static bool take_bond(void *arg, sqlite3_value **row, struct problem *why)
{
	struct place *p = arg;
	struct record *r = record_of(p, row);

	(void)why;
	if (r != NULL) {
		r->known_since_day = clock_day_of(sqlite3_value_int64(row[1]));
	}
	return !record_is_past(p, row);
}

/* (they move while they grow: state.visits is set when all are there) */
static bool take_kept_visits(struct records *to, struct record *r, sqlite3_value *value,
	struct problem *why)
{
	const void *bytes = sqlite3_value_blob(value);
	size_t len = (size_t)sqlite3_value_bytes(value);

	if (!array_room((void **)&to->kept_visits, &to->room_kept_visits, to->n_kept_visits + len, 1,
		why)) {
		return false;
	}
	if (len > 0) {
		memcpy(&to->kept_visits[to->n_kept_visits], bytes, len);
	}
	r->kept_visits = to->n_kept_visits;
	r->state.visits_len = len;
	to->n_kept_visits += len;
	return true;
}

static bool take_state(void *arg, sqlite3_value **row, struct problem *why)
{
	struct place *p = arg;
	struct record *r = record_of(p, row);

	if (r != NULL) {
		r->has_state = true;
		bond_state_read(row + 1, &r->state);
		if (!take_kept_visits(p->to, r, row[1 + BOND_STATE_VISITS], why)) {
			return false;
		}
	}
	return !record_is_past(p, row);
}

static void share_kept_visits(struct records *to)
{
	for (size_t i = 0; i < to->n_bonds; i++) {
		struct record *r = &to->bonds[i];

		r->state.visits = r->state.visits_len > 0 ? &to->kept_visits[r->kept_visits] : NULL;
	}
}

/* What was withdrawn is judged no more. */
static bool leave_out_withdrawn(struct place *p, struct problem *why)
{
	static const char sql[] = "SELECT o.row_id FROM correction_open o WHERE o.noun = " NOUN_BOND
		" AND o.row_id BETWEEN $1 AND $2 AND o.withdrawn = 1 AND " SQL_STILL;
	struct records *to = p->to;
	size_t n = 0;

	if (!record_replaced(p, sql, why)) {
		return false;
	}
	for (size_t i = 0; to->n_replaced > 0 && i < to->n_bonds; i++) {
		if (!record_is_replaced(to, to->bonds[i].bond.id)) {
			to->bonds[n++] = to->bonds[i];
		}
	}
	to->n_bonds = to->n_replaced > 0 ? n : to->n_bonds;
	return true;
}

/* The bonds themselves, since when they are known, and what is kept of their judgement. */
static bool read_bonds(struct place *p, struct problem *why)
{
	static const char *const facts[] = RECORD_WALK("bond_fact f", "f.bond_id", "f.bond_id, "
		"f.version, f.line_id, f.label, f.kind, f.criticality, f.status, f.surveyed, "
		"f.installed_day, f.removed_day, f.material, f.conductor_class, f.area_mm2, f.length_m, "
		"f.cables", "f.bond_id, f.version");
	static const char *const ends[] = RECORD_WALK("end_fact e", "e.bond_id", "e.bond_id, "
		"e.version, e.bond_end, e.on_what, e.track_id, e.rail, e.distance_mm",
		"e.bond_id, e.version, e.bond_end");
	static const char *const bonds[] = RECORD_WALK("bond b", "b.id", "b.id, b.recorded_at_ms",
		"b.id");
	static const char *const states[] = RECORD_WALK("bond_state s", "s.bond_id", "s.bond_id, "
		BOND_STATE_COLUMNS, "s.bond_id");

	p->to->n_kept_visits = 0;
	if (!record_walk(p, facts, take_fact, why) || !leave_out_withdrawn(p, why) ||
		!record_walk(p, ends, take_end, why) ||
		!record_walk(p, bonds, take_bond, why) || !record_walk(p, states, take_state, why)) {
		return false;
	}
	share_kept_visits(p->to);
	return true;
}

/* What the rules ask of the conductor and the rail; the rail is end A's, or else end B's. */
static bool know(struct place *p, struct problem *why)
{
	struct records *to = p->to;

	for (size_t i = 0; i < to->n_bonds; i++) {
		struct record *r = &to->bonds[i];
		const struct bond_end_fact *end = r->bond.end;
		int64_t track_id = end[END_A].track_id != 0 && end[END_A].on == END_ON_RAIL ?
			end[END_A].track_id : end[END_B].track_id != 0 ? end[END_B].track_id :
			end[END_A].track_id;

		if (!store_known_cable(p->store, p->known, r->bond.material, r->bond.conductor_class,
			r->bond.area_mm2, &r->cable_uohm_per_m, why) ||
			!store_known_rail(p->store, p->known, track_id, &r->rail, why)) {
			return false;
		}
	}
	return true;
}

static int by_id(const void *a, const void *b)
{
	const int64_t one = *(const int64_t *)a, two = *(const int64_t *)b;

	return one < two ? -1 : one > two;
}

bool record_replaced(struct place *p, const char *sql, struct problem *why)
{
	struct records *to = p->to;
	sqlite3_stmt *rows = record_few(p, sql, why);

	to->n_replaced = 0;
	while (sql_row(p->store, rows, why)) {
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

bool record_is_replaced(const struct records *r, int64_t id)
{
	return r->n_replaced > 0 &&
		bsearch(&id, r->replaced, r->n_replaced, sizeof id, by_id) != NULL;
}

bool store_records_read(struct store *store, int64_t first_id, int64_t last_id, int32_t until_day,
	struct records *to, struct problem *why)
{
	struct place p = { .store = store, .to = to, .first_id = first_id, .last_id = last_id };

	p.known = store_known(store, why);
	if (p.known == NULL) {
		return false;
	}
	to->until_day = until_day;
	to->register_began_day = store_known_began(p.known);
	to->n_bonds = to->n_visits = to->n_readings = to->n_attachments = 0;
	to->n_failures = to->n_clearings = 0;
	return read_bonds(&p, why) && know(&p, why) && record_visits(&p, why) &&
		record_attachments(&p, why) && record_taken_off(&p, why) && record_failures(&p, why) &&
		record_rulings(&p, why) && record_deferrals(&p, why);
}

void records_release(struct records *r)
{
	free(r->bonds);
	free(r->visits);
	free(r->visit_ids);
	free(r->visit_imports);
	free(r->failures);
	free(r->clearings);
	free(r->visit_ends);
	free(r->turns);
	free(r->arrivals);
	free(r->readings);
	free(r->reading_keys);
	free(r->attachments);
	free(r->replaced);
	free(r->kept_visits);
	*r = (struct records){ 0 };
}

bool store_record_range(struct store *store, int64_t after, int64_t not_version, size_t most,
	int64_t *first_id, int64_t *last_id, struct problem *why)
{
	static const char any[] = "SELECT min(id) FROM bond WHERE id > $1";
	static const char made_before[] = "SELECT bond_id FROM bond_state WHERE bond_id > $1 "
		"AND (rulebook_version <> $2 OR edition <> $3 OR odd < 0) ORDER BY bond_id LIMIT 1";
	static const char end[] = "SELECT max(id) FROM (SELECT id FROM bond WHERE id >= $1 ORDER BY id "
		"LIMIT $2) AS range";
	const struct value first[] = { value_integer(after), value_integer(not_version),
		value_integer(RULES_EDITION) };

	*last_id = 0;
	if (!sql_integer(store, not_version < 0 ? any : made_before, first, not_version < 0 ? 1 : 3, 0,
		first_id, why)) {
		return false;
	}
	return *first_id == 0 || sql_integer(store, end, (struct value[]){ value_integer(*first_id),
		value_integer((int64_t)most) }, 2, *first_id, last_id, why);
}
