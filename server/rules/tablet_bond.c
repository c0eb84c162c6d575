#include "rules/tablet_member.h"

static const struct member limit_members[] = {
	TABLET_WORD(tablet_limit_facts, kind, "Kind", bond_kind_words),
	TABLET_WORD(tablet_limit_facts, criticality, "Criticality", criticality_words),
	TABLET_REAL(tablet_limit_facts, cable_uohm_per_m, "One cable", "µΩ/m"),
	TABLET_REAL(tablet_limit_facts, length_m, "Length of one cable", "m"),
	TABLET_INTEGER(tablet_limit_facts, cables, "Cables in parallel", NULL),
	TABLET_REAL(tablet_limit_facts, rail_uohm_per_m, "One rail", "µΩ/m"),
	TABLET_REAL(tablet_limit_facts, rail_between_joints_m, "Rail between joints", "m"),
	TABLET_REAL(tablet_limit_facts, baseline, "At commissioning", "µΩ, m of rail"),
	{ 0 }
};
const struct form tablet_limit_form = { "TabletLimit", limit_members,
	sizeof(struct tablet_limit_facts) };

#define BASELINE_MEMBER(code, title_, quantity) { .name = code, .title = title_, \
	.type = MEMBER_REAL, .unit = "µΩ, m of rail", .offset = (quantity) * sizeof(double) }
static const struct member baseline_members[] = {
	BASELINE_MEMBER("end_to_end", "End to end", QUANTITY_END_TO_END),
	BASELINE_MEMBER("contact_a", "Contact A", QUANTITY_CONTACT_A),
	BASELINE_MEMBER("contact_b", "Contact B", QUANTITY_CONTACT_B),
	BASELINE_MEMBER("rail_drop", "Rail drop", QUANTITY_RAIL_DROP),
	{ 0 }
};
static const struct form baseline_form = { "TabletBaseline", baseline_members,
	sizeof(double[GRADE_QUANTITIES]) };

static const struct member bond_members[] = {
	TABLET_WORD(tablet_bond, material, "Material of the cable", material_words),
	TABLET_OBJECT(tablet_bond, limit, "What the limits rest on", tablet_limit_form),
	TABLET_OBJECT(tablet_bond, baseline, "At commissioning of what is live", baseline_form),
	TABLET_OBJECT(tablet_bond, grade, "What the grade rests on", tablet_grade_form),
	TABLET_OBJECT(tablet_bond, due, "What the due day rests on", tablet_due_form),
	{ 0 }
};
const struct form tablet_bond_form = { "TabletBond", bond_members, sizeof(struct tablet_bond) };
