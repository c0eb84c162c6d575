#include "derived/scatter.h"

#include <stdlib.h>

#include "base/array.h"
#include "derived/judged.h"

enum { AT_ONCE = 500 };

/* The bonds of one kind and quantity. */
struct pool {
	struct scatter_bond *bonds;
	size_t count;
};

struct pass {
	struct pool of[RULEBOOK_KINDS][RULEBOOK_SCATTERS];
	struct judging judging;
};

static bool add(struct pool *pool, const struct scatter_bond *bond, struct problem *why)
{
	if (!array_grow((void **)&pool->bonds, pool->count, sizeof *pool->bonds, why)) {
		return false;
	}
	pool->bonds[pool->count++] = *bond;
	return true;
}

/* The judging's scratch has room for all readings of the bond. */
static bool add_quantity(struct pass *p, enum bond_kind kind, enum quantity quantity,
	struct problem *why)
{
	const struct judge_facts *f = &p->judging.facts;
	struct trend_point *points = p->judging.scratch;
	struct scatter_bond bond;
	double size = 0;
	size_t n = 0;

	for (size_t i = 0; i < f->n_readings; i++) {
		const struct judge_reading *r = &f->readings[i];

		if (r->in_trend && r->values.quantity == quantity) {
			size = n > 0 ? size : quantity == QUANTITY_RAIL_DROP ? r->reading.equivalent_m : r->value;
			points[n++] = (struct trend_point){ .day = f->visits[r->visit].day, .value = r->value };
		}
	}
	return !scatter_of(points, n, size, &bond) ||
		add(&p->of[kind][rulebook_scatter_of(quantity)], &bond, why);
}

static bool add_bonds(struct view *view, struct pass *p, struct problem *why)
{
	bool ok = true;

	for (size_t i = 0; ok && i < p->judging.records.n_bonds; i++) {
		const struct bond *b = &p->judging.records.bonds[i].bond;

		ok = judging_bond(view, &p->judging, i, why);
		for (int q = 0; ok && b->status == BOND_IN_SERVICE && q < GRADE_QUANTITIES; q++) {
			ok = add_quantity(p, b->kind, (enum quantity)q, why);
		}
	}
	return ok;
}

bool scatter_find(struct view *view, struct scatter_found *to, struct problem *why)
{
	struct pass *p = calloc(1, sizeof *p);
	int64_t first = 0, last = 0;
	bool ok = p != NULL || problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");

	if (!ok) {
		return false;
	}
	p->judging.records.without_states = true;
	while (ok && store_record_range(view->store, last, -1, AT_ONCE, &first, &last, why) &&
		first != 0) {
		ok = judging_read(view, &p->judging, first, last, why) && add_bonds(view, p, why);
	}
	ok = ok && why->code == PROBLEM_NONE;
	for (int kind = 0; kind < RULEBOOK_KINDS; kind++) {
		for (int q = 0; q < RULEBOOK_SCATTERS; q++) {
			scatter_propose(p->of[kind][q].bonds, p->of[kind][q].count, &to->of[kind][q]);
			free(p->of[kind][q].bonds);
		}
	}
	judging_release(&p->judging);
	free(p);
	return ok;
}
