/* How the figures of a report add up. Internal to service/report. */
#ifndef SERVICE_REPORT_REPORT_COUNT_H
#define SERVICE_REPORT_REPORT_COUNT_H

#include "service/report/report.h"

/* The month that a day is of. NULL: it was before them all. */
struct report_month *report_month_of(struct report *r, int32_t day);

/* A bond that was in service on the report's day: what was due of it first, and each of the two. */
void report_count_bond(const struct due of[2], const struct due *first, bool asked,
	const struct report_bond *bond, struct report *r, struct report_of_line *to);

/* So many bonds at once. */
void report_count_cell(const struct report_due_cell *cell, struct report *r,
	struct report_of_line *to);

/*
 * A past day over all lines: the totals of today hold of each bond of which nothing came since.
 * Those of which something may have come are taken out of them, and judged as they were; so the
 * figures are those of judging every bond. The report has its lines.
 */
bool report_count_past(struct view *view, struct report *r, struct progress *progress,
	struct problem *why);

/* Tells how far it is. False: nobody waits for it any more. progress may be NULL. */
bool report_step(struct progress *progress, int64_t done, struct problem *why);

#endif
