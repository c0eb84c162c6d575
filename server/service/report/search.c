#include "service/report/search.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "base/day.h"
#include "base/utf8.h"
#include "rules/place/line_marks.h"
#include "store/lists/strip.h"

enum { NEAR_ONE_PLACE = 3, NEAR_OF_SEVERAL = 1, LINES_TRIED = 3 };

static const char *const found_code[] = { "bond", "place", "line", "person", "instrument" };
static const char *const found_title[] = { "Bonds", "Places", "Lines", "People", "Instruments" };
const struct words found_words = { "found_kind", found_code, found_title, FOUND_KINDS };

/* The next free row of a group, NULL when it is full. */
static struct found_row *add_row(struct found *to, enum found_kind kind)
{
	struct found_group *g = &to->group[kind];

	return g->count < SEARCH_ROWS ? &g->row[g->count++] : NULL;
}

/* "rail joint bond, VAL Up, left rail, 12+345" */
static void tell_bond(const struct found_bond *b, struct found_row *row)
{
	text_fit(row->title, sizeof row->title, "%s", b->label);
	text_fit(row->detail, sizeof row->detail, "%s, %s%s%s%s%s, %s%s",
		bond_kind_words.title[b->kind], b->line, b->track[0] != '\0' ? " " : "", b->track,
		b->rail >= 0 ? ", " : "", b->rail >= 0 ? b->rail == RAIL_LEFT ? "left rail" : "right rail" : "",
		b->chainage, b->status == BOND_REMOVED ? ", removed" : "");
	snprintf(row->href, sizeof row->href, "/bonds/%lld", (long long)b->id);
}

/* Those found by a number, where they are not there already; by a mast's, with that. */
static bool add_numbered(const struct found_bond *have, size_t n_have,
	const struct found_bond *found, size_t count, struct found *to)
{
	for (size_t i = 0; i < count; i++) {
		struct found_row *row;
		size_t same = 0;

		while (same < n_have && have[same].id != found[i].id) {
			same++;
		}
		if (same < n_have || (row = add_row(to, FOUND_BOND)) == NULL) {
			continue;
		}
		tell_bond(&found[i], row);
		if (found[i].structure[0] != '\0') {
			char what[sizeof row->detail];

			memcpy(what, row->detail, sizeof what);
			text_fit(row->detail, sizeof row->detail, "at %s: %s", found[i].structure, what);
		}
	}
	return true;
}

static bool find_bonds(const struct view *view, const char *text, struct found *to,
	struct problem *why)
{
	struct found_bond bonds[SEARCH_ROWS], numbered[SEARCH_ROWS];
	size_t count, n_numbered;
	struct found_row *row;

	if (!store_search_bonds(view->store, text, bonds, &count, why)) {
		return false;
	}
	for (size_t i = 0; i < count && (row = add_row(to, FOUND_BOND)) != NULL; i++) {
		tell_bond(&bonds[i], row);
	}
	return store_search_numbers(view->store, text, numbered, &n_numbered, why) &&
		add_numbered(bonds, count, numbered, n_numbered, to);
}

static bool find_lines(const struct view *view, const char *text, struct found *to,
	struct problem *why)
{
	struct found_line lines[SEARCH_ROWS];
	size_t count;
	struct found_row *row;

	if (!store_search_lines(view->store, text, true, lines, &count, why)) {
		return false;
	}
	for (size_t i = 0; i < count && (row = add_row(to, FOUND_LINE)) != NULL; i++) {
		text_fit(row->title, sizeof row->title, "%s %s", lines[i].line.code, lines[i].line.name);
		text_fit(row->detail, sizeof row->detail, "%lld bond%s", (long long)lines[i].bonds,
			lines[i].bonds == 1 ? "" : "s");
		snprintf(row->href, sizeof row->href, "/lines/%lld", (long long)lines[i].line.id);
	}
	return true;
}

static bool find_people(const struct view *view, const char *text, struct found *to,
	struct problem *why)
{
	struct found_person people[SEARCH_ROWS];
	size_t count;
	struct found_row *row;

	if (!store_search_people(view->store, text, people, &count, why)) {
		return false;
	}
	for (size_t i = 0; i < count && (row = add_row(to, FOUND_PERSON)) != NULL; i++) {
		text_fit(row->title, sizeof row->title, "%s", people[i].name);
		text_fit(row->detail, sizeof row->detail, "%s, signs in as %s%s",
			role_words.title[people[i].role], people[i].login,
			people[i].active ? "" : ", no longer");
	}
	return true;
}

static bool find_instruments(const struct view *view, const char *text, struct found *to,
	struct problem *why)
{
	struct found_instrument all[SEARCH_ROWS];
	size_t count;
	struct found_row *row;

	if (!store_search_instruments(view->store, text, all, &count, why)) {
		return false;
	}
	for (size_t i = 0; i < count && (row = add_row(to, FOUND_INSTRUMENT)) != NULL; i++) {
		char day[DAY_TEXT_SIZE] = "";

		if (all[i].due_day != DAY_NONE) {
			day_write(all[i].due_day, day);
		}
		text_fit(row->title, sizeof row->title, "%s", all[i].serial);
		text_fit(row->detail, sizeof row->detail, "%s, %s%s", all[i].name,
			day[0] != '\0' ? "calibration due " : "never calibrated", day);
	}
	return true;
}

/* A row for a bond near a place: "12.4 m before, rail joint bond, ..." */
static void tell_near(const struct found_bond *b, int64_t distance_mm, struct found_row *row)
{
	int64_t away_mm = llabs(b->distance_mm - distance_mm);
	char what[sizeof row->detail];

	tell_bond(b, row);
	memcpy(what, row->detail, sizeof what);
	if (away_mm == 0) {
		text_fit(row->detail, sizeof row->detail, "here: %s", what);
	} else {
		text_fit(row->detail, sizeof row->detail, "%lld.%lld m %s: %s",
			(long long)(away_mm / 1000), (long long)(away_mm % 1000 / 100),
			b->distance_mm < distance_mm ? "before" : "beyond", what);
	}
}

/* Bonds on either side of a place, in the order of the line. */
static bool add_near(const struct view *view, int64_t line_id, int64_t distance_mm, size_t most,
	struct found *to, struct problem *why)
{
	struct found_bond before[NEAR_ONE_PLACE], after[NEAR_ONE_PLACE];
	size_t n_before, n_after;
	struct found_row *row;

	if (!store_search_near(view->store, line_id, distance_mm, false, most, before, &n_before, why) ||
		!store_search_near(view->store, line_id, distance_mm, true, most, after, &n_after, why)) {
		return false;
	}
	for (size_t i = n_before; i > 0 && (row = add_row(to, FOUND_PLACE)) != NULL; i--) {
		tell_near(&before[i - 1], distance_mm, row);
	}
	for (size_t i = 0; i < n_after && (row = add_row(to, FOUND_PLACE)) != NULL; i++) {
		tell_near(&after[i], distance_mm, row);
	}
	return true;
}

/* Places that a text may mean, over lines and maps, before it is known how many there are. */
struct candidates {
	size_t count;
	struct candidate {
		struct line line;
		char track[LINE_CODE_SIZE];        /* whose own map it is on; "": the line's */
		char chainage[CHAINAGE_TEXT_SIZE];
		int64_t distance_mm;
		enum problem_code trouble;         /* in a gap, or off the line */
		char why[PROBLEM_DETAIL_SIZE];
	} place[SEARCH_ROWS];
	struct candidate wrong;   /* what is no chainage, after a line's whole code; "" as its why: none */
};

/* One map of a line, with what is looked for on it. */
struct looked_at {
	const struct line *line;
	const char *track;
	const struct line_map *map;
	const char *text;
	bool is_whole_code;   /* the line was named by it, and a figure follows */
};

/* What a track's own map says in the same words about the same place is said once. */
static void add_candidate(struct candidates *all, const struct looked_at *on, const char *chainage,
	int64_t distance_mm, const struct problem *trouble)
{
	struct candidate *c = &all->place[all->count];

	for (size_t i = 0; i < all->count; i++) {
		const struct candidate *other = &all->place[i];

		if (other->line.id == on->line->id && other->trouble == trouble->code &&
			other->distance_mm == distance_mm) {
			return;
		}
	}
	if (all->count == SEARCH_ROWS) {
		return;
	}
	all->count++;
	c->line = *on->line;
	c->distance_mm = distance_mm;
	c->trouble = trouble->code;
	snprintf(c->track, sizeof c->track, "%s", on->track);
	snprintf(c->chainage, sizeof c->chainage, "%s", chainage);
	text_fit(c->why, sizeof c->why, "%s", trouble->detail);
}

/* Where the jump is whose gap the chainage lies in. */
static int64_t gap_at(const struct looked_at *on)
{
	struct line_break breaks[LINE_MAP_MOST];
	size_t count = line_map_breaks(on->map, breaks, LINE_MAP_MOST);
	struct chainage label = { 0 };
	struct problem ignored = { 0 };

	chainage_parse(on->text, strlen(on->text), on->map->notation, &label, &ignored);
	for (size_t i = 0; i < count; i++) {
		if (chainage_compare(&breaks[i].before, &label) < 0 &&
			chainage_compare(&label, &breaks[i].after) < 0) {
			return breaks[i].distance_mm;
		}
	}
	return 0;
}

static void look_on_map(const struct looked_at *on, struct candidates *all)
{
	const struct problem none = { 0 };
	struct problem trouble = { 0 };
	struct chainage_candidate found[SEARCH_ROWS];
	char text[CHAINAGE_TEXT_SIZE];
	int64_t distance_mm = 0;
	size_t count;

	if (chainage_read(on->text, strlen(on->text), on->map, &distance_mm, &trouble)) {
		chainage_write(distance_mm, on->map, text, sizeof text);
		add_candidate(all, on, text, distance_mm, &none);
	} else if (trouble.code == PROBLEM_CHAINAGE_AMBIGUOUS) {
		count = chainage_candidates(on->text, strlen(on->text), on->map, found, SEARCH_ROWS);
		for (size_t i = 0; i < count && i < SEARCH_ROWS; i++) {
			add_candidate(all, on, found[i].text, found[i].distance_mm, &none);
		}
	} else if (trouble.code == PROBLEM_CHAINAGE_IN_GAP) {
		add_candidate(all, on, on->text, gap_at(on), &trouble);
	} else if (trouble.code == PROBLEM_CHAINAGE_OUTSIDE) {
		add_candidate(all, on, on->text, 0, &trouble);
	} else if (trouble.code == PROBLEM_CHAINAGE_SYNTAX && on->is_whole_code) {
		all->wrong = (struct candidate){ .line = *on->line, .trouble = trouble.code };
		snprintf(all->wrong.chainage, sizeof all->wrong.chainage, "%s",
			strlen(on->text) < CHAINAGE_TEXT_SIZE ? on->text : "…");
		text_fit(all->wrong.why, sizeof all->wrong.why, "%s", trouble.detail);
	}
}

/* On the line's own map, and on those of tracks that count for themselves. */
static bool look_on_line(const struct view *view, struct looked_at on, struct candidates *all,
	struct problem *why)
{
	const struct line *line = on.line;
	struct line_track *tracks;
	size_t count;
	bool common, ok;

	if (!store_line_tracks(view->store, line->id, &tracks, &count, why)) {
		return false;
	}
	ok = true;
	common = count == 0;
	for (size_t i = 0; i < count; i++) {
		common = common || !tracks[i].own_map;
	}
	for (size_t i = 0; i <= count && ok; i++) {
		const struct line_track *own = i > 0 && tracks[i - 1].own_map ? &tracks[i - 1] : NULL;

		if (own == NULL && (i > 0 || !common)) {
			continue;
		}
		on.track = own != NULL ? own->track.name : "";
		on.map = store_map_get(view->store, line->id, own != NULL ? own->track.id : 0, why);
		ok = on.map != NULL;
		if (ok) {
			look_on_map(&on, all);
		}
	}
	free(tracks);
	return ok;
}

/* The places, each with the bonds on either side; one that exists gets no company from another
 * line, or another map, that has none like it. */
static bool tell_places(const struct view *view, const struct candidates *all, struct found *to,
	struct problem *why)
{
	size_t shown = 0;
	bool any = false;

	for (size_t i = 0; i < all->count; i++) {
		any = any || all->place[i].trouble == PROBLEM_NONE;
	}
	for (size_t i = 0; i < all->count; i++) {
		shown += !any || all->place[i].trouble == PROBLEM_NONE;
	}
	for (size_t i = 0; i < all->count; i++) {
		const struct candidate *c = &all->place[i];
		struct found_row *row;

		if ((any && c->trouble != PROBLEM_NONE) || (row = add_row(to, FOUND_PLACE)) == NULL) {
			continue;
		}
		text_fit(row->title, sizeof row->title, "%s %s%s%s", c->line.code, c->chainage,
			c->track[0] != '\0' ? " on " : "", c->track);
		text_fit(row->detail, sizeof row->detail, "%s", c->trouble != PROBLEM_NONE ? c->why :
			c->line.name);
		if (c->trouble == PROBLEM_CHAINAGE_OUTSIDE || c->trouble == PROBLEM_CHAINAGE_SYNTAX) {
			snprintf(row->href, sizeof row->href, "/lines/%lld", (long long)c->line.id);
			continue;
		}
		snprintf(row->href, sizeof row->href, "/lines/%lld?at=%lld", (long long)c->line.id,
			(long long)c->distance_mm);
		if (!add_near(view, c->line.id, c->distance_mm, shown == 1 ? NEAR_ONE_PLACE :
			NEAR_OF_SEVERAL, to, why)) {
			return false;
		}
	}
	return true;
}

/* Each way to part the text into a line's code and a chainage; the first that is one counts. Where
 * none is, and no bond's label begins so either, it is said why. */
static bool find_places(const struct view *view, const char *text, struct found *to,
	struct problem *why)
{
	struct candidates all = { 0 };

	for (size_t at = 1; text[at] != '\0' && all.count == 0; at++) {
		char code[SEARCH_TEXT_SIZE];
		struct found_line lines[SEARCH_ROWS];
		const char *rest = text + at + strspn(text + at, " ");
		size_t count;

		if (text[at - 1] == ' ' || (text[at] != ' ' && (text[at] < '0' || text[at] > '9'))) {
			continue;
		}
		memcpy(code, text, at);
		code[at] = '\0';
		if (!store_search_lines(view->store, code, false, lines, &count, why)) {
			return false;
		}
		for (size_t i = 0; i < count && i < LINES_TRIED; i++) {
			struct looked_at on = { &lines[i].line, "", NULL, rest,
				strcasecmp(lines[i].line.code, code) == 0 && isdigit((unsigned char)rest[0]) };

			if (!look_on_line(view, on, &all, why)) {
				return false;
			}
		}
	}
	if (all.count == 0 && all.wrong.why[0] != '\0' && to->group[FOUND_BOND].count == 0) {
		all.place[all.count++] = all.wrong;
	}
	return tell_places(view, &all, to, why);
}

bool search_find(const struct view *view, const char *text, bool people, struct found *to,
	struct problem *why)
{
	memset(to, 0, sizeof *to);
	if (strlen(text) >= SEARCH_TEXT_SIZE) {
		return problem_set(why, PROBLEM_VALUE, "q", "What is looked for has at most %d bytes.",
			SEARCH_TEXT_SIZE - 1);
	}
	return find_bonds(view, text, to, why) && find_places(view, text, to, why) &&
		find_lines(view, text, to, why) &&
		(!people || find_people(view, text, to, why)) &&
		find_instruments(view, text, to, why);
}
