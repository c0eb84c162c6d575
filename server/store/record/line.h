/* Lines, tracks and chainage maps in the register. */
#ifndef STORE_RECORD_LINE_H
#define STORE_RECORD_LINE_H

#include "rules/place/line_map.h"
#include "rules/terms.h"
#include "store/lists/list.h"
#include "store/store.h"

/* Who wrote a row, when, and by which import: goes with every insert. */
struct origin {
	int64_t person_id;      /* 0: from the command line */
	int64_t now_ms;
	int64_t import_id;      /* 0: none */
};

enum { LINE_CODE_SIZE = 61, LINE_NAME_SIZE = 121 };

struct line {
	int64_t id;
	char code[LINE_CODE_SIZE];
	char name[LINE_NAME_SIZE];
	enum notation notation;
	enum electrification electrification;
};

struct track {
	int64_t id;
	int64_t line_id;
	char name[LINE_CODE_SIZE];
	char left_label[LINE_CODE_SIZE];    /* "" when the railway has none of its own */
	char right_label[LINE_CODE_SIZE];
};

/* Insert sets id. A code or name in use is PROBLEM_CONFLICT. */
bool store_line_insert(struct store *store, struct line *line, const struct origin *origin,
	struct problem *why);
bool store_track_insert(struct store *store, struct track *track, const struct origin *origin,
	struct problem *why);

/* A further version of what is said of a track: the words for its rails. */
bool store_track_change(struct store *store, const struct track *track, const char *reason,
	const struct origin *origin, struct problem *why);

/* False and PROBLEM_NOT_FOUND when there is none. */
bool store_line_get(struct store *store, int64_t id, struct line *line, struct problem *why);
/* A further version of what is said of a line: its name and electrification. */
bool store_line_change(struct store *store, const struct line *line, const char *reason,
	const struct origin *origin, struct problem *why);
/* In statements, of line l: as it was said last. */
#define LINE_LAST(column) "(SELECT lf." column " FROM line_fact lf WHERE lf.line_id = l.id " \
	"ORDER BY lf.version DESC LIMIT 1)"
#define LINE_SAID(column) "coalesce(" LINE_LAST(column) ", l." column ")"
/* Likewise of track t. */
#define TRACK_SAID(column) "coalesce((SELECT tw." column " FROM track_word tw " \
	"WHERE tw.track_id = t.id ORDER BY tw.version DESC LIMIT 1), t." column ")"
bool store_track_get(struct store *store, int64_t id, struct track *track, struct problem *why);

/* The bonds of a line and where each is written to be, by their numbers. *all is the caller's:
 * free(). */
struct line_place {
	char label[164], chainage[64];  /* (as store/record/bond.h has them) */
};
bool store_line_places(struct store *store, int64_t line_id, struct line_place **all,
	size_t *count, struct problem *why);

/* The line after one, by id; *id is 0 after the last. */
bool store_line_next(struct store *store, int64_t after, int64_t *id, struct problem *why);

/* *id is 0 when there is none of that code or name. False: failed. */
bool store_line_find(struct store *store, const char *code, int64_t *id, struct problem *why);
bool store_track_find(struct store *store, int64_t line_id, const char *name, int64_t *id,
	struct problem *why);

/* Puts a map in force for a line, or for one of its tracks (track_id 0: the line's). */
bool store_map_insert(struct store *store, int64_t line_id, int64_t track_id,
	const struct map_stretch *stretches, size_t count, const struct origin *origin,
	struct problem *why);

/* True in *own when a map was put in force for that track itself (0: for the line). */
bool store_map_own(struct store *store, int64_t line_id, int64_t track_id, bool *own,
	struct problem *why);

/*
 * The map in force for a track: its own, else the line's, else a plain one (no stretches).
 * Borrowed: valid until the next store_map_get of this connection after a map has changed; use it
 * at once. NULL: *why.
 */
const struct line_map *store_map_get(struct store *store, int64_t line_id, int64_t track_id,
	struct problem *why);

extern const struct list line_list;
extern const struct list track_list;
extern const struct list map_list;

/* The chainage of a place in the line's notation, into CHAINAGE_SIZE bytes; a place that the map
 * in force no longer has is written as its distance in metres ("1234.567 m from the datum"). */
bool store_chainage(struct store *store, int64_t line_id, int64_t track_id, int64_t distance_mm,
	char *to, struct problem *why);

#endif
