/*
 * The register's file is looked at once, when the program starts, so that what is damaged is known
 * before its figures are told (store/damage.h). A small one is done with before the first answer; on
 * a large one it goes on beside the answers, and they go first.
 */
#ifndef API_LOOK_H
#define API_LOOK_H

#include "base/problem.h"

struct look;

/* Comes back when it is done, or after two seconds. NULL: *why. The path outlives it. */
struct look *look_start(const char *register_path, struct problem *why);
void look_stop(struct look *look);

#endif
