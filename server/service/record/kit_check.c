#include "service/record/kit_check.h"

#include "rules/plausible.h"
#include "service/record/doer.h"
#include "service/record/record_sent.h"
#include "service/record/sent.h"
#include "store/record/work.h"

static bool find_kit(struct act *act, const char *code, int64_t *kit_id, struct problems *why)
{
	struct problem trouble = { 0 };

	if (!store_kit_find(act->store, code, kit_id, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	return *kit_id != 0 || problems_add(why, PROBLEM_VALUE, "kit",
		"There is no kit %.60s: register it first.", code);
}

/* A correction is of the same kit: else that one would lose its check. */
static bool check_corrected(struct act *act, int64_t replaces_id, int64_t kit_id,
	struct problems *why)
{
	struct problem trouble = { 0 };
	int64_t former = kit_id;

	if (replaces_id != 0 && !store_kit_check_kit(act->store, replaces_id, &former, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	return former == kit_id || problems_add(why, PROBLEM_RULE, "corrects",
		"That was a check of another kit: a correction is of the same kit.");
}

static bool all_good(const struct kit_check *check)
{
	for (int i = 0; i < KIT_PARTS; i++) {
		if (check->part[i] != KIT_GOOD) {
			return false;
		}
	}
	return true;
}

static bool check_kit(struct act *act, const void *sent, struct record_row *row,
	struct problems *why)
{
	const struct kit_check *check = sent;
	enum sent_from from = sent_from(act, check->sent_from);
	const char *name = NULL;
	int64_t kit_id, person_id = 0;
	size_t before = why->count;

	plausible_kit_check(check->checked_day, act->view->today, from, why);
	doer_read(act, check->checked_by, &person_id, &name, why);
	if (find_kit(act, check->kit, &kit_id, why)) {
		check_corrected(act, row->replaces_id, kit_id, why);
	}
	if (why->count > before) {
		return false;
	}
	record_row_integer(row, "kit_id", kit_id);
	record_row_integer(row, "passed", all_good(check));
	record_row_doer(row, person_id, name);
	return true;
}

bool kit_check_record(struct act *act, const struct kit_check *check, struct recorded *recorded,
	struct problems *why)
{
	return record_sent(act, &kit_check_kind, check, check_kit, recorded, why);
}
