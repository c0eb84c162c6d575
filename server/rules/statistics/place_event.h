/*
 * What counts once when chance and trend of a place are reckoned: an event.
 *
 * Failures of one rail on one day within the window are one event. All thefts of a line in one
 * night are one event, at the first position of them: twelve stolen cables are no twelve draws of
 * chance. So of a rail on which others of them lie, these are none.
 */
#ifndef RULES_STATISTICS_PLACE_EVENT_H
#define RULES_STATISTICS_PLACE_EVENT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct place_failure {
	int32_t day;
	int64_t distance_mm;
	bool of_rail;         /* of the rail that is asked about; the others are the line's */
	bool stolen;
	bool here;            /* of the place that is asked about */
};

struct place_event {
	int32_t day;
	int64_t distance_mm;  /* the lowest of it */
	bool here;            /* one of it is */
};

/* The failures of a line, in any order (they are sorted), become the events of the rail, by day.
 * `to` has room for n; returns how many there are. */
size_t place_events_of(struct place_failure *failures, size_t n, int64_t window_mm,
	struct place_event *to);

#endif
