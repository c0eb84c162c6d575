#include "service/record/sent.h"

#include <sodium.h>
#include <stdlib.h>
#include <string.h>

#include "base/clock.h"
#include "base/day.h"
#include "store/record/withdrawal.h"

enum sent_from sent_from(const struct act *act, int word)
{
	return act->is_live && word == SENT_FROM_TABLET ? SENT_FROM_TABLET : SENT_FROM_DESK;
}

/* (how a place was written is said by its chainage) */
static bool write_content(const struct form *form, const void *from, struct text *to)
{
	const struct member *way = form_member(form, "sent_from");
	const struct member *written = form_member(form, "place_written");
	char *copy = malloc(form->size);

	if (copy == NULL) {
		return false;
	}
	memcpy(copy, from, form->size);
	if (way != NULL) {
		*(int *)(copy + way->offset) = -1;
	}
	if (written != NULL) {
		*(const char **)(void *)(copy + written->offset) = NULL;
	}
	form_write(form, copy, to);
	free(copy);
	return !to->failed;
}

bool sent_hash(const struct form *form, const void *from, char hash[SENT_HASH_SIZE],
	struct problems *why)
{
	unsigned char bytes[32];
	struct text text = { 0 };
	bool ok;

	ok = write_content(form, from, &text);
	if (ok) {
		crypto_generichash(bytes, sizeof bytes, (const unsigned char *)text.data, text.len, NULL, 0);
		sodium_bin2hex(hash, SENT_HASH_SIZE, bytes, sizeof bytes);
	} else {
		problems_add(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	text_release(&text);
	return ok;
}

bool sent_before(struct act *act, enum sent_noun noun, const char *uuid, const char *hash,
	struct recorded *recorded, struct problems *why)
{
	struct sent kept;
	struct problem trouble = { 0 };

	*recorded = (struct recorded){ 0 };
	if (!store_sent_find(act->store, noun, uuid, &kept, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	*recorded = (struct recorded){ kept.id, kept.id != 0, kept.bond_id };
	if (recorded->already && strcmp(kept.hash, hash) != 0) {
		return problems_add(why, PROBLEM_CONFLICT, "uuid", "Something else is kept under the id %s: "
			"give a new id, and name this one in \"corrects\" if it is a correction.", uuid);
	}
	return true;
}

bool sent_corrects(struct act *act, enum sent_noun noun, const char *corrects, int64_t *id,
	struct problems *why)
{
	struct sent kept;
	struct problem trouble = { 0 };
	bool replaced = false, withdrawn = false;

	*id = 0;
	if (corrects[0] == '\0') {
		return true;
	}
	if (!store_sent_find(act->store, noun, corrects, &kept, &trouble) ||
		(kept.id != 0 && !store_sent_replaced(act->store, noun, kept.id, &replaced, &trouble))) {
		return act_refuse(why, &trouble, NULL);
	}
	*id = kept.id;
	if (kept.id != 0 && !store_withdrawal_of(act->store, noun, kept.id, &withdrawn, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	if (kept.id == 0) {
		return problems_add(why, PROBLEM_VALUE, "corrects",
			"corrects names %s, but nothing is kept under that id.", corrects);
	}
	if (withdrawn) {
		return problems_add(why, PROBLEM_CONFLICT, "corrects",
			"%s was withdrawn: what it should have said is a new entry.", corrects);
	}
	if (replaced) {
		return problems_add(why, PROBLEM_CONFLICT, "corrects",
			"%s was corrected before: correct the later entry instead.", corrects);
	}
	return true;
}

bool sent_at_of_shift(int64_t at_ms, int32_t day, struct problems *why)
{
	char at_text[DAY_TEXT_SIZE], day_text[DAY_TEXT_SIZE];
	int32_t at_day;

	if (at_ms == FORM_NO_INTEGER) {
		return true;
	}
	at_day = clock_day_of(at_ms);
	if (at_day == day || at_day == day + 1) {
		return true;
	}
	day_write(at_day, at_text);
	day_write(day, day_text);
	return problems_add(why, PROBLEM_RULE, "at", "That instant is on %s, and the shift of %s: it must be "
		"of that day or the night after it.", at_text, day_text);
}
