#include "rules/judge/deferral.h"

#include "rules/sentence.h"
#include "rules/terms.h"

uint64_t deferral_unnamed(uint64_t named, const struct act_item *items, size_t count)
{
	uint64_t there = 0;

	for (size_t i = 0; i < count; i++) {
		there |= (uint64_t)1 << items[i].key;
	}
	return there & ~named;
}

static uint64_t named_by(const struct deferral_fact *deferral, const struct act_item *items,
	size_t count)
{
	uint64_t named = 0;

	if (deferral->says_named) {
		return deferral->named;
	}
	for (size_t i = 0; i < count; i++) {
		if (items[i].arrived_at_ms <= deferral->decided_at_ms) {
			named |= (uint64_t)1 << items[i].key;
		}
	}
	return named;
}

bool deferral_holds(const struct deferral_fact *deferral, const struct act_item *items,
	size_t count, int64_t last_complete_ms)
{
	uint64_t named = named_by(deferral, items, count);

	if (deferral->id == 0 || last_complete_ms > deferral->decided_at_ms) {
		return false;
	}
	for (size_t i = 0; i < count; i++) {
		if (items[i].again_at_ms >= deferral->decided_at_ms &&
			(named >> items[i].key & 1) == 0) {
			return false;
		}
	}
	return true;
}

int act_key_quantity(enum act_key key)
{
	return key < ACT_OPEN_CIRCUIT ? (int)(key - ACT_OVER) :
		key < ACT_STRENGTH ? (int)(key - ACT_OPEN_CIRCUIT) : -1;
}

static void add_end(struct sentence *s, const struct end_words *ends, int end)
{
	sentence_add(s, ends != NULL ? ends->brief[end] : end == END_A ? "end A" : "end B");
}

static void add_of_end(struct sentence *s, const char *what, const struct end_words *ends, int end)
{
	sentence_add(s, what);
	sentence_add(s, " at ");
	add_end(s, ends, end);
}

static void add_quantity(struct sentence *s, const struct end_words *ends, enum quantity quantity)
{
	if (quantity_is_of_end(quantity)) {
		add_of_end(s, "contact", ends, quantity == QUANTITY_CONTACT_A ? END_A : END_B);
	} else {
		sentence_add(s, quantity_words.title[quantity]);
	}
}

static void add_failure(struct sentence *s, const struct end_words *ends, int which)
{
	sentence_add(s, "failure: ");
	sentence_add(s, failure_mode_words.title[which / 3]);
	if (which % 3 != 0) {
		sentence_add(s, ", ");
		add_end(s, ends, which % 3 - 1);
	}
}

void act_key_words(enum act_key key, const struct end_words *ends, char *to, size_t size)
{
	struct sentence s;

	sentence_begin(&s, to, size);
	if (key < ACT_OPEN_CIRCUIT) {
		add_quantity(&s, ends, (enum quantity)(key - ACT_OVER));
		sentence_add(&s, " over its limit");
	} else if (key < ACT_STRENGTH) {
		add_quantity(&s, ends, (enum quantity)(key - ACT_OPEN_CIRCUIT));
		sentence_add(&s, ": open circuit");
	} else if (key < ACT_DEFECT) {
		add_of_end(&s, "failed strength test", ends, (int)(key - ACT_STRENGTH));
	} else if (key < ACT_CABLE_LOST) {
		add_of_end(&s, "critical defect", ends, (int)(key - ACT_DEFECT));
	} else if (key == ACT_CABLE_LOST) {
		sentence_add(&s, "a cable is not whole");
	} else if (key < ACT_NOT_PROVED) {
		add_of_end(&s, "not attached", ends, (int)(key - ACT_NOT_ATTACHED));
	} else if (key == ACT_NOT_PROVED) {
		sentence_add(&s, "made good, and not proved since");
	} else if (key < ACT_ASKED) {
		add_failure(&s, ends, (int)(key - ACT_FAILURE));
	} else {
		add_quantity(&s, ends, (enum quantity)(key - ACT_ASKED));
		sentence_add(&s, ": a reading that waits for an answer would be over its limit");
	}
}
