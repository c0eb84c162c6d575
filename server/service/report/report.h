/* The figures of a report for a day and a set of lines. Every one is the number of rows of a list
 * (service/report/report_rows.h, or the list that is named). */
#ifndef SERVICE_REPORT_REPORT_H
#define SERVICE_REPORT_REPORT_H

#include "base/progress.h"
#include "service/report/report_rows.h"

enum { REPORT_MONTHS = 24 };

/* Complete inspections of a calendar month, and bonds whose inspection had its last day of grace in
 * it and is still overdue on the report's day, on which the last month ends. */
struct report_month {
	int32_t from_day, to_day;
	int64_t on_time, late, not_judged, deferred;
	int64_t not_done;
};

/* Inspections, or mendings: every bond that has one counts. */
struct report_what {
	int64_t overdue, deferred;
	int64_t by_band[REPORT_BANDS];   /* of the overdue ones */
	int32_t oldest_due_day;          /* of the overdue ones; DAY_NONE: none */
};

/* Bonds in service on the day, of one kind and criticality. */
struct report_due {
	int64_t bonds;
	int64_t overdue, deferred;       /* by what is due first */
	struct report_what of[2];        /* by enum due_what */
};

struct report_of_line {
	struct report_due due[RULEBOOK_KINDS][RULEBOOK_CRITICALITIES];
	int64_t asked;                   /* bonds with readings that waited for an answer on the day */
	int64_t unsurveyed;              /* in service today, known from a log only */
	int64_t odd[ODDS];               /* today */
};

struct report {
	int32_t day, today;
	struct report_lines lines;
	struct report_of_line *of_line;  /* lines.count of them */
	struct report_month month[REPORT_MONTHS];
	const struct rulebook *rulebook; /* the version that held on the day; the view's */
};

/*
 * Computes it all as of one moment of the register. What was due on the day, and what was on time
 * in the two years before it, follows from the inspections until that day; bonds still to be
 * surveyed and data that look wrong are today's whatever the day. Of a past day each bond is judged
 * as it was: progress, unless it is NULL, tells how many are, and ends it. Release *to in any case.
 */
bool report_make(struct view *view, const char *lines, int32_t day, struct progress *progress,
	struct report *to, struct problem *why);
void report_release(struct report *report);

#endif
