#include "service/import/import.h"

#include <sodium.h>
#include <stdlib.h>
#include <string.h>

#include "base/clock.h"
#include "derived/import_follow.h"
#include "service/import/find.h"
#include "service/import/look.h"
#include "service/import/place.h"
#include "service/import/run.h"
#include "service/import/stated.h"
#include "service/import/take.h"
#include "store/record/import_begun.h"

enum { PROGRESS_ROWS = 1000 };

/* Bonds that the import brought have its rows' order, so a row that finds one behind all others
 * brought it: before the program died. */
static bool count_plain(struct run *run, const struct recorded *recorded)
{
	bool already = recorded->already;

	if (already && recorded->id > run->last_bond &&
		!run_already(run, SENT_BOND, recorded, &already)) {
		return false;
	}
	run->last_bond = already ? run->last_bond : recorded->id;
	run_count(run, already, 1);
	return true;
}

/*
 * Lines, tracks and bonds are refused before anything is written, so they need no savepoint, which
 * would cost a quarter of the time. Should one be refused later after all, the import ends.
 */
static bool keep_plain(struct run *run, union run_row *row, struct form_memory *memory)
{
	int64_t written = store_changes(run->act->store);
	struct recorded recorded = { 0 };
	struct problems wrong = { 0 };
	bool ok;

	(void)memory;
	switch (run->request->kind->what) {
	case IMPORT_LINES:
		ok = import_line(run, &row->line, &recorded, &wrong);
		break;
	case IMPORT_TRACKS:
		ok = import_track(run, &row->track, &recorded, &wrong);
		break;
	default:
		ok = import_bond(run, &row->bond, &recorded, &wrong) && run_derive(run, &wrong);
	}
	if (ok) {
		return count_plain(run, &recorded);
	}
	if (store_changes(run->act->store) != written) {
		return problems_add(run->why, PROBLEM_STORE, NULL, "Row %zu was written in part: %s",
			run->csv.row, wrong.item[0].detail);
	}
	return run_wrong(run, run_place(run), &wrong);
}

static const struct run_kind import_run_plain = { .passes = 1, .row = keep_plain };

static const struct run_kind *run_kind_of(enum import_what what)
{
	return what == IMPORT_MAPS ? &import_run_maps : what == IMPORT_INSPECTIONS ?
		&import_run_inspections : what == IMPORT_FAILURES ? &import_run_failures :
		&import_run_plain;
}

/* A row that is looked at before the last pass: what stands in the register comes then. */
static bool look_at(struct run *run, const union run_row *row, const struct problems *wrong)
{
	return (run->parts == NULL || wrong->count > 0 || trial_parts_note(run, row)) &&
		(run->how->look == NULL || run->how->look(run, row, wrong));
}

/* A row that the reader took: decoded and handed on, or wrong. */
static bool take_row(struct run *run)
{
	const struct run_kind *how = run->how;
	union run_row row;
	struct form_memory memory = { 0 };
	struct problems wrong = { 0 };
	bool ok, last = run->pass == run->passes;

	run->result->rows += last;
	if (import_shape_is_beyond(&run->shape) || !import_plan_wants(&run->plan, &run->csv)) {
		run->result->left_out += last;
		return true;
	}
	ok = import_plan_read(&run->plan, &run->csv, &row, &memory, &wrong) &&
		(!last || import_places(run, &row, &memory, &wrong));
	if (last) {
		import_find_day(run, &row);
	}
	if (!last) {
		ok = look_at(run, &row, &wrong);
	} else if (ok) {
		ok = how->row(run, &row, &memory);
	} else {
		ok = (how->spoilt == NULL || how->spoilt(run, &row, &wrong)) &&
			run_wrong(run, run_place(run), &wrong);
	}
	form_memory_release(&memory);
	return ok;
}

static void tell_progress(const struct run *run, size_t done)
{
	const struct import_request *request = run->request;

	size_t more = run->parts != NULL ? run->parts->count - 1 : 0;
	size_t before = run->pass - 1 + (run->parts != NULL && run->pass == run->passes ?
		run->parts->now : 0);

	if (request->watch.progress != NULL) {
		request->watch.progress(request->watch.app, before * request->len +
			(done < request->len ? done : request->len), (run->passes + more) * request->len);
	}
}

/* Until the end of the file or of the time. */
static bool read_rows(struct run *run, int64_t until_ms, bool *at_end)
{
	struct problem one = { 0 };
	bool ok = true;

	for (size_t n = 0; ok; n++) {
		enum csv_result got = import_shape_next(&run->shape, &one);

		if (got == CSV_END) {
			*at_end = true;
			return true;
		}
		if (!trial_parts_has(run)) {
			continue;
		}
		if (got == CSV_ROW && !csv_is_blank(&run->csv)) {
			ok = take_row(run);
		} else if (got == CSV_WRONG && run->pass == run->passes) {
			struct problems wrong = { 0 };

			problems_take(&wrong, &one);
			run->result->rows++;
			ok = run_wrong(run, run_place(run), &wrong);
		}
		if (n % PROGRESS_ROWS == 0 && run->csv.n_cells > 0) {
			tell_progress(run, (size_t)(run->csv.at - run->utf8.data));
		}
		if (until_ms != IMPORT_TO_END && clock_monotonic_ms() >= until_ms) {
			return ok;
		}
	}
	return ok;
}

/* Reads the first row, and at the first pass binds the settings to what the columns are called. */
static bool read_heading(struct run *run)
{
	return import_shape_begin(&run->shape, run->request->settings, &run->csv, &run->headings,
		run->why) && (run->pass > 1 || import_plan_make(&run->plan, run->request->kind,
		run->request->settings, &run->headings, run->why));
}

static bool begin_pass(struct run *run)
{
	const struct import_request *request = run->request;
	struct problem one = { 0 };

	/* a fresh copy each time: the reader writes into it */
	text_clear(&run->utf8);
	if (!charset_to_utf8((enum charset)request->settings->encoding, request->bytes, request->len,
		&run->utf8, &one)) {
		return problems_take(run->why, &one);
	}
	run->in_pass = true;
	csv_start(&run->csv, run->utf8.data, run->utf8.len, import_separator(request->settings));
	return read_heading(run);
}

static bool end_pass(struct run *run)
{
	bool ok = run->pass < run->passes || run->how->end == NULL || run->how->end(run);

	if (ok) {
		tell_progress(run, run->request->len);
	}
	run->in_pass = false;
	run->pass++;
	return ok;
}

bool run_go(struct run *run, struct act *act, size_t pass, int64_t until_ms, struct problems *why)
{
	bool ok = true, at_end = true;

	run->act = act;
	run->why = why;
	while (ok && at_end && run->pass <= pass) {
		at_end = false;
		ok = (run->in_pass || begin_pass(run)) && read_rows(run, until_ms, &at_end) &&
			(!at_end || end_pass(run));
	}
	return ok;
}

bool run_is_over(const struct run *run)
{
	return run->pass > run->passes;
}

/* Beside the rows stands which file they came from, and how it was read. */
bool run_keep_import(struct run *run)
{
	const struct import_request *request = run->request;
	const struct import_result *result = run->result;
	unsigned char sha256[crypto_hash_sha256_BYTES];
	char hash[2 * sizeof sha256 + 1];
	struct origin origin = run->act->origin;
	struct text settings = { 0 };
	struct problem trouble = { 0 };
	bool ok;

	origin.person_id = import_is_stated(request->settings) ? request->stated_by : origin.person_id;
	crypto_hash_sha256(sha256, (const unsigned char *)request->bytes, request->len);
	sodium_bin2hex(hash, sizeof hash, sha256, sizeof sha256);
	form_write(&import_settings_form, request->settings, &settings);
	if (settings.failed) {
		text_release(&settings);
		return problems_add(run->why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	struct import_row row = { run->act->origin.import_id, request->kind->name,
		request->file_name[0] != '\0' ? request->file_name : "not named", hash, settings.data, (int64_t)result->rows, (int64_t)result->added,
		(int64_t)result->already, (int64_t)(result->left_out + result->wrong) };
	ok = store_import_insert(run->act->store, &row, &origin, &trouble) ||
		act_refuse(run->why, &trouble, NULL);
	text_release(&settings);
	run->result->import_id = ok ? row.id : 0;
	return ok && import_stated_keep(run->act, request->settings, row.id, request->stated_by,
		run->why);
}

static bool may_state(const struct import_request *request, struct problems *why)
{
	return request->stated_by != 0 || !import_is_stated(request->settings) || problems_add(why,
		PROBLEM_RIGHT, "row_meant", "What a log was measured with, and that its rows mean that "
		"both ends were seen, is for an engineer to state: who may adopt a rulebook.");
}

static int by_count(const void *a, const void *b)
{
	const struct import_reason *x = a, *y = b;

	return x->count > y->count ? -1 : x->count < y->count;
}

struct run *run_begin(const struct import_request *request, struct import_result *result,
	struct problems *why)
{
	struct run *run = calloc(1, sizeof *run);

	*result = (struct import_result){ 0 };
	if (run == NULL) {
		problems_add(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
		return NULL;
	}
	*run = (struct run){ .how = run_kind_of(request->kind->what), .request = request,
		.result = result, .why = why, .pass = 1 };
	run->passes = run->how->passes;
	if (import_settings_check(request->kind, request->settings, why) && may_state(request, why) &&
		import_look(request->kind, request->settings, request->bytes, request->len, why)) {
		return run;
	}
	run_free(run);
	return NULL;
}

void run_free(struct run *run)
{
	if (run != NULL) {
		if (run->how->release != NULL) {
			run->how->release(run);
		}
		trial_parts_free(run->parts);
		import_seen_release(&run->seen);
		import_plan_release(&run->plan);
		text_release(&run->utf8);
	}
	free(run);
}

/* Nobody knows yet what the one under way will have brought; and while its bonds are made again, or
 * those of one that counts, a row finds what was derived before. */
static bool is_alone(struct act *act, struct import_result *result, struct problems *why)
{
	struct import_begun other = { 0 };
	struct problem trouble = { 0 };
	int64_t followed = 0;
	bool ok = (store_import_under_way(act->store, &other, &trouble) &&
		import_follow_open(act->store, &followed, &trouble)) || act_refuse(why, &trouble, NULL);

	result->waits_for = followed != 0 ? followed : other.id;
	if (ok && followed != 0) {
		ok = problems_add(why, PROBLEM_BUSY, NULL, "The bonds of import %lld are being made again: "
			"try again when it is done. A server that is started carries it on.",
			(long long)followed);
	} else if (ok && other.id != 0) {
		ok = problems_add(why, PROBLEM_BUSY, NULL, "Import %lld, of %.100s, is under way: try again "
			"when it is done. A server that is started carries it on.", (long long)other.id,
			other.file_name);
	}
	import_begun_release(&other);
	return ok;
}

bool run_part_begin(struct run *run, struct act *act, struct run_before *before)
{
	struct problem trouble = { 0 };

	run->act = act;
	run->line_id = 0;
	return is_alone(act, run->result, run->why) &&
		((store_import_next(act->store, &act->origin.import_id, &trouble) &&
		store_bond_last(act->store, &before->bonds, &trouble)) ||
		act_refuse(run->why, &trouble, NULL)) && import_find_begin(run);
}

bool run_part_end(struct run *run, const struct run_before *before)
{
	struct problem trouble = { 0 };
	int64_t bonds = 0;

	if (!import_find_count(run)) {
		return false;
	}
	if (!store_bond_last(run->act->store, &bonds, &trouble)) {
		return act_refuse(run->why, &trouble, NULL);
	}
	run->result->bonds_made += run->request->kind->what == IMPORT_FAILURES ?
		(size_t)(bonds - before->bonds) : 0;
	return true;
}

void run_told(struct run *run)
{
	import_find_tell(run);
	qsort(run->result->reasons, run->result->n_reasons, sizeof run->result->reasons[0], by_count);
}

bool import_run(struct act *act, const struct import_request *request,
	struct import_result *result, struct problems *why)
{
	struct run *run = run_begin(request, result, why);
	struct run_before before = { 0 };
	bool ok = run != NULL && run_part_begin(run, act, &before);

	if (ok) {
		result->number = act->origin.import_id;
		ok = run_go(run, act, run->passes, IMPORT_TO_END, why) && run_part_end(run, &before);
		run_told(run);
	}
	if (ok && result->import_id == 0 && result->added + result->changed > 0 &&
		import_keeps(request, result)) {
		ok = run_keep_import(run);
	}
	result->import_id = import_keeps(request, result) ? result->import_id : 0;
	run_free(run);
	return ok;
}

bool import_keeps(const struct import_request *request, const struct import_result *result)
{
	return !request->dry_run && (result->wrong == 0 || request->settings->leave_wrong_out == 1);
}

void import_result_release(struct import_result *result)
{
	free(result->wrongs);
	free(result->differences);
	result->differences = NULL;
	result->n_differences = 0;
	result->wrongs = NULL;
	result->n_wrongs = 0;
}
