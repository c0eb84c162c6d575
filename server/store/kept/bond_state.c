#include <string.h>

#include "base/day.h"
#include "store/record/bond_row.h"

#define COUNT(array) (sizeof (array) / sizeof (array)[0])

static bool insert_state(struct store *store, const struct bond *b, const struct bond_state *s,
	struct problem *why)
{
	static const char sql[] = "INSERT INTO bond_state (bond_id, version, line_id, label, kind, "
		"criticality, status, surveyed, track_id, rail, distance_mm, chainage, "
		"last_inspection_day, due_day, soon_from_day, overdue_from_day, due_basis, "
		"deferred_to_day, deferral_id, failures_open, rulebook_version, grade, reasons, "
		"evidence_until_day, worst_quantity, worst_verdict, limit_ppm, crosses_day, early_day, "
		"act_since_day, asked, inspect_day, mend_day, commissioning_day, lacks_since_day, "
		"wants_reading, ever_proved, is_watched, judged_again, notice_days, own_months, "
		"edition, odd, visits) "
		"VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16, $17, $18, "
		"$19, $20, $21, $22, $23, $24, $25, $26, $27, $28, $29, $30, $31, $32, $33, $34, $35, $36, "
		"$37, $38, $39, $40, $41, $42, $43, $44) "
		"ON CONFLICT (bond_id) DO UPDATE SET version = excluded.version, "
		"line_id = excluded.line_id, label = excluded.label, kind = excluded.kind, "
		"criticality = excluded.criticality, status = excluded.status, "
		"surveyed = excluded.surveyed, track_id = excluded.track_id, rail = excluded.rail, "
		"distance_mm = excluded.distance_mm, chainage = excluded.chainage, "
		"last_inspection_day = excluded.last_inspection_day, due_day = excluded.due_day, "
		"soon_from_day = excluded.soon_from_day, overdue_from_day = excluded.overdue_from_day, "
		"due_basis = excluded.due_basis, deferred_to_day = excluded.deferred_to_day, "
		"deferral_id = excluded.deferral_id, failures_open = excluded.failures_open, "
		"rulebook_version = excluded.rulebook_version, grade = excluded.grade, "
		"reasons = excluded.reasons, evidence_until_day = excluded.evidence_until_day, "
		"worst_quantity = excluded.worst_quantity, worst_verdict = excluded.worst_verdict, "
		"limit_ppm = excluded.limit_ppm, crosses_day = excluded.crosses_day, "
		"early_day = excluded.early_day, act_since_day = excluded.act_since_day, "
		"asked = excluded.asked, inspect_day = excluded.inspect_day, "
		"mend_day = excluded.mend_day, commissioning_day = excluded.commissioning_day, "
		"lacks_since_day = excluded.lacks_since_day, wants_reading = excluded.wants_reading, "
		"ever_proved = excluded.ever_proved, is_watched = excluded.is_watched, "
		"judged_again = excluded.judged_again, notice_days = excluded.notice_days, "
		"own_months = excluded.own_months, edition = excluded.edition, odd = excluded.odd, "
		"visits = excluded.visits";
	const struct bond_end_fact *a = &b->end[END_A];
	const struct value values[] = { value_integer(b->id), value_integer(b->version),
		value_integer(b->line_id), value_text(b->label), value_integer(b->kind),
		value_integer(b->criticality), value_integer(b->status), value_integer(b->surveyed),
		value_id(a->track_id), value_word(a->rail), value_integer(a->distance_mm),
		value_text(s->chainage), value_day(s->last_inspection_day), value_day(s->due.due_day),
		value_day(s->due.soon_from_day), value_day(s->due.overdue_from_day),
		value_integer(s->due.basis), value_day(s->due.deferred_until_day),
		value_id(s->deferral_id), value_integer(s->failures_open),
		value_integer(s->rulebook_version), value_integer(s->grade.grade),
		value_integer(s->grade.reasons), value_day(s->grade.evidence_until_day),
		value_word(s->worst_quantity), value_word(s->worst_verdict),
		value_int_or_null(s->limit_ppm, -1), value_day(s->crosses_day), value_day(s->early_day),
		value_day(s->act_since_day), value_integer(s->asked), value_day(s->due.inspect_day),
		value_day(s->due.mend_day), value_day(s->commissioning_day),
		value_day(s->lacks_since_day), value_integer(s->wants_reading),
		value_integer(s->ever_proved), value_integer(s->is_watched),
		value_integer(s->judged_again), value_integer(s->due.notice_days),
		value_integer(s->due.own_months), value_integer(s->edition), value_integer(s->odd),
		value_bytes(s->visits, s->visits_len) };

	return sql_run(store, sql, values, COUNT(values), why);
}

/* What is derived, in three parts: the parts that changed are written at once, and the indices over
 * the others (over the forecast, which seldom changes, and over what is said of the bond) are not
 * touched. Placeholders have their numbers by the order in which they come. */
#define JUDGEMENT "grade = $1, evidence_until_day = $2, worst_quantity = $3, worst_verdict = $4, " \
	"limit_ppm = $5, crosses_day = $6, act_since_day = $7, asked = $8, commissioning_day = $9, " \
	"lacks_since_day = $10, wants_reading = $11, ever_proved = $12, is_watched = $13, " \
	"judged_again = $14, "
#define FORECAST "reasons = $15, early_day = $16, "
#define DUE "chainage = $17, last_inspection_day = $18, due_day = $19, soon_from_day = $20, " \
	"overdue_from_day = $21, due_basis = $22, deferred_to_day = $23, deferral_id = $24, " \
	"failures_open = $25, inspect_day = $26, mend_day = $27, notice_days = $28, own_months = $29, " \
	"visits = $30, "
#define UPDATE(parts) "UPDATE bond_state SET " parts "rulebook_version = $31, edition = $32 " \
	"WHERE bond_id = $33"

enum { PART_JUDGEMENT = 1, PART_FORECAST = 2, PART_DUE = 4, STATE_VALUES = 33 };

static const char *const update_sql[] = {
	UPDATE(""), UPDATE(JUDGEMENT), UPDATE(FORECAST), UPDATE(JUDGEMENT FORECAST),
	UPDATE(DUE), UPDATE(JUDGEMENT DUE), UPDATE(FORECAST DUE), UPDATE(JUDGEMENT FORECAST DUE),
};

static size_t add_judgement(const struct bond_state *s, struct value *to)
{
	const struct value values[] = { value_integer(s->grade.grade),
		value_day(s->grade.evidence_until_day), value_word(s->worst_quantity),
		value_word(s->worst_verdict), value_int_or_null(s->limit_ppm, -1),
		value_day(s->crosses_day), value_day(s->act_since_day), value_integer(s->asked),
		value_day(s->commissioning_day), value_day(s->lacks_since_day),
		value_integer(s->wants_reading), value_integer(s->ever_proved),
		value_integer(s->is_watched), value_integer(s->judged_again) };

	memcpy(to, values, sizeof values);
	return COUNT(values);
}

static size_t add_forecast(const struct bond_state *s, struct value *to)
{
	to[0] = value_integer(s->grade.reasons);
	to[1] = value_day(s->early_day);
	return 2;
}

static size_t add_due(const struct bond_state *s, struct value *to)
{
	const struct value values[] = { value_text(s->chainage), value_day(s->last_inspection_day),
		value_day(s->due.due_day), value_day(s->due.soon_from_day),
		value_day(s->due.overdue_from_day), value_integer(s->due.basis),
		value_day(s->due.deferred_until_day), value_id(s->deferral_id),
		value_integer(s->failures_open), value_day(s->due.inspect_day),
		value_day(s->due.mend_day), value_integer(s->due.notice_days),
		value_integer(s->due.own_months), value_bytes(s->visits, s->visits_len) };

	memcpy(to, values, sizeof values);
	return COUNT(values);
}

static bool update_state(struct store *store, int64_t bond_id, const struct bond_state *s,
	unsigned parts, struct problem *why)
{
	struct value values[STATE_VALUES];
	size_t n = 0;

	n += (parts & PART_JUDGEMENT) != 0 ? add_judgement(s, &values[n]) : 0;
	n += (parts & PART_FORECAST) != 0 ? add_forecast(s, &values[n]) : 0;
	n += (parts & PART_DUE) != 0 ? add_due(s, &values[n]) : 0;
	values[n++] = value_integer(s->rulebook_version);
	values[n++] = value_integer(s->edition);
	values[n++] = value_integer(bond_id);
	return sql_run(store, update_sql[parts], values, n, why);
}

bool bond_state_same_due(const struct bond_state *a, const struct bond_state *b)
{
	return strcmp(a->chainage, b->chainage) == 0 &&
		a->last_inspection_day == b->last_inspection_day && a->due.due_day == b->due.due_day &&
		a->due.soon_from_day == b->due.soon_from_day &&
		a->due.overdue_from_day == b->due.overdue_from_day && a->due.basis == b->due.basis &&
		a->due.deferred_until_day == b->due.deferred_until_day &&
		a->due.inspect_day == b->due.inspect_day && a->due.mend_day == b->due.mend_day &&
		a->due.notice_days == b->due.notice_days && a->due.own_months == b->due.own_months &&
		a->deferral_id == b->deferral_id && a->failures_open == b->failures_open;
}

static bool same_visits(const struct bond_state *a, const struct bond_state *b)
{
	return a->visits_len == b->visits_len &&
		(a->visits_len == 0 || memcmp(a->visits, b->visits, a->visits_len) == 0);
}

static bool same_judgement(const struct bond_state *a, const struct bond_state *b)
{
	return a->grade.grade == b->grade.grade &&
		a->grade.evidence_until_day == b->grade.evidence_until_day &&
		a->worst_quantity == b->worst_quantity && a->worst_verdict == b->worst_verdict &&
		a->limit_ppm == b->limit_ppm && a->crosses_day == b->crosses_day &&
		a->act_since_day == b->act_since_day && a->asked == b->asked &&
		a->commissioning_day == b->commissioning_day &&
		a->lacks_since_day == b->lacks_since_day && a->wants_reading == b->wants_reading &&
		a->ever_proved == b->ever_proved && a->is_watched == b->is_watched &&
		a->judged_again == b->judged_again;
}

static bool same_forecast(const struct bond_state *a, const struct bond_state *b)
{
	return a->grade.reasons == b->grade.reasons && a->early_day == b->early_day;
}

bool bond_state_same_judgement(const struct bond_state *a, const struct bond_state *b)
{
	return same_judgement(a, b) && same_forecast(a, b);
}

/* What looks wrong seldom changes: a statement of its own, and its index is not touched else. */
static bool put_odd(struct store *store, int64_t bond_id, int64_t odd, struct problem *why)
{
	static const char sql[] = "UPDATE bond_state SET odd = $1 WHERE bond_id = $2";

	return sql_run(store, sql, (struct value[]){ value_integer(odd), value_integer(bond_id) }, 2,
		why);
}

/* (a second visit on a day moves nothing that is due) */
static bool put_visits(struct store *store, int64_t bond_id, const struct bond_state *s,
	struct problem *why)
{
	static const char sql[] = "UPDATE bond_state SET visits = $1 WHERE bond_id = $2";
	const struct value values[] = { value_bytes(s->visits, s->visits_len),
		value_integer(bond_id) };

	return sql_run(store, sql, values, 2, why);
}

bool store_bond_state_put(struct store *store, const struct bond *b,
	const struct bond_state *kept, const struct bond_state *s, struct problem *why)
{
	unsigned parts;
	bool same_due;

	/* what is said of a bond only changes with its version */
	if (kept == NULL || kept->version != s->version) {
		return insert_state(store, b, s, why);
	}
	same_due = bond_state_same_due(kept, s);
	parts = (same_judgement(kept, s) ? 0u : PART_JUDGEMENT) |
		(same_forecast(kept, s) ? 0u : PART_FORECAST) |
		(same_due ? 0u : PART_DUE);
	return (kept->odd == s->odd || put_odd(store, b->id, s->odd, why)) &&
		(!same_due || same_visits(kept, s) || put_visits(store, b->id, s, why)) &&
		((parts == 0 && kept->rulebook_version == s->rulebook_version &&
		kept->edition == s->edition) || update_state(store, b->id, s, parts, why));
}

void bond_state_read(sqlite3_value **row, struct bond_state *to)
{
	*to = (struct bond_state){ .version = sqlite3_value_int64(row[0]),
		.last_inspection_day = taken_day(row[2]),
		.due = { .due_day = taken_day(row[3]), .soon_from_day = taken_day(row[4]),
		.overdue_from_day = taken_day(row[5]),
		.basis = (enum due_basis)sqlite3_value_int(row[6]),
		.deferred_until_day = taken_day(row[7]), .inspect_day = taken_day(row[25]),
		.mend_day = taken_day(row[26]), .notice_days = sqlite3_value_int(row[33]),
		.own_months = sqlite3_value_int64(row[34]) },
		.deferral_id = sqlite3_value_int64(row[8]),
		.failures_open = sqlite3_value_int64(row[9]),
		.rulebook_version = sqlite3_value_int64(row[10]),
		.grade = { .grade = (enum grade)sqlite3_value_int(row[11]),
		.reasons = (unsigned)sqlite3_value_int64(row[12]),
		.evidence_until_day = taken_day(row[13]) },
		.worst_quantity = taken_word(row[14]), .worst_verdict = taken_word(row[15]),
		.limit_ppm = sqlite3_value_type(row[16]) == SQLITE_NULL ? -1 :
		sqlite3_value_int64(row[16]), .crosses_day = taken_day(row[17]),
		.early_day = taken_day(row[18]), .act_since_day = taken_day(row[19]),
		.line_id = sqlite3_value_int64(row[20]),
		.kind = (enum bond_kind)sqlite3_value_int(row[21]),
		.criticality = (enum criticality)sqlite3_value_int(row[22]),
		.surveyed = sqlite3_value_int(row[23]) != 0, .asked = sqlite3_value_int64(row[24]),
		.commissioning_day = taken_day(row[27]), .lacks_since_day = taken_day(row[28]),
		.wants_reading = sqlite3_value_int(row[29]) != 0,
		.ever_proved = sqlite3_value_int(row[30]) != 0,
		.is_watched = sqlite3_value_int(row[31]) != 0,
		.judged_again = sqlite3_value_int(row[32]) != 0,
		.edition = sqlite3_value_int64(row[35]), .odd = sqlite3_value_int64(row[36]) };
	taken_text(row[1], to->chainage, sizeof to->chainage);
}

static bool take_state(void *arg, sqlite3_value **row, struct problem *why)
{
	struct bond_state *to = arg;

	(void)why;
	bond_state_read(row, to);
	return false;
}

bool store_bond_state_get(struct store *store, int64_t bond_id, struct bond_state *s,
	struct problem *why)
{
	static const char sql[] = "SELECT 1 FROM bond_state s WHERE s.bond_id = $1 AND "
		"enough(" BOND_STATE_COLUMNS ")";

	*s = (struct bond_state){ 0 };
	if (sql_walk(store, sql, bond_id, take_state, s, why) && s->version == 0) {
		problem_set(why, PROBLEM_NOT_FOUND, NULL, "There is no bond %lld.", (long long)bond_id);
	}
	return why->code == PROBLEM_NONE;
}

bool store_deferral_reason(struct store *store, int64_t deferral_id, char *to, size_t size,
	struct problem *why)
{
	static const char sql[] = "SELECT reason FROM deferral WHERE id = $1";
	sqlite3_stmt *row;

	to[0] = '\0';
	if (deferral_id == 0) {
		return true;
	}
	row = sql_select(store, sql, (struct value[]){ value_integer(deferral_id) }, 1, why);
	if (sql_row(store, row, why)) {
		column_text(row, 0, to, size);
		sql_done(row);
	}
	return why->code == PROBLEM_NONE;
}
