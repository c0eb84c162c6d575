/* The lists of rounds, of their bonds, of what was said of them, and of the minutes of work. */
#include "store/lists/due_filters.h"
#include "store/record/bridge.h"
#include "store/record/crew_round.h"
#include "store/record/doer.h"
#include "store/record/end_words.h"
#include "store/sql.h"

#define COUNT(array) (sizeof (array) / sizeof (array)[0])

static void state_of(sqlite3_context *context, int count, sqlite3_value **values)
{
	int steps = sqlite3_value_int(values[0]);
	const struct round_facts facts = { (steps >> ROUND_STEP_TAKEN & 1) != 0,
		(steps >> ROUND_STEP_BEGUN & 1) != 0, (steps >> ROUND_STEP_DONE & 1) != 0,
		(steps >> ROUND_STEP_WITHDRAWN & 1) != 0, sqlite3_value_int(values[1]) != 0 };

	(void)count;
	sqlite3_result_int(context, round_state(&facts));
}

static void bond_state_of(sqlite3_context *context, int count, sqlite3_value **values)
{
	const struct round_bond_facts facts = { sqlite3_value_int(values[1]) != 0,
		sqlite3_value_int(values[2]) != 0, sqlite3_value_int(values[3]) != 0,
		sqlite3_value_int(values[4]) != 0, sqlite3_value_int(values[5]) != 0 };

	(void)count;
	sqlite3_result_int(context,
		round_bond_state((enum round_work)sqlite3_value_int(values[0]), &facts));
}

static void usual_minutes(sqlite3_context *context, int count, sqlite3_value **values)
{
	(void)count;
	sqlite3_result_int(context,
		round_usual_minutes((enum round_work)sqlite3_value_int(values[0])));
}

bool sql_round_open(sqlite3 *db)
{
	enum { FLAGS = SQLITE_UTF8 | SQLITE_DETERMINISTIC | SQLITE_DIRECTONLY };

	return sqlite3_create_function_v2(db, "round_state", 2, FLAGS, NULL, state_of, NULL, NULL,
		NULL) == SQLITE_OK && sqlite3_create_function_v2(db, "round_bond_state", 6, FLAGS, NULL,
		bond_state_of, NULL, NULL, NULL) == SQLITE_OK &&
		sqlite3_create_function_v2(db, "round_usual_minutes", 1, FLAGS, NULL, usual_minutes, NULL,
		NULL, NULL) == SQLITE_OK;
}

/* Of a round r and its bond m. */
#define VISITED(how) "EXISTS (SELECT 1 FROM inspection i WHERE i.round_id = m.round_id " \
	"AND i.bond_id = m.bond_id AND " how " " \
	"AND " SQL_COUNTS("inspection", NOUN_INSPECTION, "i.id") ")"
#define REPAIRED "EXISTS (SELECT 1 FROM repair q JOIN failure f ON f.id = q.failure_id " \
	"WHERE q.round_id = m.round_id AND f.bond_id = m.bond_id " \
	"AND " SQL_COUNTS("repair", NOUN_REPAIR, "q.id") ")"
#define BOND_STATE "round_bond_state(r.work, " VISITED("i.outcome = 0") ", " \
	VISITED("i.outcome = 0 AND i.purpose IN (0, 2)") ", " VISITED("i.outcome = 1") ", " \
	REPAIRED ", " VISITED("i.outcome = 2") ")"
_Static_assert(OUTCOME_COMPLETE == 0 && OUTCOME_PARTLY == 1 && OUTCOME_NOT_REACHED == 2 &&
	PURPOSE_COMMISSIONING == 0 && PURPOSE_AFTER_WORKS == 2, "the statements here say so");
#define WHY_NOT "(SELECT coalesce(i.note, 'not said') FROM inspection i " \
	"WHERE i.round_id = m.round_id AND i.bond_id = m.bond_id AND i.outcome = 2 " \
	"AND " SQL_COUNTS("inspection", NOUN_INSPECTION, "i.id") " ORDER BY i.id DESC LIMIT 1)"

#define STATE "round_state((SELECT coalesce(sum(DISTINCT 1 << p.step), 0) FROM round_step p " \
	"WHERE p.round_id = r.id), EXISTS (SELECT 1 FROM inspection i WHERE i.round_id = r.id) OR " \
	"EXISTS (SELECT 1 FROM failure f WHERE f.round_id = r.id) OR " \
	"EXISTS (SELECT 1 FROM repair q WHERE q.round_id = r.id))"
#define SAID(step) "(SELECT p.said FROM round_step p WHERE p.round_id = r.id " \
	"AND p.step = " step " ORDER BY p.id DESC LIMIT 1)"
#define BONDS_THAT(stand) "(SELECT count(*) FROM round_bond m WHERE m.round_id = r.id " \
	"AND " BOND_STATE " = " stand ")"
_Static_assert(ROUND_BOND_DONE == 1 && ROUND_BOND_PARTLY == 2 && ROUND_BOND_NOT_REACHED == 3 &&
	ROUND_STEP_WITHDRAWN == 3 && ROUND_STEP_WISH == 4 && ROUND_STEP_DONE == 2,
	"the statements here and in crew_round.h say so");
#define PERSONS "(SELECT group_concat(" NAME_OF_DOER("e") ", ', ') FROM round_person e " \
	"WHERE e.round_id = r.id)"

static const struct list_column round_columns[] = {
	{ { "uuid", "Round", NULL, CELL_TEXT, .width = 36 }, "r.uuid" },
	{ { "number", "Round number", NULL, CELL_INTEGER }, "r.id" },
	{ { "work", "Work", NULL, CELL_WORD, &round_work_words }, "r.work" },
	{ { "state", "State", NULL, CELL_WORD, &round_state_words }, STATE },
	{ { "crew", "Crew", NULL, CELL_TEXT }, "r.crew" },
	{ { "persons", "Its people", NULL, CELL_TEXT, .width = 30 }, PERSONS },
	{ { "shift_day", "Shift", NULL, CELL_DAY }, "r.shift_day" },
	{ { "begins", "Begins", NULL, CELL_TEXT }, "r.begins" },
	{ { "ends", "Ends", NULL, CELL_TEXT }, "r.ends" },
	{ { "shift_minutes", "The shift's minutes", "min", CELL_INTEGER }, "r.shift_minutes" },
	{ { "work_minutes", "The work's minutes", "min", CELL_INTEGER },
	  "(SELECT sum(m.minutes) FROM round_bond m WHERE m.round_id = r.id)" },
	{ { "bonds", "Bonds", NULL, CELL_INTEGER },
	  "(SELECT count(*) FROM round_bond m WHERE m.round_id = r.id)" },
	{ { "done", "Done", NULL, CELL_INTEGER }, BONDS_THAT("1") },
	{ { "partly", "Done in part", NULL, CELL_INTEGER }, BONDS_THAT("2") },
	{ { "not_reached", "Not reached", NULL, CELL_INTEGER }, BONDS_THAT("3") },
	{ { "failures", "Failures found", NULL, CELL_INTEGER },
	  "(SELECT count(*) FROM failure f WHERE f.round_id = r.id "
	  "AND " SQL_COUNTS("failure", NOUN_FAILURE, "f.id") ")" },
	{ { "asked", "Wait for an answer", NULL, CELL_INTEGER },
	  "(SELECT count(*) FROM round_bond m JOIN bond_state s ON s.bond_id = m.bond_id "
	  "WHERE m.round_id = r.id AND s.asked > 0)" },
	{ { "bridges", "Temporary bridges still on", NULL, CELL_INTEGER },
	  "(SELECT count(*) FROM bridge g WHERE g.round_id = r.id AND " BRIDGE_ON ")" },
	{ { "came_at", "Last came in", NULL, CELL_INSTANT },
	  "(SELECT max(i.recorded_at_ms) FROM inspection i WHERE i.round_id = r.id)" },
	{ { "withdrawn_why", "Why withdrawn", NULL, CELL_TEXT, .width = 30 }, SAID("3") },
	{ { "wish", "Newer wish", NULL, CELL_TEXT, .width = 30 }, SAID("4") },
	{ { "note", "Note", NULL, CELL_TEXT, .width = 30 }, "r.note" },
	COLUMNS_OF_ENTRY("r"),
};
static const struct list_filter round_filters[] = {
	{ "uuid", "Id", FILTER_TEXT, "r.uuid = {value}" },
	{ "state", "State", FILTER_WORD, STATE " = {value}", .words = &round_state_words },
	{ "work", "Work", FILTER_WORD, "r.work = {value}", .words = &round_work_words },
	{ "from", "From this day", FILTER_DAY, "r.shift_day >= {value}" },
	{ "to", "To this day", FILTER_DAY, "r.shift_day <= {value}" },
	{ "crew", "Crew", FILTER_TEXT, "r.crew = {value}" },
	{ "person", "Person, by number", FILTER_ID,
	  "r.id IN (SELECT e.round_id FROM round_person e WHERE e.person_id = {value})" },
	{ "bond", "Bond", FILTER_ID,
	  "r.id IN (SELECT m.round_id FROM round_bond m WHERE m.bond_id = {value})" },
};
static const struct list_sort round_sorts[] = {
	{ "newest", "newest shift first", { "r.shift_day" }, .descending = true },
	{ "oldest", "oldest shift first", { "r.shift_day" } },
};
const struct list round_list = {
	.name = "rounds", .title = "Rounds",
	.summary = "The rounds of crews: which bonds in which shift, how far they are, what came in.",
	.from = "round r", .record = "r", .id = "r.id",
	.columns = round_columns, .n_columns = COUNT(round_columns),
	.filters = round_filters, .n_filters = COUNT(round_filters),
	.sorts = round_sorts, .n_sorts = COUNT(round_sorts),
};

enum { COLUMN_GRADE = 20, COLUMN_REASON, COLUMN_REASONS, COLUMN_EVIDENCE };
static const struct list_column bond_columns[] = {
	{ { "round", "Round", NULL, CELL_TEXT, .width = 36 }, "r.uuid" },
	{ { "n", "Place in the order", NULL, CELL_INTEGER }, "m.n + 1" },
	{ { "bond_id", "Bond number", NULL, CELL_INTEGER }, "m.bond_id" },
	{ { "label", "Bond", NULL, CELL_TEXT }, "s.label" },
	{ { "line_id", "Line number", NULL, CELL_INTEGER }, "s.line_id" },
	{ { "line", "Line", NULL, CELL_TEXT }, "l.code" },
	{ { "track", "Track", NULL, CELL_TEXT }, "t.name" },
	{ { "rail", "Rail", NULL, CELL_WORD, &rail_words }, "s.rail" },
	{ { "chainage", "Chainage", NULL, CELL_TEXT }, "s.chainage" },
	{ { "distance_mm", "Distance from the datum", "mm", CELL_INTEGER }, "s.distance_mm" },
	{ { "kind", "Kind", NULL, CELL_WORD, &bond_kind_words }, "s.kind" },
	{ { "end_a_words", "One end", NULL, CELL_TEXT, .width = 30 }, END_BRIEF("s", "0") },
	{ { "end_b_words", "Other end", NULL, CELL_TEXT, .width = 30 }, END_BRIEF("s", "1") },
	{ { "minutes", "Minutes", "min", CELL_INTEGER }, "m.minutes" },
	{ { "stands", "What became of it", NULL, CELL_WORD, &round_bond_state_words }, BOND_STATE },
	{ { "why_not", "Why not reached", NULL, CELL_TEXT, .width = 30 }, WHY_NOT },
	{ { "failures", "Failures found", NULL, CELL_INTEGER },
	  "(SELECT count(*) FROM failure f WHERE f.round_id = m.round_id AND f.bond_id = m.bond_id "
	  "AND " SQL_COUNTS("failure", NOUN_FAILURE, "f.id") ")" },
	{ { "asked", "Readings that wait for an answer", NULL, CELL_INTEGER }, "s.asked" },
	{ { "failures_open", "Failures not made good", NULL, CELL_INTEGER }, "s.failures_open" },
	{ { "last_inspection_day", "Last inspected", NULL, CELL_DAY }, "s.last_inspection_day" },
	[COLUMN_GRADE] = COLUMN_OF_GRADE,
	[COLUMN_REASON] = COLUMN_OF_REASON,
	[COLUMN_REASONS] = COLUMN_OF_REASONS,
	[COLUMN_EVIDENCE] = COLUMN_OF_EVIDENCE,
};

static void finish_bond(int32_t today, struct cell *row)
{
	finish_grade(today, &row[COLUMN_REASONS], &row[COLUMN_EVIDENCE], &row[COLUMN_GRADE],
		&row[COLUMN_REASON]);
}

static const struct list_filter bond_filters[] = {
	{ "round", "Round, by its id", FILTER_TEXT, "r.uuid = {value}" },
	{ "bond", "Bond", FILTER_ID, "m.bond_id = {value}" },
	{ "stands", "What became of it", FILTER_WORD, BOND_STATE " = {value}",
	  .words = &round_bond_state_words },
};
static const struct list_sort bond_sorts[] = {
	{ "walk", "in walking order, newest round first", { "-m.round_id", "m.n" } },
};
const struct list round_bond_list = {
	.name = "round-bonds", .title = "Bonds of rounds",
	.summary = "Each bond of each round in the order of walking, and what became of it there.",
	.from = "round_bond m JOIN round r ON r.id = m.round_id "
		"JOIN bond_state s ON s.bond_id = m.bond_id JOIN line l ON l.id = s.line_id "
		"LEFT JOIN track t ON t.id = s.track_id",
	.id = "m.round_id * 1000 + m.n",
	.columns = bond_columns, .n_columns = COUNT(bond_columns),
	.filters = bond_filters, .n_filters = COUNT(bond_filters),
	.sorts = bond_sorts, .n_sorts = COUNT(bond_sorts), .finish = finish_bond,
};
_Static_assert(ROUND_BONDS_MOST <= 1000, "the id of a row");

static const struct list_column step_columns[] = {
	{ { "uuid", "Entry", NULL, CELL_TEXT, .width = 36 }, "p.uuid" },
	{ { "round", "Round", NULL, CELL_TEXT, .width = 36 }, "r.uuid" },
	{ { "crew", "Crew", NULL, CELL_TEXT }, "r.crew" },
	{ { "shift_day", "Shift", NULL, CELL_DAY }, "r.shift_day" },
	{ { "step", "What", NULL, CELL_WORD, &round_step_words }, "p.step" },
	{ { "said", "Said", NULL, CELL_TEXT, .width = 40 }, "p.said" },
	{ { "kit", "Kit", NULL, CELL_TEXT }, "p.kit" },
	{ { "instrument", "Instrument", NULL, CELL_TEXT }, "p.instrument" },
	{ { "possession", "Possession", NULL, CELL_TEXT, .width = 30 }, "p.possession" },
	{ { "isolation", "Isolation", NULL, CELL_TEXT, .width = 30 }, "p.isolation" },
	{ { "at", "When", NULL, CELL_INSTANT }, "p.done_at_ms" },
	COLUMN_OF_DOER("Said by", "p"),
	COLUMNS_OF_ENTRY("p"),
};
static const struct list_filter step_filters[] = {
	{ "round", "Round, by its id", FILTER_TEXT, "r.uuid = {value}" },
	{ "step", "What", FILTER_WORD, "p.step = {value}", .words = &round_step_words },
};
static const struct list_sort step_sorts[] = {
	{ "newest", "newest first", { "p.recorded_at_ms" }, .descending = true },
	{ "oldest", "oldest first", { "p.recorded_at_ms" } },
};
const struct list round_step_list = {
	.name = "round-steps", .title = "What was said of rounds",
	.summary = "Taken, begun, done, withdrawn, and newer wishes, each with who said it.",
	.from = "round_step p JOIN round r ON r.id = p.round_id", .id = "p.id",
	.columns = step_columns, .n_columns = COUNT(step_columns),
	.filters = step_filters, .n_filters = COUNT(step_filters),
	.sorts = step_sorts, .n_sorts = COUNT(step_sorts),
};

static const struct list_column person_columns[] = {
	{ { "round", "Round", NULL, CELL_TEXT, .width = 36 }, "r.uuid" },
	{ { "number", "Number", NULL, CELL_INTEGER }, "e.person_id" },
	{ { "name", "Name", NULL, CELL_TEXT, .width = 30 }, NAME_OF_DOER("e") },
};
static const struct list_filter person_filters[] = {
	{ "round", "Round, by its id", FILTER_TEXT, "r.uuid = {value}" },
};
static const struct list_sort person_sorts[] = {
	{ "newest", "newest round first", { "-e.round_id", "e.n" } },
};
const struct list round_person_list = {
	.name = "round-people", .title = "People of rounds",
	.summary = "Who is of the crew of a round.",
	.from = "round_person e JOIN round r ON r.id = e.round_id", .id = "e.round_id * 100 + e.n",
	.columns = person_columns, .n_columns = COUNT(person_columns),
	.filters = person_filters, .n_filters = COUNT(person_filters),
	.sorts = person_sorts, .n_sorts = COUNT(person_sorts),
};
_Static_assert(ROUND_PERSONS_MOST <= 100, "the id of a row");

/* (kinds 0 to 8, each for both kinds of work) */
#define KINDS "(WITH RECURSIVE n (i) AS (SELECT 0 UNION ALL SELECT i + 1 FROM n WHERE i < 17) " \
	"SELECT i / 2 AS kind, i % 2 AS work, i AS id FROM n)"
_Static_assert(BOND_KIND_NOT_KNOWN == 8 && ROUND_MEND == 1, "the statement above says so");

#define NEWEST "(SELECT max(t.version) FROM round_minutes t WHERE t.kind = k.kind " \
	"AND t.work = k.work)"
static const struct list_column minutes_columns[] = {
	{ { "kind", "Kind", NULL, CELL_WORD, &bond_kind_words }, "k.kind" },
	{ { "work", "Work", NULL, CELL_WORD, &round_work_words }, "k.work" },
	{ { "minutes", "Minutes at one bond", "min", CELL_INTEGER },
	  "coalesce(u.minutes, round_usual_minutes(k.work))" },
	{ { "usual", "Not the railway's own", NULL, CELL_FLAG }, "u.minutes IS NULL" },
	{ { "reason", "Reason", NULL, CELL_TEXT, .width = 30 }, "u.reason" },
	COLUMNS_OF_ENTRY("u"),
};
static const struct list_sort minutes_sorts[] = { { "kind", "by kind", { "k.id" } } };
const struct list round_minutes_list = {
	.name = "round-minutes", .title = "Minutes of work",
	.summary = "How long work at one bond takes, by kind: the railway's own figure, or what is "
		"usual.",
	.from = KINDS " k LEFT JOIN round_minutes u ON u.kind = k.kind AND u.work = k.work "
		"AND u.version = " NEWEST,
	.id = "k.id",
	.columns = minutes_columns, .n_columns = COUNT(minutes_columns),
	.sorts = minutes_sorts, .n_sorts = 1,
};
