#include "service/import/trial.h"

#include <stdlib.h>
#include <string.h>

#include "service/import/run.h"

/* A second or two, on a machine that has much else to do. */
enum { PART_ROWS = 20000 };

void trial_parts_free(struct trial_parts *parts)
{
	if (parts != NULL) {
		free(parts->of);
	}
	free(parts);
}

static uint32_t hash_on(uint32_t hash, const void *of, size_t len)
{
	for (size_t i = 0; i < len; i++) {
		hash = (hash ^ ((const unsigned char *)of)[i]) * UINT32_C(16777619);   /* FNV-1a */
	}
	return hash;
}

static uint32_t hash_text(uint32_t hash, const char *text)
{
	return text != NULL ? hash_on(hash, text, strlen(text)) : hash;
}

/* (a log names its bonds in one way) */
static uint16_t hash_of(const struct run *run, const union run_row *row)
{
	uint32_t hash = UINT32_C(2166136261);
	const struct bond_reference *of = &row->visit.visit.of;

	switch (run->request->kind->what) {
	case IMPORT_BONDS:
		hash = hash_text(hash, row->bond.line);
		break;
	case IMPORT_FAILURES:
		of = &row->failure.of;
		hash = of->line != NULL ? hash_text(hash, of->line) :
			hash_on(hash, &of->bond_id, sizeof of->bond_id);
		break;
	default:
		hash = hash_text(hash_text(hash, of->line), of->bond);
		hash = of->bond != NULL ? hash : hash_on(hash, &of->bond_id, sizeof of->bond_id);
	}
	return (uint16_t)(hash ^ hash >> 16);
}

bool trial_parts_note(struct run *run, const union run_row *row)
{
	struct trial_parts *parts = run->parts;
	size_t at = run->csv.row;

	if (at >= parts->room) {
		size_t room = parts->room == 0 ? 4096 : parts->room;
		uint16_t *more;

		while (room <= at) {
			room *= 2;
		}
		more = realloc(parts->of, room * sizeof *more);
		if (more == NULL) {
			return problems_add(run->why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
		}
		memset(more + parts->room, 0, (room - parts->room) * sizeof *more);
		parts->of = more;
		parts->room = room;
	}
	parts->of[at] = hash_of(run, row);
	return true;
}

bool trial_parts_has(const struct run *run)
{
	const struct trial_parts *parts = run->parts;
	size_t at = run->csv.row;

	return parts == NULL || run->pass < run->passes ||
		(at < parts->room ? parts->of[at] % parts->count : 0) == parts->now;
}

/* (a row that makes several records may be of several bonds) */
static bool goes_in_parts(const struct import_request *request)
{
	return request->settings->in_rows.count == 0 && (request->kind->what == IMPORT_BONDS ||
		request->kind->what == IMPORT_INSPECTIONS || request->kind->what == IMPORT_FAILURES);
}

/* Finds what is of which part: a pass that asks nothing of the register. */
static bool part_it(struct run *run, size_t part_rows)
{
	run->parts = calloc(1, sizeof *run->parts);
	if (run->parts == NULL) {
		return problems_add(run->why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	run->parts->count = 1;
	run->passes = 2;
	if (!run_go(run, NULL, 1, IMPORT_TO_END, run->why)) {
		return false;
	}
	run->parts->count = 1 + run->csv.row / part_rows;
	return true;
}

/* The rows of a part; *number: of the import that all parts are of, 0: this is the first. */
static bool try_part(struct run *run, struct act *act, int64_t *number)
{
	struct run_before before = { 0 };
	int64_t next;

	if (!run_part_begin(run, act, &before)) {
		return false;
	}
	next = act->origin.import_id;
	if (*number != 0 && next != *number) {
		run->result->waits_for = *number;
		return problems_add(run->why, PROBLEM_BUSY, NULL, "Import %lld came in while this file was "
			"tried: try it again.", (long long)*number);
	}
	*number = next;
	return run_go(run, act, run->passes, IMPORT_TO_END, run->why) && run_part_end(run, &before);
}

static int by_row(const void *a, const void *b)
{
	const struct import_wrong *x = a, *y = b;

	return x->row < y->row ? -1 : x->row > y->row;
}

static int by_differing_row(const void *a, const void *b)
{
	const struct import_difference *x = a, *y = b;

	return x->row < y->row ? -1 : x->row > y->row;
}

static void put_in_order(struct import_result *result)
{
	if (result->n_wrongs > 1) {
		qsort(result->wrongs, result->n_wrongs, sizeof result->wrongs[0], by_row);
	}
	if (result->n_differences > 1) {
		qsort(result->differences, result->n_differences, sizeof result->differences[0],
			by_differing_row);
	}
}

bool import_try(const struct import_request *request, struct trial_views *views, size_t part_rows,
	struct import_result *result, struct problems *why)
{
	struct run *run = run_begin(request, result, why);
	bool ok = run != NULL && (!goes_in_parts(request) ||
		part_it(run, part_rows > 0 ? part_rows : PART_ROWS));
	size_t count = ok && run->parts != NULL ? run->parts->count : 1;

	for (size_t i = 0; ok && i < count; i++) {
		struct act *act = views->begin(views, why);

		if (run->parts != NULL) {
			run->parts->now = i;
			run->pass = run->passes;
		}
		ok = act != NULL && try_part(run, act, &result->number) && derived_end(act, why);
		views->end(views);
	}
	if (run != NULL) {
		run_told(run);
		put_in_order(result);
	}
	result->import_id = 0;
	run_free(run);
	return ok;
}
