#include "service/import/stated.h"

#include <math.h>
#include <sodium.h>

#include "service/record/ruling.h"

bool import_stated_meter(const struct import_settings *s)
{
	return !isnan(s->meter_percent) || !isnan(s->meter_uohm);
}

bool import_is_stated(const struct import_settings *s)
{
	return import_stated_meter(s) || s->row_meant == ROW_MEANT_BOTH_SEEN;
}

bool import_stated_check(const struct import_kind *kind, const struct import_settings *s,
	struct problems *why)
{
	size_t before = why->count;

	if (kind->what != IMPORT_INSPECTIONS && (import_stated_meter(s) || s->row_meant >= 0)) {
		problems_add(why, PROBLEM_VALUE, "row_meant", "What a row meant, and what was measured "
			"with, is stated of inspections, not of %s.", kind->title);
	}
	if (isnan(s->meter_percent) != isnan(s->meter_uohm)) {
		problems_add(why, PROBLEM_VALUE, isnan(s->meter_percent) ? "meter_percent" : "meter_uohm",
			"State both figures of the meters' uncertainty: in %% of the reading, and in µΩ "
			"added.");
	}
	if (import_is_stated(s) && s->stated_reason == NULL) {
		problems_add(why, PROBLEM_VALUE, "stated_reason", "Give the reason: how it is known what "
			"the log was measured with, or what its rows meant.");
	}
	return why->count == before;
}

/* A word, or the reason why there is none to be had. */
static bool is_seen(const struct inspection_new *form, int seen)
{
	return seen >= 0 && (seen != SEEN_NOT_VISIBLE || form->why_not_seen != NULL);
}

bool import_stated_partly(const struct import_settings *s, struct inspection_new *form)
{
	if ((form->outcome >= 0 && form->outcome != OUTCOME_COMPLETE) ||
		(s->row_meant == ROW_MEANT_BOTH_SEEN && form->seen_a != SEEN_NOT_VISIBLE &&
		form->seen_b != SEEN_NOT_VISIBLE) ||
		(is_seen(form, form->seen_a) && is_seen(form, form->seen_b))) {
		return false;
	}
	form->outcome = OUTCOME_PARTLY;
	return true;
}

bool import_stated_keep(struct act *act, const struct import_settings *s, int64_t import_id,
	int64_t person_id, struct problems *why)
{
	const struct origin origin = act->origin;
	struct recorded recorded = { 0 };
	struct ruling_new form;
	unsigned char id[16];
	bool ok;

	if (!import_stated_meter(s)) {
		return true;
	}
	form_clear(&ruling_form, &form);
	randombytes_buf(id, sizeof id);
	uuid_v8(id, form.uuid);
	form.kind = RULING_STATES_METER;
	form.import_id = import_id;
	form.percent = s->meter_percent;
	form.uohm = s->meter_uohm;
	form.reason = s->stated_reason;
	act->origin.person_id = person_id;
	ok = ruling_record(act, &form, &recorded, why);
	act->origin = origin;
	return ok;
}
