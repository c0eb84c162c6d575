/* What a rulebook says, as a table: names, units, bounds, and what each default rests on. */
#include "rules/rulebook.h"

#include <math.h>

enum { MONTHS_MOST = 240 };

#define CRITICALITY_MEMBER(code_, title_, criticality_) \
	{ .name = code_, .title = title_, .unit = "months", .type = MEMBER_INTEGER, .required = true, \
		.offset = (criticality_) * sizeof(int64_t), .least = 1, .most = MONTHS_MOST }

static const struct member criticality_members[] = {
	CRITICALITY_MEMBER("normal", "Normal", CRITICALITY_NORMAL),
	CRITICALITY_MEMBER("high", "High", CRITICALITY_HIGH),
	CRITICALITY_MEMBER("safety", "Safety", CRITICALITY_SAFETY),
	{ 0 }
};

static const struct form criticality_form = {
	"IntervalsByCriticality", criticality_members, sizeof(int64_t[RULEBOOK_CRITICALITIES])
};

#define KIND_MEMBER(code_, title_, kind_) \
	{ .name = code_, .title = title_, .type = MEMBER_OBJECT, .required = true, \
		.offset = (kind_) * sizeof(int64_t[RULEBOOK_CRITICALITIES]), .form = &criticality_form }

static const struct member kind_members[] = {
	KIND_MEMBER("rail_joint", "Rail joint bond", BOND_RAIL_JOINT),
	KIND_MEMBER("track_cross", "Track-to-track cross bond", BOND_TRACK_CROSS),
	KIND_MEMBER("rail_cross", "Rail-to-rail cross bond", BOND_RAIL_CROSS),
	KIND_MEMBER("structure", "Structure bond", BOND_STRUCTURE),
	KIND_MEMBER("impedance_lead", "Impedance bond lead", BOND_IMPEDANCE_LEAD),
	KIND_MEMBER("feeder_lead", "Return feeder lead", BOND_FEEDER_LEAD),
	KIND_MEMBER("track_circuit_lead", "Track circuit lead", BOND_TRACK_CIRCUIT_LEAD),
	KIND_MEMBER("protective_earth", "Protective earth bond", BOND_PROTECTIVE_EARTH),
	KIND_MEMBER("not_known", "Kind not known", BOND_KIND_NOT_KNOWN),
	{ 0 }
};

static const struct form kind_form = {
	"IntervalsByKind", kind_members, sizeof(int64_t[RULEBOOK_KINDS][RULEBOOK_CRITICALITIES])
};

#define LIMIT(field) offsetof(struct rulebook_limits, field)

#define ABSOLUTE_MEMBER(code_, title_, criticality_) \
	{ .name = code_, .title = title_, .unit = "µΩ", .type = MEMBER_REAL, \
		.offset = (criticality_) * sizeof(double), .least = 1, .most = 1e9 }

static const struct member absolute_members[] = {
	ABSOLUTE_MEMBER("normal", "Normal", CRITICALITY_NORMAL),
	ABSOLUTE_MEMBER("high", "High", CRITICALITY_HIGH),
	ABSOLUTE_MEMBER("safety", "Safety", CRITICALITY_SAFETY),
	{ 0 }
};
static const struct form absolute_form = {
	"AbsoluteByCriticality", absolute_members, sizeof(double[RULEBOOK_CRITICALITIES])
};

/* None is required: a limit that is left out is not used for that kind of bond. */
enum { OF_TOLERANCE, OF_ALLOWANCE, OF_BASELINE, OF_RAIL, OF_JOINT, OF_CONTACT, OF_ABSOLUTE };
static const struct member limit_members[] = {
	[OF_TOLERANCE] = { .name = "cable_tolerance_percent", .title = "Cable: tolerance",
		.unit = "%", .type = MEMBER_REAL, .offset = LIMIT(cable_tolerance_percent), .least = 0,
		.most = 500, .help = "On what the cables and both contacts may have together." },
	[OF_ALLOWANCE] = { .name = "contact_allowance_uohm", .title = "Cable: allowance of one contact",
		.unit = "µΩ", .type = MEMBER_REAL, .offset = LIMIT(contact_allowance_uohm), .least = 0,
		.most = 10000 },
	[OF_BASELINE] = { .name = "baseline_factor", .title = "Times the value at commissioning",
		.type = MEMBER_REAL, .offset = LIMIT(baseline_factor), .least = 1.01, .most = 100 },
	[OF_RAIL] = { .name = "rail_equivalent_m", .title = "As much as so much rail", .unit = "m",
		.type = MEMBER_REAL, .offset = LIMIT(rail_equivalent_m), .least = 0.01, .most = 1000 },
	[OF_JOINT] = { .name = "joint_percent", .title = "Share of the rail between two joints",
		.unit = "%", .type = MEMBER_REAL, .offset = LIMIT(joint_percent), .least = 0.1,
		.most = 100 },
	[OF_CONTACT] = { .name = "contact_uohm", .title = "One contact measured alone", .unit = "µΩ",
		.type = MEMBER_REAL, .offset = LIMIT(contact_uohm), .least = 0.1, .most = 100000 },
	[OF_ABSOLUTE] = { .name = "absolute_uohm", .title = "End to end, the railway's own figure",
		.unit = "µΩ", .type = MEMBER_OBJECT, .offset = LIMIT(absolute_uohm),
		.form = &absolute_form },
	{ 0 }
};
static const struct form limit_form_of_kind = {
	"LimitsOfKind", limit_members, sizeof(struct rulebook_limits)
};

#define LIMITS_MEMBER(code_, title_, kind_) \
	{ .name = code_, .title = title_, .type = MEMBER_OBJECT, \
		.offset = (kind_) * sizeof(struct rulebook_limits), .form = &limit_form_of_kind }

static const struct member limits_members[] = {
	LIMITS_MEMBER("rail_joint", "Rail joint bond", BOND_RAIL_JOINT),
	LIMITS_MEMBER("track_cross", "Track-to-track cross bond", BOND_TRACK_CROSS),
	LIMITS_MEMBER("rail_cross", "Rail-to-rail cross bond", BOND_RAIL_CROSS),
	LIMITS_MEMBER("structure", "Structure bond", BOND_STRUCTURE),
	LIMITS_MEMBER("impedance_lead", "Impedance bond lead", BOND_IMPEDANCE_LEAD),
	LIMITS_MEMBER("feeder_lead", "Return feeder lead", BOND_FEEDER_LEAD),
	LIMITS_MEMBER("track_circuit_lead", "Track circuit lead", BOND_TRACK_CIRCUIT_LEAD),
	LIMITS_MEMBER("protective_earth", "Protective earth bond", BOND_PROTECTIVE_EARTH),
	LIMITS_MEMBER("not_known", "Kind not known", BOND_KIND_NOT_KNOWN),
	{ 0 }
};
static const struct form limits_form = {
	"LimitsByKind", limits_members, sizeof(struct rulebook_limits[RULEBOOK_KINDS])
};

static const char *const severity_code[] = { "none", "watch", "act" };
static const char *const severity_title[] = { "no defect", "watch it", "act on it" };
const struct words severity_words = { "severity", severity_code, severity_title, 3 };

#define SEEN_MEMBER(code_, title_, seen_) \
	{ .name = code_, .title = title_, .type = MEMBER_WORD, .words = &severity_words, \
		.required = true, .offset = (seen_) * sizeof(int) }

static const struct member seen_members[] = {
	SEEN_MEMBER("good", "Good", SEEN_GOOD),
	SEEN_MEMBER("loose", "Loose", SEEN_LOOSE),
	SEEN_MEMBER("corroded", "Corroded", SEEN_CORRODED),
	SEEN_MEMBER("strands_broken", "Strands broken", SEEN_STRANDS_BROKEN),
	SEEN_MEMBER("damaged", "Damaged", SEEN_DAMAGED),
	SEEN_MEMBER("missing", "Missing", SEEN_MISSING),
	SEEN_MEMBER("not_visible", "Could not be seen", SEEN_NOT_VISIBLE),
	{ 0 }
};
static const struct form seen_form = { "SeverityOfSeen", seen_members,
	sizeof(int[RULEBOOK_SEEN]) };

#define SCATTER_MEMBER(code_, title_, quantity_) \
	{ .name = code_, .title = title_, .unit = "%", .type = MEMBER_REAL, .required = true, \
		.offset = (quantity_) * sizeof(double), .least = 0, .most = 20 }

static const struct member scatter_members[] = {
	SCATTER_MEMBER("end_to_end", "End to end", SCATTER_END_TO_END),
	SCATTER_MEMBER("contact", "One contact", SCATTER_CONTACT),
	SCATTER_MEMBER("rail_drop", "Against the rail", SCATTER_RAIL_DROP),
	{ 0 }
};
static const struct form scatter_form = { "ScatterByQuantity", scatter_members,
	sizeof(double[RULEBOOK_SCATTERS]) };

#define SCATTERS_MEMBER(code_, title_, kind_) \
	{ .name = code_, .title = title_, .type = MEMBER_OBJECT, .required = true, \
		.offset = (kind_) * sizeof(double[RULEBOOK_SCATTERS]), .form = &scatter_form }

static const struct member scatters_members[] = {
	SCATTERS_MEMBER("rail_joint", "Rail joint bond", BOND_RAIL_JOINT),
	SCATTERS_MEMBER("track_cross", "Track-to-track cross bond", BOND_TRACK_CROSS),
	SCATTERS_MEMBER("rail_cross", "Rail-to-rail cross bond", BOND_RAIL_CROSS),
	SCATTERS_MEMBER("structure", "Structure bond", BOND_STRUCTURE),
	SCATTERS_MEMBER("impedance_lead", "Impedance bond lead", BOND_IMPEDANCE_LEAD),
	SCATTERS_MEMBER("feeder_lead", "Return feeder lead", BOND_FEEDER_LEAD),
	SCATTERS_MEMBER("track_circuit_lead", "Track circuit lead", BOND_TRACK_CIRCUIT_LEAD),
	SCATTERS_MEMBER("protective_earth", "Protective earth bond", BOND_PROTECTIVE_EARTH),
	SCATTERS_MEMBER("not_known", "Kind not known", BOND_KIND_NOT_KNOWN),
	{ 0 }
};
static const struct form scatters_form = {
	"ScatterByKind", scatters_members, sizeof(double[RULEBOOK_KINDS][RULEBOOK_SCATTERS])
};
static const char *const proof_code[] = { "end_to_end", "contacts", "seen", "in_circuit" };
static const char *const proof_title[] = {
	"the reading from end to end", "both contacts read, cable and lugs seen whole",
	"seen at both ends, no reading wanted",
	"the reading from end to end, taken in circuit too"
};
const struct words proof_words = { "proof", proof_code, proof_title, 4 };

#define PROOF_MEMBER(code_, title_, kind_) \
	{ .name = code_, .title = title_, .type = MEMBER_WORD, .words = &proof_words, \
		.required = true, .offset = (kind_) * sizeof(int) }

static const struct member proof_members[] = {
	PROOF_MEMBER("rail_joint", "Rail joint bond", BOND_RAIL_JOINT),
	PROOF_MEMBER("track_cross", "Track-to-track cross bond", BOND_TRACK_CROSS),
	PROOF_MEMBER("rail_cross", "Rail-to-rail cross bond", BOND_RAIL_CROSS),
	PROOF_MEMBER("structure", "Structure bond", BOND_STRUCTURE),
	PROOF_MEMBER("impedance_lead", "Impedance bond lead", BOND_IMPEDANCE_LEAD),
	PROOF_MEMBER("feeder_lead", "Return feeder lead", BOND_FEEDER_LEAD),
	PROOF_MEMBER("track_circuit_lead", "Track circuit lead", BOND_TRACK_CIRCUIT_LEAD),
	PROOF_MEMBER("protective_earth", "Protective earth bond", BOND_PROTECTIVE_EARTH),
	PROOF_MEMBER("not_known", "Kind not known", BOND_KIND_NOT_KNOWN),
	{ 0 }
};
static const struct form proof_form = { "ProofByKind", proof_members, sizeof(int[RULEBOOK_KINDS]) };

#define ASKED(field, title_, unit_, least_, most_) { .name = #field, .title = title_, \
	.unit = unit_, .type = MEMBER_REAL, .required = true, \
	.offset = offsetof(struct rulebook_asked, field), .least = least_, .most = most_ }

/* The bounds keep each question from being switched off, or asked of everything. */
static const struct member asked_members[] = {
	ASKED(least_share, "Below this share of the conductor's own resistance", NULL, 0.05, 0.8),
	ASKED(least_share_joint, "The same, of a rail joint bond", NULL, 0.001, 0.8),
	ASKED(least_share_contact, "A contact below this share of its limit", NULL, 0.001, 0.5),
	ASKED(most_times, "Above so many times the limit", NULL, 1.5, 20),
	ASKED(away_times, "Away from the last reading by this factor", NULL, 1.1, 5),
	ASKED(away_times_joint, "The same, of a rail joint bond", NULL, 1.1, 10),
	ASKED(away_contact_share, "And a contact by this share of its limit", NULL, 0, 0.5),
	ASKED(direction_percent, "Forward and reversed differ by", "%", 1, 50),
	ASKED(direction_uv, "And by a thermal voltage of", "µV", 0, 200),
	ASKED(thermal_uv, "Any thermal voltage above", "µV", 50, 5000),
	ASKED(away_temp_k, "Temperature away from the round's median by", "K", 3, 40),
	ASKED(parallel_share, "Another path is in parallel below this share of the conductor", NULL,
		0.5, 0.99),
	{ 0 }
};
static const struct form asked_form = { "AskedBeforeJudged", asked_members,
	sizeof(struct rulebook_asked) };

#define CLIMATE(field, title_) { .name = #field, .title = title_, .unit = "°C", \
	.type = MEMBER_REAL, .required = true, .offset = offsetof(struct rulebook_climate, field), \
	.least = -60, .most = 90 }
static const struct member climate_members[] = {
	CLIMATE(low_c, "Lowest"), CLIMATE(high_c, "Highest"), { 0 }
};
static const struct form climate_form = { "ClimateOfMonth", climate_members,
	sizeof(struct rulebook_climate) };

#define MONTH_MEMBER(code_, title_, n) { .name = code_, .title = title_, .type = MEMBER_OBJECT, \
	.required = true, .offset = (n) * sizeof(struct rulebook_climate), .form = &climate_form }
static const struct member month_members[] = {
	MONTH_MEMBER("january", "January", 0), MONTH_MEMBER("february", "February", 1),
	MONTH_MEMBER("march", "March", 2), MONTH_MEMBER("april", "April", 3),
	MONTH_MEMBER("may", "May", 4), MONTH_MEMBER("june", "June", 5),
	MONTH_MEMBER("july", "July", 6), MONTH_MEMBER("august", "August", 7),
	MONTH_MEMBER("september", "September", 8), MONTH_MEMBER("october", "October", 9),
	MONTH_MEMBER("november", "November", 10), MONTH_MEMBER("december", "December", 11), { 0 }
};
static const struct form months_form = { "ClimateByMonth", month_members,
	sizeof(struct rulebook_climate[RULEBOOK_MONTHS]) };

enum {
	VALUE_FROM_DAY, VALUE_INTERVALS, VALUE_NOTICE, VALUE_GRACE, VALUE_WINDOW, VALUE_PERIOD,
	VALUE_COUNT, VALUE_CLEARANCE, VALUE_RAIL_END, VALUE_WELD, VALUE_BOLT_HOLE, VALUE_WATCH_INTERVAL,
	VALUE_ACT_DAYS, VALUE_LEAD, VALUE_MEMORY, VALUE_LIMITS, VALUE_WATCH, VALUE_TEMP,
	VALUE_REPEATABILITY, VALUE_METER_PERCENT, VALUE_METER_UOHM, VALUE_SEVERITY, VALUE_ARC_LEAST,
	VALUE_ARC_MOST, VALUE_HOLD, VALUE_STUB, VALUE_SPACING, VALUE_SCATTER, VALUE_PROOF, VALUE_ASKED,
	VALUE_CLIMATE, VALUE_CARRIED, VALUES
};

#define NUMBER(type_, field, title_, unit_, least_, most_, help_) { .name = #field, \
	.title = title_, .unit = unit_, .type = type_, .required = true, \
	.offset = offsetof(struct rulebook, field), .least = least_, .most = most_, .help = help_ }
#define WHOLE(...) NUMBER(MEMBER_INTEGER, __VA_ARGS__)
#define REAL(...) NUMBER(MEMBER_REAL, __VA_ARGS__)

const struct member rulebook_members[] = {
	[VALUE_FROM_DAY] = { .name = "from_day", .title = "Holds from", .type = MEMBER_DAY,
		.required = true, .offset = offsetof(struct rulebook, from_day) },
	[VALUE_INTERVALS] = { .name = "interval_months", .title = "Months between inspections",
		.type = MEMBER_OBJECT, .required = true,
		.offset = offsetof(struct rulebook, interval_months), .form = &kind_form,
		.help = "For each kind of bond, by criticality; never longer for a higher criticality." },
	[VALUE_NOTICE] = { .name = "notice_days", .title = "Notice before the due day",
		.unit = "days", .type = MEMBER_INTEGER, .required = true,
		.offset = offsetof(struct rulebook, notice_days), .least = 0, .most = 365,
		.help = "A bond is shown as soon due this many days before." },
	[VALUE_GRACE] = { .name = "grace_days", .title = "Grace after the due day",
		.unit = "days", .type = MEMBER_INTEGER, .required = true,
		.offset = offsetof(struct rulebook, grace_days), .least = 0, .most = 365,
		.help = "A bond is overdue on the day after the grace." },
	[VALUE_WINDOW] = { .name = "repeat_window_mm", .title = "Length of a repeat place",
		.unit = "mm", .type = MEMBER_INTEGER, .required = true,
		.offset = offsetof(struct rulebook, repeat_window_mm), .least = 1, .most = 1000000,
		.help = "Failures whose positions differ by no more than this may be one place." },
	[VALUE_PERIOD] = { .name = "repeat_period_months", .title = "Period of a repeat place",
		.unit = "months", .type = MEMBER_INTEGER, .required = true,
		.offset = offsetof(struct rulebook, repeat_period_months), .least = 1, .most = 600,
		.help = "Failures of one place lie within this many months." },
	[VALUE_COUNT] = { .name = "repeat_least_count", .title = "Failures that make a repeat",
		.type = MEMBER_INTEGER, .required = true,
		.offset = offsetof(struct rulebook, repeat_least_count), .least = 2, .most = 100 },
	[VALUE_CLEARANCE] = { .name = "spot_clearance_mm", .title = "Clearance of a spoilt spot",
		.unit = "mm", .type = MEMBER_INTEGER, .required = true,
		.offset = offsetof(struct rulebook, spot_clearance_mm), .least = 1, .most = 10000,
		.help = "A new attachment stands at least so far from where a former one was." },
	[VALUE_RAIL_END] = WHOLE(rail_end_clearance_mm, "Clearance from a rail end", "mm", 0, 10000,
		NULL),
	[VALUE_WELD] = WHOLE(weld_clearance_mm, "Clearance from a weld", "mm", 0, 10000, NULL),
	[VALUE_BOLT_HOLE] = WHOLE(bolt_hole_clearance_mm, "Clearance from a bolt hole", "mm", 0, 10000,
		NULL),
	[VALUE_WATCH_INTERVAL] = WHOLE(watch_interval_percent,
		"Interval of a bond to be watched", "%", 1, 100,
		"Of the interval of its kind and criticality."),
	[VALUE_ACT_DAYS] = WHOLE(act_days, "Days to act", "days", 0, 365,
		"A bond graded act is due so many days after what made it so."),
	[VALUE_LEAD] = WHOLE(forecast_lead_days, "Lead before a forecast", "days", 0, 3650,
		"A bond is due so long before the early day on which it may cross its limit."),
	[VALUE_MEMORY] = WHOLE(evidence_months, "Memory for readings", "months", 1, 600,
		"An older reading proves nothing: the bond is unknown."),
	[VALUE_LIMITS] = { .name = "limits", .title = "Limits of resistance", .type = MEMBER_OBJECT,
		.required = true, .offset = offsetof(struct rulebook, limits), .form = &limits_form,
		.help = "For each kind of bond; the lowest that can be formed is the limit." },
	[VALUE_WATCH] = REAL(watch_percent, "Watched from", "% of the limit", 1, 100, NULL),
	[VALUE_TEMP] = REAL(temp_uncertainty_k, "Uncertainty of the temperature", "K", 0, 50,
		"Of the conductor, k = 2."),
	[VALUE_REPEATABILITY] = REAL(repeatability_percent, "Repeatability", "%", 0, 50,
		"Of putting the probes on again, k = 2."),
	[VALUE_METER_PERCENT] = REAL(unknown_meter_percent,
		"No instrument noted: share of the reading", "%", 0, 100,
		"Uncertainty assumed, k = 2."),
	[VALUE_METER_UOHM] = REAL(unknown_meter_uohm, "No instrument noted: added", "µΩ", 0, 10000,
		"Uncertainty assumed, k = 2."),
	[VALUE_SEVERITY] = { .name = "severity", .title = "What a defect means", .type = MEMBER_OBJECT,
		.required = true, .offset = offsetof(struct rulebook, severity), .form = &seen_form,
		.help = "For each thing that can be seen at an end." },
	[VALUE_ARC_LEAST] = REAL(arc_least_s, "Arc, at least", "s", 0, 60, NULL),
	[VALUE_ARC_MOST] = REAL(arc_most_s, "Arc, at most", "s", 0, 60, NULL),
	[VALUE_HOLD] = REAL(hold_least_s, "Held still after the arc", "s", 0, 60, NULL),
	[VALUE_STUB] = REAL(stub_most_mm, "Stub left standing, at most", "mm", 0, 100, NULL),
	[VALUE_SPACING] = WHOLE(cross_spacing_m, "Greatest spacing of cross bonds", "m", 1, 100000,
		NULL),
	[VALUE_SCATTER] = { .name = "scatter_percent", .title = "Scatter of a bond's readings",
		.type = MEMBER_OBJECT, .required = true,
		.offset = offsetof(struct rulebook, scatter_percent), .form = &scatters_form,
		.help = "About the bond's own line, one standard deviation, as a share of its first value; the "
		"larger of this and what the meter repeats to counts for a trend." },
	[VALUE_PROOF] = { .name = "proof", .title = "What proves a bond", .type = MEMBER_OBJECT,
		.required = true, .offset = offsetof(struct rulebook, proof), .form = &proof_form,
		.help = "Without it, and fresh, a bond is unknown." },
	[VALUE_ASKED] = { .name = "asked", .title = "Asked before judged", .type = MEMBER_OBJECT,
		.required = true, .offset = offsetof(struct rulebook, asked), .form = &asked_form,
		.help = "A reading that can hardly be right gets no verdict until it is answered." },
	[VALUE_CLIMATE] = { .name = "climate", .title = "Temperature where none was noted",
		.type = MEMBER_OBJECT, .required = true, .offset = offsetof(struct rulebook, climate),
		.form = &months_form, .help = "Of the conductor, by month: the middle is taken, and half "
			"the span is its uncertainty." },
	[VALUE_CARRIED] = REAL(carried_temp_k, "Temperature carried from another bond: at least", "K",
		3, 50, "Uncertainty of the temperature, k = 2, where it was not taken at this bond."),
	[VALUES] = { 0 }
};

const struct form rulebook_form = { "Rulebook", rulebook_members, sizeof(struct rulebook) };

static const char *const basis_code[] = { "standard", "common_practice", "example" };
static const char *const basis_title[] = { "standard", "common practice", "example" };
const struct words rulebook_basis_words = { "rulebook_basis", basis_code, basis_title, 3 };

const struct rulebook_value rulebook_values[] = {
	{ &rulebook_members[VALUE_INTERVALS], BASIS_EXAMPLE,
		"Examples only: no standard gives intervals, the railway's engineer sets them from risk "
		"and failure history. A bond of unknown kind has the shortest of each column." },
	{ &rulebook_members[VALUE_NOTICE], BASIS_EXAMPLE,
		"An example: as long as planning a shift and a possession takes." },
	{ &rulebook_members[VALUE_GRACE], BASIS_EXAMPLE,
		"An example: the railway decides how late an inspection may be, 0 for not at all." },
	{ &rulebook_members[VALUE_WINDOW], BASIS_EXAMPLE,
		"An example: 10 m covers the uncertainty of positions as crews note them." },
	{ &rulebook_members[VALUE_PERIOD], BASIS_EXAMPLE,
		"An example: five years, long enough to outlive one replacement of the bond." },
	{ &rulebook_members[VALUE_COUNT], BASIS_COMMON_PRACTICE,
		"Common practice: a second failure at the same place is already worth a look." },
	{ &rulebook_members[VALUE_CLEARANCE], BASIS_EXAMPLE,
		"An example: the steel around a former attachment was heated or drilled, and the railway's "
		"engineer says how far." },
	{ &rulebook_members[VALUE_RAIL_END], BASIS_EXAMPLE,
		"An example: an attachment near the end of a rail stands in the way of fishplates and "
		"is bent by every wheel." },
	{ &rulebook_members[VALUE_WELD], BASIS_EXAMPLE,
		"An example: heat beside a weld changes its structure; the railway's welding rules say "
		"how far to keep." },
	{ &rulebook_members[VALUE_BOLT_HOLE], BASIS_EXAMPLE,
		"An example: cracks begin at holes; the railway's rules say how far heat and drills "
		"keep away." },
	{ &rulebook_members[VALUE_WATCH_INTERVAL], BASIS_EXAMPLE,
		"An example: half the interval, so that a bond that is getting worse is seen twice as "
		"often." },
	{ &rulebook_members[VALUE_ACT_DAYS], BASIS_EXAMPLE,
		"An example: the railway decides how long a bond that failed its judgement may wait; "
		"what is dangerous is dealt with at once by local rules." },
	{ &rulebook_members[VALUE_LEAD], BASIS_EXAMPLE,
		"An example: time to plan a repair before the limit may be crossed." },
	{ &rulebook_members[VALUE_MEMORY], BASIS_EXAMPLE,
		"An example: three years; a contact can rust through in less." },
	{ &limit_members[OF_TOLERANCE], BASIS_EXAMPLE,
		"An example: 30 % beyond what a cable of IEC 60228 may have at most. A new cable has about "
		"its greatest value, so less would have every sound bond watched." },
	{ &limit_members[OF_ALLOWANCE], BASIS_EXAMPLE,
		"An example: a good brazed or welded contact has a few micro-ohms." },
	{ &limit_members[OF_BASELINE], BASIS_EXAMPLE,
		"An example: half as much again as when it was new." },
	{ &limit_members[OF_RAIL], BASIS_EXAMPLE,
		"Not used by default. An old rule of thumb sets a joint against some metres of rail "
		"(common practice); the railway decides how many." },
	{ &limit_members[OF_JOINT], BASIS_STANDARD,
		"5 % of the rail between joints: EN 50122-2 on the resistance that joints add to the "
		"return circuit, from memory, its clause was not seen. Holds where the rail between "
		"joints is known." },
	{ &limit_members[OF_CONTACT], BASIS_EXAMPLE,
		"Not used by default: a contact's limit is its allowance with the tolerance; a railway "
		"that "
		"has a lower figure of its own gives it here." },
	{ &limit_members[OF_ABSOLUTE], BASIS_EXAMPLE,
		"Not used by default: the railway's own figure where it has one." },
	{ &rulebook_members[VALUE_WATCH], BASIS_EXAMPLE,
		"An example: from four fifths of the limit on." },
	{ &rulebook_members[VALUE_TEMP], BASIS_EXAMPLE,
		"An example: a contact thermometer on the lug in wind and sun." },
	{ &rulebook_members[VALUE_REPEATABILITY], BASIS_EXAMPLE,
		"An example: what putting the probes on again changes; the railway can measure it." },
	{ &rulebook_members[VALUE_METER_PERCENT], BASIS_EXAMPLE,
		"An example, wide on purpose: nobody knows what measured it." },
	{ &rulebook_members[VALUE_METER_UOHM], BASIS_EXAMPLE,
		"An example, wide on purpose: nobody knows what measured it." },
	{ &seen_members[SEEN_GOOD], BASIS_COMMON_PRACTICE,
		"Common practice: an end without a finding is no defect; it cannot be given another "
		"meaning." },
	{ &seen_members[SEEN_LOOSE], BASIS_COMMON_PRACTICE,
		"Common practice: a loose end works further loose with every train, and can stand at a "
		"dangerous voltage when it parts." },
	{ &seen_members[SEEN_CORRODED], BASIS_EXAMPLE,
		"An example: corrosion is slow, and what it does to the resistance is measured; the "
		"railway's "
		"engineer says where it attacks fast enough to act on." },
	{ &seen_members[SEEN_STRANDS_BROKEN], BASIS_EXAMPLE,
		"An example: the strands that are left carry the current of all and break next; a "
		"railway that "
		"allows some broken strands watches it instead." },
	{ &seen_members[SEEN_DAMAGED], BASIS_EXAMPLE,
		"An example: damage is of many kinds; what still carries current is watched, what does "
		"not is "
		"recorded as a failure." },
	{ &seen_members[SEEN_MISSING], BASIS_COMMON_PRACTICE,
		"Common practice: what is not there carries no current, and the open end can stand at a "
		"dangerous voltage; it cannot be given another meaning." },
	{ &seen_members[SEEN_NOT_VISIBLE], BASIS_EXAMPLE,
		"An example: what was not seen proves nothing either way; a railway that wants such ends "
		"uncovered watches them." },
	{ &rulebook_members[VALUE_ARC_LEAST], BASIS_COMMON_PRACTICE,
		"Common practice: the arc burns about 2 s; the equipment's instructions decide." },
	{ &rulebook_members[VALUE_ARC_MOST], BASIS_COMMON_PRACTICE,
		"Common practice: the arc burns about 2 s; the equipment's instructions decide." },
	{ &rulebook_members[VALUE_HOLD], BASIS_COMMON_PRACTICE,
		"Common practice: held still about 2 s more, until the solder is solid." },
	{ &rulebook_members[VALUE_STUB], BASIS_COMMON_PRACTICE,
		"Common practice: what stands further out is knocked off by ballast and machines." },
	{ &rulebook_members[VALUE_SPACING], BASIS_EXAMPLE,
		"An example: the distance that keeps rails and tracks near one potential is a matter of "
		"the railway's supply." },
	{ &rulebook_members[VALUE_SCATTER], BASIS_EXAMPLE,
		"Proposed by the register from its own readings, adopted by the engineer; until then 0, "
		"and "
		"only what the meter repeats to counts. Too large a figure hides a rise, too small a "
		"one tells "
		"of rises that are none." },
	{ &rulebook_members[VALUE_PROOF], BASIS_COMMON_PRACTICE,
		"Common practice: nobody opens a return path to measure, and a good fishplate beside a "
		"broken "
		"cable reads within any limit; so a joint bond is proved by its contacts and by sight." },
	{ &rulebook_members[VALUE_ASKED], BASIS_EXAMPLE,
		"The railway's own, proposed from a trial on the readings of the demonstration railway, "
		"where "
		"none of 14,583 honest readings was asked. They cannot catch a first reading of a joint "
		"that is "
		"ten times too low, a first contact ten times too high, swapped digits, or another "
		"meter in "
		"calibration." },
	{ &rulebook_members[VALUE_CLIMATE], BASIS_EXAMPLE,
		"An example, wide on purpose: the railway's own climate, sun on the cable included." },
	{ &rulebook_members[VALUE_CARRIED], BASIS_EXAMPLE,
		"An example: bonds of one night differ in shade, wind and what they carry." },
	{ 0 }
};
