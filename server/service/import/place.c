#include "service/import/place.h"

#include <math.h>
#include <string.h>

#include "base/decimal.h"
#include "base/utf8.h"
#include "rules/place/chainage.h"
#include "rules/place/chainage_units.h"
#include "service/import/unit.h"
#include "service/record/refer.h"

enum { STATED_MOST = 10000, UNSTATED_MOST = 1000 };   /* km or miles */

/* The line, the track and the places of a row. */
struct places {
	const char *line;
	struct { const char *field, *track; const char **text; const char **written; } at[2];
};

static bool find_places(enum import_what what, union run_row *row, struct places *to)
{
	switch (what) {
	case IMPORT_BONDS:
		*to = (struct places){ row->bond.line, { { "a_chainage", row->bond.a.track,
			&row->bond.a.chainage, &row->bond.place_written }, { "b_chainage", row->bond.b.track != NULL ?
			row->bond.b.track : row->bond.a.track, &row->bond.b.chainage } } };
		return true;
	case IMPORT_MAPS:
		*to = (struct places){ row->piece.line, { { "from", row->piece.track, &row->piece.from },
			{ "to", row->piece.track, &row->piece.to } } };
		return true;
	case IMPORT_FAILURES:
		*to = (struct places){ row->failure.of.line, { { "chainage", row->failure.track,
			&row->failure.chainage, &row->failure.place_written } } };
		return true;
	default:
		return false;
	}
}

enum { WRITTEN_SIZE = 61 };

/* The number with its unit, as the file has them: what was made of it can be looked at later. */
static const char *as_written(const struct plan_field *f, const char *text,
	struct form_memory *memory)
{
	const struct unit *unit = unit_of_code(f->member, f->unit);
	bool names_its_own = strspn(text, "+-0123456789., ") != strlen(text);
	char *to = form_alloc(memory, WRITTEN_SIZE);

	if (to != NULL) {
		text_fit(to, WRITTEN_SIZE, "%s%s%s", text, unit != NULL && !names_its_own ? " " : "",
			unit != NULL && !names_its_own ? unit->title : "");
	}
	return to;
}

/* A number in a unit as a chainage of the line. */
static bool convert(struct run *run, const struct plan_field *f, enum notation notation,
	const char **text, const char **written, struct form_memory *memory, struct problems *wrong)
{
	const char *as_it_is = as_written(f, *text, memory);
	char decimal = run->plan.reading.decimal;
	struct text metres = { 0 };
	struct problem one = { 0 };
	struct chainage label;
	char *made = form_alloc(memory, CHAINAGE_TEXT_SIZE);
	double value_m = NAN;
	bool ok;

	if (made == NULL || as_it_is == NULL) {
		return problems_add(wrong, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	ok = unit_convert(f->member, f->unit, *text, strlen(*text), decimal, &metres, &one) ||
		act_refuse(wrong, &one, f->member->name);
	if (ok && (metres.failed || !decimal_read(metres.data, metres.len, decimal, &value_m) ||
		fabs(value_m) * 1000 > (double)CHAINAGE_LIMIT_MM)) {
		ok = problems_add(wrong, PROBLEM_VALUE, f->member->name, "\"%.*s\" is no number with '%c' "
			"as its decimal mark, and its column is in a unit of length.",
			(int)utf8_fit(*text, strlen(*text), 40), *text, decimal);
	}
	text_release(&metres);
	if (ok) {
		label = chainage_of_value(llround(value_m * 1000), notation);
		chainage_write_label(&label, notation, made, CHAINAGE_TEXT_SIZE);
		*text = made;
	}
	if (ok && written != NULL) {
		*written = as_it_is;
	}
	return ok;
}

static int64_t post_mm(enum notation notation)
{
	return mile_part_of(notation) != NULL ? MILE_MM : INT64_C(1000000);
}

/* Whether the map of a place's own track says how long the line is there. */
static bool is_mapped(struct run *run, int64_t line_id, const char *track, bool *it_is,
	struct problems *wrong)
{
	struct problem trouble = { 0 };
	struct problems ignored = { 0 };
	const struct line_map *map;
	int64_t track_id = 0;

	refer_track(run->act, line_id, track, "track", &track_id, &ignored);
	map = store_map_get(run->act->store, line_id, track_id, &trouble);
	*it_is = map != NULL && map->count > 0;
	return map != NULL || act_refuse(wrong, &trouble, NULL);
}

/* Without four digits in a row nothing is a thousand of anything. */
static bool has_thousands(const char *text)
{
	size_t digits = 0;

	for (; *text != '\0' && digits < 4; text++) {
		digits = *text >= '0' && *text <= '9' ? digits + 1 : 0;
	}
	return digits == 4;
}

/* False: the place is farther out than any line is counted. */
static bool is_near(struct run *run, int64_t line_id, enum notation notation,
	const struct plan_field *f, const char *track, const char *text, struct problems *wrong)
{
	int64_t most = (f->unit != NULL ? STATED_MOST : UNSTATED_MOST) * post_mm(notation), value_mm;
	struct problem one = { 0 };
	struct chainage label = { 0 };
	bool mapped;

	if (!has_thousands(text) || !chainage_parse(text, strlen(text), notation, &label, &one)) {
		return true;   /* who reads it says what is wrong */
	}
	value_mm = label.post_mm + label.offset_mm;
	if (value_mm <= most && value_mm >= -most) {
		return true;
	}
	if (!is_mapped(run, line_id, track, &mapped, wrong)) {
		return false;
	}
	return mapped || problems_add(wrong, PROBLEM_CHAINAGE_OUTSIDE, f->member->name,
		"\"%.*s\" would be %lld %s from the line's zero, farther than a line is long%s.",
		(int)utf8_fit(text, strlen(text), 40), text, (long long)(value_mm / post_mm(notation)),
		post_mm(notation) == MILE_MM ? "miles" : "km", f->unit != NULL ? "" :
		": say in which unit the column is");
}

/* The line of a row is mostly that of the row before. */
static bool find_line(struct run *run, const char *code)
{
	struct problems ignored = { 0 };

	if (run->line_id == 0 || strcmp(run->line_code, code) != 0) {
		run->line_id = 0;
		text_fit(run->line_code, sizeof run->line_code, "%s", code);
		return refer_line(run->act, code, "line", &run->line_id, &ignored);
	}
	return true;
}

bool import_places(struct run *run, union run_row *row, struct form_memory *memory,
	struct problems *wrong)
{
	struct places places;
	struct problem trouble = { 0 };
	const struct line_map *map;
	enum notation notation;
	bool ok = true;

	if (!find_places(run->request->kind->what, row, &places) || places.line == NULL ||
		!find_line(run, places.line)) {
		return true;   /* who looks for the line says that there is none */
	}
	map = store_map_get(run->act->store, run->line_id, 0, &trouble);
	if (map == NULL) {
		return act_refuse(wrong, &trouble, NULL);
	}
	notation = map->notation;
	for (size_t i = 0; ok && i < 2 && places.at[i].field != NULL; i++) {
		const struct plan_field *f = import_plan_field(&run->plan, places.at[i].field);
		const char **text = places.at[i].text;

		if (f != NULL && *text != NULL && import_plan_is_of_file(f)) {
			ok = (f->unit == NULL || strcmp(f->unit, UNIT_LINE) == 0 ||
				convert(run, f, notation, text, places.at[i].written, memory, wrong)) &&
				is_near(run, run->line_id, notation, f, places.at[i].track, *text, wrong);
		}
	}
	return ok;
}
