/* The rulebook as the register keeps it: versions, each a JSON document of rulebook_form. */
#ifndef SERVICE_RULEBOOK_H
#define SERVICE_RULEBOOK_H

#include "service/act.h"

/* The newest version that holds on a day; the default (version 1) when none was adopted. */
bool rulebook_in_force(struct store *store, int32_t day, struct rulebook *to,
	struct problem *why);

/* A new version: what the railway's engineer decided, and why. */
struct rulebook_new {
	struct rulebook rulebook;    /* its version is given by the register */
	const char *reason;
};
extern const struct form rulebook_new_form;

/*
 * Adopts it: kept as the next version, in force from its day on, today at the earliest.
 * recorded->id is the version. What is derived is made again under it by recompute_piece.
 */
bool rulebook_adopt(struct act *act, const struct rulebook_new *form, struct recorded *recorded,
	struct problems *why);

#endif
