#include "base/clock.h"

#include <time.h>

#include "base/day.h"

int64_t clock_now_ms(void)
{
	struct timespec now;

	clock_gettime(CLOCK_REALTIME, &now);
	return (int64_t)now.tv_sec * 1000 + now.tv_nsec / 1000000;
}

int64_t clock_monotonic_ms(void)
{
	struct timespec now;

	clock_gettime(CLOCK_MONOTONIC, &now);
	return (int64_t)now.tv_sec * 1000 + now.tv_nsec / 1000000;
}

int32_t clock_day_of(int64_t instant_ms)
{
	/* (rounded down before 1970 too) */
	time_t second = (time_t)(instant_ms / 1000 - (instant_ms % 1000 < 0 ? 1 : 0));
	struct tm civil;
	int32_t day;

	return localtime_r(&second, &civil) != NULL && day_from_parts(civil.tm_year + 1900,
		civil.tm_mon + 1, civil.tm_mday, &day) ? day : DAY_NONE;
}

int32_t clock_today(void)
{
	return clock_day_of(clock_now_ms());
}
