/*
 * Chainage maps from published pieces of line. The pieces of a line are gathered, ordered by their
 * chainage, and made into a map for each track; one wrong piece spoils its line, because a map with
 * a piece left out would be joined there and be wrong without a sign.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/array.h"
#include "base/utf8.h"
#include "rules/place/chainage.h"
#include "rules/place/chainage_units.h"
#include "service/import/take.h"
#include "service/record/refer.h"
#include "store/lists/strip.h"

struct import_piece {
	int64_t line_id;
	bool is_wrong;                  /* a row that was told already; the line is spoilt */
	char track[LINE_CODE_SIZE];     /* "": every track of the line */
	struct line_segment segment;
	struct import_place place;
};

static struct import_piece *add_piece(struct run *run)
{
	if (!array_grow((void **)&run->pieces, run->n_pieces, sizeof *run->pieces, NULL)) {
		problems_add(run->why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
		return NULL;
	}
	run->pieces[run->n_pieces] = (struct import_piece){ .place = run_place(run) };
	return &run->pieces[run->n_pieces++];
}

/* Remembers that a line has a wrong row, when the line is known. */
static bool spoil(struct run *run, const union run_row *row, const struct problems *wrong)
{
	struct problem trouble = { 0 };
	struct import_piece *piece;
	int64_t line_id = 0;

	(void)wrong;
	if (row->piece.line == NULL) {
		return true;
	}
	if (!store_line_find(run->act->store, row->piece.line, &line_id, &trouble)) {
		return act_refuse(run->why, &trouble, NULL);
	}
	if (line_id == 0) {
		return true;
	}
	piece = add_piece(run);
	if (piece == NULL) {
		return false;
	}
	piece->line_id = line_id;
	piece->is_wrong = true;
	return true;
}

static bool parse_end(const char *text, const char *field, enum notation notation,
	struct chainage *to, struct problems *why)
{
	struct problem one = { 0 };

	return chainage_parse(text, strlen(text), notation, to, &one) || act_refuse(why, &one, field);
}

static bool read_piece(struct run *run, const struct piece_row *row, struct line *line,
	struct line_segment *to, struct problems *wrong)
{
	struct problem trouble = { 0 };

	if (!refer_line(run->act, row->line, "line", &line->id, wrong)) {
		return false;
	}
	if (!store_line_get(run->act->store, line->id, line, &trouble)) {
		return act_refuse(wrong, &trouble, NULL);
	}
	to->length_mm = (int64_t)llround(row->length_m * 1000);
	to->is_jump = row->is_jump == 1;
	if (!parse_end(row->from, "from", line->notation, &to->from, wrong) ||
		!parse_end(row->to, "to", line->notation, &to->to, wrong)) {
		return false;
	}
	return chainage_compare(&to->from, &to->to) <= 0 || problems_add(wrong, PROBLEM_RULE, "to",
		"The piece ends before it starts: chainage rises from \"from\" to \"to\".");
}

static bool take_piece(struct run *run, union run_row *row, struct form_memory *memory)
{
	struct line line = { 0 };
	struct line_segment segment;
	struct problems wrong = { 0 };
	struct import_piece *piece;

	(void)memory;
	if (!read_piece(run, &row->piece, &line, &segment, &wrong)) {
		return spoil(run, row, &wrong) && run_wrong(run, run_place(run), &wrong);
	}
	piece = add_piece(run);
	if (piece == NULL) {
		return false;
	}
	piece->line_id = line.id;
	piece->segment = segment;
	snprintf(piece->track, sizeof piece->track, "%s",
		row->piece.track != NULL ? row->piece.track : "");
	return true;
}

static int by_line(const void *a, const void *b)
{
	const struct import_piece *p = a, *q = b;
	int order = p->line_id < q->line_id ? -1 : p->line_id > q->line_id;

	order = order != 0 ? order : chainage_compare(&p->segment.from, &q->segment.from);
	order = order != 0 ? order : chainage_compare(&p->segment.to, &q->segment.to);
	return order != 0 ? order : strcmp(p->track, q->track);
}

/* The pieces of one line. */
struct group {
	struct import_piece *pieces;
	size_t count;
	struct line line;
	struct line_segment *segments;  /* room for count */
	struct map_stretch *stretches;  /* room for LINE_MAP_ROOM(count) */
	bool is_new;                    /* some map was */
	bool differs;                   /* some map is known, and said otherwise */
	bool keeps_known;               /* such a one stays, */
	struct differences *told;       /* else what it was and would be */
};

/* What a file says otherwise of a map is taken as a whole, by the length of its pieces. */
static const struct member map_member = { .name = "length_m", .title = "Chainage map",
	.type = MEMBER_TEXT };

static void write_map(const struct line_map *map, char to[DIFFER_VALUE_SIZE])
{
	char from[CHAINAGE_TEXT_SIZE], end[CHAINAGE_TEXT_SIZE];
	const struct map_stretch *last = &map->stretches[map->count - 1];
	struct chainage label = chainage_of_value(map->stretches[0].start_mm, map->notation);

	chainage_write_label(&label, map->notation, from, sizeof from);
	label = chainage_of_value(last->end_mm, map->notation);
	chainage_write_label(&label, map->notation, end, sizeof end);
	text_fit(to, DIFFER_VALUE_SIZE, "%zu stretch%s, %s to %s, the last at %.3f m", map->count,
		map->count == 1 ? "" : "es", from, end, (double)last->distance_mm / 1000);
}

/* Whether the track, or the line itself, has a map of its own that is another; then it is told. */
static bool look_at_known(struct run *run, struct group *g, const char *track, int64_t track_id,
	size_t n, bool *is_other, struct problems *wrong)
{
	struct problem trouble = { 0 };
	const struct line_map *old = store_map_get(run->act->store, g->line.id, track_id, &trouble);
	char title[DIFFER_VALUE_SIZE], known[DIFFER_VALUE_SIZE], said[DIFFER_VALUE_SIZE];
	bool own = false;

	*is_other = false;
	if (old == NULL || !store_map_own(run->act->store, g->line.id, track_id, &own, &trouble)) {
		return act_refuse(wrong, &trouble, NULL);
	}
	if (!own || map_is_same(old, g->stretches, n)) {
		return true;
	}
	*is_other = g->differs = true;
	text_fit(title, sizeof title, "Chainage map%s%s", track[0] != '\0' && track_id != 0 ?
		" of track " : "", track_id != 0 ? track : "");
	write_map(old, known);
	write_map(&(struct line_map){ g->line.notation, g->stretches, n }, said);
	return g->told == NULL || differ_add(&map_member, title, known, said, SIZE_MAX, g->told) ||
		problems_add(wrong, PROBLEM_RULE, "line", "Line %.40s has too many tracks.", g->line.code);
}

/* The line's tracks by name: the next one after `after`, NULL when there is none. */
static const char *next_track(const struct group *g, const char *after)
{
	const char *next = NULL;

	for (size_t i = 0; i < g->count; i++) {
		const char *track = g->pieces[i].track;

		if (strcmp(track, after) > 0 && (next == NULL || strcmp(track, next) < 0)) {
			next = track;
		}
	}
	return next;
}

/* The map of the pieces of a track and of those that belong to all ("": all of them). */
static bool put_map(struct run *run, struct group *g, const char *track, int64_t track_id,
	struct problems *wrong)
{
	int64_t tolerance_mm = (int64_t)llround(run->request->settings->tolerance_m * 1000);
	struct problem trouble = { 0 };
	struct recorded recorded;
	size_t n = 0;
	bool is_other;

	for (size_t i = 0; i < g->count; i++) {
		if (g->pieces[i].track[0] == '\0' || strcmp(g->pieces[i].track, track) == 0) {
			g->segments[n++] = g->pieces[i].segment;
		}
	}
	n = line_map_from_segments(g->segments, n, g->line.notation, tolerance_mm, g->stretches,
		&trouble);
	if (n == 0) {
		return problems_add(wrong, PROBLEM_RULE, "line", "The pieces of line %.40s make no map: %s",
			g->line.code, trouble.detail);
	}
	if (!look_at_known(run, g, track, track_id, n, &is_other, wrong)) {
		return false;
	}
	if (is_other && g->keeps_known) {
		return true;
	}
	if (!map_put(run->act, g->line.id, track_id, g->stretches, n, &recorded, wrong)) {
		return false;
	}
	g->is_new = g->is_new || (!recorded.already && !is_other);
	return true;
}

static bool put_track(struct run *run, struct group *g, const char *track, struct problems *wrong)
{
	const struct track_new form = { g->line.code, track, NULL, NULL };
	struct problem trouble = { 0 };
	struct recorded recorded = { 0 };

	if (!store_track_find(run->act->store, g->line.id, track, &recorded.id, &trouble)) {
		return act_refuse(wrong, &trouble, NULL);
	}
	if (recorded.id == 0) {
		g->is_new = true;
		if (!track_register(run->act, &form, &recorded, wrong)) {
			return false;
		}
	}
	return put_map(run, g, track, recorded.id, wrong);
}

/* True in *it_is when no track that has its map from before comes before this one by name. */
static bool is_first(struct run *run, const struct group *g, const char *track, bool *it_is,
	struct problems *wrong)
{
	struct line_track *tracks = NULL;
	size_t count = 0;
	struct problem trouble = { 0 };

	if (!store_line_tracks(run->act->store, g->line.id, &tracks, &count, &trouble)) {
		return act_refuse(wrong, &trouble, NULL);
	}
	*it_is = true;
	for (size_t i = 0; i < count; i++) {
		*it_is = *it_is && !(tracks[i].own_map && strcmp(tracks[i].track.name, track) < 0);
	}
	free(tracks);
	return true;
}

/* The line's own map is that of its first track, so that a place without a track can be read. */
static bool put_maps(struct run *run, struct group *g, struct problems *wrong)
{
	const char *first = next_track(g, "");
	bool of_line = true;
	bool ok = (first == NULL || is_first(run, g, first, &of_line, wrong)) &&
		(!of_line || put_map(run, g, first != NULL ? first : "", 0, wrong));

	for (const char *track = first; ok && track != NULL; track = next_track(g, track)) {
		ok = put_track(run, g, track, wrong);
	}
	return ok;
}

/* All rows of the line are as wrong as the one at fault, which was told already or is told now. */
static bool refuse_line(struct run *run, const struct group *g, const struct problems *wrong)
{
	size_t culprit = g->pieces[0].place.row;
	bool ok = true;

	for (size_t i = 0; i < g->count; i++) {
		culprit = g->pieces[i].is_wrong ? g->pieces[i].place.row : culprit;
	}
	for (size_t i = 0; ok && i < g->count; i++) {
		const struct import_piece *p = &g->pieces[i];

		if (!p->is_wrong) {
			ok = wrong != NULL ? run_wrong(run, p->place, wrong) : run_wrong_because(run, p->place,
				"line", "Row %zu of the same line is wrong, so the line gets no map.", culprit);
		}
	}
	return ok;
}

/* The bonds of the line that the other map says to be at another chainage: none is moved, but who
 * goes by what is written would look for it elsewhere. */
static bool tell_moved(struct run *run, const struct group *g, const struct line_place *before,
	size_t n_before, struct differences *to, size_t *moved, struct problem *trouble)
{
	struct line_place *now = NULL;
	size_t n_now = 0;
	bool ok = store_line_places(run->act->store, g->line.id, &now, &n_now, trouble);

	*moved = 0;
	for (size_t i = 0; ok && i < n_before && i < n_now; i++) {
		char title[DIFFER_VALUE_SIZE];

		if (strcmp(before[i].chainage, now[i].chainage) != 0) {
			text_fit(title, sizeof title, "Chainage of bond %s", before[i].label);
			differ_add(&map_member, title, before[i].chainage, now[i].chainage, SIZE_MAX, to);
			++*moved;
		}
	}
	free(now);
	return ok;
}

/* Puts the maps of the line and tells what they would be otherwise, and is undone by the caller
 * where nothing of that is to be. */
static bool put_and_tell(struct run *run, struct group *g, struct differences *told, size_t *moved,
	struct problems *wrong)
{
	struct line_place *before = NULL;
	size_t n = 0;
	struct problem trouble = { 0 };
	bool ok = store_line_places(run->act->store, g->line.id, &before, &n, &trouble) ||
		act_refuse(wrong, &trouble, NULL);

	g->told = told;
	ok = ok && put_maps(run, g, wrong) && run_derive(run, wrong) && (!g->differs ||
		tell_moved(run, g, before, n, told, moved, &trouble) ||
		act_refuse(wrong, &trouble, NULL));
	free(before);
	return ok;
}

/* Which is taken, and told. Without a choice the line is wrong. */
static bool choose(struct run *run, const struct group *g, const struct differences *told,
	size_t moved, bool *taken, struct problems *wrong)
{
	bool each[DIFFER_MOST];
	size_t rows[DIFFER_MOST];

	for (size_t i = 0; i < told->count; i++) {
		rows[i] = g->pieces[0].place.row;
	}
	*taken = false;
	if (!import_tell(run, g->line.code, told, rows, each, taken)) {
		return false;
	}
	return import_has_choice(run) || problems_add(wrong, PROBLEM_CONFLICT, "length_m", "Line %.40s "
		"has a chainage map, and this one is another: %zu of its bonds would be written at other "
		"chainages. Choose whether it is taken.", g->line.code, moved);
}

/* Once more, but what is known otherwise stays. */
static bool put_the_rest(struct run *run, struct group *g, struct problems *wrong)
{
	if (!run_keep(run, false)) {
		return false;
	}
	view_forget(run->act->view, 0);
	g->is_new = false;
	g->told = NULL;
	g->keeps_known = true;
	return run_save(run) && put_maps(run, g, wrong) && run_derive(run, wrong);
}

static bool put_line(struct run *run, struct group *g, struct problems *wrong)
{
	struct differences told = { .count = 0 };
	size_t moved = 0;
	bool taken = false;

	if (!put_and_tell(run, g, &told, &moved, wrong)) {
		return false;
	}
	if (!g->differs) {
		return true;
	}
	if (!choose(run, g, &told, moved, &taken, wrong)) {
		return false;
	}
	run->result->changed += taken && !g->is_new ? g->count : 0;
	return taken || put_the_rest(run, g, wrong);
}

static bool end_line(struct run *run, struct group *g)
{
	struct problem trouble = { 0 };
	struct problems wrong = { 0 };
	bool ok;

	for (size_t i = 0; i < g->count; i++) {
		if (g->pieces[i].is_wrong) {
			return refuse_line(run, g, NULL);
		}
	}
	if (!store_line_get(run->act->store, g->pieces[0].line_id, &g->line, &trouble)) {
		return act_refuse(run->why, &trouble, NULL);
	}
	if (!run_save(run)) {
		return false;
	}
	ok = put_line(run, g, &wrong);
	if (run->why->count > 0 || !run_keep(run, ok)) {
		return false;
	}
	if (!ok) {
		view_forget(run->act->view, 0);
	}
	if (ok) {
		run_count(run, !g->is_new, g->count);
	}
	return ok || refuse_line(run, g, &wrong);
}

static bool end_maps(struct run *run)
{
	struct group g = { 0 };
	bool ok = true;

	if (run->n_pieces == 0) {
		return true;
	}
	qsort(run->pieces, run->n_pieces, sizeof *run->pieces, by_line);
	g.segments = calloc(run->n_pieces, sizeof *g.segments);
	g.stretches = calloc(LINE_MAP_ROOM(run->n_pieces), sizeof *g.stretches);
	if (g.segments == NULL || g.stretches == NULL) {
		ok = problems_add(run->why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	for (size_t i = 0; ok && i < run->n_pieces; i += g.count) {
		g.pieces = &run->pieces[i];
		g.is_new = g.differs = g.keeps_known = false;
		for (g.count = 1; i + g.count < run->n_pieces &&
			g.pieces[g.count].line_id == g.pieces[0].line_id;) {
			g.count++;
		}
		ok = end_line(run, &g);
	}
	free(g.segments);
	free(g.stretches);
	return ok;
}

static void release_maps(struct run *run)
{
	free(run->pieces);
}

const struct run_kind import_run_maps = { .passes = 1, .row = take_piece, .spoilt = spoil,
	.end = end_maps, .release = release_maps };
