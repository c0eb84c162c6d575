#include "service/record/withdrawal.h"

#include <string.h>

#include "derived/made_from.h"
#include "service/record/correction.h"
#include "service/record/import_withdrawal.h"
#include "service/record/sent.h"
#include "service/record/withdrawal_asset.h"
#include "service/record/withdrawal_known.h"
#include "store/record/bond.h"
#include "store/record/brought.h"
#include "store/record/import_begun.h"

#define OF(field) offsetof(struct withdrawal_new, field)

static const struct member members[] = {
	{ .name = "entry", .title = "Kind of entry", .type = MEMBER_WORD, .required = true,
	  .offset = OF(entry), .words = &sent_noun_words,
	  .help = "Not a rail renewal, nor a withdrawal." },
	{ .name = "entry_id", .title = "Entry", .type = MEMBER_UUID, .offset = OF(entry_id),
	  .help = "The id of what is taken back." },
	{ .name = "import_id", .title = "Import", .type = MEMBER_INTEGER, .offset = OF(import_id),
	  .least = 1, .most = 9e15, .help = "The number of an import, in the place of an entry's id." },
	{ .name = "entry_number", .title = "Number", .type = MEMBER_INTEGER,
	  .offset = OF(entry_number), .least = 1, .most = 9e15, .help = "The register's own number of a "
	  "calibration, conductor, rail profile, bond, line, track or chainage map." },
	{ .name = "reason", .title = "Reason", .type = MEMBER_TEXT, .required = true,
	  .offset = OF(reason), .longest = 2000 },
	{ 0 }
};
const struct form withdrawal_form = { "Withdrawal", members, sizeof (struct withdrawal_new) };

/* Of no judgement: nothing follows for any bond. */
static bool is_plain(int entry)
{
	return entry == SENT_KIT_CHECK || entry == SENT_BRIDGE || entry == SENT_BRIDGE_OFF ||
		entry == SENT_PHOTO || entry == SENT_FOUND || entry == SENT_FOUND_ANSWER;
}

static bool find_entry(struct act *act, const struct withdrawal_new *form, struct withdrawal *w,
	struct problems *why)
{
	struct sent sent = { 0 };
	struct problem trouble = { 0 };
	bool corrected = false, there = false;

	if (form->entry == SENT_ROUND || form->entry == SENT_ROUND_STEP) {
		return problems_add(why, PROBLEM_VALUE, "entry", "A round is withdrawn by a word on it, "
			"with its reason; what was said of one is followed by the next word.");
	}
	if (form->entry > SENT_RULING && !is_plain(form->entry)) {
		return problems_add(why, PROBLEM_VALUE, "entry", form->entry == SENT_RENEWAL ?
			"A rail renewal is taken back by a correction of it that says it never was." :
			"A withdrawal is not withdrawn: enter again what it took back.");
	}
	if (form->entry_id[0] == '\0') {
		return problems_add(why, PROBLEM_VALUE, "entry_id", "Say which entry it is, by its id.");
	}
	w->noun = (enum sent_noun)form->entry;
	if (!store_sent_find(act->store, w->noun, form->entry_id, &sent, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	if (sent.id == 0) {
		return problems_add(why, PROBLEM_VALUE, "entry_id", "Nothing of that kind is kept under the "
			"id %s.", form->entry_id);
	}
	w->row_id = sent.id;
	w->bond_id = sent.bond_id;
	if (!store_sent_stands_corrected(act->store, w->noun, sent.id, &corrected, &trouble) ||
		!store_withdrawal_of(act->store, w->noun, sent.id, &there, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	if (corrected) {
		return problems_add(why, PROBLEM_CONFLICT, "entry_id", "That entry was corrected: withdraw the "
			"correction first. What it corrected counts again then, and can be withdrawn too.");
	}
	return !there || problems_add(why, PROBLEM_CONFLICT, "entry_id",
		"That entry was withdrawn before.");
}

/* One that is made ready to count for nothing with its import waits for nobody. */
static bool stays_with_import(struct act *act, const struct withdrawal *w, const char *field,
	struct problems *why)
{
	struct problem trouble = { 0 };
	bool it_is = false;

	if (!store_being_withdrawn(act->store, w->noun, w->row_id, &it_is, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	return !it_is || problems_add(why, PROBLEM_CONFLICT, field, "The import of that is being "
		"withdrawn: it counts for nothing in a moment.");
}

/* What it had replaced counts again, or no longer: a failure or a repair may be of another bond. */
static bool touch_former(struct act *act, enum sent_noun noun, const char *entry_id,
	struct problem *trouble)
{
	char former[UUID_TEXT_SIZE];
	struct sent sent = { 0 };

	return store_sent_former(act->store, noun, entry_id, former, trouble) &&
		(former[0] == '\0' || (store_sent_find(act->store, noun, former, &sent, trouble) &&
		changed_of_bond(act, (int)noun, sent.bond_id, trouble)));
}

static bool touch(struct act *act, const struct withdrawal *w, const char *entry_id,
	struct problems *why)
{
	struct problem trouble = { 0 };

	return (w->noun != SENT_FAILURE || correction_touch_places(act, entry_id, why)) &&
		((touch_former(act, w->noun, entry_id, &trouble) &&
		changed_of_bond(act, SENT_WITHDRAWAL, w->bond_id, &trouble)) ||
		act_refuse(why, &trouble, NULL));
}

static bool take_back(struct act *act, const struct withdrawal_new *form, struct withdrawal *w,
	struct problems *why)
{
	struct correction c = { .noun = w->noun, .corrects = form->entry_id, .reason = form->reason };
	struct problem trouble = { 0 };

	if (!correction_begin(act, &c, why)) {
		return false;
	}
	if (!store_withdrawal_insert(act->store, w, &act->origin, &trouble) ||
		!store_withdrawal_count(act->store, w->id, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	c.noun = SENT_WITHDRAWAL;
	c.row_id = w->id;
	return touch(act, w, form->entry_id, why) && correction_end(act, &c, why) &&
		(!c.waits || ((store_withdrawal_wait(act->store, w->id, &trouble) ||
		act_refuse(why, &trouble, NULL)) && touch(act, w, form->entry_id, why)));
}

static bool find_import(struct act *act, const struct withdrawal_new *form, struct withdrawal *w,
	bool *brought_entries, struct problems *why)
{
	struct problem trouble = { 0 };
	enum import_standing standing = IMPORT_COUNTS;
	bool entries = false, assets = false, there = false;

	if (form->import_id == FORM_NO_INTEGER) {
		return problems_add(why, PROBLEM_VALUE, "import_id", "Say which import, by its number.");
	}
	w->noun = SENT_IMPORT;
	w->row_id = form->import_id;
	if (!store_import_entries(act->store, w->row_id, &entries, &trouble) ||
		!store_brought_any(act->store, w->row_id, &assets, &trouble) ||
		!store_import_standing(act->store, w->row_id, &standing, &trouble) ||
		!store_withdrawal_of(act->store, SENT_IMPORT, w->row_id, &there, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	if (there) {
		return problems_add(why, PROBLEM_CONFLICT, "import_id", "That import was withdrawn before.");
	}
	/* (one that is under way may have brought nothing yet) */
	*brought_entries = entries || standing != IMPORT_COUNTS;
	if (!stays_with_import(act, w, "import_id", why)) {
		return false;
	}
	return *brought_entries || assets || problems_add(why, PROBLEM_VALUE, "import_id",
		"Import %lld brought no inspection, failure, repair, attachment, bond, line, track or map that counts.",
		(long long)form->import_id);
}

static bool take_back_import(struct act *act, struct withdrawal *w, bool brought_entries,
	struct problems *why)
{
	struct problem trouble = { 0 };

	return ((store_withdrawal_insert(act->store, w, &act->origin, &trouble) &&
		store_withdrawal_count(act->store, w->id, &trouble) &&
		changed_known(act, SENT_IMPORT, &(struct changed_known){ .id = w->row_id },
		STALE_BY_WITHDRAWAL, &trouble)) ||
		act_refuse(why, &trouble, NULL)) &&
		withdrawal_of_brought(act, w, brought_entries, why);
}

static bool take_back_plain(struct act *act, struct withdrawal *w, struct problems *why)
{
	struct problem trouble = { 0 };

	return (store_withdrawal_insert(act->store, w, &act->origin, &trouble) &&
		store_withdrawal_count(act->store, w->id, &trouble)) || act_refuse(why, &trouble, NULL);
}

static bool find_and_take_back_import(struct act *act, const struct withdrawal_new *form,
	struct withdrawal *w, struct problems *why)
{
	bool entries = false, in_pieces = false;

	return find_import(act, form, w, &entries, why) &&
		import_withdrawal_may(act, w, &in_pieces, why) &&
		(in_pieces ? import_withdrawal_begin(act, w, why) :
		take_back_import(act, w, entries, why));
}

static bool find_and_take_back(struct act *act, const struct withdrawal_new *form,
	struct withdrawal *w, struct problems *why)
{
	bool known = form->entry >= SENT_CALIBRATION && form->entry <= SENT_MARK;

	if (form->entry == SENT_IMPORT) {
		return find_and_take_back_import(act, form, w, why);
	}
	if (form->entry >= SENT_BOND && form->entry <= SENT_MAP) {
		return withdrawal_of_asset(act, form, w, why);
	}
	if (form->entry == SENT_MARK) {
		return problems_add(why, PROBLEM_VALUE, "entry", "A mark on the rail is taken back by a word "
			"that it is not there.");
	}
	if (!known && (!find_entry(act, form, w, why) || !stays_with_import(act, w, "entry_id", why) ||
		(form->entry == SENT_RULING && !withdrawal_of_ruling(act, w, &known, why)))) {
		return false;
	}
	return known ? withdrawal_of_known(act, form, w, why) : is_plain(form->entry) ?
		take_back_plain(act, w, why) : take_back(act, form, w, why);
}

/* Sent again while it is under way. */
static bool begun_before(struct act *act, const struct withdrawal_new *form, const char *hash,
	struct recorded *recorded, struct problems *why)
{
	struct sent kept = { 0 };
	struct problem trouble = { 0 };

	if (recorded->already) {
		return true;
	}
	if (!store_withdrawal_begun_find(act->store, form->uuid, &kept, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	recorded->already = kept.id != 0;
	return kept.id == 0 || strcmp(kept.hash, hash) == 0 || problems_add(why, PROBLEM_CONFLICT,
		"uuid", "Something else is kept under the id %s: give a new id.", form->uuid);
}

bool withdrawal_record(struct act *act, const struct withdrawal_new *form,
	struct recorded *recorded, struct problems *why)
{
	char hash[SENT_HASH_SIZE];
	struct withdrawal w = { .uuid = form->uuid, .content_hash = hash, .reason = form->reason };
	bool ok = sent_hash(&withdrawal_form, form, hash, why) &&
		sent_before(act, SENT_WITHDRAWAL, form->uuid, hash, recorded, why) &&
		begun_before(act, form, hash, recorded, why);

	if (!ok || recorded->already) {
		return ok;
	}
	if (act->origin.person_id == 0) {
		return problems_add(why, PROBLEM_RULE, NULL,
			"A withdrawal needs the person who makes it: sign in.");
	}
	if (!find_and_take_back(act, form, &w, why)) {
		return false;
	}
	recorded->id = w.id;
	recorded->bond_id = w.bond_id;
	return true;
}

bool withdrawal_confirmed(struct act *act, int64_t id, struct problems *why)
{
	struct withdrawal w;
	char entry_id[UUID_TEXT_SIZE] = "";
	struct problem trouble = { 0 };

	return ((store_withdrawal_get(act->store, id, &w, entry_id, &trouble) &&
		store_withdrawal_count(act->store, id, &trouble)) ||
		act_refuse(why, &trouble, NULL)) && touch(act, &w, entry_id, why);
}
