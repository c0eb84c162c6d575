/*
 * Civil days of the Gregorian calendar as whole numbers (days since 1970-01-01), and instants
 * in UTC as milliseconds since 1970-01-01T00:00:00Z.
 *
 * Days are written YYYY-MM-DD, years 1800 to 2999. Month arithmetic clamps to the end of the
 * month (31 January + 1 month is 28 or 29 February); a series therefore adds k x interval to
 * its first day, never to the last result.
 */
#ifndef BASE_DAY_H
#define BASE_DAY_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define DAY_NONE INT32_MIN

enum { DAY_TEXT_SIZE = 11, INSTANT_TEXT_SIZE = 25 };

enum day_format { DAY_YMD, DAY_DMY, DAY_MDY };  /* the order of year, month and day */

/* Reads exactly "2026-03-31"; false when it is not a day that exists. */
bool day_read(const char *text, size_t len, int32_t *day);

/* Reads a date as spreadsheets have it: parts in the given order, parted by one of - . / or a
 * space; year of four digits; also 8 digits without a separator. A time after it (from a space
 * or T on) is passed over when it is one ("2021-03-04 00:00:00"). */
bool day_read_as(const char *text, size_t len, enum day_format format, int32_t *day);

/* Writes YYYY-MM-DD; to holds DAY_TEXT_SIZE bytes. DAY_NONE gives "". */
void day_write(int32_t day, char *to);

/* False when there is no such day. month 1 to 12. */
bool day_from_parts(int year, int month, int day_of_month, int32_t *day);
void day_to_parts(int32_t day, int *year, int *month, int *day_of_month);

/* Clamped to the end of the month. months may be negative. */
int32_t day_add_months(int32_t day, int months);

/* RFC 3339 in UTC with milliseconds: 2026-03-31T22:15:03.250Z; to holds INSTANT_TEXT_SIZE. */
void instant_write(int64_t instant_ms, char *to);

/* Reads one of RFC 3339, its offset given: "2026-03-31T02:40:00Z", "2026-03-31T04:40:00.5+02:00";
 * the seconds may be left out. False, and *instant_ms as it was: it is none. */
bool instant_read(const char *text, size_t len, int64_t *instant_ms);

#endif
