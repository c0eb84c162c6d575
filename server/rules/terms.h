/*
 * The trade's words as enumerations, each with its codes (JSON, CSV, addresses) and titles.
 * The numbers are stored: never reorder, only add at the end.
 */
#ifndef RULES_TERMS_H
#define RULES_TERMS_H

#include "base/table.h"

enum notation {
	NOTATION_KM_M,            /* 12+345 */
	NOTATION_HM_M,            /* 172,9 + 16: kilometre and hectometre, then metres */
	NOTATION_KM,              /* 12.345 */
	NOTATION_M,               /* 12345 */
	NOTATION_MILES_CHAINS,    /* 5m 40ch, 5.40 */
	NOTATION_MILES_YARDS,     /* 5m 880y, 5.0880 */
	NOTATION_MILES            /* 123.45 */
};
extern const struct words notation_words;

enum electrification { ELECTRIFICATION_NONE, ELECTRIFICATION_DC, ELECTRIFICATION_AC };
extern const struct words electrification_words;

/* Seen in the direction of rising chainage. */
enum rail { RAIL_LEFT, RAIL_RIGHT };
extern const struct words rail_words;

enum bond_kind {
	BOND_RAIL_JOINT, BOND_TRACK_CROSS, BOND_RAIL_CROSS, BOND_STRUCTURE, BOND_IMPEDANCE_LEAD,
	BOND_FEEDER_LEAD, BOND_TRACK_CIRCUIT_LEAD, BOND_PROTECTIVE_EARTH,
	BOND_KIND_NOT_KNOWN       /* registered from a failure log, still to be surveyed */
};
extern const struct words bond_kind_words;

enum criticality { CRITICALITY_NORMAL, CRITICALITY_HIGH, CRITICALITY_SAFETY };
extern const struct words criticality_words;

enum bond_status { BOND_IN_SERVICE, BOND_REMOVED };
extern const struct words bond_status_words;

enum material { MATERIAL_COPPER, MATERIAL_ALUMINIUM };
extern const struct words material_words;

enum bond_end { END_A, END_B };
extern const struct words bond_end_words;

enum end_on { END_ON_RAIL, END_ON_STRUCTURE, END_ON_EQUIPMENT };
extern const struct words end_on_words;

enum rail_face { FACE_WEB_FIELD, FACE_WEB_GAUGE, FACE_FOOT };
extern const struct words rail_face_words;

enum attach_method {
	ATTACH_BRAZED_PIN, ATTACH_DIRECT_BRAZE, ATTACH_EXOTHERMIC_WELD, ATTACH_BOLTED, ATTACH_CLAMP,
	ATTACH_NOT_KNOWN
};
extern const struct words attach_method_words;

enum purpose {
	PURPOSE_COMMISSIONING, PURPOSE_ROUTINE, PURPOSE_AFTER_WORKS, PURPOSE_AFTER_FAILURE
};
extern const struct words purpose_words;

/* What was seen at one end. */
enum seen { SEEN_GOOD, SEEN_LOOSE, SEEN_CORRODED, SEEN_STRANDS_BROKEN, SEEN_DAMAGED, SEEN_MISSING,
	SEEN_NOT_VISIBLE };
extern const struct words seen_words;

/* Only a complete inspection moves the due day. */
enum outcome { OUTCOME_COMPLETE, OUTCOME_PARTLY, OUTCOME_NOT_REACHED };
extern const struct words outcome_words;

/* What a row of an old log meant, where it has no word for each end. */
enum row_meant { ROW_MEANT_BOTH_SEEN, ROW_MEANT_MEASURED, ROW_MEANT_NOT_KNOWN };
extern const struct words row_meant_words;

/* The outcome of a visit of a log of which that was stated after it came in; meant -1: it was not.
 * seen: enum seen, -1: no word. A visit with a word for each end is as it was recorded, and so is
 * one that was not reached; where an end could not be seen, not both were. */
enum outcome outcome_as_meant(enum outcome outcome, int seen_a, int seen_b, int meant);

enum quantity { QUANTITY_END_TO_END, QUANTITY_CONTACT_A, QUANTITY_CONTACT_B, QUANTITY_RAIL_DROP };
extern const struct words quantity_words;

/* Where the voltage of a contact was taken beyond the rail. */
enum probed { PROBED_STRANDS, PROBED_LUG };
extern const struct words probed_words;

/* Where the cable lay, for its temperature. */
enum surroundings { SURROUNDINGS_OPEN, SURROUNDINGS_TUNNEL };
extern const struct words surroundings_words;

enum reading_method { READING_FOUR_WIRE, READING_TWO_WIRE, READING_VOLTAGE_DROP };
extern const struct words reading_method_words;

enum failure_mode {
	FAILURE_CABLE_BROKEN, FAILURE_DETACHED, FAILURE_LUG_CRACKED, FAILURE_HIGH_RESISTANCE,
	FAILURE_CORRODED, FAILURE_BURNT, FAILURE_CUT_OR_STOLEN, FAILURE_MISSING,
	FAILURE_MODE_NOT_STATED
};
extern const struct words failure_mode_words;

enum due_state { DUE_LATER, DUE_SOON, DUE_DUE, DUE_OVERDUE, DUE_DEFERRED, DUE_NOT };
extern const struct words due_state_words;   /* DUE_NOT: out of service, never due */

enum role { ROLE_VIEWER, ROLE_CREW, ROLE_PLANNER, ROLE_MANAGER, ROLE_ADMINISTRATOR };
extern const struct words role_words;

#endif
