/* The strip of a line: a stretch of it, as single bonds or as counts, with what is drawn beside. */
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "api/json.h"
#include "api/rights.h"
#include "api/routes.h"
#include "api/views.h"
#include "encode/encode.h"
#include "rules/place/chainage.h"
#include "rules/place/line_marks.h"
#include "store/lists/strip.h"

enum {
	STRETCHES = 60, STRETCHES_MOST = 400,
	BONDS_PER_STRETCH = 3,      /* single bonds while there are no more on the average, */
	BONDS_MOST = 400,           /* and no more at all */
	STRETCHES_PER_TICK = 4,
	GRAINS = 100,               /* the ends of a view are told to its hundredth */
	TICKS_MOST = STRETCHES_MOST
};

/* What is asked about, and what is drawn of it: from_mm to to_mm, in stretches of step_mm. */
struct strip_view {
	int64_t line_id;
	int64_t asked_from_mm, asked_to_mm;
	int64_t from_mm, to_mm, step_mm;
	int64_t stretches;
	int64_t line_from_mm, line_to_mm;
	char words[3][24];          /* line, from and to as a query has them */
};

static bool read_number(const struct request *req, const char *name, int64_t least, int64_t most,
	int64_t *to, struct problems *why)
{
	const char *text = request_query(req, name);
	char *end;
	int64_t number;

	if (text == NULL || *text == '\0') {
		return true;
	}
	errno = 0;
	number = strtoll(text, &end, 10);
	if (errno != 0 || *end != '\0' || number < least || number > most) {
		return problems_add(why, PROBLEM_VALUE, name,
			"%s must be a whole number from %lld to %lld, not %.40s.", name, (long long)least,
			(long long)most, text);
	}
	*to = number;
	return true;
}

static int64_t round_down(int64_t mm, int64_t step_mm)
{
	int64_t rest = mm % step_mm;

	return mm - rest - (rest < 0 ? step_mm : 0);
}

/* Where nothing is asked for, the whole line; then outwards to whole stretches. */
static bool read_view(const struct request *req, struct strip_view *v, struct problems *why)
{
	struct problem one = { 0 };
	struct line line;
	int64_t more_mm = 0;
	bool ok;

	*v = (struct strip_view){ .stretches = STRETCHES };
	if (!request_id(req, 0, &v->line_id, &one) ||
		!store_line_get(view_of(req)->store, v->line_id, &line, &one) ||
		!store_line_extent(view_of(req)->store, v->line_id, &v->line_from_mm, &v->line_to_mm,
		&one)) {
		return problems_take(why, &one);
	}
	if (v->line_from_mm > v->line_to_mm) {
		v->line_from_mm = v->line_to_mm = 0;
	}
	v->asked_from_mm = v->line_from_mm;
	v->asked_to_mm = v->line_to_mm;
	ok = read_number(req, "from_mm", -CHAINAGE_LIMIT_MM, CHAINAGE_LIMIT_MM, &v->asked_from_mm,
		why);
	ok = read_number(req, "to_mm", -CHAINAGE_LIMIT_MM, CHAINAGE_LIMIT_MM, &v->asked_to_mm, why) &&
		ok;
	ok = read_number(req, "more_mm", 0, CHAINAGE_LIMIT_MM, &more_mm, why) && ok;
	ok = read_number(req, "buckets", 1, STRETCHES_MOST, &v->stretches, why) && ok;
	if (!ok) {
		return false;
	}
	if (v->asked_from_mm > v->asked_to_mm) {
		return problems_add(why, PROBLEM_VALUE, "to_mm", "to_mm must not be less than from_mm.");
	}
	v->from_mm = v->asked_from_mm - more_mm;
	v->to_mm = v->asked_to_mm + more_mm;
	v->step_mm = round_step((v->to_mm - v->from_mm + v->stretches - 1) / v->stretches);
	v->from_mm = round_down(v->from_mm, v->step_mm);
	v->to_mm = round_down(v->to_mm, v->step_mm) + v->step_mm;
	return true;
}

/* The due list's filters as they were sent, with the line and the view. The texts are the request's
 * and the view's. */
static bool read_filters(const struct request *req, struct strip_view *v, struct list_query *q,
	struct problems *why)
{
	static const char *const names[] = { "line", "from_mm", "to_mm" };
	const int64_t values[] = { v->line_id, v->from_mm, v->to_mm - 1 };
	struct query_pair pairs[REQUEST_QUERY + 4] = { { "sort", "place" } };
	size_t n = 1;

	for (size_t i = 0; i < 3; i++) {
		snprintf(v->words[i], sizeof v->words[i], "%lld", (long long)values[i]);
		pairs[n++] = (struct query_pair){ names[i], v->words[i] };
	}
	for (size_t i = 0; i < req->query_count; i++) {
		const char *name = req->query[i].name;

		if (strcmp(name, "from_mm") != 0 && strcmp(name, "to_mm") != 0 &&
			strcmp(name, "more_mm") != 0 && strcmp(name, "buckets") != 0) {
			pairs[n++] = req->query[i];
		}
	}
	if (!view_list_query(view_of(req), &strip_list, pairs, n, q, why)) {
		return false;
	}
	q->limit = v->stretches * BONDS_PER_STRETCH < BONDS_MOST ?
		(size_t)v->stretches * BONDS_PER_STRETCH : BONDS_MOST;
	q->has_after = false;
	return true;
}

static void add_tracks(const struct line_track *tracks, size_t count, struct text *body)
{
	text_add_z(body, "[");
	for (size_t i = 0; i < count; i++) {
		struct json j;

		text_add_z(body, i > 0 ? "," : "");
		j = json_begin(body);
		json_integer(&j, "id", tracks[i].track.id);
		json_text(&j, "name", tracks[i].track.name);
		json_text(&j, "left_label", tracks[i].track.left_label);
		json_text(&j, "right_label", tracks[i].track.right_label);
		json_flag(&j, "own_map", tracks[i].own_map);
		json_end(&j);
	}
	text_add_char(body, ']');
}

/* {"mm", "text"} of a place on the map; nothing of one off it. */
static void add_mark(const struct line_map *map, int64_t mm, const char **joint, struct text *body)
{
	char text[CHAINAGE_TEXT_SIZE];

	if (chainage_write(mm, map, text, sizeof text) > 0) {
		text_addf(body, "%s{\"mm\":%lld,\"text\":\"%s\"}", *joint, (long long)mm, text);
		*joint = ",";
	}
}

static void add_breaks(const struct line_map *map, struct text *body)
{
	struct line_break breaks[LINE_MAP_MOST];
	size_t count = line_map_breaks(map, breaks, LINE_MAP_MOST);

	for (size_t i = 0; i < count && i < LINE_MAP_MOST; i++) {
		char text[CHAINAGE_TEXT_SIZE];
		struct json j;

		text_add_z(body, i > 0 ? "," : "");
		j = json_begin(body);
		json_integer(&j, "mm", breaks[i].distance_mm);
		chainage_write_label(&breaks[i].before, map->notation, text, sizeof text);
		json_text(&j, "before", text);
		chainage_write_label(&breaks[i].after, map->notation, text, sizeof text);
		json_text(&j, "after", text);
		json_integer(&j, "jump_mm", breaks[i].jump_mm);
		json_end(&j);
	}
}

/* The place, or the end of the line that it lies beyond. */
static int64_t on_line(const struct strip_view *v, int64_t mm)
{
	return mm < v->line_from_mm ? v->line_from_mm : mm > v->line_to_mm ? v->line_to_mm : mm;
}

/* A place as people would say it: at the nearest round chainage, when one is within the grain. */
static int64_t said_at(const struct line_map *map, int64_t mm, int64_t grain_mm)
{
	int64_t ticks[8];
	size_t count = line_map_ticks(map, mm - 2 * grain_mm, mm + 2 * grain_mm, grain_mm, ticks, 8);
	int64_t best = mm;

	for (size_t i = 0; i < count; i++) {
		best = i == 0 || llabs(ticks[i] - mm) < llabs(best - mm) ? ticks[i] : best;
	}
	return best;
}

static void add_edges(const struct line_map *map, const struct strip_view *v, struct text *body)
{
	/* stretches are round in metres: in miles their edges are not */
	int64_t grain_mm = map->notation >= NOTATION_MILES_CHAINS ? v->step_mm / GRAINS : 0;
	const char *joint = "";

	for (int64_t mm = v->from_mm; mm <= v->to_mm; mm += v->step_mm) {
		if (llabs(on_line(v, mm) - mm) < v->step_mm) {
			char text[CHAINAGE_TEXT_SIZE];
			int64_t said = grain_mm > 0 ? said_at(map, on_line(v, mm), grain_mm) : on_line(v, mm);

			if (chainage_write(said, map, text, sizeof text) > 0) {
				text_addf(body, "%s{\"mm\":%lld,\"text\":\"%s\"}", joint, (long long)mm, text);
				joint = ",";
			}
		}
	}
}

/* How chainage runs along a track (0: along those that have no map of their own): round chainages
 * for the ticks, the edges of the stretches, the ends of what
 * was asked about, and all jumps of the map. */
static bool add_axis(const struct request *req, const struct strip_view *v, int64_t track_id,
	struct text *body, struct problem *why)
{
	const struct line_map *map = store_map_get(view_of(req)->store, v->line_id, track_id, why);
	int64_t grain_mm = (v->asked_to_mm - v->asked_from_mm) / GRAINS + 1;
	int64_t ticks[TICKS_MOST];
	const char *joint = "";
	size_t count;

	if (map == NULL) {
		return false;
	}
	count = line_map_ticks(map, v->from_mm, v->to_mm, v->step_mm * STRETCHES_PER_TICK, ticks,
		TICKS_MOST);
	text_add_z(body, "{\"track_id\":");
	text_addf(body, track_id != 0 ? "%lld" : "null", (long long)track_id);
	text_add_z(body, ",\"ticks\":[");
	for (size_t i = 0; i < count; i++) {
		add_mark(map, ticks[i], &joint, body);
	}
	text_add_z(body, "],\"edges\":[");
	add_edges(map, v, body);
	text_add_z(body, "],\"ends\":[");
	joint = "";
	add_mark(map, said_at(map, on_line(v, v->asked_from_mm), grain_mm), &joint, body);
	add_mark(map, said_at(map, on_line(v, v->asked_to_mm), grain_mm), &joint, body);
	text_add_z(body, "],\"breaks\":[");
	add_breaks(map, body);
	text_add_z(body, "]}");
	return true;
}

static bool add_axes(const struct request *req, const struct strip_view *v,
	const struct line_track *tracks, size_t count, struct text *body, struct problem *why)
{
	const char *joint = "";
	bool common = count == 0;
	bool ok = true;

	for (size_t i = 0; i < count; i++) {
		common = common || !tracks[i].own_map;
	}
	text_add_char(body, '[');
	if (common) {
		ok = add_axis(req, v, 0, body, why);
		joint = ",";
	}
	for (size_t i = 0; i < count && ok; i++) {
		if (tracks[i].own_map) {
			text_add_z(body, joint);
			ok = add_axis(req, v, tracks[i].track.id, body, why);
			joint = ",";
		}
	}
	text_add_char(body, ']');
	return ok;
}

static void add_numbers(struct json *j, const char *name, const char *const *codes, size_t count,
	const int64_t *numbers)
{
	struct json all;

	json_name(j, name);
	all = json_begin(j->to);
	for (size_t i = 0; i < count; i++) {
		if (numbers[i] != 0) {
			json_integer(&all, codes[i], numbers[i]);
		}
	}
	json_end(&all);
}

static bool add_counts(const struct request *req, const struct strip_view *v,
	const struct list_query *q, struct text *body, struct problem *why)
{
	struct strip_count *counts;
	size_t count;
	int64_t bonds = 0;

	if (!store_strip_counts(view_of(req)->store, q, v->step_mm, &counts, &count, why)) {
		return false;
	}
	text_add_z(body, "\"bonds\":null,\"buckets\":[");
	for (size_t i = 0; i < count; i++) {
		struct json j;

		text_add_z(body, i > 0 ? "," : "");
		j = json_begin(body);
		json_integer(&j, "from_mm", counts[i].stretch * v->step_mm);
		json_id(&j, "track_id", counts[i].track_id);
		json_integer(&j, "count", counts[i].bonds);
		add_numbers(&j, "states", due_state_words.code, DUE_STATES, counts[i].by_state);
		add_numbers(&j, "grades", grade_words.code + GRADE_UNKNOWN, DUE_GRADES, counts[i].by_grade);
		add_numbers(&j, "kinds", bond_kind_words.code, BOND_KIND_NOT_KNOWN + 1, counts[i].by_kind);
		json_end(&j);
		bonds += counts[i].bonds;
	}
	text_addf(body, "],\"count\":%lld", (long long)bonds);
	free(counts);
	return true;
}

/* Single bonds when they are few, else counts. */
static bool add_content(const struct request *req, const struct strip_view *v,
	const struct list_query *q, struct text *body, struct problem *why)
{
	struct table table;
	struct list_run *run = list_open(view_of(req)->store, q, &table, why);
	size_t before = body->len;
	size_t rows = 0;
	bool ok, more;

	text_add_z(body, "\"bonds\":[");
	ok = run != NULL && encode_json_rows(&table, body, &rows, why);
	more = ok && list_has_more(run);
	list_close(run);
	if (more) {
		body->len = before;
		return add_counts(req, v, q, body, why);
	}
	text_addf(body, "],\"buckets\":null,\"count\":%zu", rows);
	return ok;
}

static void strip_get(const struct request *req, struct reply *out)
{
	struct strip_view v;
	struct list_query q;
	struct problems wrong = { 0 };
	struct problem why = { 0 };
	struct line_track *tracks = NULL;
	size_t count = 0;
	struct text body = { 0 };
	bool ok;

	if (!read_view(req, &v, &wrong) || !read_filters(req, &v, &q, &wrong)) {
		reply_problems(out, &wrong);
		return;
	}
	text_addf(&body, "{\"line_id\":%lld,\"from_mm\":%lld,\"to_mm\":%lld,\"step_mm\":%lld,"
		"\"extent\":{\"from_mm\":%lld,\"to_mm\":%lld},\"tracks\":", (long long)v.line_id,
		(long long)v.from_mm, (long long)v.to_mm, (long long)v.step_mm,
		(long long)v.line_from_mm, (long long)v.line_to_mm);
	ok = store_line_tracks(view_of(req)->store, v.line_id, &tracks, &count, &why);
	if (ok) {
		add_tracks(tracks, count, &body);
		text_add_z(&body, ",\"axes\":");
		ok = add_axes(req, &v, tracks, count, &body, &why);
		text_add_char(&body, ',');
		ok = ok && add_content(req, &v, &q, &body, &why);
	}
	free(tracks);
	if (!ok) {
		text_release(&body);
		reply_problem(out, &why);
		return;
	}
	text_add_char(&body, '}');
	reply_json(out, 200, &body);
}

const struct route strip_routes[] = {
	{ METHOD_GET, "/api/lines/{id}/strip", ROUTE_READ, CAN_READ, strip_get,
	  "A stretch of a line as it is drawn: single bonds when they are few, else counts by stretch.",
	  .filters = &strip_list },
	{ 0 }
};
