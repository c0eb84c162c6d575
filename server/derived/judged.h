/*
 * The record of bonds as the rules judge it. Reading and judging are two steps, so that many bonds
 * are read at once; what is kept of them is derive.h's.
 *
 *     struct judging j = { 0 };
 *     ok = judging_read(view, &j, first_id, last_id, why);
 *     for (i = 0; ok && i < j.records.n_bonds; i++) {
 *         ok = judging_bond(view, &j, i, why);       (j.facts and j.judgement are of bond i now)
 *     }
 *     judging_release(&j);
 */
#ifndef DERIVED_JUDGED_H
#define DERIVED_JUDGED_H

#include "derived/view.h"
#include "store/record/record.h"

struct judging {
	struct records records;
	struct judge_facts facts;         /* borrows from records and from below */
	struct judgement judgement;
	struct trend_point *scratch;
	size_t room;
	struct judge_attachment *attachments;
	size_t room_attachments;
	struct view *on_day;              /* owned: the rules of the day looked at last */
	unsigned char *timely;            /* owned: of the bond looked at last (derived/timely.h) */
	size_t timely_len, timely_room;
};

bool judging_read(struct view *view, struct judging *j, int64_t first_id, int64_t last_id,
	struct problem *why);
bool judging_bond(struct view *view, struct judging *j, size_t i, struct problem *why);
void judging_release(struct judging *j);

/* The same of a bond that was in service on the day until which it was read, whatever it is now. */
bool judging_bond_then(struct view *view, struct judging *j, size_t i, struct problem *why);

/* One bond, read and judged; PROBLEM_NOT_FOUND. It is j->records.bonds[0]. */
bool judging_one(struct view *view, struct judging *j, int64_t bond_id, struct problem *why);

/* The same by what was seen, made, found and decided until a day, on which it was in service.
 * RECORD_ALL: as it is. */
bool judging_one_on(struct view *view, struct judging *j, int64_t bond_id, int32_t day,
	struct problem *why);

/* What was due of bond i, which was read whole, by what was seen, made, found and decided until a
 * day; as judging_one_on says it, but seldom read again. on_day has the rules to judge by. What j
 * says of a bond is then of none: judge it afterwards. */
bool judging_until(struct view *on_day, struct judging *j, size_t i, int32_t until_day,
	struct due *due, struct problem *why);

/* The view's own, kept from one bond to the next; NULL: out of memory. */
struct judging *judging_of_view(struct view *view, struct problem *why);
void judging_free(struct judging *j);

/* One bond for an answer: as the view judged it last (derive_bond does), so that nothing is read
 * twice, or else read and judged now. Good until the view judges another, or is released. */
bool judging_for_answer(struct view *view, int64_t bond_id, const struct judging **to,
	struct problem *why);

/* The state that follows for the bond judged last, number i. */
bool judging_state(struct view *view, const struct judging *j, size_t i, struct bond_state *to,
	struct problem *why);

/* The state of its reading number n (from 0). It keeps the version of the rulebook under which it
 * first came out like this. */
void judging_reading_state(const struct view *view, const struct judging *j, size_t i, size_t n,
	struct reading_state *to);
void judging_reading_kept(const struct view *view, const struct judging *j, size_t i, size_t n,
	struct reading_kept *to);

#endif
