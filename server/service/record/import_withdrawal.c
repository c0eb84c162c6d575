#include "service/record/import_withdrawal.h"

#include "base/clock.h"
#include "derived/derived.h"
#include "derived/import_follow.h"
#include "derived/made_from.h"
#include "service/record/withdrawal_asset.h"
#include "store/record/correction.h"
#include "store/record/import_begun.h"

bool import_withdrawal_may(struct act *act, const struct withdrawal *w, bool *may,
	struct problems *why)
{
	enum import_standing standing = IMPORT_COUNTS;
	bool is_large = false, there = false;
	struct problem trouble = { 0 };
	bool ok = (store_import_exists(act->store, w->row_id, &there, &trouble) &&
		store_import_standing(act->store, w->row_id, &standing, &trouble) &&
		store_import_is_large(act->store, w->row_id, IMPORT_WITHDRAWN_AT_ONCE, &is_large,
		&trouble)) || act_refuse(why, &trouble, NULL);

	*may = act->is_live && there && standing == IMPORT_COUNTS && is_large;
	return ok;
}

bool import_withdrawal_begin(struct act *act, const struct withdrawal *w, struct problems *why)
{
	struct problem trouble = { 0 };

	return store_withdrawal_begin(act->store, w, &act->origin, &trouble) ||
		act_refuse(why, &trouble, NULL);
}

/* Its own row, by which nothing of the import counts any more. */
static bool count(struct act *act, const struct withdrawal_begun *begun, struct problem *trouble)
{
	struct withdrawal w = { .uuid = begun->uuid, .content_hash = begun->content_hash,
		.reason = begun->reason, .noun = SENT_IMPORT, .row_id = begun->import_id };
	const struct origin origin = { .now_ms = act->origin.now_ms, .person_id = begun->person_id };

	return store_withdrawal_ready(act->store, begun->import_id, trouble) &&
		store_withdrawal_insert(act->store, &w, &origin, trouble) &&
		store_withdrawal_open_put(act->store, begun->import_id, trouble);
}

static bool make_ready(struct act *act, struct import_withdrawal *t, int64_t until_ms,
	struct problems *why)
{
	struct problem trouble = { 0 };
	bool ok = true;

	while (ok && !t->at.done) {
		ok = store_withdrawal_prepare(act->store, &t->begun, &t->at, &trouble);
		if (clock_monotonic_ms() >= until_ms) {
			return ok || act_refuse(why, &trouble, NULL);
		}
	}
	t->follows = true;
	return (ok && count(act, &t->begun, &trouble)) || act_refuse(why, &trouble, NULL);
}

/* Made again, or taken away where a failure of the import had made it and nothing else stands on
 * it. */
static bool next_bond(struct act *act, struct import_withdrawal *t, struct problems *why)
{
	struct problem trouble = { 0 };
	int64_t bond_id = 0;
	bool gone = false;

	if (!store_withdrawal_next_bond(act->store, t->begun.id, t->after_bond, &bond_id, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	t->bonds_done = bond_id == 0;
	t->after_bond = bond_id;
	if (t->bonds_done) {
		return true;
	}
	return withdrawal_of_made(act, &t->begun, bond_id, &gone, why) &&
		(gone || changed_of_bond(act, SENT_WITHDRAWAL, bond_id, &trouble) ||
		act_refuse(why, &trouble, NULL)) && derived_bonds(act, why) &&
		(store_withdrawal_bond_done(act->store, t->begun.id, bond_id, &trouble) ||
		act_refuse(why, &trouble, NULL));
}

static bool follow(struct act *act, struct import_withdrawal *t, int64_t until_ms,
	struct problems *why)
{
	struct problem trouble = { 0 };
	bool ok = true, more = true;

	while (ok && !t->bonds_done) {
		ok = next_bond(act, t, why);
		if (clock_monotonic_ms() >= until_ms) {
			return ok;
		}
	}
	if (!ok || !import_follow_line(act, t->begun.import_id, &t->after_line, &more, why)) {
		return false;
	}
	t->follows = more;
	return more || store_withdrawal_open_put(act->store, 0, &trouble) ||
		act_refuse(why, &trouble, NULL);
}

/* The one that counts and is not followed to its end; else the next that does not count. */
static bool find(struct act *act, struct import_withdrawal *t, struct problems *why)
{
	struct problem trouble = { 0 };
	int64_t open = 0;
	bool ok = store_withdrawal_open(act->store, &open, &trouble) && (open != 0 ?
		store_withdrawal_begun_of(act->store, open, &t->begun, &trouble) :
		store_withdrawal_begun_next(act->store, &t->begun, &trouble));

	t->follows = open != 0;
	return ok || act_refuse(why, &trouble, NULL);
}

bool import_withdrawal_piece(struct act *act, struct import_withdrawal *t, int64_t until_ms,
	bool *more, struct problems *why)
{
	bool followed = t->follows, ok;

	*more = false;
	if (t->begun.id == 0 && !find(act, t, why)) {
		return false;
	}
	if (t->begun.id == 0) {
		return true;
	}
	*more = true;
	ok = t->follows ? follow(act, t, until_ms, why) : make_ready(act, t, until_ms, why);
	if (ok && followed && !t->follows) {
		*t = (struct import_withdrawal){ 0 };
	}
	return ok;
}
