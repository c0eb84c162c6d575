/*
 * What cannot be true of a record, found before it is kept.
 *
 * Each function looks at one kind of record, adds one problem for each thing that is wrong, and
 * returns true when there is none. A day that is DAY_NONE is not known and not compared; equal
 * days are always in order (a bond can fail on the day it was installed).
 *
 *   PROBLEM_VALUE   wrong whatever else is registered: a day to come, a label
 *   PROBLEM_RULE    contradicts another day or place, which may be the wrong one of the two: the
 *                   sentence names both
 *
 * today is the railway's own civil day. Fields are named as in the forms.
 *
 * Work is dated by its shift, and a shift that ends after midnight may be told of before it: a day
 * one ahead of today is taken. Further ahead is a slip or a wrong clock: at the desk it is refused,
 * where it can be mended at once; what a tablet kept is taken all the same, or the work would be
 * lost, and counts by day_counted.
 */
#ifndef RULES_PLAUSIBLE_H
#define RULES_PLAUSIBLE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/problem.h"
#include "base/table.h"

enum sent_from { SENT_FROM_DESK, SENT_FROM_TABLET };
extern const struct words sent_from_words;

/* The day that counts for due days of what is dated `day` and arrived on `arrived_day`: of what is
 * dated more than one day ahead, the day of its arrival. */
int32_t day_counted(int32_t day, int32_t arrived_day);

/* Fields installed_day, removed_day; not after today. */
bool plausible_bond(int32_t installed_day, int32_t removed_day, int32_t today,
	struct problems *why);

/* Field installed_day: not after work that is on record. work: "An inspection", of that day. */
bool plausible_installed(int32_t installed_day, const char *work, int32_t work_day,
	struct problems *why);

/* Field day. */
bool plausible_inspection(int32_t day, int32_t installed_day, int32_t today,
	enum sent_from from, struct problems *why);

/* Field made_day. */
bool plausible_attachment(int32_t made_day, int32_t installed_day, int32_t today,
	enum sent_from from, struct problems *why);

/* Field found_day. */
bool plausible_failure(int32_t found_day, int32_t installed_day, int32_t today,
	enum sent_from from, struct problems *why);

/* Field day: of the repair that made a failure good. */
bool plausible_repair(int32_t day, int32_t found_day, int32_t today, enum sent_from from,
	struct problems *why);

/* Field checked_day. */
bool plausible_kit_check(int32_t checked_day, int32_t today, enum sent_from from,
	struct problems *why);

bool plausible_found(int32_t found_day, int32_t today, enum sent_from from, struct problems *why);

/* Field given by the caller: the day on which a temporary bridge was put on or taken off. */
bool plausible_bridge(const char *field, int32_t day, int32_t today, enum sent_from from,
	struct problems *why);

/* Field taken_day. */
bool plausible_photo(int32_t taken_day, int32_t today, enum sent_from from, struct problems *why);

/* Field until_day: after today and after the bond's due day, else nothing is deferred. due_day
 * is DAY_NONE when the bond is never due: that is refused too. */
bool plausible_deferral(int32_t until_day, int32_t due_day, int32_t today, struct problems *why);

/* Field given by the caller. The two ends of a bond lie at most this far apart along the line,
 * in either order. */
enum { PLAUSIBLE_SPAN_MM = 2000000 };
bool plausible_span(int64_t a_mm, int64_t b_mm, const char *field, struct problems *why);

/*
 * A label as people read it from a plate: 1 to 40 characters of UTF-8, all of which print, with
 * no space before or after. Control characters, the invisible ones (zero width, direction marks,
 * soft hyphen) and spaces other than the plain one are refused: two labels that look the same
 * would be different. text is not NUL-terminated.
 */
enum { PLAUSIBLE_LABEL_CHARACTERS = 40 };
bool plausible_label(const char *text, size_t len, const char *field, struct problems *why);

#endif
