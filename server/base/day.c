#include "base/day.h"

#include <string.h>

enum { YEAR_FIRST = 1800, YEAR_LAST = 2999 };

static int days_in_month(int year, int month)
{
	static const int days[] = { 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31 };
	bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;

	return month == 2 && leap ? 29 : days[month - 1];
}

/* Counts in eras of 400 years from 1 March, so that the leap day is the last of its year. */
static int32_t count_days(int year, int month, int day_of_month)
{
	int y = month <= 2 ? year - 1 : year;
	int era = (y >= 0 ? y : y - 399) / 400;
	int year_of_era = y - era * 400;
	int day_of_year = (153 * (month + (month > 2 ? -3 : 9)) + 2) / 5 + day_of_month - 1;
	int day_of_era = year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year;

	return era * 146097 + day_of_era - 719468;
}

bool day_from_parts(int year, int month, int day_of_month, int32_t *day)
{
	if (year < YEAR_FIRST || year > YEAR_LAST || month < 1 || month > 12 || day_of_month < 1 ||
		day_of_month > days_in_month(year, month)) {
		return false;
	}
	*day = count_days(year, month, day_of_month);
	return true;
}

void day_to_parts(int32_t day, int *year, int *month, int *day_of_month)
{
	int z = day + 719468;
	int era = (z >= 0 ? z : z - 146096) / 146097;
	int day_of_era = z - era * 146097;
	int year_of_era = (day_of_era - day_of_era / 1460 + day_of_era / 36524 -
		day_of_era / 146096) / 365;
	int day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
	int m = (5 * day_of_year + 2) / 153;

	*day_of_month = day_of_year - (153 * m + 2) / 5 + 1;
	*month = m < 10 ? m + 3 : m - 9;
	*year = year_of_era + era * 400 + (*month <= 2 ? 1 : 0);
}

int32_t day_add_months(int32_t day, int months)
{
	int year, month, day_of_month, last;
	int64_t total;

	day_to_parts(day, &year, &month, &day_of_month);
	total = (int64_t)year * 12 + (month - 1) + months;
	year = (int)(total / 12);
	month = (int)(total % 12) + 1;
	last = days_in_month(year, month);
	return count_days(year, month, day_of_month < last ? day_of_month : last);
}

/* Reads 1 to most digits at *at; false when there is none or there are more. */
static bool read_digits(const char *text, size_t len, size_t *at, size_t least, size_t most, int *n)
{
	size_t from = *at;

	*n = 0;
	while (*at < len && text[*at] >= '0' && text[*at] <= '9' && *at - from <= most) {
		*n = *n * 10 + (text[*at] - '0');
		(*at)++;
	}
	return *at - from >= least && *at - from <= most;
}

bool day_read(const char *text, size_t len, int32_t *day)
{
	size_t at = 0;
	int year, month, day_of_month;

	if (len != DAY_TEXT_SIZE - 1 || text[4] != '-' || text[7] != '-' ||
		!read_digits(text, 4, &at, 4, 4, &year)) {
		return false;
	}
	at = 5;
	if (!read_digits(text, 7, &at, 2, 2, &month)) {
		return false;
	}
	at = 8;
	return read_digits(text, len, &at, 2, 2, &day_of_month) &&
		day_from_parts(year, month, day_of_month, day);
}

/* " 00:00", "T10:30:00.000Z": digits, colons, a fraction, Z or AM/PM. */
static bool is_time(const char *text, size_t len)
{
	size_t colons = 0;

	if (len == 0) {
		return true;
	}
	if (text[0] != ' ' && text[0] != 'T') {
		return false;
	}
	for (size_t i = 1; i < len; i++) {
		if (text[i] == '\0' || strchr("0123456789.,Z+ AMPamp:", text[i]) == NULL) {
			return false;
		}
		colons += text[i] == ':';
	}
	return colons >= 1 && colons <= 3;
}

static bool read_compact(const char *text, size_t len, enum day_format format, int32_t *day)
{
	size_t year_at = format == DAY_YMD ? 0 : 4;
	size_t month_at = format == DAY_YMD ? 4 : format == DAY_DMY ? 2 : 0;
	size_t day_at = format == DAY_YMD ? 6 : format == DAY_DMY ? 0 : 2;
	int year, month, day_of_month;

	if (len != 8) {
		return false;
	}
	for (size_t i = 0; i < 8; i++) {
		if (text[i] < '0' || text[i] > '9') {
			return false;
		}
	}
	read_digits(text, year_at + 4, &year_at, 4, 4, &year);
	read_digits(text, month_at + 2, &month_at, 2, 2, &month);
	read_digits(text, day_at + 2, &day_at, 2, 2, &day_of_month);
	return day_from_parts(year, month, day_of_month, day);
}

bool day_read_as(const char *text, size_t len, enum day_format format, int32_t *day)
{
	int part[3];
	size_t at = 0;
	char separator = '\0';
	int year_part = format == DAY_YMD ? 0 : 2;

	if (read_compact(text, len, format, day)) {
		return true;
	}
	for (int i = 0; i < 3; i++) {
		size_t least = i == year_part ? 4 : 1;
		size_t most = i == year_part ? 4 : 2;

		if (i > 0) {
			if (at >= len || text[at] == '\0' || strchr("-./ ", text[at]) == NULL ||
				(separator != '\0' && text[at] != separator)) {
				return false;
			}
			separator = text[at++];
		}
		if (!read_digits(text, len, &at, least, most, &part[i])) {
			return false;
		}
	}
	if (!is_time(text + at, len - at)) {
		return false;
	}
	return format == DAY_YMD ? day_from_parts(part[0], part[1], part[2], day) :
		format == DAY_DMY ? day_from_parts(part[2], part[1], part[0], day) :
		day_from_parts(part[2], part[0], part[1], day);
}

static char *put_digits(char *to, int value, int count)
{
	for (int i = count - 1; i >= 0; i--) {
		to[i] = (char)('0' + value % 10);
		value /= 10;
	}
	return to + count;
}

void day_write(int32_t day, char *to)
{
	int year, month, day_of_month;

	if (day == DAY_NONE) {
		to[0] = '\0';
		return;
	}
	day_to_parts(day, &year, &month, &day_of_month);
	if (year < 0 || year > 9999) {
		to[0] = '\0';
		return;
	}
	to = put_digits(to, year, 4);
	*to++ = '-';
	to = put_digits(to, month, 2);
	*to++ = '-';
	to = put_digits(to, day_of_month, 2);
	*to = '\0';
}

void instant_write(int64_t instant_ms, char *to)
{
	int32_t day = (int32_t)(instant_ms / 86400000 - (instant_ms % 86400000 < 0 ? 1 : 0));
	int ms = (int)(instant_ms - (int64_t)day * 86400000);

	day_write(day, to);
	to += strlen(to);
	*to++ = 'T';
	to = put_digits(to, ms / 3600000, 2);
	*to++ = ':';
	to = put_digits(to, ms / 60000 % 60, 2);
	*to++ = ':';
	to = put_digits(to, ms / 1000 % 60, 2);
	*to++ = '.';
	to = put_digits(to, ms % 1000, 3);
	*to++ = 'Z';
	*to = '\0';
}

/* So many digits of a number up to `most`; moves on. */
static bool take_digits(const char **at, const char *end, int digits, int most, int *to)
{
	*to = 0;
	for (; digits > 0; digits--, (*at)++) {
		if (*at == end || **at < '0' || **at > '9') {
			return false;
		}
		*to = *to * 10 + (**at - '0');
	}
	return *to <= most;
}

static bool take_char(const char **at, const char *end, char c)
{
	return *at < end && *(*at)++ == c;
}

/* Thousandths after the point, more digits passed over; none without a point. */
static bool take_fraction(const char **at, const char *end, int *ms)
{
	int scale = 100;

	*ms = 0;
	if (*at == end || **at != '.') {
		return true;
	}
	(*at)++;
	if (*at == end || **at < '0' || **at > '9') {
		return false;
	}
	for (; *at < end && **at >= '0' && **at <= '9'; (*at)++, scale /= 10) {
		*ms += (**at - '0') * scale;
	}
	return true;
}

static bool take_offset(const char **at, const char *end, int *minutes)
{
	int hours, rest, sign;

	*minutes = 0;
	if (*at == end) {
		return false;
	}
	if (**at == 'Z') {
		(*at)++;
		return true;
	}
	sign = **at == '-' ? -1 : **at == '+' ? 1 : 0;
	(*at)++;
	if (sign == 0 || !take_digits(at, end, 2, 23, &hours) || !take_char(at, end, ':') ||
		!take_digits(at, end, 2, 59, &rest)) {
		return false;
	}
	*minutes = sign * (hours * 60 + rest);
	return true;
}

bool instant_read(const char *text, size_t len, int64_t *instant_ms)
{
	enum { DAY_LENGTH = 10 };
	const char *at = text + DAY_LENGTH, *end = text + len;
	int32_t day;
	int hour, minute, second = 0, ms = 0, offset;

	if (len <= DAY_LENGTH || !day_read(text, DAY_LENGTH, &day) || !take_char(&at, end, 'T') ||
		!take_digits(&at, end, 2, 23, &hour) || !take_char(&at, end, ':') ||
		!take_digits(&at, end, 2, 59, &minute)) {
		return false;
	}
	if (at < end && *at == ':') {
		at++;
		if (!take_digits(&at, end, 2, 59, &second) || !take_fraction(&at, end, &ms)) {
			return false;
		}
	}
	if (!take_offset(&at, end, &offset) || at != end) {
		return false;
	}
	*instant_ms = (((int64_t)day * 24 + hour) * 60 + minute - offset) * 60000 + second * 1000 + ms;
	return true;
}
