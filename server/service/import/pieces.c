#include "service/import/pieces.h"

#include <errno.h>
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "derived/import_follow.h"
#include "service/import/file.h"
#include "service/import/run.h"
#include "store/folder.h"

struct import_pieces {
	struct import_begun begun;
	struct import_settings settings;
	struct form_memory memory;
	struct import_request request;
	struct import_result result;
	char *bytes;
	struct run *run;
};

bool import_pieces_may(const struct import_request *request, const struct import_result *tried)
{
	return tried->changed == 0 && (request->kind->what == IMPORT_BONDS ||
		request->kind->what == IMPORT_INSPECTIONS || request->kind->what == IMPORT_FAILURES);
}

static const char imports[] = "imports";

void import_pieces_forget(const char *register_path, const char *kept_as)
{
	folder_forget(register_path, imports, kept_as);
}

struct sweep {
	const char *register_path;
	struct store *store;
	struct problem *why;
};

static void sweep_one(void *arg, const char *name)
{
	const struct sweep *s = arg;
	bool kept = true;

	if (s->why->code == PROBLEM_NONE && store_import_keeps(s->store, name, &kept, s->why) &&
		!kept) {
		folder_forget(s->register_path, imports, name);
	}
}

bool import_pieces_sweep(const char *register_path, struct store *store, struct problem *why)
{
	struct sweep s = { register_path, store, why };

	folder_look(register_path, imports, INT64_MAX, sweep_one, &s);
	return why->code == PROBLEM_NONE;
}

static void hash_file(const char *bytes, size_t len, char to[2 * crypto_hash_sha256_BYTES + 1])
{
	unsigned char sha256[crypto_hash_sha256_BYTES];

	crypto_hash_sha256(sha256, (const unsigned char *)bytes, len);
	sodium_bin2hex(to, 2 * sizeof sha256 + 1, sha256, sizeof sha256);
}

static bool fill(const struct import_request *request, const struct import_result *tried,
	const struct origin *origin, struct import_begun *to)
{
	unsigned char id[16];
	char hash[2 * crypto_hash_sha256_BYTES + 1];
	struct text settings = { 0 };

	randombytes_buf(id, sizeof id);
	uuid_v8(id, to->kept_as);
	hash_file(request->bytes, request->len, hash);
	form_write(&import_settings_form, request->settings, &settings);
	to->kind = strdup(request->kind->name);
	to->file_name = strdup(request->file_name[0] != '\0' ? request->file_name : "not named");
	to->file_hash = strdup(hash);
	to->settings = settings.failed ? NULL : strdup(settings.data);
	to->rows_read = (int64_t)tried->rows;
	to->bonds_made = (int64_t)tried->bonds_made;
	to->stated_by = request->stated_by;
	to->origin = *origin;
	text_release(&settings);
	return to->kind != NULL && to->file_name != NULL && to->file_hash != NULL &&
		to->settings != NULL;
}

bool import_pieces_keep(const char *register_path, const struct import_request *request,
	const struct import_result *tried, const struct origin *origin, struct import_begun *begun,
	struct problem *why)
{
	*begun = (struct import_begun){ 0 };
	if (!fill(request, tried, origin, begun)) {
		return problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	return folder_keep(register_path, imports, begun->kept_as, request->bytes, request->len) ||
		problem_set(why, errno == ENOSPC ? PROBLEM_FULL : PROBLEM_STORE, NULL, "The file could not "
		"be kept on disk, so nothing was taken: please send it again.");
}

static bool read_settings(struct import_pieces *t, struct problems *why)
{
	form_clear(&import_settings_form, &t->settings);
	return form_from_json(&import_settings_form, t->begun.settings, strlen(t->begun.settings),
		&t->settings, &t->memory, why);
}

/* All passes but the last, which ask nothing of the register. */
static bool look_through(struct import_pieces *t, struct problems *why)
{
	t->run = run_begin(&t->request, &t->result, why);
	if (t->run == NULL) {
		return false;
	}
	t->run->beside = true;
	return run_go(t->run, NULL, t->run->passes - 1, IMPORT_TO_END, why);
}

struct import_pieces *import_pieces_open(const char *register_path, struct import_begun *begun,
	struct problems *why)
{
	struct import_pieces *t = calloc(1, sizeof *t);
	char path[FOLDER_PATH_SIZE], hash[2 * crypto_hash_sha256_BYTES + 1] = "";
	struct problem one = { 0 };
	bool ok;

	if (t == NULL) {
		problems_add(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
		return NULL;
	}
	t->begun = *begun;
	*begun = (struct import_begun){ 0 };
	folder_path(register_path, imports, t->begun.kept_as, path);
	t->request = (struct import_request){ .kind = import_kind_find(t->begun.kind),
		.settings = &t->settings, .file_name = t->begun.file_name,
		.stated_by = t->begun.stated_by };
	ok = import_file_read(path, IMPORT_FILE_BYTES, &t->bytes, &t->request.len, &one) ||
		act_refuse(why, &one, NULL);
	t->request.bytes = t->bytes;
	if (ok) {
		hash_file(t->bytes, t->request.len, hash);
	}
	ok = ok && ((t->request.kind != NULL && strcmp(hash, t->begun.file_hash) == 0) ||
		problems_add(why, PROBLEM_NOT_FOUND, NULL, "The file that was kept for import %lld is not "
		"the one that came: import it again.", (long long)t->begun.id));
	ok = ok && read_settings(t, why) && look_through(t, why);
	if (!ok) {
		import_pieces_free(t);
		return NULL;
	}
	return t;
}

void import_pieces_free(struct import_pieces *t)
{
	if (t != NULL) {
		run_free(t->run);
		import_result_release(&t->result);
		form_memory_release(&t->memory);
		import_begun_release(&t->begun);
		free(t->bytes);
	}
	free(t);
}

size_t import_pieces_rows(const struct import_pieces *t)
{
	return t->result.rows;
}

bool import_pieces_is_refusal(const struct problems *why)
{
	return !run_is_failure(why);
}

/* A row that was right when the file was tried may be wrong by what crews did since. */
static bool all_right(const struct import_pieces *t, struct problems *why)
{
	return t->result.wrong == 0 || t->settings.leave_wrong_out == 1 || problems_add(why,
		PROBLEM_CONFLICT, NULL, "Row %zu was right when the file was tried, and is not any more: "
		"%.180s", t->result.wrongs[0].row, t->result.wrongs[0].reason);
}

/* Else a failure of a known bond would make one that nobody agreed to, and hide at a bond of which
 * nothing is known. */
static bool finds_its_bonds(const struct import_pieces *t, struct act *act, struct problems *why)
{
	struct problem trouble = { 0 };
	int64_t made = 0;

	if (t->request.kind->what != IMPORT_FAILURES || t->begun.bonds_made < 0) {
		return true;
	}
	if (!store_import_bonds(act->store, t->begun.id, &made, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	return made <= t->begun.bonds_made || problems_add(why, PROBLEM_CONFLICT, NULL, "A bond that a "
		"failure of the file was found at when it was tried is not there any more: try it again.");
}

/* Its last piece. */
static bool count_all(struct import_pieces *t, struct act *act, struct problems *why)
{
	struct problem trouble = { 0 };

	return (t->result.added > 0 || problems_add(why, PROBLEM_CONFLICT, NULL, "All rows of the file "
		"are in the register meanwhile.")) && finds_its_bonds(t, act, why) &&
		run_keep_import(t->run) &&
		(import_follow_begin(act, t->begun.id, &trouble) || act_refuse(why, &trouble, NULL));
}

static bool read_on(struct import_pieces *t, struct act *act, int64_t until_ms,
	struct problems *why)
{
	struct import_bounds before;
	struct problem trouble = { 0 };

	if (!store_import_bounds(act->store, &before, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	return run_go(t->run, act, t->run->passes, until_ms, why) && all_right(t, why) &&
		(store_import_leave_out(act->store, t->begun.id, &before, &trouble) ||
		act_refuse(why, &trouble, NULL));
}

bool import_pieces_next(struct import_pieces *t, struct act *act, int64_t until_ms, bool *more,
	struct problems *why)
{
	enum import_standing standing;
	struct problem trouble = { 0 };

	*more = false;
	if (!store_import_standing(act->store, t->begun.id, &standing, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	if (standing != IMPORT_UNDER_WAY) {
		return true;                /* withdrawn meanwhile */
	}
	act->origin = t->begun.origin;
	act->origin.import_id = t->begun.id;
	act->is_coming = true;
	if (!read_on(t, act, until_ms, why)) {
		return false;
	}
	*more = !run_is_over(t->run);
	return *more || count_all(t, act, why);
}
