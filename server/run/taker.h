/*
 * The thread that takes the imports that are under way (service/import/pieces.h), one after the
 * other: at the start what was cut off, and what it is told of. Between and beside its pieces the
 * writer takes what crews send.
 */
#ifndef RUN_TAKER_H
#define RUN_TAKER_H

#include "api/program.h"

struct taker;

/* Before the program listens: files that a dead one left go first. NULL: *why. The program's writer
 * must outlive it. */
struct taker *taker_start(struct program *program, struct problem *why);
void taker_look(struct taker *taker);
void taker_stop(struct taker *taker);

#endif
