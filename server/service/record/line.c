#include "service/record/line.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "derived/made_from.h"
#include "service/record/refer.h"

static const struct member line_members[] = {
	{ .name = "code", .title = "Line code", .type = MEMBER_TEXT, .required = true,
	  .offset = offsetof(struct line_new, code), .longest = 60 },
	{ .name = "name", .title = "Name", .type = MEMBER_TEXT, .required = true,
	  .offset = offsetof(struct line_new, name), .longest = 120 },
	{ .name = "notation", .title = "Notation of its chainage", .type = MEMBER_WORD,
	  .required = true, .offset = offsetof(struct line_new, notation), .words = &notation_words },
	{ .name = "electrification", .title = "Electrification", .type = MEMBER_WORD,
	  .offset = offsetof(struct line_new, electrification), .words = &electrification_words,
	  .help = "None when it is left out." },
	{ 0 }
};
const struct form line_form = { "Line", line_members, sizeof (struct line_new) };

static const struct member track_members[] = {
	{ .name = "line", .title = "Line", .type = MEMBER_TEXT, .required = true,
	  .offset = offsetof(struct track_new, line), .longest = 60, .help = "The line's code." },
	{ .name = "name", .title = "Track", .type = MEMBER_TEXT, .required = true,
	  .offset = offsetof(struct track_new, name), .longest = 60 },
	{ .name = "left_label", .title = "Left rail", .type = MEMBER_TEXT,
	  .offset = offsetof(struct track_new, left_label), .longest = 60,
	  .help = "The railway's own word for the left rail, seen in rising chainage." },
	{ .name = "right_label", .title = "Right rail", .type = MEMBER_TEXT,
	  .offset = offsetof(struct track_new, right_label), .longest = 60 },
	{ 0 }
};
const struct form track_form = { "Track", track_members, sizeof (struct track_new) };

static const struct member stretch_members[] = {
	{ .name = "distance_m", .title = "Where it starts, from the line's datum", .unit = "m",
	  .type = MEMBER_REAL, .required = true, .offset = offsetof(struct stretch_new, distance_m),
	  .least = -1e8, .most = 1e8 },
	{ .name = "start_m", .title = "Chainage there", .unit = "m", .type = MEMBER_REAL,
	  .required = true, .offset = offsetof(struct stretch_new, start_m), .least = -1e8,
	  .most = 1e8 },
	{ .name = "end_m", .title = "Chainage at its end, counted on", .unit = "m",
	  .type = MEMBER_REAL, .required = true, .offset = offsetof(struct stretch_new, end_m),
	  .least = -1e8, .most = 1e8 },
	{ .name = "is_long", .title = "Counted past the one post at its start", .type = MEMBER_FLAG,
	  .offset = offsetof(struct stretch_new, is_long) },
	{ 0 }
};
static const struct form stretch_form = { "Stretch", stretch_members,
	sizeof (struct stretch_new) };

static const struct member map_members[] = {
	{ .name = "line", .title = "Line", .type = MEMBER_TEXT, .required = true,
	  .offset = offsetof(struct map_new, line), .longest = 60, .help = "The line's code." },
	{ .name = "track", .title = "Track", .type = MEMBER_TEXT,
	  .offset = offsetof(struct map_new, track), .longest = 60,
	  .help = "Left out: for all tracks of the line that have no map of their own." },
	{ .name = "stretches", .title = "Stretches", .type = MEMBER_LIST, .required = true,
	  .offset = offsetof(struct map_new, stretches), .longest = LINE_MAP_MOST,
	  .form = &stretch_form },
	{ 0 }
};
const struct form map_form = { "ChainageMap", map_members, sizeof (struct map_new) };

static bool line_again(struct act *act, const struct line *wanted, struct recorded *recorded,
	struct problems *why)
{
	struct line kept;
	struct problem trouble = { 0 };

	if (!store_line_get(act->store, recorded->id, &kept, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	recorded->already = strcmp(kept.name, wanted->name) == 0 && kept.notation == wanted->notation &&
		kept.electrification == wanted->electrification;
	return recorded->already || problems_add(why, PROBLEM_CONFLICT, "code",
		"Line %s is registered as %s (%s, %s).", kept.code, kept.name,
		notation_words.title[kept.notation], electrification_words.title[kept.electrification]);
}

bool line_register(struct act *act, const struct line_new *form, struct recorded *recorded,
	struct problems *why)
{
	struct line line = { .notation = (enum notation)form->notation,
		.electrification = form->electrification < 0 ? ELECTRIFICATION_NONE :
		(enum electrification)form->electrification };
	struct problem trouble = { 0 };

	*recorded = (struct recorded){ 0 };
	snprintf(line.code, sizeof line.code, "%s", form->code);
	snprintf(line.name, sizeof line.name, "%s", form->name);
	if (!store_line_find(act->store, line.code, &recorded->id, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	if (recorded->id != 0) {
		return line_again(act, &line, recorded, why);
	}
	if (!store_line_insert(act->store, &line, &act->origin, &trouble)) {
		return act_refuse(why, &trouble, "code");
	}
	recorded->id = line.id;
	return true;
}

bool line_change(struct act *act, int64_t line_id, const struct line_new *form, const char *reason,
	struct problems *why)
{
	struct line line;
	struct problem trouble = { 0 };

	if (!store_line_get(act->store, line_id, &line, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	if (form->notation != (int)line.notation) {
		return problems_add(why, PROBLEM_RULE, "notation", "The places of line %s were read as %s, "
			"and lie where they were read to lie: its notation is not changed. Withdraw what lies on "
			"it, and the line, and register it anew.", line.code,
			notation_words.title[line.notation]);
	}
	snprintf(line.name, sizeof line.name, "%s", form->name);
	line.electrification = (enum electrification)form->electrification;
	return store_line_change(act->store, &line, reason, &act->origin, &trouble) ||
		act_refuse(why, &trouble, NULL);
}

bool track_register(struct act *act, const struct track_new *form, struct recorded *recorded,
	struct problems *why)
{
	struct track track = { 0 }, kept;
	struct problem trouble = { 0 };

	*recorded = (struct recorded){ 0 };
	if (!refer_line(act, form->line, "line", &track.line_id, why)) {
		return false;
	}
	snprintf(track.name, sizeof track.name, "%s", form->name);
	snprintf(track.left_label, sizeof track.left_label, "%s",
		form->left_label != NULL ? form->left_label : "");
	snprintf(track.right_label, sizeof track.right_label, "%s",
		form->right_label != NULL ? form->right_label : "");
	if (!store_track_find(act->store, track.line_id, track.name, &recorded->id, &trouble) ||
		(recorded->id != 0 && !store_track_get(act->store, recorded->id, &kept, &trouble))) {
		return act_refuse(why, &trouble, NULL);
	}
	if (recorded->id != 0) {
		recorded->already = strcmp(kept.left_label, track.left_label) == 0 &&
			strcmp(kept.right_label, track.right_label) == 0;
		return recorded->already || problems_add(why, PROBLEM_CONFLICT, "name",
			"Track %s of line %s is registered with other words for its rails.", track.name,
			form->line);
	}
	if (!store_track_insert(act->store, &track, &act->origin, &trouble)) {
		return act_refuse(why, &trouble, "name");
	}
	recorded->id = track.id;
	return true;
}

bool track_change(struct act *act, int64_t track_id, const struct track_new *form,
	const char *reason, struct problems *why)
{
	struct track track = { .id = track_id };
	struct problem trouble = { 0 };

	snprintf(track.left_label, sizeof track.left_label, "%s",
		form->left_label != NULL ? form->left_label : "");
	snprintf(track.right_label, sizeof track.right_label, "%s",
		form->right_label != NULL ? form->right_label : "");
	return store_track_change(act->store, &track, reason, &act->origin, &trouble) ||
		act_refuse(why, &trouble, NULL);
}

bool map_is_same(const struct line_map *map, const struct map_stretch *stretches, size_t count)
{
	if (map->count != count) {
		return false;
	}
	for (size_t i = 0; i < count; i++) {
		const struct map_stretch *a = &map->stretches[i], *b = &stretches[i];

		if (a->distance_mm != b->distance_mm || a->start_mm != b->start_mm ||
			a->end_mm != b->end_mm || a->is_long != b->is_long) {
			return false;
		}
	}
	return true;
}

bool map_put(struct act *act, int64_t line_id, int64_t track_id,
	const struct map_stretch *stretches, size_t count, struct recorded *recorded,
	struct problems *why)
{
	struct problem trouble = { 0 };
	const struct line_map *old = store_map_get(act->store, line_id, track_id, &trouble);
	struct line_map map;
	bool own = false;

	*recorded = (struct recorded){ .id = line_id };
	/* (a track that goes by the line's map would go by that one's successor too) */
	if (old == NULL || !store_map_own(act->store, line_id, track_id, &own, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	map = (struct line_map){ old->notation, stretches, count };
	if (!line_map_check(&map, &trouble)) {
		return act_refuse(why, &trouble, "stretches");
	}
	recorded->already = own && map_is_same(old, stretches, count);
	if (recorded->already) {
		return true;
	}
	return (store_map_insert(act->store, line_id, track_id, stretches, count, &act->origin,
		&trouble) && changed_of_line(act, SENT_MAP, line_id, &trouble)) ||
		act_refuse(why, &trouble, NULL);
}

static int64_t to_mm(double metres)
{
	return (int64_t)llround(metres * 1000);
}

bool map_register(struct act *act, const struct map_new *form, struct recorded *recorded,
	struct problems *why)
{
	const struct stretch_new *sent = form->stretches.items;
	struct map_stretch stretches[LINE_MAP_MOST];
	int64_t line_id, track_id;

	*recorded = (struct recorded){ 0 };
	if (!refer_line(act, form->line, "line", &line_id, why) ||
		!refer_track(act, line_id, form->track, "track", &track_id, why)) {
		return false;
	}
	for (size_t i = 0; i < form->stretches.count; i++) {
		stretches[i] = (struct map_stretch){ to_mm(sent[i].distance_m), to_mm(sent[i].start_m),
			to_mm(sent[i].end_m), sent[i].is_long == 1 };
	}
	return map_put(act, line_id, track_id, stretches, form->stretches.count, recorded, why);
}
