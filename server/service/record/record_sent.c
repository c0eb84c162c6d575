#include "service/record/record_sent.h"

#include "base/form_value.h"
#include "derived/made_from.h"
#include "service/record/attachment.h"
#include "service/record/correction.h"
#include "service/record/sent.h"
#include "service/record/work.h"
#include "store/record/bridge.h"
#include "store/record/crew_round.h"
#include "store/record/found.h"
#include "store/record/kit_check.h"
#include "store/record/photo.h"

const struct record_kind *const record_kinds[] = { &kit_check_kind, &attachment_kind,
	&deferral_kind, &round_kind, &round_step_kind, &bridge_kind, &bridge_off_kind, &photo_kind,
	&found_kind, &found_answer_kind, NULL };

/* The record that the member "corrects" names, if the kind has one. */
static bool find_corrected(struct act *act, const struct record_kind *kind, const void *sent,
	struct record_row *row, struct problems *why)
{
	const struct member *corrects = kind->has_replaces ? form_member(kind->form, "corrects") : NULL;

	return corrects == NULL || sent_corrects(act, kind->noun, FORM_FIELD(const char, corrects, sent),
		&row->replaces_id, why);
}

static bool keep(struct act *act, const struct record_kind *kind, const void *sent,
	const char *hash, struct record_row *row, struct problems *why)
{
	struct problem trouble = { 0 };

	return (store_record_insert(act->store, kind, sent, hash, row, &act->origin, &trouble) &&
		changed_of_bond(act, (int)kind->noun, row->bond_id, &trouble)) ||
		act_refuse(why, &trouble, NULL);
}

/* What is derived of its bond before and after, where that may come out better by a correction. */
static struct correction correction_of(const struct record_kind *kind, const void *sent)
{
	const struct member *corrects = form_member(kind->form, "corrects");
	const struct member *reason = form_member(kind->form, "reason");

	return (struct correction){ .noun = kind->noun,
		.corrects = FORM_FIELD_READ(char, corrects, sent),
		.reason = *FORM_FIELD_READ(char *, reason, sent) };
}

static bool keep_correction(struct act *act, const struct record_kind *kind, const void *sent,
	const char *hash, struct record_row *row, struct problems *why)
{
	struct correction c = correction_of(kind, sent);

	if (!correction_begin(act, &c, why) || !keep(act, kind, sent, hash, row, why)) {
		return false;
	}
	c.row_id = row->id;
	return correction_end(act, &c, why);
}

bool record_sent(struct act *act, const struct record_kind *kind, const void *sent,
	record_check *check, struct recorded *recorded, struct problems *why)
{
	char hash[SENT_HASH_SIZE];
	struct record_row row = { 0 };
	const char *uuid = sent;
	bool ok = sent_hash(kind->form, sent, hash, why) &&
		sent_before(act, kind->noun, uuid, hash, recorded, why);

	if (!ok || recorded->already) {
		return ok;
	}
	ok = find_corrected(act, kind, sent, &row, why) &&
		(check == NULL || check(act, sent, &row, why)) &&
		(kind->is_judged_by ? keep_correction : keep)(act, kind, sent, hash, &row, why);
	recorded->id = row.id;
	recorded->bond_id = row.bond_id;
	return ok;
}
