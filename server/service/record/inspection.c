#include "service/record/inspection.h"

#include <math.h>
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "derived/made_from.h"
#include "rules/plausible.h"
#include "service/record/correction.h"
#include "service/record/crew_round.h"
#include "service/record/doer.h"
#include "service/record/sent.h"
#include "store/record/inspection.h"
#include "store/record/work.h"

#define OF(field) offsetof(struct reading_new, field)
#define MICROVOLTS(field, t) { .name = #field, .title = t, .unit = "µV", .type = MEMBER_REAL, \
	.offset = OF(field), .least = -1e9, .most = 1e9 }

static const struct member reading_members[] = {
	{ .name = "quantity", .title = "Quantity", .type = MEMBER_WORD, .required = true,
	  .offset = OF(quantity), .words = &quantity_words },
	{ .name = "method", .title = "Method", .type = MEMBER_WORD, .required = true,
	  .offset = OF(method), .words = &reading_method_words },
	MICROVOLTS(forward_uv, "Voltage, current forward"),
	MICROVOLTS(reverse_uv, "Voltage, current reversed"),
	{ .name = "current_a", .title = "Test current", .unit = "A", .type = MEMBER_REAL,
	  .offset = OF(current_a), .least = 0.001, .most = 10000 },
	{ .name = "shown_uohm", .title = "Resistance that the meter showed", .unit = "µΩ",
	  .type = MEMBER_REAL, .offset = OF(shown_uohm), .least = -1e9, .most = 1e9 },
	{ .name = "lead_uohm", .title = "Resistance of the leads (two-wire)", .unit = "µΩ",
	  .type = MEMBER_REAL, .offset = OF(lead_uohm), .least = 0, .most = 1e9 },
	MICROVOLTS(rail_uv, "Voltage over the rail compared with"),
	{ .name = "rail_m", .title = "Length of rail compared with", .unit = "m",
	  .type = MEMBER_REAL, .offset = OF(rail_m), .least = 0.01, .most = 1000 },
	{ .name = "joint_m", .title = "Rail between the clips over the joint", .unit = "m",
	  .type = MEMBER_REAL, .offset = OF(joint_m), .least = 0, .most = 1000 },
	{ .name = "temp_c", .title = "Temperature of the conductor", .unit = "°C",
	  .type = MEMBER_REAL, .offset = OF(temp_c), .least = -60, .most = 120 },
	{ .name = "probed", .title = "Contact read to", .type = MEMBER_WORD, .offset = OF(probed),
	  .words = &probed_words, .help = "The strands beyond the lug when it is left out." },
	{ .name = "temp_carried", .title = "Temperature carried from another bond",
	  .type = MEMBER_FLAG, .offset = OF(temp_carried) },
	{ .name = "instrument_id", .title = "Instrument number", .type = MEMBER_INTEGER,
	  .offset = OF(instrument_id), .least = 1, .most = 9e15 },
	{ .name = "instrument", .title = "Instrument", .type = MEMBER_TEXT, .offset = OF(instrument),
	  .longest = 60, .help = "Its serial number, instead of its number in the register." },
	{ 0 }
};
const struct form reading_form = { "Reading", reading_members, sizeof (struct reading_new) };

static const struct member found_members[] = {
	{ .name = "uuid", .title = "Id of the failure", .type = MEMBER_UUID, .required = true,
	  .offset = offsetof(struct found_failure, uuid), .help = "Made by the sender." },
	{ .name = "end", .title = "End", .type = MEMBER_WORD,
	  .offset = offsetof(struct found_failure, end), .words = &bond_end_words,
	  .help = "Left out: the bond as a whole." },
	{ .name = "mode", .title = "Mode", .type = MEMBER_WORD, .required = true,
	  .offset = offsetof(struct found_failure, mode), .words = &failure_mode_words },
	{ .name = "cause", .title = "Cause", .type = MEMBER_TEXT,
	  .offset = offsetof(struct found_failure, cause), .longest = 200 },
	{ .name = "note", .title = "Note", .type = MEMBER_TEXT,
	  .offset = offsetof(struct found_failure, note), .longest = 2000 },
	{ 0 }
};
static const struct form found_form = { "FoundFailure", found_members,
	sizeof (struct found_failure) };

#undef OF
#define OF(field) offsetof(struct inspection_new, field)

static const struct member inspection_members[] = {
	BOND_REFERENCE_MEMBERS(struct inspection_new),
	{ .name = "day", .title = "Day", .type = MEMBER_DAY, .required = true, .offset = OF(day) },
	{ .name = "purpose", .title = "Purpose", .type = MEMBER_WORD, .offset = OF(purpose),
	  .words = &purpose_words, .help = "Routine when it is left out." },
	{ .name = "outcome", .title = "Outcome", .type = MEMBER_WORD, .offset = OF(outcome),
	  .words = &outcome_words, .help = "Complete when it is left out; only that moves the due "
	  "day." },
	{ .name = "seen_a", .title = "Seen at end A", .type = MEMBER_WORD, .offset = OF(seen_a),
	  .words = &seen_words },
	{ .name = "seen_b", .title = "Seen at end B", .type = MEMBER_WORD, .offset = OF(seen_b),
	  .words = &seen_words },
	{ .name = "why_not_seen", .title = "Why an end could not be seen", .type = MEMBER_TEXT,
	  .offset = OF(why_not_seen), .longest = 200 },
	{ .name = "cables_whole", .title = "Cables seen whole", .type = MEMBER_INTEGER,
	  .offset = OF(cables_whole), .least = 0, .most = 20,
	  .help = "How many of the bond's cables; left out: they were not looked at." },
	{ .name = "strength_a", .title = "Strength test at end A passed", .type = MEMBER_FLAG,
	  .offset = OF(strength_a), .help = "Left out: none was made; so for end B." },
	{ .name = "strength_b", .title = "Strength test at end B passed", .type = MEMBER_FLAG,
	  .offset = OF(strength_b) },
	{ .name = "opened", .title = "What was opened while it was read", .type = MEMBER_TEXT,
	  .offset = OF(opened), .longest = 200, .help = "So that the bond was alone: a joint bond "
	  "counts as read in circuit with its fishplates when this is left out." },
	{ .name = "surroundings", .title = "Surroundings", .type = MEMBER_WORD,
	  .offset = OF(surroundings), .words = &surroundings_words },
	{ .name = "failed", .title = "The bond failed", .type = MEMBER_FLAG, .offset = OF(failed),
	  .help = "Asked where an end is loose, damaged, missing, or has broken strands." },
	{ .name = "inspector", .title = "Inspected by", .type = MEMBER_TEXT, .offset = OF(inspector),
	  .longest = 120, .help = "A name; who is signed in when it is left out." },
	{ .name = "note", .title = "Note", .type = MEMBER_TEXT, .offset = OF(note), .longest = 2000 },
	{ .name = "readings", .title = "Readings", .type = MEMBER_LIST, .offset = OF(readings),
	  .longest = INSPECTION_READINGS, .form = &reading_form },
	{ .name = "failure", .title = "Failure found", .type = MEMBER_OBJECT, .offset = OF(failure),
	  .form = &found_form },
	{ .name = "corrects", .title = "Corrects", .type = MEMBER_UUID, .offset = OF(corrects),
	  .help = "The id of the inspection that this one replaces." },
	SENT_FROM_MEMBER(struct inspection_new),
	SENT_AT_MEMBER(struct inspection_new),
	ROUND_MEMBER(struct inspection_new),
	CORRECTION_REASON_MEMBER(struct inspection_new),
	{ 0 }
};
const struct form inspection_form = { "Inspection", inspection_members,
	sizeof (struct inspection_new) };

static bool read_instrument(struct act *act, const struct reading_new *r, size_t n, int64_t *id,
	struct problems *why)
{
	struct problem trouble = { 0 };
	char field[48];
	bool there = false;

	*id = r->instrument_id == FORM_NO_INTEGER ? 0 : r->instrument_id;
	snprintf(field, sizeof field, "readings[%zu].instrument", n);
	if (*id != 0) {
		if (!store_instrument_exists(act->store, *id, &there, &trouble)) {
			return act_refuse(why, &trouble, NULL);
		}
		return there || problems_add(why, PROBLEM_VALUE, field, "There is no instrument %lld.",
			(long long)*id);
	}
	if (r->instrument == NULL) {
		return true;
	}
	if (!store_instrument_find(act->store, r->instrument, id, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	return *id != 0 || problems_add(why, PROBLEM_VALUE, field,
		"There is no instrument with the serial number %.60s: register it first.", r->instrument);
}

static int by_size(const void *a, const void *b)
{
	const double one = *(const double *)a, two = *(const double *)b;

	return one < two ? -1 : one > two;
}

/* Only what is corrected for its temperature is compared with the round (rules/judge/asked.h). */
static bool is_of_round(const struct reading_new *r)
{
	return r->quantity == QUANTITY_END_TO_END && !isnan(r->temp_c);
}

static bool any_is_of_round(const struct form_list *list)
{
	const struct reading_new *sent = list->items;
	bool any = false;

	for (size_t n = 0; n < list->count && !any; n++) {
		any = is_of_round(&sent[n]);
	}
	return any;
}

/* The median of the temperatures that the same person noted that day in the same surroundings
 * before this came; NAN when there are fewer than two. What came in as a file has no round, and
 * what a file corrects has that of what is corrected. */
static bool round_temperature(struct act *act, const struct inspection *i, double *to,
	struct problem *trouble)
{
	double temps[ROUND_TEMPS_MOST];
	size_t n = 0;

	*to = NAN;
	if (!act->is_live && i->replaces_id != 0) {
		return store_round_temp_of(act->store, i->replaces_id, to, trouble);
	}
	if (!act->is_live || !store_round_temps(act->store, i, act->origin.person_id, temps, &n,
		trouble)) {
		return trouble->code == PROBLEM_NONE;
	}
	qsort(temps, n, sizeof temps[0], by_size);
	if (n >= 2) {
		*to = (temps[(n - 1) / 2] + temps[n / 2]) / 2;
	}
	return true;
}

static bool keep_readings(struct act *act, const struct form_list *list, const struct inspection *i,
	struct problems *why)
{
	double round_temp_c = NAN;
	const struct reading_new *sent = list->items;
	struct problem trouble = { 0 };

	if (any_is_of_round(list) && !round_temperature(act, i, &round_temp_c, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	for (size_t n = 0; n < list->count; n++) {
		const struct reading_new *r = &sent[n];
		struct reading_row row = { (enum quantity)r->quantity, (enum reading_method)r->method,
			r->forward_uv, r->reverse_uv, r->current_a, r->shown_uohm, r->lead_uohm, r->rail_uv,
			r->rail_m, r->joint_m, r->temp_c, r->probed, r->temp_carried,
			is_of_round(r) ? round_temp_c : NAN, 0 };

		if (!read_instrument(act, r, n, &row.instrument_id, why)) {
			return false;
		}
		if (!store_reading_insert(act->store, i->id, (int64_t)n, &row, &trouble)) {
			return act_refuse(why, &trouble, NULL);
		}
	}
	return true;
}

/* A correction replaces an inspection of the same bond. */
static bool check_corrected(struct act *act, int64_t replaces_id, int64_t bond_id,
	struct problems *why)
{
	struct problem trouble = { 0 };
	int64_t other;

	if (replaces_id == 0) {
		return true;
	}
	if (!store_inspection_bond(act->store, replaces_id, &other, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	return other == bond_id || problems_add(why, PROBLEM_RULE, "corrects",
		"That inspection was of another bond: a correction is of the same bond.");
}

/* The id under which a corrected inspection changed the failure that it found. */
static void changed_uuid(const char *inspection_uuid, char to[UUID_TEXT_SIZE])
{
	unsigned char bytes[16];

	crypto_generichash(bytes, sizeof bytes, (const unsigned char *)inspection_uuid, UUID_TEXT_SIZE,
		NULL, 0);
	uuid_v8(bytes, to);
}

/* True in *it_is when an entry of a failure is the one sent first as `first`, or corrects it. */
static bool stands_for(struct act *act, const char *entry, const char *first, bool *it_is,
	struct problem *trouble)
{
	char uuid[UUID_TEXT_SIZE];
	bool ok = true;

	memcpy(uuid, entry, sizeof uuid);
	while (ok && uuid[0] != '\0' && strcmp(uuid, first) != 0) {
		ok = store_sent_former(act->store, SENT_FAILURE, uuid, uuid, trouble);
	}
	*it_is = uuid[0] != '\0';
	return ok;
}

/* The entry of a failure as the inspection that is corrected had it: the last one that this, or one
 * that it corrected in turn, changed; else as it was sent first, which `said` is on entry. */
static bool find_said(struct act *act, const char *corrects, char said[UUID_TEXT_SIZE],
	struct problem *trouble)
{
	char visit[UUID_TEXT_SIZE], changed[UUID_TEXT_SIZE];
	bool ok = true, it_is = false;

	memcpy(visit, corrects, sizeof visit);
	while (ok && visit[0] != '\0' && !it_is) {
		changed_uuid(visit, changed);
		ok = stands_for(act, changed, said, &it_is, trouble) &&
			store_sent_former(act->store, SENT_INSPECTION, visit, visit, trouble);
	}
	if (it_is) {
		memcpy(said, changed, sizeof changed);
	}
	return ok;
}

/* A correction may say something else of the failure that was found: then that is corrected too,
 * under an id that follows from the correction's own. *same: it says what was said before. */
static bool correct_found(struct act *act, const struct inspection_new *form,
	struct failure_new *found, bool *same, struct problems *why)
{
	char hash[SENT_HASH_SIZE], said[UUID_TEXT_SIZE];
	struct sent kept;
	struct problem trouble = { 0 };

	*same = false;
	if (form->corrects[0] == '\0') {
		return true;
	}
	memcpy(said, found->uuid, sizeof said);
	if (!find_said(act, form->corrects, said, &trouble) ||
		!store_sent_find(act->store, SENT_FAILURE, said, &kept, &trouble) ||
		!store_sent_former(act->store, SENT_FAILURE, said, found->corrects, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	if (!sent_hash(&failure_form, found, hash, why)) {
		return false;
	}
	*same = kept.id != 0 && strcmp(kept.hash, hash) == 0;
	if (kept.id != 0 && !*same) {
		memcpy(found->corrects, said, sizeof found->corrects);
		changed_uuid(form->uuid, found->uuid);
	}
	return true;
}

static bool record_found(struct act *act, const struct inspection_new *form, int64_t bond_id,
	int64_t inspection_id, struct problems *why)
{
	struct failure_new found;
	struct recorded recorded;
	bool same;

	if (form->failure.uuid[0] == '\0') {
		return true;
	}
	form_clear(&failure_form, &found);
	memcpy(found.uuid, form->failure.uuid, sizeof found.uuid);
	found.of.bond_id = bond_id;
	found.end = form->failure.end;
	found.found_day = form->day;
	found.mode = form->failure.mode;
	found.cause = form->failure.cause;
	found.note = form->failure.note;
	found.sent_from = form->sent_from;
	found.at_ms = form->at_ms;
	found.reason = form->reason;
	return correct_found(act, form, &found, &same, why) &&
		(same || failure_record(act, &found, inspection_id, &recorded, why));
}

static bool keep(struct act *act, const struct inspection_new *form, const char *hash,
	const struct bond *bond, struct inspection *i, struct problems *why)
{
	struct problem trouble = { 0 };

	i->uuid = form->uuid;
	i->content_hash = hash;
	i->bond_id = bond->id;
	i->day = form->day;
	i->purpose = form->purpose < 0 ? PURPOSE_ROUTINE : (enum purpose)form->purpose;
	i->outcome = form->outcome < 0 ? OUTCOME_COMPLETE : (enum outcome)form->outcome;
	i->seen_a = form->seen_a;
	i->seen_b = form->seen_b;
	i->why_not_seen = form->why_not_seen;
	i->cables_whole = form->cables_whole;
	i->strength_a = form->strength_a;
	i->strength_b = form->strength_b;
	i->opened = form->opened;
	i->surroundings = form->surroundings;
	i->failed = form->failed;
	i->at_ms = form->at_ms;
	i->note = form->note;
	i->reason = form->reason;
	return (store_inspection_insert(act->store, i, &act->origin, &trouble) ||
		act_refuse(why, &trouble, NULL)) &&
		keep_readings(act, &form->readings, i, why) &&
		record_found(act, form, bond->id, i->id, why) &&
		(changed_of_bond_on(act, SENT_INSPECTION, bond->id,
		i->replaces_id == 0 ? i->day : INT32_MIN, &trouble) || act_refuse(why, &trouble, NULL));
}

static bool tells_of_broken_path(int seen)
{
	return seen == SEEN_LOOSE || seen == SEEN_STRANDS_BROKEN || seen == SEEN_DAMAGED ||
		seen == SEEN_MISSING;
}

/* Complete has a meaning, and a defect brings its question: for those who tell of their own
 * work. */
static bool check_seen(const struct act *act, const struct inspection_new *form,
	struct problems *why)
{
	size_t before = why->count;
	bool complete = form->outcome < 0 || form->outcome == OUTCOME_COMPLETE;
	bool hidden = form->seen_a == SEEN_NOT_VISIBLE || form->seen_b == SEEN_NOT_VISIBLE;

	if (!act->is_live) {
		return true;
	}
	if (complete && form->seen_a < 0) {
		problems_add(why, PROBLEM_RULE, "seen_a", "A complete inspection says what was seen at end "
			"A: a word for it, or that it could not be seen.");
	}
	if (complete && form->seen_b < 0) {
		problems_add(why, PROBLEM_RULE, "seen_b", "A complete inspection says what was seen at end "
			"B: a word for it, or that it could not be seen.");
	}
	if (complete && hidden && form->why_not_seen == NULL) {
		problems_add(why, PROBLEM_RULE, "why_not_seen", "An end that could not be seen needs the "
			"reason why, or the inspection was done in part.");
	}
	if ((tells_of_broken_path(form->seen_a) || tells_of_broken_path(form->seen_b)) &&
		form->failure.uuid[0] == '\0' && form->failed < 0) {
		problems_add(why, PROBLEM_RULE, "failed", "Loose, damaged, missing or broken strands: say "
			"whether the bond failed.");
	}
	return why->count == before;
}

bool inspection_record(struct act *act, const struct inspection_new *form,
	struct recorded *recorded, struct problems *why)
{
	char hash[SENT_HASH_SIZE];
	struct inspection i = { 0 };
	struct correction c = { .noun = SENT_INSPECTION, .corrects = form->corrects,
		.reason = form->reason };
	struct bond bond;

	if (!sent_hash(&inspection_form, form, hash, why) ||
		!sent_before(act, SENT_INSPECTION, form->uuid, hash, recorded, why)) {
		return false;
	}
	if (recorded->already) {
		return true;
	}
	if (!check_seen(act, form, why) || !refer_bond_fact(act, &form->of, &bond, why) ||
		!plausible_inspection(form->day, bond.installed_day, act->view->today,
		sent_from(act, form->sent_from), why) ||
		!sent_at_of_shift(form->at_ms, form->day, why) ||
		!sent_corrects(act, SENT_INSPECTION, form->corrects, &i.replaces_id, why) ||
		!check_corrected(act, i.replaces_id, bond.id, why) ||
		!doer_read(act, form->inspector, &i.person_id, &i.person_name, why) ||
		!round_find(act, form->round, &i.round_id, why) ||
		!correction_begin(act, &c, why) || !keep(act, form, hash, &bond, &i, why)) {
		return false;
	}
	recorded->id = i.id;
	recorded->bond_id = bond.id;
	c.row_id = i.id;
	return correction_end(act, &c, why);
}
