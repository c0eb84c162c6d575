#include "derived/odd.h"

#include <math.h>
#include <stdlib.h>

#include "store/kept/odd.h"

static bool is_evidence(const struct judge_reading *r)
{
	return isfinite(r->reading.r20_uohm) && !odd_reading_is_no_evidence(r->reading.remark);
}

/* Whether one may be far from a median of them: none is from what lies between the least and the
 * most when these are near each other. Nearly always so, and no median is sought. */
static bool may_be_far_off(const struct judge_facts *facts, enum quantity quantity)
{
	double least = INFINITY, most = -INFINITY;
	size_t n = 0;

	for (size_t k = 0; k < facts->n_readings; k++) {
		const struct judge_reading *r = &facts->readings[k];

		if (r->values.quantity == quantity && is_evidence(r)) {
			least = fmin(least, r->reading.r20_uohm);
			most = fmax(most, r->reading.r20_uohm);
			n++;
		}
	}
	return n >= ODD_READINGS_LEAST && !(least > 0 && most <= least * ODD_FACTOR);
}

static int64_t far_off(const struct judge_facts *facts, enum quantity quantity, double *evidence)
{
	double median;
	size_t n = 0;
	int64_t rows = 0;

	for (size_t k = 0; k < facts->n_readings; k++) {
		const struct judge_reading *r = &facts->readings[k];

		if (r->values.quantity == quantity && is_evidence(r)) {
			evidence[n++] = r->reading.r20_uohm;
		}
	}
	median = odd_median(evidence, n);
	for (size_t k = 0; k < n; k++) {
		rows += odd_reading_is_far_off(evidence[k], median, n);
	}
	return rows;
}

bool odd_of_readings(const struct judging *j, int64_t rows[ODDS], struct problem *why)
{
	const struct judge_facts *facts = &j->facts;

	rows[ODD_READING_FAR_OFF] = rows[ODD_READING_NO_EVIDENCE] = 0;
	for (size_t k = 0; k < facts->n_readings; k++) {
		rows[ODD_READING_NO_EVIDENCE] +=
			odd_reading_is_no_evidence(facts->readings[k].reading.remark);
	}
	for (int quantity = 0; quantity < quantity_words.n; quantity++) {
		double *evidence;

		if (!may_be_far_off(facts, (enum quantity)quantity)) {
			continue;
		}
		evidence = calloc(facts->n_readings, sizeof *evidence);
		if (evidence == NULL) {
			return problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
		}
		rows[ODD_READING_FAR_OFF] += far_off(facts, (enum quantity)quantity, evidence);
		free(evidence);
	}
	return true;
}

static bool lacks_rail(const struct bond_end_fact *end)
{
	return end->on == END_ON_RAIL && (end->track_id == 0 || end->rail < 0);
}

static bool of_registration(struct view *view, const struct bond *b, int64_t rows[ODDS],
	struct problem *why)
{
	bool alike = false;

	if (b->surveyed) {
		rows[ODD_NO_RAIL] = lacks_rail(&b->end[END_A]) || lacks_rail(&b->end[END_B]);
		rows[ODD_NO_INSTALLATION_DAY] = b->installed_day == DAY_NONE;
		if (!store_odd_ends_alike(view->store, b, &alike, why)) {
			return false;
		}
		rows[ODD_ENDS_ALIKE] = alike;
	}
	return store_odd_at_place(view->store, b, &rows[ODD_SAME_PLACE], why);
}

bool odd_of_bond(struct view *view, const struct judging *j, size_t i, bool anew, int64_t *odd,
	struct problem *why)
{
	const struct record *r = &j->records.bonds[i];
	int64_t rows[ODDS] = { 0 };

	*odd = 0;
	if (r->bond.status != BOND_IN_SERVICE) {
		return true;
	}
	if (!anew && r->has_state && r->state.version == r->bond.version && r->state.odd >= 0) {
		odd_unpack(r->state.odd, rows);
	} else if (!of_registration(view, &r->bond, rows, why)) {
		return false;
	}
	if (!odd_of_readings(j, rows, why)) {
		return false;
	}
	*odd = odd_pack(rows);
	return true;
}
