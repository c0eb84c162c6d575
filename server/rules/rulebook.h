/*
 * The rulebook: the railway's own intervals, limits and tolerances, as one plain struct.
 *
 * It is versioned and dated: whatever is derived names the version it was made under. A rulebook
 * is never changed; a new version replaces it from a day on.
 *
 * rulebook_values says of each default value what it rests on, so that a page can show it: an
 * *example* is only there to be replaced by the railway's engineer.
 */
#ifndef RULES_RULEBOOK_H
#define RULES_RULEBOOK_H

#include <stdbool.h>
#include <stdint.h>

#include "base/form.h"
#include "base/problem.h"
#include "rules/terms.h"

/* As many as bond_kind_words, criticality_words and seen_words have; a test holds them together. */
enum { RULEBOOK_KINDS = 9, RULEBOOK_CRITICALITIES = 3, RULEBOOK_SEEN = 7 };
/* What readings scatter by is of these: both contacts are alike. */
enum rulebook_scatter {
	SCATTER_END_TO_END, SCATTER_CONTACT, SCATTER_RAIL_DROP, RULEBOOK_SCATTERS
};

/* What limits the resistance of a kind of bond. NAN: the railway does not use that limit. */
struct rulebook_limits {
	double cable_tolerance_percent;   /* on what the cables and the contacts may have together */
	double contact_allowance_uohm;    /* of one end, beside the cable; 0 when absent */
	double baseline_factor;           /* times R20 at commissioning of what is live now */
	double rail_equivalent_m;         /* as much as so many metres of the rail it stands at */
	double joint_percent;             /* of the rail between two joints: the rule for joint bonds */
	double contact_uohm;              /* one contact measured alone */
	double absolute_uohm[RULEBOOK_CRITICALITIES];
};

/* How bad a thing seen at an end is. The numbers are stored: only add at the end. */
enum severity { SEVERITY_NONE, SEVERITY_WATCH, SEVERITY_ACT };
extern const struct words severity_words;

/* What proves a kind of bond (rules/proof.h). The numbers are stored: only add at the end. */
enum proof {
	PROOF_END_TO_END,     /* read from rail to rail, nothing else in parallel that could read alike */
	PROOF_CONTACTS,       /* both contacts read, cable and lugs seen whole */
	PROOF_SEEN,           /* seen at both ends: no reading is wanted */
	PROOF_IN_CIRCUIT      /* end to end, also of a joint in circuit: the railway takes it for proof */
};
extern const struct words proof_words;

/* From when on a reading is asked before it is judged (rules/judge/asked.h). Shares and
 * multiples. */
struct rulebook_asked {
	double least_share;           /* of the conductor's own resistance */
	double least_share_joint;     /* the same, of rail joint bonds */
	double least_share_contact;   /* of its limit, of a contact alone */
	double most_times;            /* the limit */
	double away_times;            /* the last reading, or one over that */
	double away_times_joint;
	double away_contact_share;    /* and a contact by more than this share of its limit */
	double direction_percent;     /* forward and reversed differ by more than this, and */
	double direction_uv;          /* by more than this thermal voltage */
	double thermal_uv;            /* any thermal voltage above this */
	double away_temp_k;           /* from the median of the round */
	double parallel_share;        /* of the conductor alone: below it another path is in parallel */
};

/* What a conductor's temperature may be in each month where none was noted. */
enum { RULEBOOK_MONTHS = 12 };
struct rulebook_climate {
	double low_c, high_c;
};

struct rulebook {
	int64_t version;              /* from 1 on; given by the register, not a member of the form */
	int32_t from_day;             /* first day on which it holds */
	int64_t interval_months[RULEBOOK_KINDS][RULEBOOK_CRITICALITIES];  /* between inspections */
	int64_t notice_days;          /* a bond is "soon" this many days before it is due */
	int64_t grace_days;           /* and overdue only after this many days past the due day */
	int64_t repeat_window_mm;     /* failures this close, both ends counted, are one place */
	int64_t repeat_period_months; /* and this close in time */
	int64_t repeat_least_count;   /* failures that make a repeat */
	int64_t spot_clearance_mm;    /* a new attachment keeps so far from a spoilt spot */
	/* what moves a due day: rules/judge/due.h */
	int64_t watch_interval_percent;  /* of the interval, for a bond graded watch */
	int64_t act_days;             /* after what made a bond "act" */
	int64_t forecast_lead_days;   /* before the early day on which a limit may be crossed */
	int64_t evidence_months;      /* a reading older than that proves nothing any more */
	/* the judgement: rules/judge/limit.h, rules/judge/verdict.h, rules/judge/grade.h */
	struct rulebook_limits limits[RULEBOOK_KINDS];
	double watch_percent;         /* of the limit, from which a bond is watched */
	double temp_uncertainty_k;    /* of the conductor's temperature, k = 2 */
	double carried_temp_k;        /* at least this where it was carried from another bond */
	double repeatability_percent; /* of R20, of putting the probes on again, k = 2 */
	double unknown_meter_percent; /* of the reading, assumed where none is recorded, k = 2 */
	double unknown_meter_uohm;    /* and added to it */
	int severity[RULEBOOK_SEEN];  /* enum severity, by enum seen */
	/* further clearances of a new attachment, and its acceptance: rules/spot.h, acceptance.h */
	int64_t rail_end_clearance_mm, weld_clearance_mm, bolt_hole_clearance_mm;
	double arc_least_s, arc_most_s;  /* how long the arc burns */
	double hold_least_s;          /* and how long the gun is held still after it */
	double stub_most_mm;          /* left standing proud on a lug */
	int64_t cross_spacing_m;      /* greatest distance of neighbouring cross bonds */
	/* of a bond's readings about its own line, one standard deviation: rules/statistics/trend.h */
	double scatter_percent[RULEBOOK_KINDS][RULEBOOK_SCATTERS];
	int proof[RULEBOOK_KINDS];    /* enum proof */
	struct rulebook_asked asked;
	struct rulebook_climate climate[RULEBOOK_MONTHS];  /* January first */
};

/* What the program knows, which a register records as its version 1: from 1900-01-01 on (before any
 * record). Passes rulebook_check. */
struct rulebook rulebook_default(void);

/*
 * Refuses what cannot be meant: a value that is missing or outside the bounds of its member; when
 * all are within, values that contradict each other: an interval that grows with the criticality,
 * a notice or a grace longer than the shortest interval (every such bond would always be soon, or
 * never overdue before a whole inspection was missed), a limit that grows with the criticality, a
 * kind without any limit, an arc whose least is more than its most, a missing end that is no
 * defect. False: one problem for each wrong value, PROBLEM_VALUE, field as in the form
 * ("interval_months.structure.high").
 */
bool rulebook_check(const struct rulebook *rulebook, struct problems *why);

/* The months for a bond. A kind or criticality outside the terms gets the strictest row: that of
 * BOND_KIND_NOT_KNOWN, that of CRITICALITY_SAFETY. */
int64_t rulebook_interval_months(const struct rulebook *rulebook, enum bond_kind kind,
	enum criticality criticality);

/* The same of what readings scatter by. */
enum rulebook_scatter rulebook_scatter_of(enum quantity quantity);
double rulebook_scatter_percent(const struct rulebook *rulebook, enum bond_kind kind,
	enum quantity quantity);

enum rulebook_basis { BASIS_STANDARD, BASIS_COMMON_PRACTICE, BASIS_EXAMPLE };
extern const struct words rulebook_basis_words;

/* What a default value rests on. Name, title, unit and bounds stand in its member. */
struct rulebook_value {
	const struct member *member;  /* of the rulebook or of a kind's limits; the end has NULL */
	enum rulebook_basis basis;
	const char *source;           /* one sentence for the engineer who must own the value */
};
extern const struct rulebook_value rulebook_values[];

/* The body of a new rulebook: all of struct rulebook but the version. Intervals are
 * {"interval_months": {"structure": {"normal": 24, "high": 12, "safety": 6}, ...}}. */
enum { RULEBOOK_MEMBERS_MOST = 48 };  /* with the end */
extern const struct member rulebook_members[];
extern const struct form rulebook_form;

#endif
