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
#ifndef STORE_LISTS_REPORT_H
#define STORE_LISTS_REPORT_H

#include "rules/odd.h"
#include "store/record/bond.h"

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

/* Which bonds of a line are wanted, as bits of their kinds and criticalities (0: all), and of which
 * day it is to be said whether what is kept stands: under that rulebook and edition of the
 * rules. */
struct report_states_of {
	unsigned kinds, criticalities;
	int32_t day;
	int64_t rulebook_version, edition;
};

/* The bonds of a line, along it. */
struct report_state {
	struct report_bond bond;
	int64_t line_id;
	struct due kept;                /* as it is today: its basis and days */
	int64_t asked;                  /* readings that wait for an answer, today */
	/* nothing on record of it is of a later day than the one asked of, and nothing that may have
	 * ended or been decided since: so it was judged on that day as it is kept */
	bool stands;
};
bool store_report_states(struct store *store, int64_t line_id, const struct report_states_of *of,
	struct report_rows *rows, struct problem *why);
bool store_report_state_next(struct report_rows *rows, struct report_state *to,
	struct problem *why);

/* The same of all lines, by number, and those alone of which what is kept may not be what was on the
 * day: all others stand, and were in service then. Kinds and criticalities are not asked. */
bool store_report_moved(struct store *store, const struct report_states_of *of,
	struct report_rows *rows, struct problem *why);

/* Whether a line has bonds that were in service on a day as far as that is registered, and of which
 * today nothing is due. */
bool store_report_has_not_due(struct store *store, int64_t line_id, int32_t day, bool *has,
	struct problem *why);

/* What counted of a bond on a day: the last complete inspection and the newest deferral of that
 * time, which may have ended. Texts live until rows are closed, which the next call does; zeroed at
 * first. */
struct report_told {
	struct report_rows rows;
	int32_t inspected_day;          /* DAY_NONE: never until then */
	const char *deferral_reason;    /* "" when there is none */
};
bool store_report_tell(struct store *store, int64_t bond_id, int32_t day, struct report_told *to,
	struct problem *why);

/* Complete inspections of some days: of bonds of these kinds, and those that are kept as one of
 * these (enum timely; to be asked for only where what is kept is as the rules have it). Bits; 0:
 * all. */
struct report_visits_of {
	int32_t from_day, to_day;
	unsigned kinds, criticalities, timely;
};

/* By day, with the complete one before each. */
struct report_visit {
	struct report_bond bond;
	const char *uuid;
	int32_t day, before_day;        /* DAY_NONE: none before */
	enum purpose purpose;
};
bool store_report_visits(struct store *store, int64_t line_id, const struct report_visits_of *of,
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
	int counts_as;                  /* bits DUE_COUNTS_FIRST ... (store/record/bond.h) */
	bool asked;                     /* a reading waits for an answer */
	struct due due;                 /* the days of what it counts as */
	int64_t bonds;
};
bool store_report_due_cells(struct store *store, int64_t line_id, struct report_rows *rows,
	struct problem *why);
bool store_report_due_cell_next(struct report_rows *rows, struct report_due_cell *to,
	struct problem *why);

/* The highest number of a bond; 0: there is none. */
bool store_report_highest(struct store *store, int64_t *bond_id, struct problem *why);

/* How many bonds a line has, in service or not. */
bool store_report_bonds(struct store *store, int64_t line_id, int64_t *count,
	struct problem *why);

/* Bonds in service that are known from a log only, on a line: by those totals. */
bool store_report_unsurveyed(struct store *store, int64_t line_id, int64_t *count,
	struct problem *why);

#endif
