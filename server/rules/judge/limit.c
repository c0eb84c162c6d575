#include "rules/judge/limit.h"

#include <math.h>

static const char *const kind_code[LIMITS] = {
	"cable", "baseline", "rail", "joint", "contact", "absolute"
};
static const char *const kind_title[LIMITS] = {
	"the cable's own resistance", "the value at commissioning", "metres of rail",
	"the rail between joints", "one contact", "the railway's own figure"
};
const struct words limit_kind_words = { "limit_kind", kind_code, kind_title, LIMITS };

static const char *const absence_code[] = {
	"formed", "not_for_quantity", "not_used", "no_conductor", "no_length", "no_cables",
	"no_baseline", "no_rail", "no_joints", "baseline_not_positive"
};
static const char *const absence_title[] = {
	"formed",
	"it says nothing of what was measured",
	"the rulebook does not use it for this kind of bond",
	"the conductor's material, class or cross-section is not known, or in no table",
	"the length of the cable is not known",
	"the number of cables in parallel is not known",
	"there is no commissioning reading of what was attached when this was read",
	"the rail profile of the track is not known",
	"the length of rail between joints is not known",
	"the value at commissioning was zero or less"
};
const struct words limit_absence_words = {
	"limit_absence", absence_code, absence_title, LIMIT_BASELINE_NOT_POSITIVE + 1
};

static bool known(double value)
{
	return value > 0 && isfinite(value);
}

static const struct rulebook_limits *row_of(const struct rulebook *rulebook, enum bond_kind kind)
{
	return &rulebook->limits[(int)kind >= 0 && (int)kind < RULEBOOK_KINDS ? (int)kind :
		BOND_KIND_NOT_KNOWN];
}

static double allowance_uohm(const struct rulebook_limits *row)
{
	return isnan(row->contact_allowance_uohm) ? 0 : row->contact_allowance_uohm;
}

/* Without one nothing is added. */
static double tolerance(const struct rulebook_limits *row)
{
	return isnan(row->cable_tolerance_percent) ? 0 : row->cable_tolerance_percent / 100;
}

static int ends_of(const struct limit_facts *facts)
{
	return facts->ends > 0 ? facts->ends : 0;
}

static bool is_contact(enum quantity quantity)
{
	return quantity == QUANTITY_CONTACT_A || quantity == QUANTITY_CONTACT_B;
}

static double absolute_uohm(const struct rulebook_limits *row, const struct limit_facts *facts)
{
	enum criticality criticality = facts->criticality;

	return is_contact(facts->quantity) ? row->contact_uohm : row->absolute_uohm[(int)criticality >= 0 &&
		(int)criticality < RULEBOOK_CRITICALITIES ? (int)criticality : CRITICALITY_SAFETY];
}

/* The rulebook's figure for a limit; NAN when it does not use it. */
static double figure_of(const struct rulebook_limits *row, const struct limit_facts *facts,
	enum limit_kind kind)
{
	switch (kind) {
	case LIMIT_CABLE:
		return row->cable_tolerance_percent;
	case LIMIT_BASELINE:
		return row->baseline_factor;
	case LIMIT_RAIL:
		return row->rail_equivalent_m;
	case LIMIT_JOINT:
		return row->joint_percent;
	case LIMIT_CONTACT:
		return row->contact_allowance_uohm > 0 ? row->contact_allowance_uohm : NAN;
	default:
		return absolute_uohm(row, facts);
	}
}

static bool says_something(enum limit_kind kind, enum quantity quantity)
{
	switch (kind) {
	case LIMIT_RAIL:
	case LIMIT_JOINT:
		return quantity == QUANTITY_RAIL_DROP;
	case LIMIT_CONTACT:
		return is_contact(quantity);
	case LIMIT_ABSOLUTE:
		return quantity != QUANTITY_RAIL_DROP;
	default:
		return quantity == QUANTITY_END_TO_END;
	}
}

static enum limit_absence cable_lacks(const struct limit_facts *facts)
{
	if (!known(facts->cable_uohm_per_m)) {
		return LIMIT_NO_CONDUCTOR;
	}
	if (!known(facts->length_m)) {
		return LIMIT_NO_LENGTH;
	}
	return facts->cables < 1 ? LIMIT_NO_CABLES : LIMIT_FORMED;
}

static enum limit_absence baseline_lacks(const struct limit_facts *facts)
{
	if (!isfinite(facts->baseline)) {
		return LIMIT_NO_BASELINE;
	}
	return facts->baseline > 0 ? LIMIT_FORMED : LIMIT_BASELINE_NOT_POSITIVE;
}

/* What the register does not know, though the rulebook asks for it. */
static enum limit_absence lacks(const struct limit_facts *facts, enum limit_kind kind)
{
	switch (kind) {
	case LIMIT_CABLE:
		return cable_lacks(facts);
	case LIMIT_BASELINE:
		return baseline_lacks(facts);
	case LIMIT_JOINT:
		return known(facts->rail_between_joints_m) ? LIMIT_FORMED : LIMIT_NO_JOINTS;
	default:
		return LIMIT_FORMED;
	}
}

static enum limit_absence absence_of(const struct rulebook_limits *row,
	const struct limit_facts *facts, enum limit_kind kind)
{
	if (!says_something(kind, facts->quantity)) {
		return LIMIT_NOT_FOR_QUANTITY;
	}
	if (isnan(figure_of(row, facts, kind))) {
		return LIMIT_NOT_USED;
	}
	return lacks(facts, kind);
}

/* Of one that can be formed. */
static double form(const struct rulebook_limits *row, const struct limit_facts *facts,
	enum limit_kind kind)
{
	double figure = figure_of(row, facts, kind);

	switch (kind) {
	case LIMIT_CABLE:
		return (facts->cable_uohm_per_m * facts->length_m / (double)facts->cables +
			ends_of(facts) * allowance_uohm(row)) * (1 + tolerance(row));
	case LIMIT_BASELINE:
		return figure * facts->baseline;
	case LIMIT_JOINT:
		return figure / 100 * facts->rail_between_joints_m;
	case LIMIT_CONTACT:
		return figure * (1 + tolerance(row));
	default:
		return figure;
	}
}

void limit_form(const struct rulebook *rulebook, const struct limit_facts *facts,
	struct limits *limits)
{
	const struct rulebook_limits *row = row_of(rulebook, facts->kind);

	limits->lowest = -1;
	limits->limit = NAN;
	for (int i = 0; i < LIMITS; i++) {
		limits->absence[i] = absence_of(row, facts, (enum limit_kind)i);
		limits->of[i] = NAN;
		if (limits->absence[i] != LIMIT_FORMED) {
			continue;
		}
		limits->of[i] = form(row, facts, (enum limit_kind)i);
		if (limits->lowest < 0 || limits->of[i] < limits->limit) {
			limits->lowest = i;
			limits->limit = limits->of[i];
		}
	}
}

/* A figure as it was given, and its unit. */
static void add_given(struct sentence *s, double value, const char *unit)
{
	sentence_add_figures(s, value, 6);
	sentence_add(s, unit);
}

static void add_cable(const struct rulebook_limits *row, const struct limit_facts *facts,
	struct sentence *s)
{
	sentence_add(s, "(");
	add_given(s, facts->cable_uohm_per_m, " µΩ/m × ");
	add_given(s, facts->length_m, " m / ");
	sentence_add_count(s, facts->cables, "cable");
	sentence_add(s, " + ");
	sentence_add_integer(s, ends_of(facts));
	sentence_add(s, " × ");
	add_given(s, allowance_uohm(row), " µΩ) + ");
	add_given(s, row->cable_tolerance_percent, " %");
}

void limit_working(const struct rulebook *rulebook, const struct limit_facts *facts,
	const struct limits *limits, enum limit_kind kind, struct sentence *s)
{
	const struct rulebook_limits *row = row_of(rulebook, facts->kind);
	bool metres = facts->quantity == QUANTITY_RAIL_DROP;
	const char *unit = metres ? " m of rail" : " µΩ";

	if (limits->absence[kind] != LIMIT_FORMED) {
		sentence_add(s, absence_title[limits->absence[kind]]);
		return;
	}
	if (kind == LIMIT_CABLE) {
		add_cable(row, facts, s);
	} else if (kind == LIMIT_BASELINE) {
		add_given(s, row->baseline_factor, " × ");
		add_given(s, facts->baseline, unit);
		sentence_add(s, " at commissioning");
	} else if (kind == LIMIT_JOINT) {
		add_given(s, row->joint_percent, " % of ");
		add_given(s, facts->rail_between_joints_m, " m of rail between joints");
	} else if (kind == LIMIT_CONTACT) {
		add_given(s, row->contact_allowance_uohm, " µΩ + ");
		add_given(s, tolerance(row) * 100, " %");
	} else {
		sentence_add(s, "the rulebook's figure");
	}
	sentence_add(s, " = ");
	sentence_add_figures(s, limits->of[kind], 5);
	sentence_add(s, unit);
}
