/* A report as a JSON object: for the page, and for the command line. */
#ifndef API_JSON_REPORT_JSON_H
#define API_JSON_REPORT_JSON_H

#include "base/progress.h"
#include "derived/view.h"

/* The filters of a report, day and lines, as those of a list without rows. */
extern const struct list report_query;

/*
 * Adds the report that the pairs ask for. Each figure stands beside the address of the list that it
 * counts. progress: as in report_make. False: *why has what was wrong with the query, or what
 * failed; what was added is to be forgotten.
 */
bool report_json(struct view *view, const struct query_pair *pairs, size_t count,
	struct progress *progress, struct text *to, struct problems *why);

#endif
