#include "derived/view.h"

#include "derived/judged.h"
#include "store/record/rulebook.h"

/* Before the first that counts, that one: a day of which nothing is said is not without rules. */
bool view_rules(struct view *view, struct problem *why)
{
	const struct rulebooks *all;
	size_t n;

	if (view->rulebook != NULL) {
		return true;
	}
	all = store_rulebooks(view->store, why);
	if (all == NULL) {
		return false;
	}
	if (all->n_spans == 0) {
		store_rulebooks_release(all);
		return problem_set(why, PROBLEM_RULE, NULL,
			"This register has no rulebook yet: start the server once to have one recorded.");
	}
	n = rulebook_spans_until(all->spans, all->n_spans, view->today);
	view->rulebooks = all;
	view->in_force = all->spans;
	view->n_in_force = n > 0 ? n : 1;
	view->rulebook = all->spans[view->n_in_force - 1].rulebook;
	return true;
}

const struct rulebook *view_rulebook(struct view *view, struct problem *why)
{
	return view_rules(view, why) ? view->rulebook : NULL;
}

void view_on_day(const struct view *view, int32_t day, struct view *to)
{
	size_t n = rulebook_spans_until(view->in_force, view->n_in_force, day);

	n = n > 0 ? n : 1;
	to->store = view->store;
	to->today = day;
	to->reader = view->reader;
	to->in_force = view->in_force;
	to->n_in_force = n;
	to->rulebook = view->in_force[n - 1].rulebook;
}

bool view_was_in_force(const struct view *view, int64_t version)
{
	for (size_t i = view->n_in_force; i-- > 0;) {
		if (view->in_force[i].rulebook->version == version) {
			return true;
		}
	}
	return false;
}

void view_forget(struct view *view, int64_t bond_id)
{
	if (bond_id == 0 || view->judged_id == bond_id) {
		view->judged_id = 0;
	}
}

bool view_list_query(struct view *view, const struct list *list, const struct query_pair *pairs,
	size_t count, struct list_query *to, struct problems *why)
{
	bool ok = list_query_read(list, pairs, count, view->today, to, why);

	to->view = view;
	return ok;
}

void view_release(struct view *view)
{
	store_rulebooks_release(view->rulebooks);
	judging_free(view->judged);
	*view = (struct view){ 0 };
}

bool rulebook_in_force(struct store *store, int32_t day, struct rulebook *to, struct problem *why)
{
	struct view view = { .store = store, .today = day };
	bool ok = view_rules(&view, why);

	if (ok) {
		*to = *view.rulebook;
	}
	view_release(&view);
	return ok;
}
