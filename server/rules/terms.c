#include "rules/terms.h"

static const char *const notation_code[] = {
	"km_m", "hm_m", "km", "m", "miles_chains", "miles_yards", "miles"
};
static const char *const notation_title[] = {
	"kilometres + metres", "hectometres + metres", "kilometres, decimal", "metres",
	"miles and chains", "miles and yards", "miles, decimal"
};
const struct words notation_words = { "notation", notation_code, notation_title, 7 };

static const char *const electrification_code[] = {
	"none", "dc", "ac"
};
static const char *const electrification_title[] = {
	"not electrified", "direct current", "alternating current"
};
const struct words electrification_words = { "electrification", electrification_code,
	electrification_title, 3 };

static const char *const rail_code[] = {
	"left", "right"
};
static const char *const rail_title[] = {
	"left", "right"
};
const struct words rail_words = { "rail", rail_code, rail_title, 2 };

static const char *const bond_kind_code[] = {
	"rail_joint", "track_cross", "rail_cross", "structure", "impedance_lead", "feeder_lead",
	"track_circuit_lead", "protective_earth", "not_known"
};
static const char *const bond_kind_title[] = {
	"rail joint bond", "track-to-track cross bond", "rail-to-rail cross bond",
	"structure bond", "impedance bond lead", "return feeder lead", "track circuit lead",
	"protective earth bond", "kind not known"
};
const struct words bond_kind_words = { "bond_kind", bond_kind_code, bond_kind_title, 9 };

static const char *const criticality_code[] = {
	"normal", "high", "safety"
};
static const char *const criticality_title[] = {
	"normal", "high", "safety"
};
const struct words criticality_words = { "criticality", criticality_code, criticality_title, 3 };

static const char *const bond_status_code[] = {
	"in_service", "removed"
};
static const char *const bond_status_title[] = {
	"in service", "removed"
};
const struct words bond_status_words = { "bond_status", bond_status_code, bond_status_title, 2 };

static const char *const material_code[] = {
	"copper", "aluminium"
};
static const char *const material_title[] = {
	"copper", "aluminium"
};
const struct words material_words = { "material", material_code, material_title, 2 };

static const char *const bond_end_code[] = {
	"a", "b"
};
static const char *const bond_end_title[] = {
	"A", "B"
};
const struct words bond_end_words = { "bond_end", bond_end_code, bond_end_title, 2 };

static const char *const end_on_code[] = {
	"rail", "structure", "equipment"
};
static const char *const end_on_title[] = {
	"rail", "structure", "equipment"
};
const struct words end_on_words = { "end_on", end_on_code, end_on_title, 3 };

static const char *const rail_face_code[] = {
	"web_field", "web_gauge", "foot"
};
static const char *const rail_face_title[] = {
	"web, field side", "web, gauge side", "foot"
};
const struct words rail_face_words = { "rail_face", rail_face_code, rail_face_title, 3 };

static const char *const attach_method_code[] = {
	"brazed_pin", "direct_braze", "exothermic_weld", "bolted", "clamp", "not_known"
};
static const char *const attach_method_title[] = {
	"brazed pin with lug", "direct braze", "exothermic weld", "drilled and bolted", "clamp",
	"not known"
};
const struct words attach_method_words = { "attach_method", attach_method_code,
	attach_method_title, 6 };

static const char *const purpose_code[] = {
	"commissioning", "routine", "after_works", "after_failure"
};
static const char *const purpose_title[] = {
	"commissioning", "routine", "after works", "after a failure"
};
const struct words purpose_words = { "purpose", purpose_code, purpose_title, 4 };

static const char *const seen_code[] = {
	"good", "loose", "corroded", "strands_broken", "damaged", "missing", "not_visible"
};
static const char *const seen_title[] = {
	"good", "loose", "corroded", "strands broken", "damaged", "missing", "could not be seen"
};
const struct words seen_words = { "seen", seen_code, seen_title, 7 };

static const char *const outcome_code[] = {
	"complete", "partly", "not_reached"
};
static const char *const outcome_title[] = {
	"complete", "done in part", "not reached"
};
const struct words outcome_words = { "outcome", outcome_code, outcome_title, 3 };

static const char *const row_meant_code[] = { "both_seen", "measured_only", "not_known" };
static const char *const row_meant_title[] = {
	"both ends were seen", "it was measured, and no more", "not known"
};
const struct words row_meant_words = { "row_meant", row_meant_code, row_meant_title, 3 };

enum outcome outcome_as_meant(enum outcome outcome, int seen_a, int seen_b, int meant)
{
	if (meant < 0 || outcome == OUTCOME_NOT_REACHED || (seen_a >= 0 && seen_b >= 0)) {
		return outcome;
	}
	return meant == ROW_MEANT_BOTH_SEEN && seen_a != SEEN_NOT_VISIBLE &&
		seen_b != SEEN_NOT_VISIBLE ? OUTCOME_COMPLETE : OUTCOME_PARTLY;
}

static const char *const quantity_code[] = {
	"end_to_end", "contact_a", "contact_b", "rail_drop"
};
static const char *const quantity_title[] = {
	"end to end", "contact at end A", "contact at end B", "voltage drop against the rail"
};
const struct words quantity_words = { "quantity", quantity_code, quantity_title, 4 };

static const char *const probed_code[] = { "strands", "lug" };
static const char *const probed_title[] = { "strands beyond the lug", "on the lug only" };
const struct words probed_words = { "probed", probed_code, probed_title, 2 };

static const char *const surroundings_code[] = { "open_line", "tunnel" };
static const char *const surroundings_title[] = { "open line", "tunnel" };
const struct words surroundings_words = {
	"surroundings", surroundings_code, surroundings_title, 2
};

static const char *const reading_method_code[] = {
	"four_wire", "two_wire", "voltage_drop"
};
static const char *const reading_method_title[] = {
	"four-wire", "two-wire", "voltage-drop ratio"
};
const struct words reading_method_words = { "reading_method", reading_method_code,
	reading_method_title, 3 };

static const char *const failure_mode_code[] = {
	"cable_broken", "detached", "lug_cracked", "high_resistance", "corroded", "burnt",
	"cut_or_stolen", "missing", "not_stated"
};
static const char *const failure_mode_title[] = {
	"cable broken", "attachment detached", "lug cracked", "high resistance", "corroded",
	"burnt", "cut or stolen", "missing", "not stated"
};
const struct words failure_mode_words = { "failure_mode", failure_mode_code,
	failure_mode_title, 9 };

static const char *const due_state_code[] = {
	"later", "soon", "due", "overdue", "deferred", "not_due"
};
static const char *const due_state_title[] = {
	"later", "soon", "due", "overdue", "deferred", "not due"
};
const struct words due_state_words = { "due_state", due_state_code, due_state_title, 6 };

static const char *const role_code[] = {
	"viewer", "crew", "planner", "manager", "administrator"
};
static const char *const role_title[] = {
	"viewer", "crew", "planner", "manager", "administrator"
};
const struct words role_words = { "role", role_code, role_title, 5 };
