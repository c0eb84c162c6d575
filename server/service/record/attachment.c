#include "service/record/attachment.h"

#include "rules/plausible.h"
#include "rules/sentence.h"
#include "service/record/correction.h"
#include "service/record/doer.h"
#include "service/record/sent.h"
#include "service/record/spot.h"
#include "store/record/person.h"
#include "store/record/rail.h"
#include "store/record/work.h"

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
	SENT_AT_MEMBER(struct attachment_new),
	CORRECTION_REASON_MEMBER(struct attachment_new),
	{ 0 }
};
const struct form attachment_form = { "Attachment", attachment_members,
	sizeof (struct attachment_new) };

static bool read_kit(struct act *act, const char *code, int64_t *kit_id, struct problems *why)
{
	struct problem trouble = { 0 };

	if (code == NULL) {
		return true;
	}
	if (!store_kit_find(act->store, code, kit_id, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	return *kit_id != 0 || problems_add(why, PROBLEM_VALUE, "kit",
		"There is no kit %.60s: register it first.", code);
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

/* The spot is kept as it is: a form that refuses the truth breeds false offsets. */
static bool look_at_spot(struct act *act, const struct bond *bond, struct attachment *a,
	struct problems *why)
{
	char words[SPOT_TAKEN_SIZE];
	struct problem trouble = { 0 };

	return spot_taken(act->store, act->view->rulebook, bond, a->bond_end, a->offset_mm, a->made_day,
		a->replaces_id, &a->spot_taken, words, &trouble) || act_refuse(why, &trouble, NULL);
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
		.note = form->note, .reason = form->reason, .at_ms = form->at_ms };
	struct correction c = { .noun = SENT_ATTACHMENT, .corrects = form->corrects,
		.reason = form->reason };
	struct bond bond;
	struct problem trouble = { 0 };
	bool ok = sent_hash(&attachment_form, form, hash, why) &&
		sent_before(act, SENT_ATTACHMENT, form->uuid, hash, recorded, why);

	if (!ok || recorded->already) {
		return ok;
	}
	if (!refer_bond(act, &form->of, &bond, why) ||
		!plausible_attachment(form->made_day, bond.installed_day, act->view->today,
		sent_from(act, form->sent_from), why) ||
		!sent_at_of_shift(form->at_ms, form->made_day, why) ||
		!doer_read(act, form->person, &a.person_id, &a.person_name, why) ||
		!read_kit(act, form->kit, &a.kit_id, why) ||
		!sent_corrects(act, SENT_ATTACHMENT, form->corrects, &a.replaces_id, why) ||
		!check_corrected(act, a.replaces_id, bond.id, form->end, why) ||
		!look_at_spot(act, &bond, &a, why) || !correction_begin(act, &c, why)) {
		return false;
	}
	a.bond_id = bond.id;
	if (!store_attachment_insert(act->store, &a, &act->origin, &trouble) ||
		!act_touch_bond(act, bond.id, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	recorded->id = c.row_id = a.id;
	recorded->bond_id = bond.id;
	return correction_end(act, &c, why);
}
