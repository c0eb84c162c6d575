#include "service/record/ruling.h"

#include <math.h>

#include "derived/made_from.h"
#include "service/record/correction.h"
#include "service/record/sent.h"
#include "service/record/withdrawal.h"
#include "store/record/withdrawal_begun.h"
#include "store/record/failure.h"
#include "store/record/known.h"

#define OF(field) offsetof(struct ruling_new, field)

static const struct member ruling_members[] = {
	{ .name = "kind", .title = "What it says", .type = MEMBER_WORD, .required = true,
	  .offset = OF(kind), .words = &ruling_kind_words },
	BOND_REFERENCE_MEMBERS(struct ruling_new),
	{ .name = "quantity", .title = "Quantity", .type = MEMBER_WORD, .offset = OF(quantity),
	  .words = &quantity_words, .help = "That is cleared." },
	{ .name = "entry", .title = "Kind of entry", .type = MEMBER_WORD, .offset = OF(entry),
	  .words = &sent_noun_words, .help = "Of the correction that is confirmed." },
	{ .name = "entry_id", .title = "Entry", .type = MEMBER_UUID, .offset = OF(entry_id),
	  .help = "The id of the attachment or correction." },
	{ .name = "import_id", .title = "Import", .type = MEMBER_INTEGER, .offset = OF(import_id),
	  .least = 1, .most = 9e15 },
	{ .name = "percent", .title = "Uncertainty of the reading (k = 2)", .unit = "%",
	  .type = MEMBER_REAL, .offset = OF(percent), .least = 0, .most = 100 },
	{ .name = "uohm", .title = "added to it (k = 2)", .unit = "µΩ", .type = MEMBER_REAL,
	  .offset = OF(uohm), .least = 0, .most = 1e6 },
	{ .name = "row_meant", .title = "A row meant", .type = MEMBER_WORD, .offset = OF(row_meant),
	  .words = &row_meant_words, .help = "Of an import; where it has no word for each end." },
	{ .name = "reason", .title = "Reason", .type = MEMBER_TEXT, .required = true,
	  .offset = OF(reason), .longest = 2000 },
	{ 0 }
};
const struct form ruling_form = { "Ruling", ruling_members, sizeof (struct ruling_new) };

static bool clears(struct act *act, const struct ruling_new *form, struct ruling *g,
	struct problems *why)
{
	struct bond bond;

	if (form->quantity < 0) {
		return problems_add(why, PROBLEM_VALUE, "quantity", "Say which quantity was over.");
	}
	if (!refer_bond(act, &form->of, &bond, why)) {
		return false;
	}
	g->bond_id = bond.id;
	g->quantity = form->quantity;
	return true;
}

/* The entry that it is about; *sent has its number and bond. */
static bool find_entry(struct act *act, enum sent_noun noun, const char *uuid, struct ruling *g,
	struct problems *why)
{
	struct sent sent = { 0 };
	struct problem trouble = { 0 };

	if (uuid[0] == '\0') {
		return problems_add(why, PROBLEM_VALUE, "entry_id", "Say which entry it is, by its id.");
	}
	if (!store_sent_find(act->store, noun, uuid, &sent, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	g->noun = (int)noun;
	g->row_id = sent.id;
	g->bond_id = sent.bond_id;
	return sent.id != 0 || problems_add(why, PROBLEM_VALUE, "entry_id",
		"Nothing is kept under the id %s.", uuid);
}

static bool confirms(struct act *act, const struct ruling_new *form, struct ruling *g,
	struct problems *why)
{
	struct problem trouble = { 0 };
	int64_t bond_id = 0, own_id;
	bool goes = false;

	if (form->entry < 0 || (form->entry >= SENT_RULING && form->entry != SENT_WITHDRAWAL)) {
		return problems_add(why, PROBLEM_VALUE, "entry", "Say what kind of entry was corrected.");
	}
	if (!find_entry(act, (enum sent_noun)form->entry, form->entry_id, g, why)) {
		return false;
	}
	if (!store_being_withdrawn(act->store, (enum sent_noun)form->entry, g->row_id, &goes,
		&trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	if (goes) {
		return problems_add(why, PROBLEM_CONFLICT, "entry_id", "The import of that entry is being "
			"withdrawn: it counts for nothing in a moment.");
	}
	if (!store_correction_waiting(act->store, (enum sent_noun)form->entry, g->row_id, &bond_id,
		&trouble) || (bond_id != 0 && !store_correction_confirmed(act->store,
		(enum sent_noun)form->entry, g->row_id, &trouble))) {
		return act_refuse(why, &trouble, NULL);
	}
	own_id = g->bond_id;
	g->bond_id = bond_id;
	if (bond_id == 0) {
		return problems_add(why, PROBLEM_RULE, "entry_id",
			"That entry does not wait to be confirmed.");
	}
	return (form->entry != SENT_FAILURE || correction_touch_places(act, form->entry_id, why)) &&
		(form->entry != SENT_WITHDRAWAL || withdrawal_confirmed(act, g->row_id, why)) &&
		(own_id == bond_id || changed_of_bond(act, SENT_RULING, own_id, &trouble) ||
		act_refuse(why, &trouble, NULL));
}

static bool states_meter(struct act *act, const struct ruling_new *form, struct ruling *g,
	struct problems *why)
{
	struct problem trouble = { 0 };
	size_t before = why->count;
	bool there = false;

	if (form->import_id == FORM_NO_INTEGER) {
		problems_add(why, PROBLEM_VALUE, "import_id", "Say which import was measured so.");
	}
	if (isnan(form->percent) || isnan(form->uohm)) {
		problems_add(why, PROBLEM_VALUE, "percent", "State both figures of its uncertainty, in %% of "
			"the reading and in µΩ, k = 2.");
	}
	if (why->count > before) {
		return false;
	}
	if (!store_import_exists(act->store, form->import_id, &there, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	g->import_id = form->import_id;
	g->percent = form->percent;
	g->uohm = form->uohm;
	return there || problems_add(why, PROBLEM_VALUE, "import_id", "There is no import %lld.",
		(long long)form->import_id);
}

/* Which visits were done in part for want of a word, and which by the file's own, nobody can tell
 * where it has both. */
static bool states_rows(struct act *act, const struct ruling_new *form, struct ruling *g,
	struct problems *why)
{
	struct problem trouble = { 0 };
	bool of_inspections = false, has_outcomes = false;
	size_t before = why->count;

	if (form->import_id == FORM_NO_INTEGER) {
		problems_add(why, PROBLEM_VALUE, "import_id", "Say which import's rows meant that.");
	}
	if (form->row_meant < 0) {
		problems_add(why, PROBLEM_VALUE, "row_meant", "Say what a row of it meant: that both ends "
			"were seen, that it was measured and no more, or that it is not known.");
	}
	if (why->count > before) {
		return false;
	}
	if (!store_import_outcomes(act->store, form->import_id, &of_inspections, &has_outcomes,
		&trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	g->import_id = form->import_id;
	g->row_meant = form->row_meant;
	if (!of_inspections) {
		return problems_add(why, PROBLEM_VALUE, "import_id", "There is no import %lld of "
			"inspections.", (long long)form->import_id);
	}
	return !has_outcomes || form->row_meant != ROW_MEANT_BOTH_SEEN || problems_add(why,
		PROBLEM_RULE, "row_meant", "That file says of each visit whether it was complete, so a visit "
		"in part may be so by its own word: withdraw the import, and state it when the file comes "
		"in again.");
}

static bool take(struct act *act, const struct ruling_new *form, struct ruling *g,
	struct problems *why)
{
	switch (g->kind) {
	case RULING_CLEARS_OVER:
		return clears(act, form, g, why);
	case RULING_ACCEPTS:
		return find_entry(act, SENT_ATTACHMENT, form->entry_id, g, why);
	case RULING_CONFIRMS:
		return confirms(act, form, g, why);
	case RULING_STATES_ROWS:
		return states_rows(act, form, g, why);
	default:
		return states_meter(act, form, g, why);
	}
}

/* What follows of an import is made by the keeper. */
static bool follow(struct act *act, const struct ruling *g, struct problem *trouble)
{
	if (g->import_id != 0) {
		return store_known_changed(act->store, trouble) &&
			changed_known(act, SENT_RULING, &(struct changed_known){ .id = g->import_id },
			STALE_BY_ENTRY, trouble);
	}
	return changed_of_bond(act, SENT_RULING, g->bond_id, trouble);
}

bool ruling_record(struct act *act, const struct ruling_new *form, struct recorded *recorded,
	struct problems *why)
{
	char hash[SENT_HASH_SIZE];
	struct ruling g = { .uuid = form->uuid, .content_hash = hash,
		.kind = (enum ruling_kind)form->kind, .quantity = -1, .noun = -1, .percent = NAN,
		.uohm = NAN, .row_meant = -1, .decided_day = act->view->today,
		.person_id = act->origin.person_id,
		.reason = form->reason };
	struct problem trouble = { 0 };
	bool ok = sent_hash(&ruling_form, form, hash, why) &&
		sent_before(act, SENT_RULING, form->uuid, hash, recorded, why);

	if (!ok || recorded->already) {
		return ok;
	}
	if (g.person_id == 0) {
		return problems_add(why, PROBLEM_RULE, NULL,
			"An engineer's word needs the person who gives it: sign in.");
	}
	if (!take(act, form, &g, why)) {
		return false;
	}
	if (!store_ruling_insert(act->store, &g, &act->origin, &trouble) ||
		!follow(act, &g, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	recorded->id = g.id;
	recorded->bond_id = g.bond_id;
	return true;
}
