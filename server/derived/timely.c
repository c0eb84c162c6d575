#include "derived/timely.h"

#include <stdlib.h>
#include <string.h>

#include "base/array.h"
#include "derived/recompute.h"
#include "rules/edition.h"
#include "store/kept/visit_count.h"

int32_t timely_stands_under(const struct view *view, int64_t version)
{
	for (size_t i = view->n_in_force; i-- > 0;) {
		if (view->in_force[i].rulebook->version == version) {
			return i + 1 < view->n_in_force ? view->in_force[i + 1].from_day - 1 : INT32_MAX;
		}
	}
	return INT32_MIN;
}

int32_t timely_stands_until(const struct view *view, const struct record *r, int32_t new_day)
{
	int32_t day;

	if (!r->has_state || r->state.odd < 0 || r->state.version != r->bond.version ||
		r->state.edition != RULES_EDITION || r->state.rulebook_version <= 0) {
		return INT32_MIN;
	}
	day = timely_stands_under(view, r->state.rulebook_version);
	return day < new_day ? day : new_day;
}

void timely_judge(const struct due *due, bool is_first, int32_t installed_day,
	enum purpose purpose, int32_t day, struct report_timely *to)
{
	struct due then = *due;

	if (is_first && installed_day == DAY_NONE) {
		then.basis = DUE_AT_ONCE;   /* whatever is to be mended */
	}
	report_timely(&then, purpose, day, to);
}

bool timely_is_kept(struct view *view, bool *is_kept, struct problem *why)
{
	struct recompute_progress progress;
	bool ok = view_rules(view, why) &&
		recompute_progress(view->store, view->rulebook, &progress, why);

	*is_kept = ok && progress.is_followed;
	return ok;
}

/* A complete inspection among the bond's visits. */
struct turn {
	int32_t day;
	int64_t id;
	size_t visit;
};

/* By day and order of arrival. They nearly are; returns how many. */
static size_t put_in_order(const struct judging *j, const struct record *r, struct turn *to)
{
	size_t n = 0;

	for (size_t v = r->visit; v < r->visit + r->n_visits; v++) {
		struct turn t = { j->records.visits[v].day, j->records.visit_ids[v], v };
		size_t at = n;

		if (j->records.visits[v].outcome != OUTCOME_COMPLETE) {
			continue;
		}
		for (; at > 0 && (to[at - 1].day > t.day ||
			(to[at - 1].day == t.day && to[at - 1].id > t.id)); at--) {
			to[at] = to[at - 1];
		}
		to[at] = t;
		n++;
	}
	return n;
}

/* How many of them stand as they are kept. None when what is kept is not of the same days: that is
 * not trusted then. */
static size_t how_many_stand(const struct record *r, const struct turn *turns, size_t n,
	int32_t until_day)
{
	size_t kept = r->state.visits_len / VISIT_BYTES;
	size_t i = 0;

	if (kept > n) {
		return 0;
	}
	while (i < kept && turns[i].day <= until_day) {
		if (visit_kept_read(&r->state.visits[i * VISIT_BYTES]).day != turns[i].day) {
			return 0;
		}
		i++;
	}
	return i;
}

static bool works_before(const struct judging *j, const struct record *r, int32_t day)
{
	const struct records *all = &j->records;

	for (size_t i = r->attachment; i < r->attachment + r->n_attachments; i++) {
		if (all->attachments[i].made_day >= day || all->attachments[i].ended_day >= day) {
			return false;
		}
	}
	for (size_t i = r->failure; i < r->failure + r->n_failures; i++) {
		if (all->failures[i].found_day >= day || all->failures[i].repaired_day >= day) {
			return false;
		}
	}
	for (size_t i = r->clearing; i < r->clearing + r->n_clearings; i++) {
		if (all->clearings[i].day >= day) {
			return false;
		}
	}
	return r->detached_day[END_A] < day && r->detached_day[END_B] < day;
}

/* Whether what is kept of the bond is what was due before its newest visit: that visit alone is
 * new, nothing else is of its day or later, and it was judged by the same rulebooks. So it is with
 * most that crews send. (DAY_NONE is before all days; when a deferral was decided was not read.) */
static bool state_stands(const struct view *view, const struct judging *j, const struct record *r,
	size_t kept_before, const struct turn *turn, int32_t new_day)
{
	const struct judge_visit *visits = &j->records.visits[r->visit];
	size_t last = r->n_visits - 1;

	return new_day == turn->day && turn->visit == r->visit + last &&
		r->state.visits_len == kept_before * VISIT_BYTES &&
		(last == 0 || visits[last - 1].day < turn->day) &&
		r->state.rulebook_version == view->rulebook->version &&
		view->in_force[view->n_in_force - 1].from_day <= turn->day &&
		r->bond.status == BOND_IN_SERVICE && r->deferral.id == 0 &&
		works_before(j, r, turn->day);
}

static bool due_before(struct view *view, struct judging *j, size_t i, const struct turn *turn,
	struct due *due, struct problem *why)
{
	if (j->on_day == NULL) {
		j->on_day = calloc(1, sizeof *j->on_day);
	}
	if (j->on_day == NULL) {
		return problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	view_on_day(view, turn->day, j->on_day);
	return judging_until(j->on_day, j, i, turn->day - 1, due, why);
}

static bool judge_by_due(struct view *view, struct judging *j, size_t i, const struct turn *turns,
	size_t n, int32_t new_day, enum timely *to, struct problem *why)
{
	const struct record *r = &j->records.bonds[i];
	enum purpose purpose = j->records.visits[turns[n].visit].purpose;
	struct report_timely timely;
	struct due due;

	if (state_stands(view, j, r, n, &turns[n], new_day)) {
		due = r->state.due;
	} else if (!due_before(view, j, i, &turns[n], &due, why)) {
		return false;
	}
	timely_judge(&due, n == 0, r->bond.installed_day, purpose, turns[n].day, &timely);
	*to = timely.is;
	return true;
}

/* turns[n] of bond i; those before are in j->timely. One of the same day as the one before was due
 * as that was. */
static bool judge_turn(struct view *view, struct judging *j, size_t i, const struct turn *turns,
	size_t n, int32_t new_day, struct problem *why)
{
	const struct record *r = &j->records.bonds[i];
	struct visit_kept kept = { turns[n].day, TIMELY_NOT_JUDGED };

	if (report_is_judged(j->records.visits[turns[n].visit].purpose) &&
		(n > 0 || r->bond.installed_day != DAY_NONE)) {
		if (n > 0 && turns[n - 1].day == turns[n].day) {
			kept.timely = visit_kept_read(&j->timely[(n - 1) * VISIT_BYTES]).timely;
		}
		if (kept.timely == TIMELY_NOT_JUDGED &&
			!judge_by_due(view, j, i, turns, n, new_day, &kept.timely, why)) {
			return false;
		}
	}
	visit_kept_write(&kept, &j->timely[n * VISIT_BYTES]);
	return true;
}

bool timely_of_bond(struct view *view, struct judging *j, size_t i, int32_t stands_until_day,
	struct problem *why)
{
	const struct record *r = &j->records.bonds[i];
	struct turn *turns;
	size_t n, first;

	j->timely_len = 0;
	if (r->n_visits == 0) {
		return true;
	}
	turns = calloc(r->n_visits, sizeof *turns);
	if (turns == NULL || !array_room((void **)&j->timely, &j->timely_room,
		r->n_visits * VISIT_BYTES, 1, why)) {
		free(turns);
		return problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	}
	n = put_in_order(j, r, turns);
	first = how_many_stand(r, turns, n, stands_until_day);
	if (first > 0) {
		memcpy(j->timely, r->state.visits, first * VISIT_BYTES);
	}
	for (size_t k = first; k < n; k++) {
		if (!judge_turn(view, j, i, turns, k, stands_until_day, why)) {
			free(turns);
			return false;
		}
	}
	free(turns);
	j->timely_len = n * VISIT_BYTES;
	return true;
}
