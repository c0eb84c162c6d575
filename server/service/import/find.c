#include "service/import/find.h"

#include <math.h>
#include <stdarg.h>

#include "base/utf8.h"
#include "rules/judge/asked.h"

bool import_find_begin(struct run *run)
{
	struct problem trouble = { 0 };

	return run->request->kind->what != IMPORT_INSPECTIONS ||
		store_inspection_last(run->act->store, &run->last_inspection, &trouble) ||
		act_refuse(run->why, &trouble, NULL);
}

void import_find_day(struct run *run, const union run_row *row)
{
	for (const struct member *m = run->plan.fields.members; m->name != NULL; m++) {
		if (m->type == MEMBER_DAY && !form_is_absent(m, row) &&
			*(const int32_t *)(const void *)((const char *)row + m->offset) >
				run->act->view->today) {
			run->to_come++;
			return;
		}
	}
}

static void add(struct import_result *result, const char *what, size_t count, const char *format,
	...) __attribute__((format(printf, 4, 5)));
static void add(struct import_result *result, const char *what, size_t count, const char *format,
	...)
{
	struct import_finding *f = &result->findings[result->n_findings];
	va_list args;

	if (count > 0 && result->n_findings < IMPORT_FINDINGS) {
		f->what = what;
		f->count = count;
		va_start(args, format);
		text_fit_va(f->sentence, sizeof f->sentence, format, args);
		va_end(args);
		result->n_findings++;
	}
}

static const char *s(size_t count)
{
	return count == 1 ? "" : "s";
}

static void add_readings(struct run *run, const struct readings_since *r)
{
	struct import_result *result = run->result;
	bool is_stated = !isnan(run->request->settings->meter_percent);

	add(result, "far_below", r->far_below, "%zu reading%s far below what the cable alone, or a "
		"good contact, can have. Is the unit of the column right?", r->far_below,
		r->far_below == 1 ? " lies" : "s lie");
	add(result, "asked", r->asked, "%zu reading%s can hardly be right, and %s until a further one "
		"or a correction answers: asked before judged.", r->asked, s(r->asked),
		r->asked == 1 ? "waits" : "wait");
	add(result, "no_meter", is_stated ? 0 : r->without_meter, "%zu reading%s no instrument, and "
		"prove%s nothing until an engineer has stated what the file was measured with.",
		r->without_meter, r->without_meter == 1 ? " names" : "s name",
		r->without_meter == 1 ? "s" : "");
}

bool import_find_count(struct run *run)
{
	struct readings_since since = { 0 };
	struct problem trouble = { 0 };

	if (run->request->kind->what != IMPORT_INSPECTIONS) {
		return true;
	}
	if (!store_readings_since(run->act->store, run->last_inspection, 1u << ASKED_FAR_BELOW, &since,
		&trouble)) {
		return act_refuse(run->why, &trouble, NULL);
	}
	run->since.asked += since.asked;
	run->since.far_below += since.far_below;
	run->since.without_meter += since.without_meter;
	return true;
}

void import_find_tell(struct run *run)
{
	struct import_result *result = run->result;

	add(result, "beyond", run->beyond, "%zu row%s beyond the length of the line.", run->beyond,
		run->beyond == 1 ? " lies" : "s lie");
	add(result, "to_come", run->to_come, "%zu row%s a day that is to come.", run->to_come,
		run->to_come == 1 ? " has" : "s have");
	add_readings(run, &run->since);
	add(result, "partly", run->partly, "%zu visit%s in as done in part, and move%s no due day: the "
		"file has no word for each end, and no engineer stated that its rows mean that both were "
		"seen.", run->partly, run->partly == 1 ? " comes" : "s come", run->partly == 1 ? "s" : "");
}
