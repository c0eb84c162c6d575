#include "store/record/record_parts.h"

#include <math.h>
#include <stdlib.h>

#include "base/form.h"
#include "store/record/bond_row.h"

static bool room_for_attachment(struct records *to, struct problem *why)
{
	return array_room((void **)&to->attachments, &to->room_attachments, to->n_attachments + 1,
		sizeof *to->attachments, why);
}

static bool room_for_failure(struct records *to, struct problem *why)
{
	return array_room((void **)&to->failures, &to->room_failures, to->n_failures + 1,
		sizeof *to->failures, why);
}

static bool room_for_clearing(struct records *to, struct problem *why)
{
	return array_room((void **)&to->clearings, &to->room_clearings, to->n_clearings + 1,
		sizeof *to->clearings, why);
}

static void read_attachment(sqlite3_value **row, struct record_attachment *a)
{
	*a = (struct record_attachment){ .id = sqlite3_value_int64(row[1]),
		.end = (enum bond_end)sqlite3_value_int(row[2]), .made_day = sqlite3_value_int(row[3]),
		.arrived_at_ms = sqlite3_value_int64(row[15]), .at_ms = sqlite3_value_int64(row[16]),
		.ended_day = DAY_NONE,
		.offset_mm = sqlite3_value_type(row[5]) == SQLITE_NULL ? FORM_NO_INTEGER :
		sqlite3_value_int64(row[5]),
		.facts = { .method = (enum attach_method)sqlite3_value_int(row[4]),
		.ground_bright = taken_word(row[6]), .battery_charged = taken_word(row[7]),
		.gun_flush = taken_word(row[8]), .hammer_passed = taken_word(row[9]),
		.solder_all_round = taken_word(row[10]), .arc_s = taken_real(row[11]),
		.hold_s = taken_real(row[12]), .stub_mm = taken_real(row[13]),
		.reading = VERDICT_NONE, .spot_taken = taken_word(row[14]) } };
}

static bool is_made_before(const struct record_attachment *a, const struct record_attachment *b)
{
	return a->end == b->end && a->made_day == b->made_day && a->at_ms != 0 && b->at_ms != 0 &&
		a->at_ms < b->at_ms;
}

static bool add_attachment(struct records *to, struct record *r, sqlite3_value **row,
	struct problem *why)
{
	struct record_attachment a;
	size_t at = to->n_attachments;

	if (!room_for_attachment(to, why)) {
		return false;
	}
	read_attachment(row, &a);
	if (r->n_attachments++ == 0) {
		r->attachment = at;
	}
	/* rows come by day; of one day by their instants, where these were noted */
	for (; at > r->attachment && is_made_before(&a, &to->attachments[at - 1]); at--) {
		to->attachments[at] = to->attachments[at - 1];
	}
	to->attachments[at] = a;
	to->n_attachments++;
	return true;
}

static bool take_attachment(void *arg, sqlite3_value **row, struct problem *why)
{
	struct place *p = arg;
	struct record *r = record_of(p, row);

	return !record_is_past(p, row) && (r == NULL ||
		sqlite3_value_int(row[3]) > p->to->until_day ||
		record_is_replaced(p->to, sqlite3_value_int64(row[1])) ||
		add_attachment(p->to, r, row, why));
}

/* The end was taken off on a day: what was the newest of it before that has ended. */
static void take_off(struct records *to, struct record *r, int end, int32_t day, int64_t at_ms)
{
	struct record_attachment *ended = NULL;
	bool later = false;

	for (size_t i = r->attachment; i < r->attachment + r->n_attachments; i++) {
		struct record_attachment *a = &to->attachments[i];

		if ((int)a->end == end && a->made_day < day) {
			ended = a;
		}
		later = later || ((int)a->end == end && a->made_day >= day);
	}
	if (ended != NULL && ended->ended_day == DAY_NONE) {
		ended->ended_day = day;
		ended->ended_at_ms = at_ms;
	}
	if (!later && r->detached_day[end] == DAY_NONE) {
		r->detached_day[end] = day;
		r->detached_at_ms[end] = at_ms;
	}
}

/* Renewals of the rail, the earliest first. */
bool record_taken_off(struct place *p, struct problem *why)
{
	static const char sql[] = "SELECT x.bond_id, x.bond_end, x.ended_day, x.recorded_at_ms "
		"FROM attachment_end x "
		"JOIN renewal y ON y.id = x.renewal_id WHERE x.bond_id BETWEEN $1 AND $2 "
		"AND x.ended_day <= $3 AND y.withdrawn = 0 "
		"AND NOT EXISTS (SELECT 1 FROM renewal z WHERE z.replaces_id = y.id) "
		"ORDER BY x.bond_id, x.ended_day";
	const struct value values[] = { value_integer(p->first_id), value_integer(p->last_id),
		value_integer(p->to->until_day) };
	sqlite3_stmt *rows = sql_select(p->store, sql, values, 3, why);

	p->at = 0;
	while (sql_row(p->store, rows, why)) {
		struct record *r = record_bond_of(p, sqlite3_column_int64(rows, 0));

		if (r != NULL) {
			take_off(p->to, r, sqlite3_column_int(rows, 1) & 1, column_day(rows, 2),
				sqlite3_column_int64(rows, 3));
		}
	}
	return why->code == PROBLEM_NONE;
}

bool record_attachments(struct place *p, struct problem *why)
{
	static const char *const sql[] = RECORD_WALK("attachment a", "a.bond_id", "a.bond_id, a.id, "
		"a.bond_end, a.made_day, a.method, a.offset_mm, a.ground_bright, a.battery_charged, "
		"a.gun_flush, a.hammer_passed, a.solder_all_round, a.arc_s, a.hold_s, a.stub_mm, "
		"a.spot_taken, a.recorded_at_ms, a.done_at_ms",
		"a.bond_id, a.bond_end, a.made_day, a.id");

	return record_replaced(p, RECORD_CORRECTED("attachment", NOUN_ATTACHMENT), why) &&
		record_walk(p, sql, take_attachment, why);
}

static bool add_failure(struct records *to, struct record *r, sqlite3_stmt *row,
	struct problem *why)
{
	struct judge_failure *f;

	if (!room_for_failure(to, why)) {
		return false;
	}
	f = &to->failures[to->n_failures];
	*f = (struct judge_failure){ .end = column_word(row, 1),
		.mode = (enum failure_mode)sqlite3_column_int(row, 2),
		.found_day = sqlite3_column_int(row, 3), .arrived_at_ms = sqlite3_column_int64(row, 4),
		.repaired_day = column_day(row, 5), .repaired_at_ms = sqlite3_column_int64(row, 6) };
	if (r->n_failures++ == 0) {
		r->failure = to->n_failures;
	}
	to->n_failures++;
	r->failures_open += f->repaired_day == DAY_NONE;
	return true;
}

/* With the newest repair of each. */
bool record_failures(struct place *p, struct problem *why)
{
	static const char sql[] = "SELECT f.bond_id, f.bond_end, f.mode, f.found_day, "
		"f.recorded_at_ms, k.day, k.done_at_ms FROM failure f LEFT JOIN repair k ON k.id = "
		"(SELECT r.id FROM repair r WHERE r.failure_id = f.id AND r.day <= $1 "
		"AND " SQL_COUNTS("repair", NOUN_REPAIR, "r.id") " ORDER BY r.day DESC, r.id DESC "
		"LIMIT 1) WHERE f.bond_id BETWEEN $2 AND $3 AND f.found_day <= $1 "
		"AND " SQL_COUNTS("failure", NOUN_FAILURE, "f.id") " "
		"ORDER BY f.bond_id, f.found_day, f.id";
	const struct value values[] = { value_integer(p->to->until_day), value_integer(p->first_id),
		value_integer(p->last_id) };
	sqlite3_stmt *rows = sql_select(p->store, sql, values, 3, why);

	p->at = 0;
	while (sql_row(p->store, rows, why)) {
		struct record *r = record_bond_of(p, sqlite3_column_int64(rows, 0));

		if (r != NULL && !add_failure(p->to, r, rows, why)) {
			sql_done(rows);
			break;
		}
	}
	return why->code == PROBLEM_NONE;
}

static bool add_clearing(struct records *to, struct record *r, sqlite3_stmt *row,
	struct problem *why)
{
	if (sqlite3_column_int(row, 3) > to->until_day) {
		return true;
	}
	if (!room_for_clearing(to, why)) {
		return false;
	}
	if (r->n_clearings++ == 0) {
		r->clearing = to->n_clearings;
	}
	to->clearings[to->n_clearings++] = (struct judge_clearing){
		(enum quantity)sqlite3_column_int(row, 2), sqlite3_column_int(row, 3) };
	return true;
}

static void accept_attachment(struct records *to, const struct record *r, int64_t attachment_id)
{
	for (size_t i = r->attachment; i < r->attachment + r->n_attachments; i++) {
		struct record_attachment *a = &to->attachments[i];

		a->accepted_anyway = a->accepted_anyway || a->id == attachment_id;
	}
}

/* An engineer's word: something over may be taken as cleared (0), or an attachment was accepted
 * with a reason, though it was not by the rules (1). */
bool record_rulings(struct place *p, struct problem *why)
{
	static const char sql[] = "SELECT g.bond_id, g.kind, g.quantity, g.decided_day, g.row_id "
		"FROM ruling g WHERE g.bond_id BETWEEN $1 AND $2 AND g.kind IN (0, 1) "
		"AND " SQL_STANDS(NOUN_RULING, "g.id") " "
		"ORDER BY g.bond_id, g.kind, g.id";
	sqlite3_stmt *rows = record_few(p, sql, why);

	p->at = 0;
	while (sql_row(p->store, rows, why)) {
		struct record *r = record_bond_of(p, sqlite3_column_int64(rows, 0));

		if (r != NULL && sqlite3_column_int(rows, 1) == 1) {
			accept_attachment(p->to, r, sqlite3_column_int64(rows, 4));
		} else if (r != NULL && !add_clearing(p->to, r, rows, why)) {
			sql_done(rows);
			break;
		}
	}
	return why->code == PROBLEM_NONE;
}

/* The newest deferral of a bond, decided until the day, is the one that may hold. */
bool record_deferrals(struct place *p, struct problem *why)
{
	static const char sql[] = "SELECT d.bond_id, d.id, d.until_day, d.recorded_at_ms, d.named, "
		"d.named IS NOT NULL FROM deferral d WHERE d.bond_id BETWEEN $1 AND $2 "
		"AND d.decided_day <= $3 AND " SQL_COUNTS("deferral", NOUN_DEFERRAL, "d.id") " "
		"ORDER BY d.bond_id, d.id";
	const struct value values[] = { value_integer(p->first_id), value_integer(p->last_id),
		value_integer(p->to->until_day) };
	sqlite3_stmt *rows = sql_select(p->store, sql, values, 3, why);

	p->at = 0;
	while (sql_row(p->store, rows, why)) {
		struct record *r = record_bond_of(p, sqlite3_column_int64(rows, 0));

		if (r != NULL) {
			r->deferral = (struct deferral_fact){ sqlite3_column_int64(rows, 1),
				sqlite3_column_int(rows, 2), sqlite3_column_int64(rows, 3),
				(uint64_t)sqlite3_column_int64(rows, 4), sqlite3_column_int(rows, 5) != 0 };
		}
	}
	return why->code == PROBLEM_NONE;
}
