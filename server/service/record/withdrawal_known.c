#include "service/record/withdrawal_known.h"

#include "derived/made_from.h"
#include "store/record/bond.h"
#include "store/record/calibration.h"
#include "store/record/correction.h"
#include "store/record/known.h"
#include "store/record/rail.h"

bool withdrawal_of_ruling(struct act *act, const struct withdrawal *w, bool *known,
	struct problems *why)
{
	struct ruling g;
	struct problem trouble = { 0 };

	if (!store_ruling_get(act->store, w->row_id, &g, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	*known = g.import_id != 0;
	return g.kind != RULING_CONFIRMS || problems_add(why, PROBLEM_RULE, "entry_id",
		"That word confirmed a correction: withdraw the correction instead.");
}

/* What one of them is of. */
struct known_row {
	bool there;
	int64_t instrument_id, import_id;
	struct own_conductor conductor;
	char profile[PROFILE_CODE_SIZE];
};

static bool read_row(struct act *act, const struct withdrawal *w, struct known_row *to,
	struct problem *trouble)
{
	struct ruling g = { 0 };
	bool ok;

	*to = (struct known_row){ 0 };
	switch (w->noun) {
	case SENT_CALIBRATION:
		ok = store_calibration_instrument(act->store, w->row_id, &to->instrument_id, trouble);
		to->there = to->instrument_id != 0;
		return ok;
	case SENT_CONDUCTOR:
		ok = store_conductor_get(act->store, w->row_id, &to->conductor, trouble);
		to->there = to->conductor.id != 0;
		return ok;
	case SENT_PROFILE:
		ok = store_profile_code(act->store, w->row_id, to->profile, trouble);
		to->there = to->profile[0] != '\0';
		return ok;
	default:
		ok = store_ruling_get(act->store, w->row_id, &g, trouble);
		to->import_id = g.import_id;
		to->there = g.id != 0;
		return ok;
	}
}

/* (a calibration speaks for the readings before it too, and so does the one after it) */
static bool mark(struct act *act, enum sent_noun noun, const struct known_row *row,
	struct problem *trouble)
{
	return changed_known(act, (int)noun, &(struct changed_known){
		noun == SENT_CALIBRATION ? row->instrument_id : row->import_id, INT32_MIN,
		row->conductor.material, row->conductor.conductor_class, row->conductor.area_mm2 },
		STALE_BY_WITHDRAWAL, trouble);
}

static bool find(struct act *act, const struct withdrawal_new *form, struct withdrawal *w,
	struct known_row *row, struct problems *why)
{
	struct problem trouble = { 0 };
	bool there = false;

	if (form->entry != SENT_RULING && form->entry_number == FORM_NO_INTEGER) {
		return problems_add(why, PROBLEM_VALUE, "entry_number", "Say which %s, by its number.",
			sent_noun_words.title[form->entry]);
	}
	if (form->entry != SENT_RULING) {
		w->noun = (enum sent_noun)form->entry;
		w->row_id = form->entry_number;
	}
	if (!read_row(act, w, row, &trouble) ||
		!store_withdrawal_of(act->store, w->noun, w->row_id, &there, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	if (!row->there) {
		return problems_add(why, PROBLEM_VALUE, "entry_number", "There is no %s %lld.",
			sent_noun_words.title[w->noun], (long long)w->row_id);
	}
	return !there || problems_add(why, PROBLEM_CONFLICT, "entry_number",
		"That %s was withdrawn before.", sent_noun_words.title[w->noun]);
}

bool withdrawal_of_known(struct act *act, const struct withdrawal_new *form, struct withdrawal *w,
	struct problems *why)
{
	struct known_row row;
	struct problem trouble = { 0 };

	if (!find(act, form, w, &row, why)) {
		return false;
	}
	return (store_withdrawal_insert(act->store, w, &act->origin, &trouble) &&
		store_withdrawal_count(act->store, w->id, &trouble) &&
		store_known_changed(act->store, &trouble) &&
		mark(act, w->noun, &row, &trouble)) || act_refuse(why, &trouble, NULL);
}
