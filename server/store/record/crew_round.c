#include "store/record/crew_round.h"

#include <stddef.h>

#include "rules/plausible.h"
#include "store/sql.h"

#define OF(field) offsetof(struct round_new, field)
static const struct member name_members[] = {
	{ .name = "", .title = "Name", .type = MEMBER_TEXT, .required = true, .longest = 120 }, { 0 }
};
static const struct form name_form = { "RoundPerson", name_members, sizeof (const char *) };
static const struct member number_members[] = {
	{ .name = "", .title = "Bond number", .type = MEMBER_INTEGER, .required = true, .least = 1,
	  .most = 9e15 }, { 0 }
};
static const struct form number_form = { "RoundBond", number_members, sizeof (int64_t) };

static const struct member round_members[] = {
	{ .name = "work", .column = "work", .title = "Work", .type = MEMBER_WORD, .required = true,
	  .offset = OF(work), .words = &round_work_words },
	{ .name = "crew", .column = "crew", .title = "Crew", .type = MEMBER_TEXT, .required = true,
	  .offset = OF(crew), .longest = 60, .help = "What the crew is called." },
	{ .name = "persons", .title = "Its people", .type = MEMBER_LIST, .offset = OF(persons),
	  .longest = ROUND_PERSONS_MOST, .form = &name_form, .help = "Their names." },
	{ .name = "shift_day", .column = "shift_day", .title = "Shift", .type = MEMBER_DAY,
	  .required = true, .offset = OF(shift_day), .help = "The day on which it begins." },
	{ .name = "begins", .column = "begins", .title = "Begins", .type = MEMBER_TEXT,
	  .required = true, .offset = OF(begins), .longest = 5, .help = "HH:MM." },
	{ .name = "ends", .column = "ends", .title = "Ends", .type = MEMBER_TEXT, .required = true,
	  .offset = OF(ends), .longest = 5, .help = "HH:MM; before the beginning: of the next day." },
	{ .name = "note", .column = "note", .title = "Note", .type = MEMBER_TEXT, .offset = OF(note),
	  .longest = 2000 },
	{ .name = "from_far_end", .title = "Walked towards lower chainage", .type = MEMBER_FLAG,
	  .offset = OF(from_far_end) },
	{ .name = "bonds", .title = "Bonds", .type = MEMBER_LIST, .required = true,
	  .offset = OF(bonds), .longest = ROUND_BONDS_MOST, .form = &number_form,
	  .help = "Their numbers, in any order: they are put in the order of walking." },
	{ 0 }
};
const struct form round_form = { "Round", round_members, sizeof (struct round_new) };
static const char *const round_worked_out[] = { "shift_minutes", NULL };
const struct record_kind round_kind = { SENT_ROUND, "round", .form = &round_form,
	.worked_out = round_worked_out };

#undef OF
#define OF(field) offsetof(struct round_said, field)
#define TEXT(n, called, longest_, why) { .name = n, .column = n, .title = called, \
	.type = MEMBER_TEXT, .longest = longest_, .help = why

static const struct member step_members[] = {
	{ .name = "round", .title = "Round", .type = MEMBER_UUID, .required = true,
	  .offset = OF(round), .help = "Its id." },
	{ .name = "step", .column = "step", .title = "What", .type = MEMBER_WORD, .required = true,
	  .offset = OF(step), .words = &round_step_words },
	TEXT("said", "Said", 2000, "Why it is withdrawn, what is wished, why it begins although "
		"something is lacking."), .offset = OF(said) },
	TEXT("kit", "Kit", 60, "What the crew has along."), .offset = OF(kit) },
	TEXT("instrument", "Instrument", 60, "Its serial number."), .offset = OF(instrument) },
	TEXT("possession", "Possession", 200, "Confirmed by whom, and when."),
		.offset = OF(possession) },
	TEXT("isolation", "Isolation", 200, "Confirmed by whom, and when."), .offset = OF(isolation) },
	{ .name = "at", .column = "done_at_ms", .title = "When", .type = MEMBER_INSTANT,
	  .offset = OF(at_ms) },
	{ .name = "said_by", .title = "Said by", .type = MEMBER_TEXT, .offset = OF(said_by),
	  .longest = 120, .help = "A name; who is signed in when it is left out." },
	{ .name = "sent_from", .title = "Sent from", .type = MEMBER_WORD, .offset = OF(sent_from),
	  .words = &sent_from_words, .help = "A tablet keeps what was done without coverage." },
	{ 0 }
};
const struct form round_step_form = { "RoundStep", step_members, sizeof (struct round_said) };
static const char *const step_worked_out[] = { "round_id", "person_id", "person_name", NULL };
const struct record_kind round_step_kind = { SENT_ROUND_STEP, "round_step",
	.form = &round_step_form, .worked_out = step_worked_out };

#undef OF
#define OF(field) offsetof(struct minutes_new, field)
static const struct member minutes_members[] = {
	{ .name = "kind", .title = "Kind", .type = MEMBER_WORD, .required = true, .offset = OF(kind),
	  .words = &bond_kind_words },
	{ .name = "work", .title = "Work", .type = MEMBER_WORD, .required = true, .offset = OF(work),
	  .words = &round_work_words },
	{ .name = "minutes", .title = "Minutes at one bond", .unit = "min", .type = MEMBER_INTEGER,
	  .required = true, .offset = OF(minutes), .least = 0, .most = 1440 },
	{ .name = "reason", .title = "Reason", .type = MEMBER_TEXT, .offset = OF(reason),
	  .longest = 500 },
	{ 0 }
};
const struct form round_minutes_form = { "RoundMinutes", minutes_members,
	sizeof (struct minutes_new) };

bool store_round_stop(struct store *store, int64_t bond_id, enum round_work work,
	struct round_stop *to, struct problem *why)
{
	static const char sql[] = "SELECT s.line_id, coalesce(s.track_id, 0), s.distance_mm, s.rail, "
		"s.status, (SELECT t.minutes FROM round_minutes t WHERE t.kind = s.kind AND t.work = $1 "
		"ORDER BY t.version DESC LIMIT 1) FROM bond_state s WHERE s.bond_id = $2";
	const struct value values[] = { value_integer(work), value_integer(bond_id) };
	sqlite3_stmt *row = sql_select(store, sql, values, 2, why);

	*to = (struct round_stop){ 0 };
	if (sql_row(store, row, why)) {
		*to = (struct round_stop){ bond_id, sqlite3_column_int64(row, 0),
			sqlite3_column_int64(row, 1), sqlite3_column_int64(row, 2), column_word(row, 3),
			sqlite3_column_int(row, 4) == BOND_IN_SERVICE,
			sqlite3_column_type(row, 5) == SQLITE_NULL ? round_usual_minutes(work) :
			sqlite3_column_int64(row, 5) };
		sql_done(row);
	}
	return why->code == PROBLEM_NONE;
}

bool store_round_bond_insert(struct store *store, int64_t round_id, int64_t n,
	const struct round_stop *stop, struct problem *why)
{
	static const char sql[] = "INSERT INTO round_bond (round_id, n, bond_id, minutes) "
		"VALUES ($1, $2, $3, $4)";
	const struct value values[] = { value_integer(round_id), value_integer(n),
		value_integer(stop->bond_id), value_integer(stop->minutes) };

	return sql_run(store, sql, values, 4, why);
}

bool store_round_person_insert(struct store *store, int64_t round_id, int64_t n,
	int64_t person_id, const char *person_name, struct problem *why)
{
	static const char sql[] = "INSERT INTO round_person (round_id, n, person_id, person_name) "
		"VALUES ($1, $2, $3, $4)";
	const struct value values[] = { value_integer(round_id), value_integer(n),
		value_id(person_id), value_text(person_id != 0 ? NULL : person_name) };

	return sql_run(store, sql, values, 4, why);
}

bool store_round_facts(struct store *store, int64_t round_id, struct round_facts *to,
	struct problem *why)
{
	static const char sql[] = "SELECT coalesce(sum(DISTINCT 1 << p.step), 0), "
		"EXISTS (SELECT 1 FROM inspection i WHERE i.round_id = $1) OR "
		"EXISTS (SELECT 1 FROM failure f WHERE f.round_id = $1) OR "
		"EXISTS (SELECT 1 FROM repair q WHERE q.round_id = $1) FROM round_step p "
		"WHERE p.round_id = $1";
	sqlite3_stmt *row = sql_select(store, sql, (struct value[]){ value_integer(round_id) }, 1, why);

	*to = (struct round_facts){ 0 };
	if (sql_row(store, row, why)) {
		int steps = sqlite3_column_int(row, 0);

		*to = (struct round_facts){ .taken = (steps >> ROUND_STEP_TAKEN & 1) != 0,
			.begun = (steps >> ROUND_STEP_BEGUN & 1) != 0,
			.done = (steps >> ROUND_STEP_DONE & 1) != 0,
			.withdrawn = (steps >> ROUND_STEP_WITHDRAWN & 1) != 0,
			.recorded = sqlite3_column_int(row, 1) != 0 };
		sql_done(row);
	}
	return why->code == PROBLEM_NONE;
}

bool store_round_bonds(struct store *store, int64_t round_id, int64_t **bonds, size_t *count,
	struct problem *why)
{
	static const char sql[] = "SELECT bond_id FROM round_bond WHERE round_id = $1 ORDER BY n";

	return sql_integers(store, sql, round_id, bonds, count, why);
}

bool store_round_minutes_put(struct store *store, const struct minutes_new *m,
	const struct origin *origin, struct problem *why)
{
	static const char sql[] = "INSERT INTO round_minutes (kind, work, version, minutes, reason, "
		"recorded_at_ms, recorded_by) VALUES ($1, $2, (SELECT coalesce(max(t.version), 0) + 1 "
		"FROM round_minutes t WHERE t.kind = $1 AND t.work = $2), $3, $4, $5, $6)";
	const struct value values[] = { value_integer(m->kind), value_integer(m->work),
		value_integer(m->minutes), value_text(m->reason), value_integer(origin->now_ms),
		value_id(origin->person_id) };

	return sql_run(store, sql, values, 6, why);
}

bool store_round_minutes(struct store *store, int kind, int work, int64_t *minutes,
	struct problem *why)
{
	static const char sql[] = "SELECT minutes FROM round_minutes WHERE kind = $1 AND work = $2 "
		"ORDER BY version DESC LIMIT 1";

	return sql_integer(store, sql, (struct value[]){ value_integer(kind), value_integer(work) }, 2,
		-1, minutes, why);
}
