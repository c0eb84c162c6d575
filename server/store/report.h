/*
 * The rows of the record that reports are made of, a line at a time, in the order of the line:
 *
 *     struct report_rows rows;
 *     bool ok = store_report_bonds(store, line_id, day, &rows, why);
 *     while (ok && store_report_bond_next(&rows, &bond, why)) ...
 *     store_report_close(&rows);        (also when it was left before its end, or not opened)
 *
 * next: false at the end (*why untouched) or on failure (*why set). Texts live until the next call.
 * Corrections count instead of what they replace, whatever the day they came.
 */
#ifndef STORE_REPORT_H
#define STORE_REPORT_H

#include "rules/odd.h"
#include "store/bond.h"

struct report_line {
	int64_t id;
	char code[LINE_CODE_SIZE];
	char name[LINE_NAME_SIZE];
};

/* All lines, by code. *lines is the caller's: free(). */
bool store_report_lines(struct store *store, struct report_line **lines, size_t *count,
	struct problem *why);

struct sqlite3_stmt;
struct report_rows {
	struct store *store;
	struct sqlite3_stmt *rows;
};
void store_report_close(struct report_rows *rows);

/* What every row says of its bond, as it is registered now. */
struct report_bond {
	int64_t bond_id;
	const char *label, *chainage;
	enum bond_kind kind;
	enum criticality criticality;
	enum bond_status status;
	bool surveyed;
	int32_t installed_day, removed_day, known_since_day;
};

/* A bond with what counted on a day: the last complete inspection and the newest deferral of that
 * time, which may have ended. */
struct report_state {
	struct report_bond bond;
	int32_t inspected_day;          /* DAY_NONE: never until then */
	const char *deferral_reason;    /* "" when there is none */
	struct due kept;                /* as it is today, whatever the day: its basis and days */
	int64_t asked;                  /* readings that wait for an answer, today */
};
bool store_report_states(struct store *store, int64_t line_id, int32_t day,
	struct report_rows *rows, struct problem *why);
bool store_report_state_next(struct report_rows *rows, struct report_state *to,
	struct problem *why);

/* The complete inspections of from_day to to_day, by day, with the complete one before each. */
struct report_visit {
	struct report_bond bond;
	const char *uuid;
	int32_t day, before_day;        /* DAY_NONE: none before */
	enum purpose purpose;
};
bool store_report_visits(struct store *store, int64_t line_id, int32_t from_day, int32_t to_day,
	struct report_rows *rows, struct problem *why);
bool store_report_visit_next(struct report_rows *rows, struct report_visit *to,
	struct problem *why);

/* Bonds in service where something is missing or doubled; which of them `what` says. */
struct report_bond_odd {
	struct report_bond bond;
	int ends;                       /* ODD_NO_RAIL: 1 << enum bond_end */
	const char *other;              /* ODD_SAME_PLACE: the label of the other one */
};
bool store_report_odd_bonds(struct store *store, int64_t line_id, enum odd what,
	struct report_rows *rows, struct problem *why);
bool store_report_odd_bond_next(struct report_rows *rows, enum odd what,
	struct report_bond_odd *to, struct problem *why);

/* All readings of bonds in service: by bond, then quantity, then day. */
struct report_reading {
	struct report_bond bond;
	int32_t day;
	enum quantity quantity;
	double r20_uohm;                /* NAN: none follows */
	enum reading_remark remark;
};
bool store_report_readings(struct store *store, int64_t line_id, struct report_rows *rows,
	struct problem *why);
bool store_report_reading_next(struct report_rows *rows, struct report_reading *to,
	struct problem *why);

/* The totals of the due list of a line: so many bonds are alike in all of this. */
struct report_due_cell {
	enum bond_kind kind;
	enum criticality criticality;
	int counts_as;                  /* bits DUE_COUNTS_FIRST ... (store/bond.h) */
	bool asked;                     /* a reading waits for an answer */
	struct due due;                 /* the days of what it counts as */
	int64_t bonds;
};
bool store_report_due_cells(struct store *store, int64_t line_id, struct report_rows *rows,
	struct problem *why);
bool store_report_due_cell_next(struct report_rows *rows, struct report_due_cell *to,
	struct problem *why);

/* How many bonds a line has, in service or not. */
bool store_report_bonds(struct store *store, int64_t line_id, int64_t *count,
	struct problem *why);

/* Bonds in service that are known from a log only, on a line: by those totals. */
bool store_report_unsurveyed(struct store *store, int64_t line_id, int64_t *count,
	struct problem *why);

#endif
