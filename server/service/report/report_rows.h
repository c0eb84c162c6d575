/*
 * What reports count, row by row, as the rules see it: bonds by their state on a day, inspections
 * by whether they were on time, data that look wrong. Each is also a list of its own, so that every
 * figure of a report leads to the rows behind it: the report counts the very rows that the list
 * shows.
 *
 *     struct state_rows rows;
 *     struct state_row row;
 *     bool ok = state_rows_open(view, "VAL,KVM", day, &rows, why);
 *     while (ok && state_rows_next(&rows, &row, why)) ...
 *     state_rows_close(&rows);          (in any case)
 *
 * lines: codes with commas between; NULL or "": every line. One that is not registered is refused.
 * next: false at the end (*why untouched) or on failure. Texts of a row live until the next call.
 */
#ifndef SERVICE_REPORT_REPORT_ROWS_H
#define SERVICE_REPORT_REPORT_ROWS_H

#include "derived/judged.h"
#include "rules/report.h"
#include "store/lists/report.h"

/* The lines of a report, walked one after the other. */
struct report_lines {
	struct report_line *line;       /* owned */
	size_t count;
	size_t at;                      /* of the one under way; count at the end */
};
bool report_lines_read(const struct view *view, const char *codes, struct report_lines *to,
	struct problem *why);
void report_lines_release(struct report_lines *lines);

/* A bond that was in service on the day: what was due of it first, and each of the two. */
struct state_row {
	const struct report_line *line;
	struct report_state s;
	struct due due;
	struct due of[2];               /* by enum due_what; all DAY_NONE: that was not due */
	int64_t asked;                  /* readings that waited for an answer */
};

/* Which of them: NULL for all, or else as the list's filters have it. */
struct state_wanted {
	unsigned whats, states, kinds, criticalities;   /* bits; 0: all */
	const char *asked;                       /* "yes", "no"; NULL: all */
	int64_t over_from, over_to;
	int32_t last_from, last_to;
};
struct past;
struct state_rows {
	struct view *view;              /* borrowed, with its rules read */
	struct report_lines lines;
	struct report_rows rows;
	const struct state_wanted *wanted;
	int32_t day;
	int64_t looked_at;              /* bonds until now, in service on the day or not */
	struct view on_day;             /* the rules of the day */
	struct past *past;              /* owned; on another day than today each is judged anew */
};
bool state_rows_open(struct view *view, const char *lines, int32_t day,
	const struct state_wanted *wanted, struct state_rows *to, struct problem *why);
bool state_rows_next(struct state_rows *rows, struct state_row *row, struct problem *why);
void state_rows_close(struct state_rows *rows);

/* A complete inspection, judged by what was due of the bond then. */
struct visit_row {
	const struct report_line *line;
	struct report_visit v;
	struct report_timely timely;
};
struct visit_rows {
	struct view *view;              /* borrowed, with its rules read */
	struct report_lines lines;
	struct report_rows rows;
	struct report_visits_of of;     /* as it is asked of the store */
	unsigned timely;                /* bits; 0: all */
	struct view on_day;             /* the rules as they were on the day of the visit */
	struct judging judging;
};
bool visit_rows_open(struct view *view, const char *lines, const struct report_visits_of *of,
	struct visit_rows *to, struct problem *why);
bool visit_rows_next(struct visit_rows *rows, struct visit_row *row, struct problem *why);
void visit_rows_close(struct visit_rows *rows);

enum { ODD_SAYS_SIZE = 400 };
struct odd_row {
	const struct report_line *line;
	enum odd what;
	int64_t bond_id;
	const char *label, *chainage;
	enum bond_kind kind;
	int32_t day;                    /* of the reading; DAY_NONE for the others */
	char says[ODD_SAYS_SIZE];       /* one sentence */
};

struct odd_reading {
	int32_t day;
	double r20_uohm;
	enum reading_remark remark;
};
/* The readings of one bond and quantity, to compare each with their median. */
struct odd_group {
	int64_t bond_id;
	char label[BOND_LABEL_SIZE], chainage[CHAINAGE_SIZE];
	enum bond_kind kind;
	enum quantity quantity;
	struct odd_reading *reading;    /* owned */
	double *evidence;               /* owned: the values that are evidence */
	size_t count, room, n_evidence, at;
	double median_uohm;
};
struct odd_rows {
	const struct view *view;        /* borrowed */
	struct report_lines lines;
	struct report_rows rows;
	unsigned wanted;                /* bit 1 << enum odd */
	int step;                       /* of the line under way */
	struct odd_group group;
	struct report_reading ahead;    /* the first one of the next group */
	bool has_ahead;
};
/* wanted: bits 1 << enum odd; 0: all. */
bool odd_rows_open(const struct view *view, const char *lines, unsigned wanted,
	struct odd_rows *to, struct problem *why);
bool odd_rows_next(struct odd_rows *rows, struct odd_row *row, struct problem *why);
void odd_rows_close(struct odd_rows *rows);

extern const struct list bond_state_list, visit_list, odd_list;

#endif
