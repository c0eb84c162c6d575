#include "store/judgement.h"

#include <math.h>
#include <stdlib.h>

#include "rules/asked.h"
#include "store/sql.h"

static bool same(double a, double b)
{
	return a == b || (isnan(a) && isnan(b));
}

enum { SAID_ASKED = 0xFFFF, SAID_STATUS_AT = 16, SAID_PARALLEL_AT = 19, SAID_TOLD_AT = 20,
	SAID_VERSION_AT = 24 };

/* (of what had no verdict nobody asks under which version it had none: any that judges alike) */
int64_t reading_state_said(const struct reading_state *s)
{
	int64_t told_version = s->told == VERDICT_NONE ? 0 : s->told_version;

	_Static_assert(ASKEDS <= 16, "they have 16 bits");
	return (int64_t)(s->asked & SAID_ASKED) | (int64_t)s->status << SAID_STATUS_AT |
		(int64_t)s->parallel << SAID_PARALLEL_AT | (int64_t)s->told << SAID_TOLD_AT |
		told_version << SAID_VERSION_AT;
}

void reading_state_take_said(int64_t said, struct reading_state *to)
{
	to->asked = (unsigned)(said & SAID_ASKED);
	to->status = (int)(said >> SAID_STATUS_AT & 7);
	to->parallel = (said >> SAID_PARALLEL_AT & 1) != 0;
	to->told = (int)(said >> SAID_TOLD_AT & 7);
	to->told_version = said >> SAID_VERSION_AT;
}

bool reading_state_same(const struct reading_state *a, const struct reading_state *b)
{
	return same(a->r_uohm, b->r_uohm) && same(a->r20_uohm, b->r20_uohm) &&
		same(a->thermal_uv, b->thermal_uv) && same(a->equivalent_m, b->equivalent_m) &&
		a->remark == b->remark && a->meter == b->meter && a->verdict == b->verdict &&
		a->limit_kind == b->limit_kind && same(a->limit, b->limit) && same(a->u95, b->u95) &&
		same(a->p_within, b->p_within) && reading_state_said(a) == reading_state_said(b);
}

bool store_reading_state_put(struct store *store, int64_t inspection_id, int64_t n,
	const struct reading_state *s, struct problem *why)
{
	static const char sql[] = "INSERT INTO reading_state (inspection_id, n, r_uohm, r20_uohm, "
		"thermal_uv, equivalent_m, remark, meter, verdict, limit_kind, limit_value, u95, p_within, "
		"rulebook_version, said) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, "
		"$14, $15) "
		"ON CONFLICT (inspection_id, n) DO UPDATE SET r_uohm = excluded.r_uohm, "
		"r20_uohm = excluded.r20_uohm, thermal_uv = excluded.thermal_uv, "
		"equivalent_m = excluded.equivalent_m, remark = excluded.remark, meter = excluded.meter, "
		"verdict = excluded.verdict, limit_kind = excluded.limit_kind, "
		"limit_value = excluded.limit_value, u95 = excluded.u95, p_within = excluded.p_within, "
		"rulebook_version = excluded.rulebook_version, said = excluded.said";
	const struct value values[] = { value_integer(inspection_id), value_integer(n),
		value_real(s->r_uohm), value_real(s->r20_uohm), value_real(s->thermal_uv),
		value_real(s->equivalent_m), value_integer(s->remark), value_integer(s->meter),
		value_integer(s->verdict), value_word(s->limit_kind), value_real(s->limit),
		value_real(s->u95), value_real(s->p_within), value_integer(s->rulebook_version),
		value_integer(reading_state_said(s)) };

	return sql_run(store, sql, values, sizeof values / sizeof values[0], why);
}

bool store_verdict_former_insert(struct store *store, int64_t inspection_id, int64_t n,
	const struct reading_state *former, double value, int64_t edition, int64_t now_ms,
	struct problem *why)
{
	static const char sql[] = "INSERT INTO verdict_former (inspection_id, n, rulebook_version, "
		"verdict, limit_kind, limit_value, value, u95, replaced_at_ms, edition) "
		"VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)";
	const struct value values[] = { value_integer(inspection_id), value_integer(n),
		value_integer(former->rulebook_version), value_integer(former->verdict),
		value_word(former->limit_kind), value_real(former->limit), value_real(value),
		value_real(former->u95), value_integer(now_ms), value_integer(edition) };

	return sql_run(store, sql, values, sizeof values / sizeof values[0], why);
}

bool store_verdicts_former(struct store *store, int64_t inspection_id, int64_t n,
	struct verdict_former **all, size_t *count, struct problem *why)
{
	static const char sql[] = "SELECT rulebook_version, verdict, limit_kind, limit_value, value, "
		"u95, edition, replaced_at_ms FROM verdict_former WHERE inspection_id = $1 AND n = $2 "
		"ORDER BY id";
	sqlite3_stmt *rows = sql_select(store, sql, (struct value[]){ value_integer(inspection_id),
		value_integer(n) }, 2, why);

	*all = NULL;
	*count = 0;
	while (sql_row(store, rows, why)) {
		if (!sql_grow((void **)all, *count, sizeof **all, why)) {
			sql_done(rows);
			break;
		}
		(*all)[(*count)++] = (struct verdict_former){ sqlite3_column_int64(rows, 0),
			sqlite3_column_int(rows, 1), column_word(rows, 2), column_real(rows, 3),
			column_real(rows, 4), column_real(rows, 5), sqlite3_column_int64(rows, 6),
			sqlite3_column_int64(rows, 7) };
	}
	if (why->code != PROBLEM_NONE) {
		free(*all);
		*all = NULL;
		*count = 0;
	}
	return why->code == PROBLEM_NONE;
}

bool store_grade_former_insert(struct store *store, int64_t bond_id,
	const struct grade_former *former, struct problem *why)
{
	static const char sql[] = "INSERT INTO grade_former (bond_id, grade, reasons, "
		"rulebook_version, edition, replaced_at_ms) VALUES ($1, $2, $3, $4, $5, $6)";
	const struct value values[] = { value_integer(bond_id), value_integer(former->grade),
		value_integer(former->reasons), value_id(former->rulebook_version),
		value_integer(former->edition), value_integer(former->replaced_at_ms) };

	return sql_run(store, sql, values, sizeof values / sizeof values[0], why);
}

bool store_grades_former(struct store *store, int64_t bond_id, struct grade_former **all,
	size_t *count, struct problem *why)
{
	static const char sql[] = "SELECT grade, reasons, coalesce(rulebook_version, 0), edition, "
		"replaced_at_ms FROM grade_former WHERE bond_id = $1 ORDER BY id";
	sqlite3_stmt *rows = sql_select(store, sql, (struct value[]){ value_integer(bond_id) }, 1, why);

	*all = NULL;
	*count = 0;
	while (sql_row(store, rows, why)) {
		if (!sql_grow((void **)all, *count, sizeof **all, why)) {
			sql_done(rows);
			break;
		}
		(*all)[(*count)++] = (struct grade_former){ (enum grade)sqlite3_column_int(rows, 0),
			(unsigned)sqlite3_column_int64(rows, 1), sqlite3_column_int64(rows, 2),
			sqlite3_column_int64(rows, 3), sqlite3_column_int64(rows, 4) };
	}
	if (why->code != PROBLEM_NONE) {
		free(*all);
		*all = NULL;
		*count = 0;
	}
	return why->code == PROBLEM_NONE;
}
