/*
 * The resistance, or the equivalent length of rail, that follows from one reading.
 *
 *   current both ways     R = (V+ - V-) / 2I, thermal e.m.f. = (V+ + V-) / 2
 *   one way only          R = V / I, which still has the thermal e.m.f. in it: weaker
 *   no voltages           R as the meter showed it
 *   two-wire              less the leads; no evidence when these are not recorded or zero, or when
 *                         what is left is below ten times the leads
 *   to 20 degrees         R20 = R / (1 + alpha20 (T - 20)); a contact measured alone is not
 *                         corrected: R20 = R
 *   voltage-drop ratio    m = V_joint / V_rail x l_rail, the same current through both; the joint
 *                         adds m - l_joint. No resistance follows from it, and no evidence for a
 *                         quantity that is one
 *
 * A contact is read from the rail to the strands beyond the lug, so that the crimp is in it; one
 * that was probed on the lug proves nothing of the crimp.
 *
 * alpha20: copper 0.00393, aluminium 0.00403 per K (IEC 60287-1-1, table 1).
 */
#ifndef RULES_READING_H
#define RULES_READING_H

#include <stdbool.h>

#include "rules/terms.h"

/* What was written down. NAN: not measured. Voltages carry their sign: with the current reversed
 * the voltage is negative. */
struct reading_values {
	enum quantity quantity;
	enum reading_method method;
	int material;         /* enum material of the conductor; -1: not known */
	double forward_uv;    /* over the joint, for READING_VOLTAGE_DROP */
	double reverse_uv;
	double current_a;
	double shown_uohm;    /* used when there is no voltage */
	double lead_uohm;     /* both leads together, READING_TWO_WIRE */
	double rail_uv;       /* READING_VOLTAGE_DROP: over rail_m of whole rail */
	double rail_m;
	double joint_m;       /* rail between the two contacts over the joint */
	double temp_c;        /* of the conductor */
	double temp_u_k;      /* of that, k = 2; 0 or less: the rulebook's */
	bool is_climate;      /* none was noted: temp_c and temp_u_k are the month's */
	bool is_carried;      /* noted at another bond */
	bool is_lug_only;     /* a contact, probed on the lug */
};

/* What there is to say about a reading. The numbers are stored: only add at the end. */
enum reading_remark {
	REMARK_NONE,
	REMARK_ONE_DIRECTION,
	REMARK_NO_TEMPERATURE,
	REMARK_NO_MATERIAL,
	REMARK_LEADS_NOT_RECORDED,
	REMARK_LEADS_TOO_LARGE,
	REMARK_NOTHING_MEASURED,
	REMARK_NO_CURRENT,
	REMARK_NOT_FINITE,
	REMARK_CURRENT_ABSURD,
	REMARK_TEMPERATURE_ABSURD,
	REMARK_LEADS_NEGATIVE,
	REMARK_SAME_SIGN,
	REMARK_NOT_POSITIVE,
	REMARK_TOO_SMALL,
	REMARK_TOO_LARGE,
	REMARK_NO_RAIL,
	REMARK_RAIL_ABSURD,
	REMARK_RAIL_OPPOSED,
	REMARK_OTHER_METHOD,
	REMARK_OTHER_QUANTITY,
	REMARK_NO_JOINT_LENGTH,
	REMARK_LEADS_ZERO,
	REMARK_LUG_ONLY,
	REMARK_CLIMATE,
	REMARKS
};
extern const struct words reading_remark_words;

/* What a remark makes of the reading. */
enum reading_standing {
	READING_EVIDENCE,
	READING_WEAKER,         /* evidence, but say so beside it */
	READING_NOT_EVIDENCE,   /* kept, shown, never judged */
	READING_NO_RESULT       /* nothing follows from what was written down */
};
extern const struct words reading_standing_words;
enum reading_standing reading_standing_of(enum reading_remark remark);

/* Limits of what is believed, both inclusive (our own, wide): a current over 0 up to 10,000 A, a
 * conductor from -60 to 120 degrees, a result from 0.001 µΩ to 1,000 Ω, rail compared with over 0
 * up to 1,000 m, over the joint from 0 up to that, and a result of up to 1,000 km of rail. */
#define READING_MOST_A 1e4
#define READING_LEAST_C (-60.0)
#define READING_MOST_C 120.0
#define READING_LEAST_UOHM 1e-3
#define READING_MOST_UOHM 1e9
#define READING_MOST_RAIL_M 1e3
#define READING_MOST_M 1e6

/* NAN: does not follow. All are NAN when the standing is READING_NO_RESULT. */
struct reading {
	double r_uohm;        /* of the bond or contact, leads taken off */
	double r20_uohm;      /* at 20 degrees */
	double thermal_uv;    /* only with both directions */
	double equivalent_m;  /* of rail, READING_VOLTAGE_DROP only */
	double added_m;       /* equivalent_m - joint_m; may be a little below 0 */
	double temp_u_k;      /* as it was given */
	unsigned remarks;     /* bit 1 << remark for each one that holds */
	enum reading_remark remark;       /* the worst of them, the first when several are as bad */
	enum reading_standing standing;   /* what that one makes of the reading */
};

void reading_compute(const struct reading_values *values, struct reading *reading);

/* The worst resistance that the same entry can stand for, one direction being wrong: the larger
 * voltage alone over the current, leads taken off where they are known, reduced like the reading
 * itself. NAN: the entry has not both directions. A slipped sign or digit must not make a bond look
 * better than it may be. */
double reading_worst_uohm(const struct reading_values *values);

/* Per K, at 20 degrees. */
double reading_alpha20(enum material material);

#endif
