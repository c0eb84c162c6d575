/*
 * The thread that keeps what is derived up with the rulebook in force: it looks at the start, when
 * it is told, and now and then (one may hold from today on), and hands the writer piece after
 * piece. Other writing requests are taken between and beside them.
 */
#ifndef RUN_KEEPER_H
#define RUN_KEEPER_H

#include "store/writer.h"

struct keeper;

/* NULL: *why. The writer must outlive it. */
struct keeper *keeper_start(struct writer *writer, struct problem *why);
void keeper_look(struct keeper *keeper);
void keeper_stop(struct keeper *keeper);

#endif
