#include "rules/rulebook.h"

#include <math.h>

/* What most kinds have; no kind has a figure of its own, or is set against rail. */
#define LIMITS_OF(contact_, factor_, joint_) { .cable_tolerance_percent = 30, \
	.contact_allowance_uohm = (contact_), .baseline_factor = (factor_), .rail_equivalent_m = NAN, \
	.joint_percent = (joint_), .contact_uohm = NAN, .absolute_uohm = { NAN, NAN, NAN } }

struct rulebook rulebook_default(void)
{
	struct rulebook rulebook = {
		.version = 1,
		.from_day = -25567,  /* 1900-01-01 */
		.interval_months = {
			[BOND_RAIL_JOINT] = { 12, 6, 3 },
			[BOND_TRACK_CROSS] = { 12, 6, 3 },
			[BOND_RAIL_CROSS] = { 12, 6, 3 },
			[BOND_STRUCTURE] = { 24, 12, 6 },
			[BOND_IMPEDANCE_LEAD] = { 12, 6, 3 },
			[BOND_FEEDER_LEAD] = { 6, 3, 3 },
			[BOND_TRACK_CIRCUIT_LEAD] = { 12, 6, 3 },
			[BOND_PROTECTIVE_EARTH] = { 12, 6, 6 },
			[BOND_KIND_NOT_KNOWN] = { 6, 3, 3 },
		},
		.notice_days = 30,
		.grace_days = 14,
		.repeat_window_mm = 10000,
		.repeat_period_months = 60,
		.repeat_least_count = 2,
		.spot_clearance_mm = 100,
		.watch_interval_percent = 50,
		.act_days = 14,
		.forecast_lead_days = 90,
		.evidence_months = 36,
		.limits = {
			[BOND_RAIL_JOINT] = LIMITS_OF(10, 1.5, 5),
			[BOND_TRACK_CROSS] = LIMITS_OF(10, 1.5, NAN),
			[BOND_RAIL_CROSS] = LIMITS_OF(10, 1.5, NAN),
			[BOND_STRUCTURE] = LIMITS_OF(20, 1.5, NAN),
			[BOND_IMPEDANCE_LEAD] = LIMITS_OF(10, 1.5, NAN),
			[BOND_FEEDER_LEAD] = LIMITS_OF(10, 1.5, NAN),
			[BOND_TRACK_CIRCUIT_LEAD] = LIMITS_OF(20, 1.5, NAN),
			[BOND_PROTECTIVE_EARTH] = LIMITS_OF(20, 1.5, NAN),
			[BOND_KIND_NOT_KNOWN] = LIMITS_OF(10, 1.5, NAN),
		},
		.watch_percent = 80,
		.temp_uncertainty_k = 3,
		.carried_temp_k = 3,
		.repeatability_percent = 2,
		.unknown_meter_percent = 5,
		.unknown_meter_uohm = 5,
		.severity = {
			[SEEN_LOOSE] = SEVERITY_ACT,
			[SEEN_CORRODED] = SEVERITY_WATCH,
			[SEEN_STRANDS_BROKEN] = SEVERITY_ACT,
			[SEEN_DAMAGED] = SEVERITY_WATCH,
			[SEEN_MISSING] = SEVERITY_ACT,
		},
		.rail_end_clearance_mm = 150,
		.weld_clearance_mm = 200,
		.bolt_hole_clearance_mm = 100,
		.arc_least_s = 1.5,
		.arc_most_s = 2.5,
		.hold_least_s = 2,
		.stub_most_mm = 2,
		.cross_spacing_m = 500,
		.proof = { [BOND_RAIL_JOINT] = PROOF_CONTACTS },
		.asked = { .least_share = 0.3, .least_share_joint = 0.01, .least_share_contact = 0.005,
			.most_times = 3, .away_times = 2, .away_times_joint = 5, .away_contact_share = 0.1,
			.direction_percent = 20, .direction_uv = 50, .thermal_uv = 500, .away_temp_k = 15,
			.parallel_share = 0.8 },
		.climate = { { -20, 15 }, { -20, 20 }, { -15, 30 }, { -10, 40 }, { -5, 50 }, { 0, 55 },
			{ 5, 60 }, { 5, 60 }, { 0, 50 }, { -5, 40 }, { -10, 25 }, { -15, 20 } },
	};

	return rulebook;
}

int64_t rulebook_interval_months(const struct rulebook *rulebook, enum bond_kind kind,
	enum criticality criticality)
{
	int row = (int)kind >= 0 && (int)kind < RULEBOOK_KINDS ? (int)kind : BOND_KIND_NOT_KNOWN;
	int column = (int)criticality >= 0 && (int)criticality < RULEBOOK_CRITICALITIES ?
		(int)criticality : CRITICALITY_SAFETY;

	return rulebook->interval_months[row][column];
}

enum rulebook_scatter rulebook_scatter_of(enum quantity quantity)
{
	return quantity == QUANTITY_END_TO_END ? SCATTER_END_TO_END :
		quantity == QUANTITY_RAIL_DROP ? SCATTER_RAIL_DROP : SCATTER_CONTACT;
}

double rulebook_scatter_percent(const struct rulebook *rulebook, enum bond_kind kind,
	enum quantity quantity)
{
	int row = (int)kind >= 0 && (int)kind < RULEBOOK_KINDS ? (int)kind : BOND_KIND_NOT_KNOWN;

	return rulebook->scatter_percent[row][rulebook_scatter_of(quantity)];
}
