#include "service/record/failure.h"

#include <math.h>
#include <sodium.h>
#include <string.h>

#include "derived/made_from.h"
#include "rules/plausible.h"
#include "service/record/bond.h"
#include "service/record/correction.h"
#include "service/record/crew_round.h"
#include "service/record/doer.h"
#include "service/record/sent.h"

#define OF(field) offsetof(struct failure_new, field)

static const struct member failure_members[] = {
	BOND_REFERENCE_MEMBERS(struct failure_new),
	{ .name = "track", .title = "Track", .type = MEMBER_TEXT, .offset = OF(track), .longest = 60,
	  .help = "With a chainage instead of a bond; left out when the log does not say." },
	{ .name = "rail", .title = "Rail", .type = MEMBER_WORD, .offset = OF(rail),
	  .words = &rail_words },
	{ .name = "chainage", .title = "Chainage", .type = MEMBER_TEXT, .offset = OF(chainage),
	  .longest = 60, .help = "Where it was found, when no bond is named." },
	{ .name = "place_written", .title = "The place as it was written", .type = MEMBER_TEXT,
	  .offset = OF(place_written), .longest = 60, .help = "Where the chainage was made of it; "
	  "otherwise the chainage as it was sent." },
	{ .name = "within_m", .title = "Nearest bond within", .unit = "m", .type = MEMBER_REAL,
	  .offset = OF(within_m), .least = 0, .most = 1000,
	  .help = "Farther away a bond is registered as still to be surveyed. 10 m when left out." },
	{ .name = "end", .title = "End", .type = MEMBER_WORD, .offset = OF(end),
	  .words = &bond_end_words, .help = "Left out: the bond as a whole." },
	{ .name = "found_day", .title = "Found", .type = MEMBER_DAY, .required = true,
	  .offset = OF(found_day) },
	{ .name = "mode", .title = "Mode", .type = MEMBER_WORD, .offset = OF(mode),
	  .words = &failure_mode_words, .help = "What failed; not_stated is an answer too." },
	{ .name = "cause", .title = "Cause", .type = MEMBER_TEXT, .offset = OF(cause),
	  .longest = 200 },
	{ .name = "reference", .title = "Reference", .type = MEMBER_TEXT, .offset = OF(reference),
	  .longest = 100, .help = "Its number in the log it comes from." },
	{ .name = "note", .title = "Note", .type = MEMBER_TEXT, .offset = OF(note), .longest = 2000 },
	{ .name = "found_by", .title = "Found by", .type = MEMBER_TEXT, .offset = OF(found_by),
	  .longest = 120, .help = "A name; who is signed in when it is left out." },
	{ .name = "made_good_day", .title = "Made good", .type = MEMBER_DAY,
	  .offset = OF(made_good_day) },
	{ .name = "made_good_how", .title = "How it was made good", .type = MEMBER_TEXT,
	  .offset = OF(made_good_how), .longest = 2000 },
	{ .name = "made_good_by", .title = "Made good by", .type = MEMBER_TEXT,
	  .offset = OF(made_good_by), .longest = 120,
	  .help = "A name; who is signed in when it is left out." },
	{ .name = "corrects", .title = "Corrects", .type = MEMBER_UUID, .offset = OF(corrects),
	  .help = "The id of the failure that this one replaces." },
	SENT_FROM_MEMBER(struct failure_new),
	SENT_AT_MEMBER(struct failure_new),
	ROUND_MEMBER(struct failure_new),
	CORRECTION_REASON_MEMBER(struct failure_new),
	{ 0 }
};
const struct form failure_form = { "Failure", failure_members, sizeof (struct failure_new) };

#undef OF
#define OF(field) offsetof(struct repair_new, field)

static const struct member repair_members[] = {
	{ .name = "failure", .title = "Failure", .type = MEMBER_UUID, .required = true,
	  .offset = OF(failure), .help = "The id of the failure that was made good." },
	{ .name = "day", .title = "Day", .type = MEMBER_DAY, .required = true, .offset = OF(day) },
	{ .name = "how", .title = "How", .type = MEMBER_TEXT, .required = true, .offset = OF(how),
	  .longest = 2000 },
	{ .name = "made_good_by", .title = "Made good by", .type = MEMBER_TEXT,
	  .offset = OF(made_good_by), .longest = 120,
	  .help = "A name; who is signed in when it is left out." },
	{ .name = "corrects", .title = "Corrects", .type = MEMBER_UUID, .offset = OF(corrects),
	  .help = "The id of the repair that this one replaces." },
	SENT_FROM_MEMBER(struct repair_new),
	SENT_AT_MEMBER(struct repair_new),
	ROUND_MEMBER(struct repair_new),
	CORRECTION_REASON_MEMBER(struct repair_new),
	{ 0 }
};
const struct form repair_form = { "Repair", repair_members, sizeof (struct repair_new) };

enum { WITHIN_USUAL_MM = 10000 };

static bool names_bond(const struct failure_new *form)
{
	return form->of.bond_id != FORM_NO_INTEGER || form->of.bond != NULL;
}

/* A file is written by people who know which bond it was, not by the crew that stands before one: a
 * failure of what was gone by then would be seen by nobody, since nothing of it is due. */
static bool was_there(const struct act *act, const struct failure_new *form,
	const struct bond *bond, struct problems *why)
{
	char removed[DAY_TEXT_SIZE];

	if (act->origin.import_id == 0 || bond->removed_day == DAY_NONE ||
		form->found_day <= bond->removed_day) {
		return true;
	}
	day_write(bond->removed_day, removed);
	return names_bond(form) ? problems_add(why, PROBLEM_RULE, "bond", "Bond %s was removed on %s, "
		"before this failure was found: name the bond that stood there then.", bond->label,
		removed) : problems_add(why, PROBLEM_RULE, "chainage", "The only bond known there is %s, "
		"which was removed on %s, before this failure was found: name the bond that stood there "
		"then, or register it first.", bond->label, removed);
}

/* The place of the bond's end. */
static bool place_of_bond(struct act *act, const struct failure_new *form, struct bond *bond,
	struct failure *f, struct problems *why)
{
	const struct bond_end_fact *end;

	if (form->chainage != NULL) {
		return problems_add(why, PROBLEM_RULE, "chainage", "The bond says where it is: name the "
			"bond or the chainage, not both.");
	}
	if (!refer_bond(act, &form->of, bond, why)) {
		return false;
	}
	end = &bond->end[form->end == END_B ? END_B : END_A];
	f->line_id = bond->line_id;
	f->track_id = end->track_id;
	f->rail = end->rail;
	f->distance_mm = end->distance_mm;
	return true;
}

/* The nearest bond to the place, or a new one that is still to be surveyed. */
static bool bond_of_place(struct act *act, const struct failure_new *form, struct bond *bond,
	struct failure *f, struct problems *why)
{
	int64_t within_mm = isnan(form->within_m) ? WITHIN_USUAL_MM :
		(int64_t)llround(form->within_m * 1000);
	struct problem trouble = { 0 };
	int64_t id;

	if (form->of.line == NULL || form->chainage == NULL) {
		return problems_add(why, PROBLEM_VALUE, "bond_id", "Say which bond failed: its number, "
			"its line and label, or a line and a chainage.");
	}
	f->rail = form->rail;
	f->place_written = form->place_written != NULL ? form->place_written : form->chainage;
	if (!refer_line(act, form->of.line, "line", &f->line_id, why) ||
		!refer_track(act, f->line_id, form->track, "track", &f->track_id, why) ||
		!refer_place(act, f->line_id, f->track_id, form->chainage, "chainage", &f->distance_mm,
		why)) {
		return false;
	}
	if (!store_bond_nearest(act->store, f->line_id, f->track_id, f->rail, f->distance_mm, within_mm,
		form->found_day, act->is_coming ? act->origin.import_id : 0, &id, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	if (id == 0) {
		return bond_register_found(act, f->line_id, f->track_id, f->rail, f->distance_mm,
			form->chainage, bond, why);
	}
	return store_bond_get(act->store, id, bond, &trouble) || act_refuse(why, &trouble, NULL);
}

static bool touch_group(struct act *act, const struct failure *f, struct problem *why)
{
	const struct failure_group group = { f->line_id, f->track_id, f->rail };

	return changed_of_group(act, SENT_FAILURE, &group, why);
}

/* A correction takes the wrong one out of its group. */
static bool touch_corrected(struct act *act, int64_t replaces_id, struct problems *why)
{
	struct failure old;
	struct problem trouble = { 0 };

	if (replaces_id == 0) {
		return true;
	}
	return (store_failure_get(act->store, replaces_id, &old, &trouble) &&
		changed_of_bond(act, SENT_FAILURE, old.bond_id, &trouble) &&
		touch_group(act, &old, &trouble)) ||
		act_refuse(why, &trouble, NULL);
}

/* A repair that nobody sent under an id of its own has one that follows from the failure's. */
static bool record_made_good(struct act *act, const char *failure_uuid, int32_t day,
	const char *how, const char *by, const char *corrects, const char *reason, int from,
	struct problems *why)
{
	struct repair_new repair;
	struct recorded recorded;
	unsigned char hash[16];

	form_clear(&repair_form, &repair);
	crypto_generichash(hash, sizeof hash, (const unsigned char *)failure_uuid, UUID_TEXT_SIZE, NULL,
		0);
	uuid_v8(hash, repair.uuid);
	memcpy(repair.failure, failure_uuid, sizeof repair.failure);
	memcpy(repair.corrects, corrects, strlen(corrects) + 1);
	repair.day = day;
	repair.how = how;
	repair.made_good_by = by;
	repair.sent_from = from;
	repair.reason = reason;
	return repair_record(act, &repair, &recorded, why);
}

/* What made the wrong entry good makes its correction good. */
static bool carry_repair(struct act *act, const struct failure_new *form, int64_t replaces_id,
	struct problems *why)
{
	char *uuid, *how, *by, text[DAY_TEXT_SIZE];
	int32_t day = DAY_NONE;
	struct problem trouble = { 0 };
	bool ok = store_repair_last(act->store, replaces_id, &uuid, &day, &how, &by, &trouble) ||
		act_refuse(why, &trouble, NULL);

	if (ok && uuid != NULL && day < form->found_day) {
		day_write(day, text);
		ok = problems_add(why, PROBLEM_RULE, "found_day", "This failure was made good on %s and "
			"cannot have been found after that: correct the repair first.", text);
	} else if (ok && uuid != NULL) {
		/* (its day was taken before, whatever it was) */
		ok = record_made_good(act, form->uuid, day, how, by != NULL ? by : "", uuid, form->reason,
			SENT_FROM_TABLET, why);
	}
	free(uuid);
	free(how);
	free(by);
	return ok;
}

/* The repair that came with the failure, or else with what it corrects. */
static bool take_repair(struct act *act, const struct failure_new *form, int64_t replaces_id,
	struct problems *why)
{
	if (form->made_good_day != DAY_NONE) {
		return record_made_good(act, form->uuid, form->made_good_day,
			form->made_good_how != NULL ? form->made_good_how : "not stated",
			form->made_good_by, "", NULL, form->sent_from, why);
	}
	return replaces_id == 0 || carry_repair(act, form, replaces_id, why);
}

static bool find_place(struct act *act, const struct failure_new *form,
	const struct failure *stays, struct bond *bond, struct failure *f, struct problems *why)
{
	struct problem trouble = { 0 };

	if (stays == NULL) {
		return (names_bond(form) ? place_of_bond : bond_of_place)(act, form, bond, f, why);
	}
	f->line_id = stays->line_id;
	f->track_id = stays->track_id;
	f->rail = stays->rail;
	f->distance_mm = stays->distance_mm;
	f->place_written = stays->place_written;
	return store_bond_get(act->store, stays->bond_id, bond, &trouble) ||
		act_refuse(why, &trouble, NULL);
}

static bool record(struct act *act, const struct failure_new *form, const struct failure *stays,
	int64_t inspection_id, struct recorded *recorded, struct problems *why)
{
	char hash[SENT_HASH_SIZE];
	struct failure f = { .uuid = form->uuid, .content_hash = hash, .bond_end = form->end,
		.found_day = form->found_day, .cause = form->cause, .reference = form->reference,
		.mode = form->mode < 0 ? FAILURE_MODE_NOT_STATED : (enum failure_mode)form->mode,
		.note = form->note, .reason = form->reason, .at_ms = form->at_ms,
		.inspection_id = inspection_id };
	struct correction c = { .noun = SENT_FAILURE, .corrects = form->corrects,
		.reason = form->reason };
	struct bond bond;
	struct problem trouble = { 0 };

	if (!sent_hash(&failure_form, form, hash, why) ||
		!sent_before(act, SENT_FAILURE, form->uuid, hash, recorded, why)) {
		return false;
	}
	if (recorded->already) {
		return true;
	}
	if (act->is_live && form->mode < 0) {
		return problems_add(why, PROBLEM_RULE, inspection_id != 0 ? "failure.mode" : "mode",
			"Say what failed; \"not stated\" is an answer too.");
	}
	if (!find_place(act, form, stays, &bond, &f, why) ||
		!(stays != NULL || was_there(act, form, &bond, why)) ||
		!plausible_failure(f.found_day, bond.installed_day, act->view->today,
		sent_from(act, form->sent_from), why) ||
		!sent_at_of_shift(form->at_ms, form->found_day, why) ||
		!(inspection_id != 0 ||
		doer_read(act, form->found_by, &f.person_id, &f.person_name, why)) ||
		!round_find(act, form->round, &f.round_id, why) ||
		!sent_corrects(act, SENT_FAILURE, form->corrects, &f.replaces_id, why)) {
		return false;
	}
	f.bond_id = bond.id;
	if (!correction_begin(act, &c, why)) {
		return false;
	}
	if (!store_failure_insert(act->store, &f, &act->origin, &trouble) ||
		!touch_group(act, &f, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	recorded->id = c.row_id = f.id;
	recorded->bond_id = c.to_bond_id = bond.id;
	return touch_corrected(act, f.replaces_id, why) &&
		take_repair(act, form, f.replaces_id, why) &&
		(changed_of_bond(act, SENT_FAILURE, bond.id, &trouble) ||
		act_refuse(why, &trouble, NULL)) &&
		correction_end(act, &c, why);
}

bool failure_record(struct act *act, const struct failure_new *form, int64_t inspection_id,
	struct recorded *recorded, struct problems *why)
{
	return record(act, form, NULL, inspection_id, recorded, why);
}

bool failure_correct(struct act *act, const struct failure_new *form, const struct failure *stays,
	struct recorded *recorded, struct problems *why)
{
	return record(act, form, stays, 0, recorded, why);
}

/* A correction may say that another failure was made good: then the former one is open again. */
static bool keep_repair(struct act *act, struct repair *r, const struct failure *failure,
	const char *corrects, struct problems *why)
{
	struct sent former = { 0 };
	struct problem trouble = { 0 };
	bool ok = (corrects[0] == '\0' ||
		store_sent_find(act->store, SENT_REPAIR, corrects, &former, &trouble)) &&
		store_repair_insert(act->store, r, &act->origin, &trouble);

	return (ok && changed_of_bond(act, SENT_REPAIR, former.bond_id, &trouble) &&
		changed_of_bond(act, SENT_REPAIR, failure->bond_id, &trouble)) ||
		act_refuse(why, &trouble, NULL);
}

bool repair_record(struct act *act, const struct repair_new *form, struct recorded *recorded,
	struct problems *why)
{
	char hash[SENT_HASH_SIZE];
	struct repair r = { .uuid = form->uuid, .content_hash = hash, .day = form->day,
		.how = form->how, .reason = form->reason, .at_ms = form->at_ms };
	struct correction c = { .noun = SENT_REPAIR, .corrects = form->corrects,
		.reason = form->reason };
	struct failure failure = { 0 };
	struct sent failed;
	struct problem trouble = { 0 };
	bool ok = sent_hash(&repair_form, form, hash, why) &&
		sent_before(act, SENT_REPAIR, form->uuid, hash, recorded, why);

	if (!ok || recorded->already) {
		return ok;
	}
	/* (a tablet may know it only as it was before it was corrected) */
	if (!store_sent_find(act->store, SENT_FAILURE, form->failure, &failed, &trouble) ||
		(failed.id != 0 && (!store_failure_newest(act->store, failed.id, &r.failure_id, &trouble) ||
		!store_failure_get(act->store, r.failure_id, &failure, &trouble)))) {
		return act_refuse(why, &trouble, NULL);
	}
	if (failed.id == 0) {
		return problems_add(why, PROBLEM_VALUE, "failure", "No failure is kept under the id %s.",
			form->failure);
	}
	if (!doer_read(act, form->made_good_by, &r.person_id, &r.person_name, why) ||
		!plausible_repair(form->day, failure.found_day, act->view->today,
		sent_from(act, form->sent_from), why) ||
		!sent_at_of_shift(form->at_ms, form->day, why) ||
		!round_find(act, form->round, &r.round_id, why) ||
		!sent_corrects(act, SENT_REPAIR, form->corrects, &r.replaces_id, why) ||
		!correction_begin(act, &c, why) ||
		!keep_repair(act, &r, &failure, form->corrects, why)) {
		return false;
	}
	recorded->id = c.row_id = r.id;
	recorded->bond_id = c.to_bond_id = failure.bond_id;
	return correction_end(act, &c, why);
}
