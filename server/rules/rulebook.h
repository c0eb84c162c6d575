/*
 * The rulebook: the railway's own intervals, limits and tolerances, as one plain struct.
 *
 * It is versioned and dated: whatever is derived names the version it was made under. A rulebook
 * is never changed; a new version replaces it from a day on.
 *
 * None of the default values is a standard's. rulebook_values says of each what it rests on, so
 * that a page can show it: an *example* is only there to be replaced by the railway's engineer.
 */
#ifndef RULES_RULEBOOK_H
#define RULES_RULEBOOK_H

#include <stdbool.h>
#include <stdint.h>

#include "base/form.h"
#include "base/problem.h"
#include "rules/terms.h"

/* As many as bond_kind_words and criticality_words have; a test holds them together. */
enum { RULEBOOK_KINDS = 9, RULEBOOK_CRITICALITIES = 3 };

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
};

/* Gives the values that a rulebook adopted by an older program does not have their default. */
void rulebook_complete(struct rulebook *rulebook);

/* Version 1, from 1900-01-01 on (before any record). Passes rulebook_check. */
struct rulebook rulebook_default(void);

/*
 * Refuses what cannot be meant: a value outside the bounds of its member, an interval that grows
 * with the criticality, a notice or a grace longer than the shortest interval (every such bond
 * would always be soon, or never overdue before a whole inspection was missed).
 * False: one problem for each wrong value, PROBLEM_VALUE, field as in the form
 * ("interval_months.structure.high").
 */
bool rulebook_check(const struct rulebook *rulebook, struct problems *why);

/* The months for a bond. A kind or criticality outside the terms gets the strictest row: that of
 * BOND_KIND_NOT_KNOWN, that of CRITICALITY_SAFETY. */
int64_t rulebook_interval_months(const struct rulebook *rulebook, enum bond_kind kind,
	enum criticality criticality);

enum rulebook_basis { BASIS_STANDARD, BASIS_COMMON_PRACTICE, BASIS_EXAMPLE };
extern const struct words rulebook_basis_words;

/* What a default value rests on. Name, title, unit and bounds stand in its member. */
struct rulebook_value {
	const struct member *member;  /* one of rulebook_members; the end of the list has NULL */
	enum rulebook_basis basis;
	const char *source;           /* one sentence for the engineer who must own the value */
};
extern const struct rulebook_value rulebook_values[];

/* The body of a new rulebook: all of struct rulebook but the version. Intervals are
 * {"interval_months": {"structure": {"normal": 24, "high": 12, "safety": 6}, ...}}. */
extern const struct member rulebook_members[];
extern const struct form rulebook_form;

#endif
