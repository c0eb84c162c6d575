/* A state as it would be derived, kept and counted among the due list's totals. */
#ifndef TESTS_STORE_KEPT_H
#define TESTS_STORE_KEPT_H

#include <check.h>

#include "store/record/bond.h"

static inline void keep_state(struct store *store, const struct bond *b, struct bond_state s)
{
	struct bond_state kept;
	struct problem why = { 0 }, none = { 0 };
	struct due_cell cells[2 * DUE_CELLS];
	size_t n = 0;
	bool there = store_bond_state_get(store, b->id, &kept, &none);

	s.line_id = b->line_id;
	s.kind = b->kind;
	s.criticality = b->criticality;
	s.surveyed = b->surveyed;
	if (there) {
		n += due_cells_of(&kept, -1, &cells[n]);
	}
	n += due_cells_of(&s, 1, &cells[n]);
	ck_assert_msg(store_bond_state_put(store, b, there ? &kept : NULL, &s, &why), "%s",
		why.detail);
	ck_assert_msg(store_due_cells_add(store, cells, n, &why), "%s", why.detail);
}

/* Each grade in turn; what is sound or watched lies around today, some unknown by now. */
static inline struct bond_state state_graded(int i, int32_t today)
{
	enum grade grade = (enum grade)(i % 5);

	return (struct bond_state){ .version = 1, .chainage = "0+000", .rulebook_version = 1,
		.grade = { .grade = grade, .reasons = grade == GRADE_ACT ? 1u << REASON_OVER :
		grade == GRADE_WATCH ? 1u << REASON_DEFECT | 1u << REASON_UNPROVEN : 0,
		.evidence_until_day = (grade == GRADE_SOUND || grade == GRADE_WATCH) && i % 4 > 0 ?
		today + i % 7 - 3 : DAY_NONE },
		.worst_quantity = i % 5 - 1, .worst_verdict = i % 4, .limit_ppm = i % 3 == 0 ? -1 : i * 1000,
		.act_since_day = grade == GRADE_ACT ? today - i % 80 : DAY_NONE, .crosses_day = DAY_NONE,
		.early_day = i % 9 == 0 ? today + i % 50 : DAY_NONE, .asked = i % 7 == 0 ? 1 + i % 2 : 0 };
}

#endif
