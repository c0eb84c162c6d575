#include "service/record/attachment.h"

#include "rules/plausible.h"
#include "rules/sentence.h"
#include "service/record/correction.h"
#include "service/record/doer.h"
#include "service/record/record_sent.h"
#include "service/record/sent.h"
#include "service/record/spot.h"
#include "store/record/person.h"
#include "store/record/rail.h"
#include "store/record/work.h"

#define OF(field) offsetof(struct attachment_new, field)
#define DONE(field, t) { .name = #field, .column = #field, .title = t, \
	.type = MEMBER_FLAG, .offset = OF(field), \
	.help = "Left out: not recorded." }

static const struct member attachment_members[] = {
	BOND_REFERENCE_MEMBERS(struct attachment_new),
	{ .name = "end", .column = "bond_end",
	  .title = "End", .type = MEMBER_WORD, .required = true, .offset = OF(end),
	  .words = &bond_end_words },
	{ .name = "made_day", .column = "made_day",
	  .title = "Made", .type = MEMBER_DAY, .required = true,
	  .offset = OF(made_day) },
	{ .name = "method", .column = "method",
	  .title = "Method", .type = MEMBER_WORD, .required = true,
	  .offset = OF(method), .words = &attach_method_words },
	{ .name = "person", .title = "Made by", .type = MEMBER_TEXT, .offset = OF(person),
	  .longest = 120, .help = "A name; who is signed in when it is left out." },
	{ .name = "kit", .title = "Kit", .type = MEMBER_TEXT, .offset = OF(kit), .longest = 60,
	  .help = "The code of a registered kit." },
	{ .name = "batch", .column = "batch", .title = "Batch of the material", .type = MEMBER_TEXT,
	  .offset = OF(batch), .longest = 60 },
	{ .name = "offset_mm", .column = "offset_mm", .title = "Offset along the rail", .unit = "mm",
	  .type = MEMBER_INTEGER, .offset = OF(offset_mm), .least = -100000, .most = 100000,
	  .help = "From the end's reference mark, rising with the chainage." },
	DONE(ground_bright, "Both surfaces ground to bright steel"),
	DONE(battery_charged, "Battery charged"),
	DONE(gun_flush, "Gun set flush"),
	DONE(hammer_passed, "Hammer test passed"),
	DONE(solder_all_round, "Solder even all round"),
	{ .name = "arc_s", .column = "arc_s",
	  .title = "Arc", .unit = "s", .type = MEMBER_REAL, .offset = OF(arc_s),
	  .least = 0, .most = 60 },
	{ .name = "hold_s", .column = "hold_s",
	  .title = "Held still after the arc", .unit = "s", .type = MEMBER_REAL,
	  .offset = OF(hold_s), .least = 0, .most = 60 },
	{ .name = "stub_mm", .column = "stub_mm",
	  .title = "Stub left standing", .unit = "mm", .type = MEMBER_REAL,
	  .offset = OF(stub_mm), .least = 0, .most = 100 },
	{ .name = "note", .column = "note",
	  .title = "Note", .type = MEMBER_TEXT, .offset = OF(note), .longest = 2000 },
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
static bool look_at_spot(struct act *act, const struct bond *bond,
	const struct attachment_new *form, struct record_row *row, struct problems *why)
{
	char words[SPOT_TAKEN_SIZE];
	struct problem trouble = { 0 };
	int taken;

	if (!spot_taken(act->store, act->view->rulebook, bond, form->end, form->offset_mm,
		form->made_day, row->replaces_id, &taken, words, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	if (taken >= 0) {
		record_row_integer(row, "spot_taken", taken);
	}
	return true;
}

static bool check(struct act *act, const void *sent, struct record_row *row, struct problems *why)
{
	const struct attachment_new *form = sent;
	const char *name;
	struct bond bond;
	int64_t person_id, kit_id = 0;

	if (!refer_bond(act, &form->of, &bond, why) ||
		!plausible_attachment(form->made_day, bond.installed_day, act->view->today,
		sent_from(act, form->sent_from), why) ||
		!sent_at_of_shift(form->at_ms, form->made_day, why) ||
		!doer_read(act, form->person, &person_id, &name, why) ||
		!read_kit(act, form->kit, &kit_id, why) ||
		!check_corrected(act, row->replaces_id, bond.id, form->end, why) ||
		!look_at_spot(act, &bond, form, row, why)) {
		return false;
	}
	row->bond_id = bond.id;
	record_row_doer(row, person_id, name);
	if (kit_id != 0) {
		record_row_integer(row, "kit_id", kit_id);
	}
	return true;
}

static const char *const worked_out[] = { "person_id", "person_name", "kit_id", "spot_taken",
	NULL };
const struct record_kind attachment_kind = { SENT_ATTACHMENT, "attachment", .has_bond = true,
	.has_replaces = true, .has_import = true, .is_judged_by = true, .form = &attachment_form,
	.worked_out = worked_out };

bool attachment_record(struct act *act, const struct attachment_new *form,
	struct recorded *recorded, struct problems *why)
{
	return record_sent(act, &attachment_kind, form, check, recorded, why);
}
