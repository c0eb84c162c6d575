#include "service/record/withdrawal_asset.h"

#include <stdlib.h>

#include "derived/derive.h"
#include "derived/made_from.h"
#include "service/record/line.h"
#include "store/record/bond.h"
#include "store/record/brought.h"
#include "store/record/correction.h"
#include "store/record/import_begun.h"

/* A bond that was to be acted on (a renewal took an end off) does not go without a word. */
static bool tell_act(struct act *act, const struct brought *b, const struct withdrawal *w,
	struct problem *trouble)
{
	struct correction_better better = { .noun = SENT_WITHDRAWAL, .row_id = w->id, .bond_id = b->id,
		.grade_after = GRADE_NONE, .reason = w->reason };
	struct bond_state state;

	if (b->noun != SENT_BOND) {
		return true;
	}
	if (!store_bond_state_get(act->store, b->id, &state, trouble)) {
		return false;
	}
	better.grade_before = state.grade.grade;
	return state.grade.grade != GRADE_ACT ||
		store_correction_better(act->store, &better, &act->origin, trouble);
}

/* Out of lists and totals first: its record must still be read for that. */
static bool take_away(struct act *act, const struct brought *b, const struct withdrawal *w,
	struct problem *trouble)
{
	return tell_act(act, b, w, trouble) && (b->noun != SENT_BOND || derive_forget(act, b->id, trouble)) &&
		store_brought_withdraw(act->store, b, trouble) &&
		(b->noun != SENT_MAP || changed_of_line(act, SENT_MAP, b->line_id, trouble));
}

static const char *const what_first[] = {
	[SENT_BOND] = "what was recorded of it, its marks and engineers' words",
	[SENT_MAP] = "the bonds, failures and renewals whose places were read by it; or register the "
		"right map after it",
	[SENT_TRACK] = "the bonds, failures and renewals on it, and its map",
	[SENT_LINE] = "its bonds, failures, renewals, tracks and maps",
};

bool withdrawal_of_asset(struct act *act, const struct withdrawal_new *form, struct withdrawal *w,
	struct problems *why)
{
	struct brought b;
	struct problem trouble = { 0 };
	bool stands = false;

	if (form->entry_number == FORM_NO_INTEGER) {
		return problems_add(why, PROBLEM_VALUE, "entry_number", "Say which %s, by its number.",
			sent_noun_words.title[form->entry]);
	}
	if (!store_brought_get(act->store, (enum sent_noun)form->entry, form->entry_number, &b,
		&trouble) || !store_brought_stands(act->store, &b, false, &stands, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	if (b.id == 0) {
		return problems_add(why, PROBLEM_VALUE, "entry_number", "There is no %s %lld.",
			sent_noun_words.title[form->entry], (long long)form->entry_number);
	}
	if (b.withdrawn) {
		return problems_add(why, PROBLEM_CONFLICT, "entry_number", "That %s was withdrawn before.",
			sent_noun_words.title[form->entry]);
	}
	if (stands) {
		return problems_add(why, PROBLEM_RULE, "entry_number", "Something stands on that %s. Withdraw "
			"first: %s.", sent_noun_words.title[form->entry], what_first[form->entry]);
	}
	w->noun = b.noun;
	w->row_id = b.id;
	w->bond_id = b.noun == SENT_BOND ? b.id : 0;
	return (store_withdrawal_insert(act->store, w, &act->origin, &trouble) &&
		take_away(act, &b, w, &trouble)) || act_refuse(why, &trouble, NULL);
}

static bool refuse_standing(enum sent_noun noun, size_t standing, size_t all, struct problems *why)
{
	return problems_add(why, PROBLEM_RULE, "import_id", "Something stands on %zu of the %zu that the "
		"file brought. Withdraw first, of each %s: %s.", standing, all,
		sent_noun_words.title[noun], what_first[noun]);
}

bool withdrawal_of_made(struct act *act, const struct withdrawal_begun *begun, int64_t bond_id,
	bool *gone, struct problems *why)
{
	struct withdrawal w = { .reason = begun->reason };
	struct brought b;
	struct sent sent = { 0 };
	struct problem trouble = { 0 };
	bool made = false, stands = false;
	bool ok = store_import_brought(act->store, begun->import_id, SENT_BOND, bond_id, &made,
		&trouble) && (!made || (store_brought_get(act->store, SENT_BOND, bond_id, &b, &trouble) &&
		store_brought_stands(act->store, &b, true, &stands, &trouble) &&
		store_sent_find(act->store, SENT_WITHDRAWAL, begun->uuid, &sent, &trouble)));

	w.id = sent.id;
	*gone = ok && made && (b.withdrawn || !stands);
	return (ok && (!*gone || b.withdrawn || take_away(act, &b, &w, &trouble))) ||
		act_refuse(why, &trouble, NULL);
}

bool withdrawal_of_brought(struct act *act, const struct withdrawal *w, bool brought_entries,
	struct problems *why)
{
	struct brought *all = NULL;
	size_t count = 0, standing = 0;
	enum sent_noun first = SENT_BOND;
	struct problem trouble = { 0 };
	bool ok = store_brought(act->store, w->row_id, &all, &count, &trouble);

	for (size_t i = 0; ok && i < count; i++) {
		bool stands = false;

		ok = store_brought_stands(act->store, &all[i], true, &stands, &trouble) &&
			(stands || take_away(act, &all[i], w, &trouble));
		first = stands && standing == 0 ? all[i].noun : first;
		standing += stands;
	}
	free(all);
	if (!ok) {
		return act_refuse(why, &trouble, NULL);
	}
	return standing == 0 || brought_entries || refuse_standing(first, standing, count, why);
}
