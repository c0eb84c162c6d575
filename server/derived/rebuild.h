/* Computing all that is derived again, and proving that what is kept equals what the rules give. */
#ifndef DERIVED_REBUILD_H
#define DERIVED_REBUILD_H

#include "derived/act.h"

/* Told now and then: done of all. */
typedef void rebuild_progress(void *arg, int64_t done, int64_t all);

/* Computes and keeps everything derived, in one act. */
bool rebuild_all(struct act *act, rebuild_progress *progress, void *arg, struct problems *why);

/* What check found, in sentences; the caller frees nothing. */
enum { CHECK_SHOWN = 20 };
struct check_result {
	int64_t bonds, readings, groups;     /* looked at */
	int64_t waiting;                     /* bonds that are still to be made again, by the server */
	bool places_wait;                    /* so are the repeat places: they were not looked at */
	size_t differences;                  /* of all, also those not in shown[] */
	bool damaged;                        /* the file itself, which no rebuild mends: shown[] names the
	                                      * tables, and nothing else was looked at */
	char shown[CHECK_SHOWN][PROBLEM_DETAIL_SIZE];
};

/* Reads only. False: it could not be done. differences 0: all is as it should be; the file below
 * (integrity, references) counts too. */
bool check_all(struct act *act, struct check_result *to, struct problems *why);

/* Bonds and their readings alone, without which inspections were on time. */
bool check_bonds(struct act *act, struct check_result *to, struct problems *why);

#endif
