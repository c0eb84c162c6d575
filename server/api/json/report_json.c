#include "api/json/report_json.h"

#include <string.h>

#include "api/json.h"
#include "base/day.h"
#include "encode/encode.h"
#include "service/report/report.h"
#include "store/record/correction.h"
#include "store/record/failure.h"

static const struct list_filter filters[] = {
	{ "day", "The day; today when not sent", FILTER_DAY },
	{ "lines", "Lines, by code; every line when not sent", FILTER_TEXTS },
	{ "progress", "A UUID made by the sender, to ask how far it is: /api/progress/UUID", FILTER_TEXT },
};
static const struct list_sort sorts[] = { { "place", "by line", { NULL } } };
const struct list report_query = {
	.name = "report", .title = "Report", .filters = filters,
	.n_filters = sizeof filters / sizeof filters[0], .sorts = sorts, .n_sorts = 1,
};

/* One report on its way out. */
struct writing {
	struct view *view;
	struct report *report;
	const char *lines;            /* as they were sent; "": every line */
	struct text *to;
	struct problem *why;
};

/* Begins the address of a list, with the lines of the report or the one line of a figure. */
static void add_list(struct json *j, const char *name, const char *list, const char *lines)
{
	json_name(j, name);
	text_addf(j->to, "\"/api/%s?", list);
	if (*lines != '\0') {
		text_add_z(j->to, "lines=");
		text_add_query(j->to, lines);
		text_add_char(j->to, '&');
	}
}

static void add_list_day(struct json *j, const char *name, int32_t day)
{
	char text[DAY_TEXT_SIZE];

	day_write(day, text);
	text_addf(j->to, "%s=%s", name, text);
}

static void add_months(const struct writing *w, struct json *j)
{
	struct json part;

	json_name(j, "on_time");
	part = json_begin(j->to);
	json_text(&part, "rule", "Complete inspections by the month in which they were made. One is on "
		"time when it was made on or before the last day of grace of the inspection that was due "
		"then, as the due list showed it the day before, shortened intervals and all. One that was "
		"put off then is counted as deferred. A commissioning, a visit after a failure, and the "
		"first "
		"inspection of a bond whose installation day is not known, are not judged. Not done are "
		"inspections whose last day of grace was in the month and that were still overdue on the "
		"report's day.");
	json_name(&part, "months");
	for (int i = 0; i < REPORT_MONTHS; i++) {
		const struct report_month *m = &w->report->month[i];
		struct json row;

		text_add_z(j->to, i == 0 ? "[" : ",");
		row = json_begin(j->to);
		json_day(&row, "from", m->from_day);
		json_day(&row, "to", m->to_day);
		json_integer(&row, "on_time", m->on_time);
		json_integer(&row, "late", m->late);
		json_integer(&row, "not_judged", m->not_judged);
		json_integer(&row, "deferred", m->deferred);
		add_list(&row, "list", "timeliness", w->lines);
		add_list_day(&row, "from", m->from_day);
		add_list_day(&row, "&to", m->to_day);
		text_add_char(j->to, '"');
		json_integer(&row, "not_done", m->not_done);
		add_list(&row, "not_done_list", "bond-states", w->lines);
		add_list_day(&row, "day", w->report->day);
		add_list_day(&row, "&what=inspection&state=overdue&last_from", m->from_day);
		add_list_day(&row, "&last_to", m->to_day);
		text_add_char(j->to, '"');
		json_end(&row);
	}
	text_add_char(j->to, ']');
	json_end(&part);
}

static void add_bands(struct json *j)
{
	json_name(j, "bands");
	for (int b = 0; b < REPORT_BANDS; b++) {
		struct json band;

		text_add_z(j->to, b == 0 ? "[" : ",");
		band = json_begin(j->to);
		json_integer(&band, "from_days", report_bands[b].from_days);
		if (report_bands[b].to_days == INT32_MAX) {
			json_text(&band, "to_days", NULL);
		} else {
			json_integer(&band, "to_days", report_bands[b].to_days);
		}
		json_end(&band);
	}
	text_add_char(j->to, ']');
}

static void add_what(struct json *j, const char *name, const struct report_what *what)
{
	struct json part;

	json_name(j, name);
	part = json_begin(j->to);
	json_integer(&part, "overdue", what->overdue);
	json_name(&part, "by_band");
	for (int b = 0; b < REPORT_BANDS; b++) {
		text_addf(j->to, "%s%lld", b == 0 ? "[" : ",", (long long)what->by_band[b]);
	}
	text_add_char(j->to, ']');
	json_day(&part, "oldest_due_day", what->oldest_due_day);
	json_integer(&part, "deferred", what->deferred);
	json_end(&part);
}

static void add_due(const struct writing *w, const struct report_line *line, int kind,
	int criticality, const struct report_due *due, struct text *to)
{
	struct json j = json_begin(to);

	json_integer(&j, "line_id", line->id);
	json_text(&j, "line", line->code);
	json_word(&j, "kind", &bond_kind_words, kind);
	json_word(&j, "criticality", &criticality_words, criticality);
	json_integer(&j, "bonds", due->bonds);
	json_integer(&j, "overdue", due->overdue);
	json_integer(&j, "deferred", due->deferred);
	add_what(&j, "inspections", &due->of[DUE_INSPECTION]);
	add_what(&j, "mendings", &due->of[DUE_MENDING]);
	add_list(&j, "list", "bond-states", line->code);
	add_list_day(&j, "day", w->report->day);
	text_addf(to, "&kind=%s&criticality=%s\"", bond_kind_words.code[kind],
		criticality_words.code[criticality]);
	json_end(&j);
}

/* By line, kind and criticality: those that have bonds in service. */
static void add_states(const struct writing *w, struct json *j)
{
	const char *joint = "";
	struct json part;

	json_name(j, "overdue");
	part = json_begin(j->to);
	json_text(&part, "rule", "Bonds that were in service on the day and whose days of grace were "
		"over, inspections and mendings apart: a bond that is to be mended and was inspected "
		"lately "
		"counts under mendings alone, one of which both are overdue under both, and once as a "
		"bond. "
		"Inspections by the days since they were due. Deferred are those with a deferral that "
		"still "
		"held. Counted from the record until that day, with the rulebook that held then, and each "
		"bond's kind and criticality as they are registered now.");
	add_bands(&part);
	json_name(&part, "groups");
	text_add_char(j->to, '[');
	for (size_t i = 0; i < w->report->lines.count; i++) {
		for (int k = 0; k < RULEBOOK_KINDS; k++) {
			for (int c = 0; c < RULEBOOK_CRITICALITIES; c++) {
				const struct report_due *due = &w->report->of_line[i].due[k][c];

				if (due->bonds > 0) {
					text_add_z(j->to, joint);
					add_due(w, &w->report->lines.line[i], k, c, due, j->to);
					joint = ",";
				}
			}
		}
	}
	text_add_char(j->to, ']');
	add_list(&part, "list", "bond-states", w->lines);
	add_list_day(&part, "day", w->report->day);
	text_add_char(j->to, '"');
	json_end(&part);
}

/* The worst first, 1,000 at most, as the list of them has it. */
static bool add_places(const struct writing *w, struct json *j)
{
	const struct query_pair pairs[] = { { "lines", w->lines }, { "limit", "1000" } };
	struct problems wrong = { 0 };
	struct list_query q;
	struct table table;
	struct list_run *run = NULL;
	struct json part;
	int64_t count = 0;               /* of the one total that the list has */
	size_t rows;
	bool ok = view_list_query(w->view, &repeat_list, pairs, 2, &q, &wrong);

	json_name(j, "repeat_places");
	part = json_begin(j->to);
	json_day(&part, "as_of", w->view->today);
	add_list(&part, "list", "repeat-places", w->lines);
	text_add_char(j->to, '"');
	json_name(&part, "rows");
	text_add_char(j->to, '[');
	run = ok ? list_open(w->view->store, &q, &table, w->why) : NULL;
	ok = run != NULL && encode_json_rows(&table, j->to, &rows, w->why) &&
		list_totals(w->view->store, &q, &count, w->why);
	text_add_char(j->to, ']');
	json_integer(&part, "count", count);
	json_flag(&part, "more", ok && list_has_more(run));
	json_end(&part);
	list_close(run);
	return ok;
}

/* Those that wait for an engineer first; 100 at most. */
static bool add_better(const struct writing *w, struct json *j)
{
	const struct query_pair pairs[] = { { "lines", w->lines }, { "limit", "100" } };
	struct problems wrong = { 0 };
	struct list_query q;
	struct table table;
	struct list_run *run = NULL;
	struct json part;
	int64_t count[2] = { 0 };        /* that wait, that count */
	size_t rows;
	bool ok = view_list_query(w->view, &better_list, pairs, 2, &q, &wrong);

	json_name(j, "better_by_correction");
	part = json_begin(j->to);
	json_day(&part, "as_of", w->view->today);
	add_list(&part, "list", "better-by-correction", w->lines);
	text_add_char(j->to, '"');
	json_name(&part, "rows");
	text_add_char(j->to, '[');
	run = ok ? list_open(w->view->store, &q, &table, w->why) : NULL;
	ok = run != NULL && encode_json_rows(&table, j->to, &rows, w->why) &&
		list_totals(w->view->store, &q, count, w->why);
	text_add_char(j->to, ']');
	json_integer(&part, "waiting", count[0]);
	json_integer(&part, "count", count[0] + count[1]);
	json_end(&part);
	list_close(run);
	return ok;
}

/* Bonds with readings that waited for an answer on the day. */
static void add_asked(const struct writing *w, struct json *j)
{
	struct json part;
	int64_t bonds = 0;

	for (size_t i = 0; i < w->report->lines.count; i++) {
		bonds += w->report->of_line[i].asked;
	}
	json_name(j, "asked");
	part = json_begin(j->to);
	json_integer(&part, "bonds", bonds);
	add_list(&part, "list", "bond-states", w->lines);
	add_list_day(&part, "day", w->report->day);
	text_add_z(j->to, "&asked=yes\"");
	json_end(&part);
}

static void add_unsurveyed(const struct writing *w, struct json *j)
{
	const char *joint = "";
	struct json part;

	json_name(j, "unsurveyed");
	part = json_begin(j->to);
	json_day(&part, "as_of", w->view->today);
	json_name(&part, "rows");
	text_add_char(j->to, '[');
	for (size_t i = 0; i < w->report->lines.count; i++) {
		struct json row;

		text_add_z(j->to, joint);
		joint = ",";
		row = json_begin(j->to);
		json_text(&row, "line", w->report->lines.line[i].code);
		json_integer(&row, "bonds", w->report->of_line[i].unsurveyed);
		add_list(&row, "list", "bonds", w->report->lines.line[i].code);
		text_add_z(j->to, "surveyed=no&status=in_service\"");
		json_end(&row);
	}
	text_add_char(j->to, ']');
	json_end(&part);
}

static void add_odd(const struct writing *w, struct json *j)
{
	const char *joint = "";
	struct json part;

	json_name(j, "odd");
	part = json_begin(j->to);
	json_day(&part, "as_of", w->view->today);
	add_list(&part, "list", "odd-data", w->lines);
	text_add_char(j->to, '"');
	json_name(&part, "rows");
	text_add_char(j->to, '[');
	for (size_t i = 0; i < w->report->lines.count; i++) {
		for (int what = 0; what < ODDS; what++) {
			struct json row;

			if (w->report->of_line[i].odd[what] == 0) {
				continue;
			}
			text_add_z(j->to, joint);
			joint = ",";
			row = json_begin(j->to);
			json_text(&row, "line", w->report->lines.line[i].code);
			json_word(&row, "what", &odd_words, what);
			json_integer(&row, "count", w->report->of_line[i].odd[what]);
			add_list(&row, "list", "odd-data", w->report->lines.line[i].code);
			text_addf(j->to, "what=%s\"", odd_words.code[what]);
			json_end(&row);
		}
	}
	text_add_char(j->to, ']');
	json_end(&part);
}

static void add_head(const struct writing *w, struct json *j)
{
	json_day(j, "day", w->report->day);
	json_day(j, "today", w->view->today);
	json_integer(j, "rulebook", w->report->rulebook->version);
	json_day(j, "rulebook_from", w->report->rulebook->from_day);
	json_flag(j, "every_line", *w->lines == '\0');
	json_name(j, "lines");
	for (size_t i = 0; i < w->report->lines.count; i++) {
		struct json line;

		text_add_z(j->to, i == 0 ? "[" : ",");
		line = json_begin(j->to);
		json_integer(&line, "id", w->report->lines.line[i].id);
		json_text(&line, "code", w->report->lines.line[i].code);
		json_text(&line, "name", w->report->lines.line[i].name);
		json_end(&line);
	}
	text_add_z(j->to, w->report->lines.count == 0 ? "[]" : "]");
}

static bool write_report(const struct writing *w)
{
	struct json j = json_begin(w->to);

	add_head(w, &j);
	add_months(w, &j);
	add_states(w, &j);
	add_asked(w, &j);
	if (!add_better(w, &j) || !add_places(w, &j)) {
		return false;
	}
	add_unsurveyed(w, &j);
	add_odd(w, &j);
	json_end(&j);
	return !w->to->failed || problem_set(w->why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
}

bool report_json(struct view *view, const struct query_pair *pairs, size_t count,
	struct progress *progress, struct text *to, struct problems *why)
{
	struct list_query q;
	struct report report = { 0 };
	struct problem one = { 0 };
	struct writing w = { view, &report, "", to, &one };
	int32_t day;
	bool ok;

	if (!view_list_query(view, &report_query, pairs, count, &q, why)) {
		return false;
	}
	w.lines = list_given(&q, "lines") != NULL ? list_given(&q, "lines") : "";
	day = list_given_day(&q, "day", view->today);
	if (day > view->today) {
		return problems_add(why, PROBLEM_VALUE, "day", "day must not be after today.");
	}
	ok = report_make(view, w.lines, day, progress, &report, &one) && write_report(&w);
	report_release(&report);
	return ok || problems_take(why, &one);
}
