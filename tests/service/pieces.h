/* Imports in pieces, as the server takes them, in the tests' railway. */
#ifndef TESTS_SERVICE_PIECES_H
#define TESTS_SERVICE_PIECES_H

#include "derived/import_follow.h"
#include "service/import/pieces.h"
#include "service/importing.h"

#define PIECES_TODAY "2024-05-02"

/* Tries a file and begins to take it, the day before. */
static inline void pieces_begin(struct railway *r, const char *kind, const char *settings,
	const char *text)
{
	struct importing i;
	struct import_request request;
	struct import_begun begun;
	struct problem one = { 0 };

	importing_settings(&i, settings);
	railway_must(importing(r, &i, kind, text, true), &i.why);
	ck_assert_uint_eq(i.result.wrong, 0);
	request = (struct import_request){ .kind = import_kind_find(kind), .settings = &i.settings,
		.file_name = "file.csv", .bytes = text, .len = strlen(text) };
	ck_assert(import_pieces_may(&request, &i.result));
	railway_begin(r, "2024-05-01");
	ck_assert_msg(import_pieces_keep(r->file.path, &request, &i.result, &r->act.origin, &begun,
		&one) &&
		store_import_begin(r->store, &begun, &one), "%s", one.detail);
	railway_end(r);
	import_begun_release(&begun);
	importing_release(&i);
}

static inline struct import_pieces *pieces_carry_on(struct railway *r, struct problems *why)
{
	struct import_begun begun;
	struct import_pieces *take;
	struct problem one = { 0 };

	railway_begin(r, PIECES_TODAY);
	ck_assert_msg(store_import_under_way(r->store, &begun, &one), "%s", one.detail);
	railway_end(r);
	ck_assert_int_ne(begun.id, 0);
	take = import_pieces_open(r->file.path, &begun, why);
	import_begun_release(&begun);
	return take;
}

/* As a writer's job does it: nothing is derived. kept false: as if the program had died before. */
static inline bool pieces_next(struct railway *r, struct import_pieces *take, bool kept,
	struct problems *why)
{
	struct problem one = { 0 };
	bool more, ok;

	railway_begin(r, PIECES_TODAY);
	ok = import_pieces_next(take, &r->act, 0, &more, why);
	act_release(&r->act);
	view_release(&r->view);
	if (ok && kept) {
		ck_assert_msg(store_commit(r->store, &one), "%s", one.detail);
	} else {
		store_rollback(r->store);
	}
	return ok && more;
}

/* What follows from one that counts; returns how many pieces there were. */
static inline int pieces_follow(struct railway *r)
{
	struct import_follow at = { 0 };
	struct problems why = { 0 };
	bool more = true;
	int pieces = 0;

	while (more) {
		railway_begin(r, PIECES_TODAY);
		railway_must(import_follow_piece(&r->act, &at, 0, &more, &why), &why);
		railway_end(r);
		importing_content(r);
		pieces += more;
	}
	return pieces;
}

static inline int64_t pieces_left_out(struct railway *r)
{
	struct problem one = { 0 };
	int64_t count = -1;

	ck_assert(sql_integer(r->store, "SELECT count(*) FROM correction_open", NULL, 0, -1, &count,
		&one));
	return count;
}

/* To its end, without a look between. */
static inline void pieces_take(struct railway *r)
{
	struct problems why = { 0 };
	struct import_pieces *take = pieces_carry_on(r, &why);

	railway_must(take != NULL, &why);
	while (pieces_next(r, take, true, &why)) {
	}
	railway_must(why.count == 0, &why);
	import_pieces_free(take);
}

static inline void pieces_forget(struct railway *r)
{
	char path[128];

	snprintf(path, sizeof path, "rm -rf %s/imports", r->file.folder);
	ck_assert_int_eq(system(path), 0);
	railway_remove(r);
}

#endif
