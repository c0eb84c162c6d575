/* The rulebook's versions: which is in force, adopting another, withdrawing one that was wrong. */
#ifndef SERVICE_RECORD_RULEBOOK_H
#define SERVICE_RECORD_RULEBOOK_H

#include "derived/act.h"
#include "store/record/rulebook.h"

/* One version, as it was adopted, or as the program recorded it. */
struct rulebook_version {
	struct rulebook_kept kept;
	struct rulebook_row row;     /* why, who, when; whether it was withdrawn. Its body is not kept */
	struct form_memory memory;
};
/* PROBLEM_NOT_FOUND: there is no such version. Release it in any case. */
bool rulebook_version_get(struct store *store, int64_t version, struct rulebook_version *to,
	struct problem *why);
void rulebook_version_release(struct rulebook_version *version);

/* A new version: what the railway's engineer decided, and why. */
struct rulebook_new {
	struct rulebook rulebook;    /* its version is given by the register */
	const char *reason;
	struct form_list reasons;    /* struct value_reason: kept with it; may be empty */
	int64_t after_version;       /* the newest that its author has seen; below 1: not said */
};
extern const struct form rulebook_new_form;

/*
 * Adopts it: kept as the next version, in force from its day on, today at the earliest.
 * recorded->id is the version. What is derived is made again under it by recompute_piece. The same
 * as the last one is recorded->already; one that was made without having seen that is
 * PROBLEM_CHANGED.
 */
bool rulebook_adopt(struct act *act, const struct rulebook_new *form, struct recorded *recorded,
	struct problems *why);

/* A version that was wrong: from now on it counts for nothing, on no day. */
struct rulebook_withdrawal {
	int64_t version;             /* not a member of the form */
	const char *reason;
};
extern const struct form rulebook_withdrawal_form;

/*
 * Withdraws it. What it alone called over is over no more: all that is derived is made again by
 * recompute_piece, and what was said under it stays readable. The same again is recorded->already.
 * PROBLEM_RULE when without it no version would be in force today, PROBLEM_CONFLICT when it was
 * withdrawn for another reason, PROBLEM_NOT_FOUND.
 */
bool rulebook_withdraw(struct act *act, const struct rulebook_withdrawal *form,
	struct recorded *recorded, struct problems *why);

/* The checks of rulebook_adopt alone; fields are as in its form. */
bool rulebook_may_be(const struct act *act, const struct rulebook_new *form, struct problems *why);

#endif
