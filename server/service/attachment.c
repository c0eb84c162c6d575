#include "service/attachment.h"

#include <math.h>
#include <stdlib.h>

#include "rules/plausible.h"
#include "rules/sentence.h"
#include "service/derive.h"
#include "service/sent.h"
#include "store/person.h"
#include "store/rail.h"
#include "store/work.h"

/* An attachment made earlier than this is history that is entered now: it happened. */
enum { LIVE_DAYS = 30 };

#define OF(field) offsetof(struct attachment_new, field)
#define DONE(field, t) { .name = #field, .title = t, .type = MEMBER_FLAG, .offset = OF(field), \
	.help = "Left out: not recorded." }

static const struct member attachment_members[] = {
	BOND_REFERENCE_MEMBERS(struct attachment_new),
	{ .name = "end", .title = "End", .type = MEMBER_WORD, .required = true, .offset = OF(end),
	  .words = &bond_end_words },
	{ .name = "made_day", .title = "Made", .type = MEMBER_DAY, .required = true,
	  .offset = OF(made_day) },
	{ .name = "method", .title = "Method", .type = MEMBER_WORD, .required = true,
	  .offset = OF(method), .words = &attach_method_words },
	{ .name = "person", .title = "Made by", .type = MEMBER_TEXT, .offset = OF(person),
	  .longest = 120, .help = "A name; who is signed in when it is left out." },
	{ .name = "kit", .title = "Kit", .type = MEMBER_TEXT, .offset = OF(kit), .longest = 60,
	  .help = "The code of a registered kit." },
	{ .name = "batch", .title = "Batch of the material", .type = MEMBER_TEXT,
	  .offset = OF(batch), .longest = 60 },
	{ .name = "offset_mm", .title = "Offset along the rail", .unit = "mm",
	  .type = MEMBER_INTEGER, .offset = OF(offset_mm), .least = -100000, .most = 100000,
	  .help = "From the end's reference mark, rising with the chainage." },
	DONE(ground_bright, "Both surfaces ground to bright steel"),
	DONE(battery_charged, "Battery charged"),
	DONE(gun_flush, "Gun set flush"),
	DONE(hammer_passed, "Hammer test passed"),
	DONE(solder_all_round, "Solder even all round"),
	{ .name = "arc_s", .title = "Arc", .unit = "s", .type = MEMBER_REAL, .offset = OF(arc_s),
	  .least = 0, .most = 60 },
	{ .name = "hold_s", .title = "Held still after the arc", .unit = "s", .type = MEMBER_REAL,
	  .offset = OF(hold_s), .least = 0, .most = 60 },
	{ .name = "stub_mm", .title = "Stub left standing", .unit = "mm", .type = MEMBER_REAL,
	  .offset = OF(stub_mm), .least = 0, .most = 100 },
	{ .name = "note", .title = "Note", .type = MEMBER_TEXT, .offset = OF(note), .longest = 2000 },
	{ .name = "corrects", .title = "Corrects", .type = MEMBER_UUID, .offset = OF(corrects),
	  .help = "The id of the attachment that this one replaces." },
	SENT_FROM_MEMBER(struct attachment_new),
	{ 0 }
};
const struct form attachment_form = { "Attachment", attachment_members,
	sizeof (struct attachment_new) };

static bool read_maker(struct act *act, const struct attachment_new *form, struct attachment *a,
	struct problems *why)
{
	struct problem trouble = { 0 };

	a->person_id = act->origin.person_id;
	if (form->person != NULL &&
		!store_person_named(act->store, form->person, &a->person_id, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	if (form->person != NULL && a->person_id == 0) {
		a->person_name = form->person;
	}
	if (form->kit == NULL) {
		return true;
	}
	if (!store_kit_find(act->store, form->kit, &a->kit_id, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	return a->kit_id != 0 || problems_add(why, PROBLEM_VALUE, "kit",
		"There is no kit %.60s: register it first.", form->kit);
}

/* A correction is of the same end of the same bond. */
static bool check_corrected(struct act *act, int64_t replaces_id, int64_t bond_id, int end,
	struct problems *why)
{
	struct problem trouble = { 0 };
	int64_t other = 0;
	int other_end = -1;

	if (replaces_id == 0) {
		return true;
	}
	if (!store_attachment_end(act->store, replaces_id, &other, &other_end, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	return (other == bond_id && other_end == end) || problems_add(why, PROBLEM_RULE, "corrects",
		"That attachment was of another end: a correction is of the same end of the same bond.");
}

static bool refuse_spot(struct act *act, const struct rail_mark *marks, size_t count,
	const struct rail_mark *blocked, int64_t offset_mm, struct problems *why)
{
	char words[PROBLEM_DETAIL_SIZE];
	struct sentence s;
	int64_t free_mm;

	sentence_begin(&s, words, sizeof words);
	sentence_add_integer(&s, offset_mm);
	sentence_add(&s, " mm is too near to the ");
	sentence_add(&s, mark_kind_words.title[blocked->kind]);
	sentence_add(&s, " at ");
	sentence_add_integer(&s, blocked->offset_mm);
	sentence_add(&s, " mm: a new attachment keeps ");
	sentence_add_integer(&s, mark_clearance_mm(&act->rulebook, blocked->kind));
	if (spot_next_free(&act->rulebook, marks, count, offset_mm, &free_mm)) {
		sentence_add(&s, " mm away; the next free offset is ");
		sentence_add_integer(&s, free_mm);
		sentence_add(&s, " mm.");
	} else {
		sentence_add(&s, " mm away; there is none within 2 m.");
	}
	return problems_add(why, PROBLEM_RULE, "offset_mm", "%s", words);
}

/* Only for somebody who tells of work of these days: it is not too late to choose another spot, or
 * to do it again. */
static bool check_spot(struct act *act, const struct attachment_new *form,
	const struct bond *bond, int64_t corrected_id, struct problems *why)
{
	struct problem trouble = { 0 };
	struct rail_mark *marks = NULL;
	const struct rail_mark *blocked;
	size_t count = 0;
	bool ok = true;

	if (!act->is_live || form->offset_mm == FORM_NO_INTEGER ||
		form->made_day < act->today - LIVE_DAYS || bond->end[form->end].on != END_ON_RAIL) {
		return true;
	}
	if (!store_end_marks(act->store, bond->id, form->end, corrected_id, &marks, &count, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	blocked = spot_blocked_by(&act->rulebook, marks, count, form->offset_mm);
	if (blocked != NULL) {
		ok = refuse_spot(act, marks, count, blocked, form->offset_mm, why);
	}
	free(marks);
	return ok;
}

bool attachment_record(struct act *act, const struct attachment_new *form,
	struct recorded *recorded, struct problems *why)
{
	char hash[SENT_HASH_SIZE];
	struct attachment a = { .uuid = form->uuid, .content_hash = hash, .bond_end = form->end,
		.made_day = form->made_day, .method = (enum attach_method)form->method,
		.batch = form->batch, .offset_mm = form->offset_mm, .ground_bright = form->ground_bright,
		.battery_charged = form->battery_charged, .gun_flush = form->gun_flush,
		.arc_s = form->arc_s, .hold_s = form->hold_s, .hammer_passed = form->hammer_passed,
		.solder_all_round = form->solder_all_round, .stub_mm = form->stub_mm,
		.note = form->note };
	struct bond bond;
	struct problem trouble = { 0 };
	bool ok = sent_hash(&attachment_form, form, hash, why) &&
		sent_before(act, SENT_ATTACHMENT, form->uuid, hash, recorded, why);

	if (!ok || recorded->already) {
		return ok;
	}
	if (!refer_bond(act, &form->of, &bond, why) ||
		!plausible_attachment(form->made_day, bond.installed_day, act->today,
		sent_from(act, form->sent_from), why) ||
		!read_maker(act, form, &a, why) ||
		!sent_corrects(act, SENT_ATTACHMENT, form->corrects, &a.replaces_id, why) ||
		!check_corrected(act, a.replaces_id, bond.id, form->end, why) ||
		!check_spot(act, form, &bond, a.replaces_id, why)) {
		return false;
	}
	a.bond_id = bond.id;
	if (!store_attachment_insert(act->store, &a, &act->origin, &trouble) ||
		!derive_bond(act, bond.id, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	recorded->id = a.id;
	recorded->bond_id = bond.id;
	return true;
}
