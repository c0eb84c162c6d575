#include "service/report/past.h"

#include <stdio.h>

/* Between two that are read at once, so many others may lie. */
enum { GAP_MOST = 7 };

void past_add(struct past *past, const struct report_state *state)
{
	struct past_bond *b = &past->bond[past->count];
	size_t at;

	past->count++;
	b->s = *state;
	snprintf(b->label, sizeof b->label, "%s", state->bond.label);
	snprintf(b->chainage, sizeof b->chainage, "%s", state->bond.chainage);
	b->s.bond.label = b->label;
	b->s.bond.chainage = b->chainage;
	b->due = state->kept;
	b->asked = state->asked;
	if (state->stands) {
		return;
	}
	/* (along a line numbers mostly rise) */
	for (at = past->n_judged++; at > 0 &&
		past->bond[past->by_number[at - 1]].s.bond.bond_id > b->s.bond.bond_id; at--) {
		past->by_number[at] = past->by_number[at - 1];
	}
	past->by_number[at] = past->count - 1;
}

static int64_t number_of(const struct past *past, size_t at)
{
	return past->bond[past->by_number[at]].s.bond.bond_id;
}

/* Those from `from` up to `to`, by number. */
static bool judge_run(struct view *view, struct past *past, size_t from, size_t to,
	struct problem *why)
{
	struct judging *j = &past->judging;

	if (!store_records_read(view->store, number_of(past, from), number_of(past, to - 1),
		view->today, &j->records, why)) {
		return false;
	}
	for (size_t i = 0; i < j->records.n_bonds && from < to; i++) {
		struct past_bond *b = &past->bond[past->by_number[from]];

		if (j->records.bonds[i].bond.id != b->s.bond.bond_id) {
			continue;
		}
		if (!judging_bond_then(view, j, i, why)) {
			return false;
		}
		b->due = j->judgement.due;
		b->asked = j->judgement.asked;
		from++;
	}
	return from == to || problem_set(why, PROBLEM_NOT_FOUND, NULL, "There is no bond %lld.",
		(long long)number_of(past, from));
}

bool past_judge(struct view *view, struct past *past, struct problem *why)
{
	size_t next;

	past->judging.records.without_states = true;
	for (size_t from = 0; from < past->n_judged; from = next) {
		next = from + 1;
		while (next < past->n_judged &&
			number_of(past, next) - number_of(past, next - 1) <= 1 + GAP_MOST) {
			next++;
		}
		if (!judge_run(view, past, from, next, why)) {
			return false;
		}
	}
	return true;
}

void past_release(struct past *past)
{
	if (past != NULL) {
		judging_release(&past->judging);
	}
}
