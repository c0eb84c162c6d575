/*
 * The register's file is looked at once, when the program starts, so that what is damaged is known
 * before its figures are told (store/damage.h). One of up to 64 MB is done with before the first
 * answer; a larger one is looked at beside the answers, which go first.
 */
#ifndef RUN_LOOK_H
#define RUN_LOOK_H

#include "base/problem.h"

struct look;

/* Comes back when a small one is done, after two seconds at most. NULL: *why. The path must outlive
 * it. */
struct look *look_start(const char *register_path, struct problem *why);
void look_stop(struct look *look);

#endif
