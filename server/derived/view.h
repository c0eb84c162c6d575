/*
 * A view: what one answer sees. The register in one state, the day, the rules that hold on it, and
 * who reads. Everything that an answer says comes from one view, so no answer can hold two states.
 *
 *     struct view view = { .store = store, .today = today, .reader = reader };
 *     const struct rulebook *rules = view_rulebook(&view, why);    (only where rules are needed)
 *     view_release(&view);
 *
 * The transaction is the caller's: a read (store_read_begin), or the writer's. Over HTTP every
 * handler is given one (api/views.h). Who writes has an act, which is a view with more
 * (derived/act.h).
 */
#ifndef DERIVED_VIEW_H
#define DERIVED_VIEW_H

#include "rules/in_force.h"
#include "store/lists/list.h"

/* Who reads. Everybody who is signed in sees all lines: were somebody to see some of them alone, it
 * would be said here, and whatever reads would ask for it here. */
struct reader {
	int64_t person_id;              /* 0: nobody, or the program itself */
	unsigned rights;                /* bits of the route tables */
};

struct judging;
struct rulebooks;

struct view {
	struct store *store;            /* in one transaction */
	int32_t today;                  /* the civil day in the register's time zone */
	struct reader reader;
	/* Set by view_rules; NULL and 0 before. Good until view_release. Whoever asks what would be
	 * under other rules sets them himself, and then they stay. */
	const struct rulebook *rulebook;          /* the version that holds today */
	/* every version that counts and was in force on any day until today, oldest first, each with
	 * its days; the last is that one, and its to_day may be after today */
	const struct rulebook_span *in_force;
	size_t n_in_force;
	const struct rulebooks *rulebooks;        /* what these stand in */
	struct judging *judged;         /* the bond judged last (derived/judged.h); NULL until then */
	int64_t judged_id;              /* that bond; 0: none, or what was judged is no longer so */
};

/* Reads the rules in force, at the first asking. What judges (derived/judged.h) asks by itself. */
bool view_rules(struct view *view, struct problem *why);

/* The same, and gives the version that holds today; NULL: *why. */
const struct rulebook *view_rulebook(struct view *view, struct problem *why);

/* Whether a version is among those in force until today. */
bool view_was_in_force(const struct view *view, int64_t version);

/* A bond is judged anew for an answer: what it is judged by has changed. 0: any. */
void view_forget(struct view *view, int64_t bond_id);

/* What is asked of a list (list_query_read), with the view's day; what the rules make of a list is
 * read through the view, so it outlives the rows. */
bool view_list_query(struct view *view, const struct list *list, const struct query_pair *pairs,
	size_t count, struct list_query *to, struct problems *why);

void view_release(struct view *view);

/* The rules as they were on an earlier day, for what is judged by them: they are borrowed, so `to`
 * is not to be released. view has its rules read. */
void view_on_day(const struct view *view, int32_t day, struct view *to);

/* The version in force on a day (rules/in_force.h); before the first one that counts, that one. */
bool rulebook_in_force(struct store *store, int32_t day, struct rulebook *to,
	struct problem *why);

#endif
