/*
 * How often a secret may be guessed at: a delay of each account that grows with every wrong try,
 * and locks nobody out. It is counted under a key: the name that was typed, whether anybody has it
 * or not; or a device on which that person signed in before, which no stranger can count up.
 *
 * What is counted is kept in memory, for an hour after the last try, and begins anew with the
 * program. Of many names those with most wrong tries are kept.
 */
#ifndef SERVICE_ACCESS_THROTTLE_H
#define SERVICE_ACCESS_THROTTLE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct throttle;

/* NULL: no memory. */
struct throttle *throttle_new(void);
void throttle_free(struct throttle *throttle);

/* Which secret is tried. */
enum throttled { THROTTLE_PASSWORD, THROTTLE_CODE };

/* Seconds before the next try after so many wrong ones in a row. A password: none after the first
 * two, then 1, 2, 4 ... and 30 at most, so that of tries without a pause at most 30 are answered in
 * ten minutes. A code of six figures, behind the right password: 900 at most. */
unsigned throttle_delay_s(enum throttled what, unsigned wrong);

/* A try that was let through, and counts as wrong until it is told otherwise. */
struct throttle_try {
	uint64_t key;                 /* 0: none */
	enum throttled what;
};

/* now_ms: monotonic. False: not before *wait_s seconds. */
bool throttle_take(struct throttle *throttle, enum throttled what, const char *key, int64_t now_ms,
	struct throttle_try *try, unsigned *wait_s);

/* It was right: the account is as one that nobody has tried. */
void throttle_right(struct throttle *throttle, struct throttle_try *try);

/* It was not looked at: as if it had not been made. */
void throttle_back(struct throttle *throttle, struct throttle_try *try);

#endif
