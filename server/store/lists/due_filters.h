/* What the due list and the strip have in common, so that they always show the same bonds. The
 * conditions are over bond_state s alone. */
#ifndef STORE_LISTS_DUE_FILTERS_H
#define STORE_LISTS_DUE_FILTERS_H

#include "store/record/bond.h"

enum { DUE_FILTERS = 15, DUE_STATES = 5, DUE_GRADES = 4, DUE_STRIP_TOTALS = DUE_STATES + DUE_GRADES,
	DUE_TOTALS = DUE_STRIP_TOTALS + 2 * (DUE_STATES - 1) + 1 };

extern const struct list_filter due_filters[DUE_FILTERS];
/* First in the order of enum due_state, then of enum grade from GRADE_UNKNOWN on; those are the
 * strip's. Then inspections and mendings apart, each counting every bond that has it; then the
 * bonds with a reading that waits for an answer. */
extern const struct list_total due_totals[DUE_TOTALS];

/* What is due first of each bond; inspections alone; mendings alone: in due_day, and the days and
 * the deferral that go with it. (A mending's basis is kept, and an inspection's is told unless
 * mending comes first.) */
extern const struct list_rows due_rows;

#define DUE_WHERE "s.due_day IS NOT NULL"
#define DUE_WHAT_SQL "coalesce(s.due_basis = 4, 0)"   /* enum due_what of DUE_ACT or another */

/* Columns of the judgement; finish_grade makes what depends on the day. */
#define COLUMN_OF_GRADE { { "grade", "Grade", NULL, CELL_WORD, &grade_words }, "s.grade" }
#define COLUMN_OF_REASON { { "grade_reason", "Because", NULL, CELL_WORD, &grade_reason_words }, NULL }
#define COLUMN_OF_VERDICT { { "verdict", "Verdict of the worst reading", NULL, CELL_WORD, \
	&verdict_words }, "s.worst_verdict" }
#define COLUMN_OF_SHARE { { "limit_percent", "Of its limit", "%", CELL_REAL }, \
	"CASE WHEN s.limit_ppm < 2147483647 THEN s.limit_ppm / 10000.0 END" }
/* (what is over its limit crosses none) */
#define NOT_OVER_SQL "NOT s.reasons & 6"
#define COLUMN_OF_CROSSES { { "crosses_day", "Crosses its limit", NULL, CELL_DAY }, \
	"CASE WHEN " NOT_OVER_SQL " THEN s.crosses_day END" }
#define COLUMN_OF_EARLY { { "early_day", "At the earliest", NULL, CELL_DAY }, \
	"CASE WHEN " NOT_OVER_SQL " THEN s.early_day END" }
#define COLUMN_OF_REASONS { { "reasons", NULL, NULL, CELL_INTEGER }, "s.reasons", true }
#define COLUMN_OF_EVIDENCE { { "evidence_until_day", NULL, NULL, CELL_DAY }, \
	"s.evidence_until_day", true }
void finish_grade(int32_t today, const struct cell *reasons, const struct cell *evidence,
	struct cell *grade, struct cell *reason);

#endif
