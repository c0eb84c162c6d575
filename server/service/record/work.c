#include "service/record/work.h"

#include <math.h>
#include <string.h>

#include "derived/judged.h"
#include "derived/made_from.h"
#include "rules/plausible.h"
#include "service/record/ends.h"
#include "service/record/record_sent.h"
#include "service/record/sent.h"
#include "store/record/work.h"

#define OF(field) offsetof(struct deferral_new, field)

static const struct member named_members[] = {
	{ .name = "key", .title = "Reason to act", .type = MEMBER_INTEGER, .required = true,
	  .offset = offsetof(struct deferral_named, key), .least = 0, .most = ACT_KEYS - 1 },
	{ 0 }
};
static const struct form named_form = { "DeferralNamed", named_members,
	sizeof (struct deferral_named) };

static const struct member deferral_members[] = {
	BOND_REFERENCE_MEMBERS(struct deferral_new),
	{ .name = "until_day", .column = "until_day", .title = "Deferred to", .type = MEMBER_DAY,
	  .required = true, .offset = OF(until_day) },
	{ .name = "reason", .column = "reason", .title = "Reason", .type = MEMBER_TEXT,
	  .required = true, .offset = OF(reason), .longest = 2000 },
	{ .name = "names", .title = "Reasons to act that are put off", .type = MEMBER_LIST,
	  .offset = OF(names), .longest = ACT_KEYS, .form = &named_form,
	  .help = "Each by its key in the bond's judgement (to_mend); all that it has." },
	{ .name = "corrects", .title = "Corrects", .type = MEMBER_UUID, .offset = OF(corrects),
	  .help = "The id of the deferral that this one replaces." },
	{ 0 }
};
const struct form deferral_form = { "Deferral", deferral_members, sizeof (struct deferral_new) };

#undef OF
#define OF(field) offsetof(struct instrument_new, field)

static const struct member method_members[] = {
	{ .name = "", .title = "Method", .type = MEMBER_WORD, .required = true,
	  .words = &reading_method_words },
	{ 0 }
};
static const struct form method_form = { "InstrumentMethod", method_members, sizeof (int) };

static const struct member instrument_members[] = {
	{ .name = "serial", .title = "Serial number", .type = MEMBER_TEXT, .required = true,
	  .offset = OF(serial), .longest = 60 },
	{ .name = "name", .title = "Name", .type = MEMBER_TEXT, .required = true, .offset = OF(name),
	  .longest = 120 },
	{ .name = "calibrated_day", .title = "Calibrated", .type = MEMBER_DAY, .required = true,
	  .offset = OF(calibrated_day) },
	{ .name = "calibration_due_day", .title = "Calibration due", .type = MEMBER_DAY,
	  .required = true, .offset = OF(calibration_due_day) },
	{ .name = "uncertainty_percent", .title = "Off by, of the reading", .unit = "%",
	  .type = MEMBER_REAL, .required = true, .offset = OF(uncertainty_percent), .least = 0,
	  .most = 100 },
	{ .name = "uncertainty_uohm", .title = "added to it", .unit = "µΩ",
	  .type = MEMBER_REAL, .required = true, .offset = OF(uncertainty_uohm), .least = 0,
	  .most = 1e6 },
	{ .name = "figure_kind", .title = "Stated as", .type = MEMBER_WORD, .offset = OF(figure_kind),
	  .words = &figure_kind_words, .help = "What the two figures are; an expanded uncertainty, k = 2, "
	  "when it is left out. Of a limit U is made." },
	{ .name = "as_found", .title = "As found", .type = MEMBER_WORD, .offset = OF(as_found),
	  .words = &as_found_words, .help = "How the calibration found it. Out of its limits: readings "
	  "since the calibration before are no evidence." },
	{ .name = "methods", .title = "What it can do", .type = MEMBER_LIST, .offset = OF(methods),
	  .longest = 3, .form = &method_form, .help = "Its methods; left out: as said before, or else "
	  "all of them." },
	{ 0 }
};
const struct form instrument_form = { "Instrument", instrument_members,
	sizeof (struct instrument_new) };

static const struct member kit_members[] = {
	{ .name = "code", .title = "Kit", .type = MEMBER_TEXT, .required = true,
	  .offset = offsetof(struct kit_new, code), .longest = 60 },
	{ .name = "name", .title = "Name", .type = MEMBER_TEXT, .required = true,
	  .offset = offsetof(struct kit_new, name), .longest = 120 },
	{ 0 }
};
const struct form kit_form = { "Kit", kit_members, sizeof (struct kit_new) };

/* A correction is of the same bond: the day of another is not moved by it. */
static bool check_corrected(struct act *act, const char *corrects, int64_t bond_id,
	struct problems *why)
{
	struct problem trouble = { 0 };
	struct sent former;

	if (corrects[0] == '\0') {
		return true;
	}
	if (!store_sent_find(act->store, SENT_DEFERRAL, corrects, &former, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	return former.bond_id == bond_id || problems_add(why, PROBLEM_RULE, "corrects",
		"That deferral was of another bond: a correction is of the same bond.");
}

/* A reason to act that nobody named is not put off. */
static bool check_named(struct act *act, const struct deferral_new *form, const struct bond *bond,
	const struct judging *j, uint64_t *named, struct problems *why)
{
	const struct deferral_named *names = form->names.items;
	struct end_words ends;
	struct problem trouble = { 0 };
	uint64_t unnamed;

	*named = 0;
	for (size_t i = 0; i < form->names.count; i++) {
		*named |= (uint64_t)1 << names[i].key;
	}
	if (!ends_of_bond(act->store, bond, &ends, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	unnamed = deferral_unnamed(*named, j->judgement.items, j->judgement.n_items);
	for (size_t i = 0; i < j->judgement.n_items; i++) {
		const struct act_item *item = &j->judgement.items[i];
		char words[ACT_WORDS_SIZE];

		if ((unnamed >> item->key & 1) != 0) {
			act_key_words(item->key, &ends, words, sizeof words);
			problems_add(why, PROBLEM_RULE, "names", "The bond is to be mended: %s. Who defers that "
				"too says so, by naming it.", words);
		}
	}
	return unnamed == 0;
}

static bool check(struct act *act, const void *sent, struct record_row *row, struct problems *why)
{
	const struct deferral_new *form = sent;
	struct bond bond;
	const struct judging *j;
	struct problem trouble = { 0 };
	uint64_t named;

	if (act->origin.person_id == 0) {
		return problems_add(why, PROBLEM_RULE, NULL,
			"A deferral needs a person who decides it: sign in.");
	}
	if (!refer_bond(act, &form->of, &bond, why)) {
		return false;
	}
	if (!judging_for_answer(act->view, bond.id, &j, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	if (!plausible_deferral(form->until_day, j->judgement.due.due_day, act->view->today, why) ||
		!check_corrected(act, form->corrects, bond.id, why) ||
		!check_named(act, form, &bond, j, &named, why)) {
		return false;
	}
	row->bond_id = bond.id;
	record_row_integer(row, "decided_day", act->view->today);
	record_row_integer(row, "person_id", act->origin.person_id);
	record_row_integer(row, "named", (int64_t)named);
	return true;
}

static const char *const worked_out[] = { "decided_day", "person_id", "named", NULL };
const struct record_kind deferral_kind = { SENT_DEFERRAL, "deferral", .has_bond = true,
	.has_replaces = true, .form = &deferral_form, .worked_out = worked_out };

bool deferral_record(struct act *act, const struct deferral_new *form, struct recorded *recorded,
	struct problems *why)
{
	return record_sent(act, &deferral_kind, form, check, recorded, why);
}

/* Bits of what it can do; 0: nothing is said. */
static int64_t methods_of(const struct instrument_new *form)
{
	const int *said = form->methods.items;
	int64_t methods = 0;

	for (size_t i = 0; i < form->methods.count; i++) {
		methods |= INT64_C(1) << said[i];
	}
	return methods;
}

/* Both mark the bonds whose readings may be worth something else now. */
static bool keep_methods(struct act *act, int64_t instrument_id, int64_t methods, bool *already,
	struct problem *trouble)
{
	int64_t kept;

	if (methods == 0) {
		return true;
	}
	if (!store_instrument_methods(act->store, instrument_id, &kept, trouble)) {
		return false;
	}
	if (kept == methods) {
		return true;
	}
	*already = false;
	return store_instrument_methods_put(act->store, instrument_id, methods, &act->origin, trouble) &&
		changed_known(act, SENT_CALIBRATION, &(struct changed_known){ .id = instrument_id,
		.from_day = INT32_MIN }, STALE_BY_ENTRY, trouble);
}

static bool keep_calibration(struct act *act, const struct calibration_row *c, bool *already,
	struct problem *trouble)
{
	int32_t from_day;

	if (!store_calibration_kept(act->store, c, already, trouble)) {
		return false;
	}
	return *already || (store_calibration_reach(act->store, c, &from_day, trouble) &&
		store_calibration_insert(act->store, c, &act->origin, trouble) &&
		changed_known(act, SENT_CALIBRATION, &(struct changed_known){ .id = c->instrument_id,
		.from_day = from_day }, STALE_BY_ENTRY, trouble));
}

bool instrument_register(struct act *act, const struct instrument_new *form,
	struct recorded *recorded, struct problems *why)
{
	struct instrument i = { .serial = form->serial, .name = form->name };
	struct calibration_row c = { .calibrated_day = form->calibrated_day,
		.due_day = form->calibration_due_day, .uncertainty_percent = form->uncertainty_percent,
		.uncertainty_uohm = form->uncertainty_uohm,
		.as_found = form->as_found < 0 ? AS_FOUND_NOT_STATED : (enum as_found)form->as_found,
		.figure_kind = form->figure_kind < 0 ? FIGURE_EXPANDED :
		(enum figure_kind)form->figure_kind };
	struct problem trouble = { 0 };
	bool same = true;

	*recorded = (struct recorded){ 0 };
	if (c.calibrated_day > act->view->today) {
		return problems_add(why, PROBLEM_VALUE, "calibrated_day", "The calibration is after today.");
	}
	if (c.due_day <= c.calibrated_day) {
		return problems_add(why, PROBLEM_VALUE, "calibration_due_day",
			"The calibration is due on a day after it was made.");
	}
	if (!store_instrument_find(act->store, form->serial, &i.id, &trouble) ||
		(i.id != 0 && !store_instrument_kept(act->store, &i, &same, &trouble)) ||
		(i.id == 0 && !store_instrument_insert(act->store, &i, &act->origin, &trouble))) {
		return act_refuse(why, &trouble, NULL);
	}
	if (!same) {
		return problems_add(why, PROBLEM_CONFLICT, "name", "There is an instrument %.60s with "
			"another name: give that one, or the serial number of this one.", form->serial);
	}
	c.instrument_id = i.id;
	recorded->id = i.id;
	view_forget(act->view, 0);
	return (keep_calibration(act, &c, &recorded->already, &trouble) &&
		keep_methods(act, i.id, methods_of(form), &recorded->already, &trouble)) ||
		act_refuse(why, &trouble, NULL);
}

bool kit_register(struct act *act, const struct kit_new *form, struct recorded *recorded,
	struct problems *why)
{
	struct kit k = { .code = form->code, .name = form->name };
	struct problem trouble = { 0 };

	*recorded = (struct recorded){ 0 };
	if (!store_kit_find(act->store, form->code, &recorded->id, &trouble) ||
		!store_kit_kept(act->store, &k, &recorded->already, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	if (recorded->id != 0) {
		return recorded->already || problems_add(why, PROBLEM_CONFLICT, "code", "There is a kit %.60s with another name.",
			form->code);
	}
	if (!store_kit_insert(act->store, &k, &act->origin, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	recorded->id = k.id;
	return true;
}
