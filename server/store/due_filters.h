/* What the due list and the strip have in common, so that they always show the same bonds. The
 * conditions are over bond_state s alone. */
#ifndef STORE_DUE_FILTERS_H
#define STORE_DUE_FILTERS_H

#include "store/bond.h"

enum { DUE_FILTERS = 13, DUE_STATES = 5, DUE_GRADES = 4, DUE_TOTALS = DUE_STATES + DUE_GRADES };

extern const struct list_filter due_filters[DUE_FILTERS];
/* first in the order of enum due_state, then of enum grade from GRADE_UNKNOWN on */
extern const struct list_total due_totals[DUE_TOTALS];

#define DUE_WHERE "s.due_day IS NOT NULL"

/* Columns of the judgement; finish_grade makes what depends on the day. */
#define COLUMN_OF_GRADE { { "grade", "Grade", NULL, CELL_WORD, &grade_words }, "s.grade" }
#define COLUMN_OF_REASON { { "grade_reason", "Because", NULL, CELL_WORD, &grade_reason_words }, NULL }
#define COLUMN_OF_VERDICT { { "verdict", "Verdict of the worst reading", NULL, CELL_WORD, \
	&verdict_words }, "s.worst_verdict" }
#define COLUMN_OF_SHARE { { "limit_percent", "Of its limit", "%", CELL_REAL }, \
	"CASE WHEN s.limit_ppm < 2147483647 THEN s.limit_ppm / 10000.0 END" }
#define COLUMN_OF_CROSSES { { "crosses_day", "Crosses its limit", NULL, CELL_DAY }, "s.crosses_day" }
#define COLUMN_OF_EARLY { { "early_day", "At the earliest", NULL, CELL_DAY }, "s.early_day" }
#define COLUMN_OF_REASONS { { "reasons", NULL, NULL, CELL_INTEGER }, "s.reasons", true }
#define COLUMN_OF_EVIDENCE { { "evidence_until_day", NULL, NULL, CELL_DAY }, \
	"s.evidence_until_day", true }
void finish_grade(int32_t today, const struct cell *reasons, const struct cell *evidence,
	struct cell *grade, struct cell *reason);

#endif
