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

int32_t clock_today(void)
{
	time_t now = time(NULL);
	struct tm civil;
	int32_t day = 0;

	localtime_r(&now, &civil);
	day_from_parts(civil.tm_year + 1900, civil.tm_mon + 1, civil.tm_mday, &day);
	return day;
}
