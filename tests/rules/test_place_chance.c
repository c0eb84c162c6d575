/* How surprising a place is: against full enumeration, closed forms and published figures. */
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>
#include <math.h>
#include <stdlib.h>

#include "base/day.h"
#include "case.h"
#include "rules/statistics/place_chance.h"

static void assert_near(double is, double wanted, double within)
{
	ck_assert_msg(fabs(is - wanted) <= within, "%.12g is within %g of %.12g", is, within, wanted);
}

/* Six ends, two pairs of which lie within 10 m. */
static const int64_t few_mm[] = { 0, 5000, 12000, 30000, 31000, 60000 };
static const struct place_ends few = { few_mm, 6 };
enum { ALWAYS = 1000000 };

static struct place_events undated(size_t n)
{
	static int32_t day[128], end_day[128];

	for (size_t i = 0; i < n; i++) {
		day[i] = 0;
		end_day[i] = ALWAYS;
	}
	return (struct place_events){ day, end_day, n };
}

static bool fits(const size_t *on, const struct place_events *events, int64_t window_mm, size_t k)
{
	for (size_t low = 0; low < events->n; low++) {
		for (size_t first = 0; first < events->n; first++) {
			size_t count = 0;

			for (size_t i = 0; i < events->n; i++) {
				int64_t above_mm = few_mm[on[i]] - few_mm[on[low]];

				count += above_mm >= 0 && above_mm <= window_mm &&
					events->day[i] >= events->day[first] &&
					events->day[i] < events->end_day[first];
			}
			if (count >= k) {
				return true;
			}
		}
	}
	return false;
}

/* All ways in which the events can fall, one by one. */
static double enumerate(const struct place_events *events, int64_t window_mm, size_t k)
{
	size_t on[8] = { 0 }, ways = 0, found = 0, at;

	do {
		ways++;
		found += fits(on, events, window_mm, k);
		for (at = 0; at < events->n && ++on[at] == few.n; at++) {
			on[at] = 0;
		}
	} while (at < events->n);
	return (double)found / (double)ways;
}

/* Exact fractions, by full enumeration elsewhere (by hand for the first). */
static const struct {
	size_t events, k;
	int64_t window_mm;
	double chance, bound;
} undated_rows[] = {
	{ 2, 2, 10000, 1.0 / 3, 1.0 / 3 }, { 3, 2, 10000, 3.0 / 4, 1 },
	{ 4, 3, 10000, 35.0 / 108, 4.0 / 9 }, { 4, 2, 0, 13.0 / 18, 1 },
	{ 5, 3, 10000, 257.0 / 432, 10.0 / 9 }, { 4, 4, 40000, 115.0 / 216, 115.0 / 216 },
};

START_TEST(agrees_with_counting_every_way_in_which_events_can_fall)
{
	for (size_t i = 0; i < sizeof undated_rows / sizeof undated_rows[0]; i++) {
		struct place_events events = undated(undated_rows[i].events);
		size_t k = undated_rows[i].k;
		int64_t window_mm = undated_rows[i].window_mm;
		struct place_chance c;

		assert_near(enumerate(&events, window_mm, k), undated_rows[i].chance, 1e-12);
		assert_near(place_sets(&events, k) * place_sets_fit(&few, window_mm, k),
			undated_rows[i].bound, 1e-12);
		ck_assert(place_chance(&few, window_mm, &events, k, i + 1, &c) && !c.is_bound);
		assert_near(c.p, undated_rows[i].chance, 3 * c.error + 1e-4);
	}
	assert_near(place_sets_fit(&few, 10000, 3), 1.0 / 9, 1e-12);
}
END_TEST

/* A period of 5 days, open at its end. */
static const struct { int32_t day[4]; size_t events, k; double chance, sets; } dated_rows[] = {
	{ { 0, 1, 10 }, 3, 2, 1.0 / 3, 1 }, { { 0, 1, 10, 12 }, 4, 2, 5.0 / 9, 2 },
	{ { 0, 1, 3, 12 }, 4, 3, 1.0 / 9, 1 }, { { 0, 1, 10 }, 3, 3, 0, 0 },
	{ { 0, 5, 10, 15 }, 4, 2, 0, 0 },
};

START_TEST(keeps_each_event_on_its_day)
{
	for (size_t i = 0; i < sizeof dated_rows / sizeof dated_rows[0]; i++) {
		int32_t end_day[4];
		struct place_events events = { dated_rows[i].day, end_day, dated_rows[i].events };
		struct place_chance c;

		for (size_t n = 0; n < events.n; n++) {
			end_day[n] = events.day[n] + 5;
		}
		assert_near(place_sets(&events, dated_rows[i].k), dated_rows[i].sets, 0);
		assert_near(enumerate(&events, 10000, dated_rows[i].k), dated_rows[i].chance, 1e-12);
		ck_assert(place_chance(&few, 10000, &events, dated_rows[i].k, i + 1, &c));
		ck_assert(c.is_bound == (dated_rows[i].sets == 0));
		assert_near(c.p, dated_rows[i].chance, 3 * c.error + 1e-4);
	}
}
END_TEST

/* Pairs of ends at 2,500 joints 40 m apart, 50 failures: exact sums for separate groups, and bounds
 * C(50, k) / 2500^(k - 1). */
START_TEST(agrees_with_a_long_rail_of_joints)
{
	static int64_t at_mm[5000];
	const struct place_ends ends = { at_mm, 5000 };
	struct place_events events = undated(50);
	struct place_chance c;

	for (size_t i = 0; i < 5000; i++) {
		at_mm[i] = (int64_t)(i / 2) * 40000;
	}
	ck_assert(place_chance(&ends, 10000, &events, 2, 7, &c) && !c.is_bound);
	assert_near(c.p, 0.389371423, 3 * c.error);
	ck_assert(place_chance(&ends, 10000, &events, 3, 7, &c) && !c.is_bound);
	assert_near(c.p, 0.00308814853, 3 * c.error);
	assert_near(place_sets(&events, 3) * place_sets_fit(&ends, 10000, 3), 0.003136, 3e-12);
	ck_assert(place_chance(&ends, 10000, &events, 4, 7, &c) && c.is_bound && c.error == 0);
	assert_near(c.p, 1.47392e-05, 1e-13);
}
END_TEST

/* 365 days, 23 people, one birthday of two: the classical figure. */
START_TEST(knows_the_birthday_problem)
{
	int64_t at_mm[365];
	const struct place_ends ends = { at_mm, 365 };
	struct place_events events = undated(23);
	struct place_chance c;

	for (size_t i = 0; i < 365; i++) {
		at_mm[i] = (int64_t)i;
	}
	ck_assert(place_chance(&ends, 0, &events, 2, 1, &c));
	assert_near(c.p, 0.507297, 3 * c.error);
}
END_TEST

/* S. E. Alm's formula for events that fall evenly on a line, and a rail with an end every metre on
 * which a Poisson number of them fall. */
START_TEST(agrees_with_a_formula_for_an_even_line)
{
	enum { METRES = 50000, MEAN = 50, MOST = 90 };
	static const double alm[] = { 0.38890384, 0.00246350679 };
	int64_t *at_mm = calloc(METRES, sizeof *at_mm);
	const struct place_ends ends = { at_mm, METRES };

	for (int i = 0; i < METRES; i++) {
		at_mm[i] = (int64_t)i * 1000;
	}
	for (size_t k = 2; k <= 3; k++) {
		double sum = 0, error = 0;

		for (unsigned n = 20; n < MOST; n += 3) {   /* a third of them: it is smooth in n */
			struct place_events events = undated(n);
			struct place_chance c;
			double weight = 3 * gsl_ran_poisson_pdf(n, MEAN);

			ck_assert(place_chance(&ends, 10000, &events, k, n, &c));
			sum += weight * c.p;
			error += weight * c.error;
		}
		/* (closed windows over whole metres hold one end more: 11 for 10 m, so some 5 % more) */
		assert_near(sum, alm[k - 2] * (k == 2 ? 1.03 : 1.1), 3 * error / 4 + 0.02 * alm[k - 2]);
	}
	free(at_mm);
}
END_TEST

START_TEST(allows_for_every_rail_that_was_looked_at)
{
	/* 1 - (1 - p)^R, computed in exact fractions */
	assert_near(place_chance_of_rails(0.01, 40), 0.33102824143, 1e-11);
	assert_near(place_chance_of_rails(0.001, 40), 0.0392297892642, 1e-12);
	assert_near(place_chance_of_rails(1e-8, 250), 2.4999968875e-06, 1e-15);
	assert_near(place_chance_of_rails(1.7, 3), 1, 0);
	assert_near(place_chance_of_rails(0, 3), 0, 0);
}
END_TEST

START_TEST(says_the_same_again)
{
	struct place_events events = undated(4);
	struct place_chance first, second, other;

	ck_assert(place_chance(&few, 10000, &events, 3, 11, &first) &&
		place_chance(&few, 10000, &events, 3, 11, &second) &&
		place_chance(&few, 10000, &events, 3, 12, &other));
	ck_assert(first.p == second.p && first.p != other.p);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { agrees_with_counting_every_way_in_which_events_can_fall,
		keeps_each_event_on_its_day, agrees_with_a_long_rail_of_joints, knows_the_birthday_problem,
		agrees_with_a_formula_for_an_even_line, allows_for_every_rail_that_was_looked_at,
		says_the_same_again, NULL };

	return case_run("place_chance", tests);
}
