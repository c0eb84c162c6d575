/*
 * Whether each complete inspection of a bond was on time (rules/report.h): by what was due of the
 * bond by the record of the day before and the rulebook of the day. The day of a report makes no
 * difference, so it is kept with the bond and added up (store/kept/visit_count.h).
 *
 * It may change with anything on record before the inspection's day, the bond's own registration
 * and the rulebooks in force until the day. Nothing else: whoever enters something that many bonds
 * are judged by marks them, and they are judged anew.
 */
#ifndef DERIVED_TIMELY_H
#define DERIVED_TIMELY_H

#include "derived/judged.h"
#include "rules/report.h"

/* The last day until which inspections stand as they are kept, when all that is new on record since
 * the bond was judged last is of new_day or later: what was entered of a day makes no difference to
 * an inspection of that day. INT32_MIN: none stands. */
int32_t timely_stands_until(const struct view *view, const struct record *record, int32_t new_day);

/* The same of a bond whose state is kept under a version of the rulebook, by that alone; INT32_MAX:
 * all stand. */
int32_t timely_stands_under(const struct view *view, int64_t version);

/* Of bond i: j->timely, as bond_state.visits has it. To be asked before the bond itself is
 * judged. */
bool timely_of_bond(struct view *view, struct judging *j, size_t i, int32_t stands_until_day,
	struct problem *why);

/* Whether what is kept of all bonds is as the rules have it: not while the server still makes
 * something again, for then it may be what was. */
bool timely_is_kept(struct view *view, bool *is_kept, struct problem *why);

/* Of one inspection: what was due then, and whether one was before. */
void timely_judge(const struct due *due, bool is_first, int32_t installed_day,
	enum purpose purpose, int32_t day, struct report_timely *to);

#endif
