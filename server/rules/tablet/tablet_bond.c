#include "rules/judge/verdict.h"
#include "rules/tablet/tablet_member.h"
#include "rules/uncertainty.h"

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

static const struct member last_members[] = {
	TABLET_DAY(tablet_last, day, "Day"),
	TABLET_REAL(tablet_last, value, "Value", "µΩ, m of rail"),
	TABLET_REAL(tablet_last, u95, "Uncertainty, k = 2", "µΩ, m of rail"),
	TABLET_REAL(tablet_last, limit, "Limit", "µΩ, m of rail"),
	TABLET_WORD(tablet_last, verdict, "Verdict", verdict_words),
	TABLET_FLAG(tablet_last, open_circuit, "Open circuit"),
	{ 0 }
};
static const struct form last_form = { "TabletLast", last_members, sizeof(struct tablet_last) };

#define LAST_MEMBER(code, title_, quantity) { .name = code, .title = title_, \
	.type = MEMBER_OBJECT, .form = &last_form, .offset = (quantity) * sizeof(struct tablet_last) }
static const struct member lasts_members[] = {
	LAST_MEMBER("end_to_end", "End to end", QUANTITY_END_TO_END),
	LAST_MEMBER("contact_a", "Contact A", QUANTITY_CONTACT_A),
	LAST_MEMBER("contact_b", "Contact B", QUANTITY_CONTACT_B),
	LAST_MEMBER("rail_drop", "Rail drop", QUANTITY_RAIL_DROP),
	{ 0 }
};
const struct form tablet_lasts_form = { "TabletLasts", lasts_members,
	sizeof(struct tablet_last[GRADE_QUANTITIES]) };

static const struct member calibration_members[] = {
	TABLET_DAY(tablet_calibration, calibrated_day, "Calibrated"),
	TABLET_DAY(tablet_calibration, due_day, "Good through"),
	TABLET_REAL(tablet_calibration, percent, "Of the reading", "%"),
	TABLET_REAL(tablet_calibration, uohm, "And", "µΩ"),
	TABLET_WORD(tablet_calibration, as_found, "As found", as_found_words),
	{ 0 }
};
const struct form tablet_calibration_form = { "TabletCalibration", calibration_members,
	sizeof(struct tablet_calibration) };

static const struct member instrument_members[] = {
	TABLET_INTEGER(tablet_instrument, id, "Number", NULL),
	TABLET_INTEGER(tablet_instrument, methods, "What it can do, as bits", NULL),
	TABLET_LIST(tablet_instrument, calibrations, "Calibrations", tablet_calibration_form),
	{ 0 }
};
static const struct form instrument_form = { "TabletInstrument", instrument_members,
	sizeof(struct tablet_instrument) };

static const struct member end_members[] = {
	TABLET_WORD(tablet_end, end, "End, by its letter", bond_end_words),
	{ .name = "short", .title = "End", .type = MEMBER_TEXT,
	  .offset = offsetof(struct tablet_end, brief) },
	TABLET_TEXT(tablet_end, words, "End, with its place"),
	TABLET_TEXT(tablet_end, contact, "Its contact"),
	{ 0 }
};
static const struct form end_form = { "TabletEnd", end_members, sizeof(struct tablet_end) };

static const struct member known_members[] = {
	TABLET_INTEGER(tablet_known, bond_id, "Bond", NULL),
	TABLET_INTEGER(tablet_known, rulebook_version, "Version of the rulebook", NULL),
	TABLET_WORD(tablet_known, material, "Material of the cable", material_words),
	TABLET_OBJECT(tablet_known, limit, "What the limits rest on", tablet_limit_form),
	TABLET_OBJECT(tablet_known, baseline, "At commissioning of what is live", baseline_form),
	TABLET_OBJECT(tablet_known, compared, "Last evidence of what is live", baseline_form),
	TABLET_OBJECT(tablet_known, last, "Last evidence", tablet_lasts_form),
	TABLET_LIST(tablet_known, ends, "The two ends in words", end_form),
	TABLET_LIST(tablet_known, instruments, "Instruments", instrument_form),
	{ 0 }
};
const struct form tablet_known_form = { "TabletKnown", known_members,
	sizeof(struct tablet_known) };
