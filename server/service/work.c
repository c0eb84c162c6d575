#include "service/work.h"

#include <math.h>
#include <string.h>

#include "rules/plausible.h"
#include "service/derive.h"
#include "service/sent.h"
#include "store/person.h"
#include "store/work.h"

#define OF(field) offsetof(struct deferral_new, field)

static const struct member deferral_members[] = {
	BOND_REFERENCE_MEMBERS(struct deferral_new),
	{ .name = "until_day", .title = "Deferred to", .type = MEMBER_DAY, .required = true,
	  .offset = OF(until_day) },
	{ .name = "reason", .title = "Reason", .type = MEMBER_TEXT, .required = true,
	  .offset = OF(reason), .longest = 2000 },
	{ .name = "corrects", .title = "Corrects", .type = MEMBER_UUID, .offset = OF(corrects),
	  .help = "The id of the deferral that this one replaces." },
	{ 0 }
};
const struct form deferral_form = { "Deferral", deferral_members, sizeof (struct deferral_new) };

#undef OF
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
	{ 0 }
};
const struct form attachment_form = { "Attachment", attachment_members,
	sizeof (struct attachment_new) };

#undef OF
#define OF(field) offsetof(struct instrument_new, field)

static const struct member instrument_members[] = {
	{ .name = "serial", .title = "Serial number", .type = MEMBER_TEXT, .required = true,
	  .offset = OF(serial), .longest = 60 },
	{ .name = "name", .title = "Name", .type = MEMBER_TEXT, .required = true, .offset = OF(name),
	  .longest = 120 },
	{ .name = "calibrated_day", .title = "Calibrated", .type = MEMBER_DAY, .required = true,
	  .offset = OF(calibrated_day) },
	{ .name = "calibration_due_day", .title = "Calibration due", .type = MEMBER_DAY,
	  .required = true, .offset = OF(calibration_due_day) },
	{ .name = "uncertainty_percent", .title = "Uncertainty of the reading (k = 2)", .unit = "%",
	  .type = MEMBER_REAL, .required = true, .offset = OF(uncertainty_percent), .least = 0,
	  .most = 100 },
	{ .name = "uncertainty_uohm", .title = "added to it (k = 2)", .unit = "µΩ",
	  .type = MEMBER_REAL, .required = true, .offset = OF(uncertainty_uohm), .least = 0,
	  .most = 1e6 },
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

bool deferral_record(struct act *act, const struct deferral_new *form, struct recorded *recorded,
	struct problems *why)
{
	char hash[SENT_HASH_SIZE];
	struct deferral d = { .uuid = form->uuid, .content_hash = hash, .decided_day = act->today,
		.until_day = form->until_day, .person_id = act->origin.person_id, .reason = form->reason };
	struct bond bond;
	struct bond_state state;
	struct problem trouble = { 0 };
	bool ok = sent_hash(&deferral_form, form, hash, why) &&
		sent_before(act, SENT_DEFERRAL, form->uuid, hash, recorded, why);

	if (!ok || recorded->already) {
		return ok;
	}
	if (d.person_id == 0) {
		return problems_add(why, PROBLEM_RULE, NULL,
			"A deferral needs a person who decides it: sign in.");
	}
	if (!refer_bond(act, &form->of, &bond, why)) {
		return false;
	}
	if (!derive_bond_state(act, &bond, &state, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	if (!plausible_deferral(form->until_day, state.due.due_day, act->today, why) ||
		!sent_corrects(act, SENT_DEFERRAL, form->corrects, &d.replaces_id, why)) {
		return false;
	}
	d.bond_id = bond.id;
	if (!store_deferral_insert(act->store, &d, &act->origin, &trouble) ||
		!derive_bond(act, &bond, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	recorded->id = d.id;
	recorded->bond_id = bond.id;
	return true;
}

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
		!plausible_attachment(form->made_day, bond.installed_day, act->today, why) ||
		!read_maker(act, form, &a, why) ||
		!sent_corrects(act, SENT_ATTACHMENT, form->corrects, &a.replaces_id, why)) {
		return false;
	}
	a.bond_id = bond.id;
	if (!store_attachment_insert(act->store, &a, &act->origin, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	recorded->id = a.id;
	recorded->bond_id = bond.id;
	return true;
}

bool instrument_register(struct act *act, const struct instrument_new *form,
	struct recorded *recorded, struct problems *why)
{
	struct instrument i = { .serial = form->serial, .name = form->name };
	struct calibration c = { .calibrated_day = form->calibrated_day,
		.due_day = form->calibration_due_day, .uncertainty_percent = form->uncertainty_percent,
		.uncertainty_uohm = form->uncertainty_uohm };
	struct problem trouble = { 0 };

	*recorded = (struct recorded){ 0 };
	if (c.calibrated_day > act->today) {
		return problems_add(why, PROBLEM_VALUE, "calibrated_day", "The calibration is after today.");
	}
	if (c.due_day <= c.calibrated_day) {
		return problems_add(why, PROBLEM_VALUE, "calibration_due_day",
			"The calibration is due on a day after it was made.");
	}
	if (!store_instrument_find(act->store, form->serial, &i.id, &trouble) ||
		(i.id == 0 && !store_instrument_insert(act->store, &i, &act->origin, &trouble))) {
		return act_refuse(why, &trouble, NULL);
	}
	c.instrument_id = i.id;
	recorded->id = i.id;
	return (store_calibration_kept(act->store, &c, &recorded->already, &trouble) &&
		(recorded->already || store_calibration_insert(act->store, &c, &act->origin, &trouble))) ||
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
