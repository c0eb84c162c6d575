/* Which bonds failed, and when: at random everywhere, and for a reason at a few places. */
#include <stdlib.h>

#include "base/day.h"
#include "demo.h"

enum { SPAN_DAYS = 1640, OPEN_OF_NEWEST = 20, REPEATS_APART_DAYS = 45 };

/* Of all failures, by kind; the order is that of enum failure_mode. */
static const int mode_weights[][FAILURE_MODE_NOT_STATED] = {
	[BOND_RAIL_JOINT] = { 25, 34, 12, 12, 7, 4, 3, 3 },
	[BOND_TRACK_CROSS] = { 14, 22, 12, 14, 12, 8, 14, 4 },
	[BOND_RAIL_CROSS] = { 16, 28, 12, 14, 10, 6, 10, 4 },
	[BOND_STRUCTURE] = { 14, 20, 10, 6, 30, 2, 16, 2 },
	[BOND_IMPEDANCE_LEAD] = { 18, 26, 18, 16, 8, 10, 2, 2 },
	[BOND_FEEDER_LEAD] = { 6, 14, 24, 26, 6, 18, 5, 1 },
	[BOND_TRACK_CIRCUIT_LEAD] = { 34, 26, 14, 8, 10, 1, 4, 3 },
	[BOND_PROTECTIVE_EARTH] = { 12, 16, 10, 10, 28, 2, 20, 2 },
};

static const char *const causes[FAILURE_MODE_NOT_STATED][3] = {
	[FAILURE_CABLE_BROKEN] = { "caught by the tamper", "strands broken at the lug, vibration",
		"cable rubbed through on a sleeper end" },
	[FAILURE_DETACHED] = { "pin came off under traffic", "poor wetting",
		"caught by the ballast plough" },
	[FAILURE_LUG_CRACKED] = { "cracked at the neck", "bent when the ballast was packed", NULL },
	[FAILURE_HIGH_RESISTANCE] = { "contact corroded under the lug", "bolt found loose", NULL },
	[FAILURE_CORRODED] = { "standing water", "de-icing salt from the platform", NULL },
	[FAILURE_BURNT] = { "return current after a neighbouring bond was missing", NULL, NULL },
	[FAILURE_CUT_OR_STOLEN] = { "stolen", "cut by a contractor's digger", NULL },
	[FAILURE_MISSING] = { "not put back after rail change", NULL, NULL },
};

int32_t demo_repeat_day(const struct demo *demo, int repeat, int k)
{
	const struct plan_repeat *p = &plan_repeats[repeat];
	struct random r = random_stream(STREAM_FAILURE, (uint64_t)(900000 + repeat * 100 + k));
	bool worse = p->reason == REASON_CURRENT;
	double off = random_between(&r, -1, 1) * (worse ? 0.05 : 0.2);
	double f = (k + 0.3 + off) / p->failures;

	if (worse) {
		f = 1 - (1 - f) * (1 - f) * (1 - f);
	}
	return demo->last_day - SPAN_DAYS + (int32_t)(f * (SPAN_DAYS - 40));
}

static struct demo_failure *add(struct demo *demo, size_t bond, int32_t day,
	enum failure_mode mode)
{
	struct demo_failure *moved = demo_grow(demo, demo->failures, demo->n_failures,
		&demo->room_failures, sizeof *demo->failures);

	if (moved == NULL) {
		return NULL;
	}
	demo->failures = moved;
	demo->failures[demo->n_failures] = (struct demo_failure){ .bond = bond, .day = day,
		.mode = mode, .end = END_A, .repeat = -1 };
	return &demo->failures[demo->n_failures++];
}

static bool of_whole_bond(enum failure_mode mode)
{
	return mode == FAILURE_CABLE_BROKEN || mode == FAILURE_CUT_OR_STOLEN || mode == FAILURE_MISSING;
}

/* Found by the round's next visit, if there is one in time. */
static void leave_to_visit(const struct demo *demo, struct demo_failure *f)
{
	const struct demo_bond *b = &demo->bonds[f->bond];
	const struct demo_round *round = &demo->rounds[b->round];

	for (size_t i = 0; i < round->n_visits; i++) {
		int32_t day = round->visits[i].day;

		if (day >= f->day && (b->removed_day == DAY_NONE || day < b->removed_day - 5)) {
			f->day = day;
			f->by_visit = true;
			return;
		}
	}
}

static void fail_at_random(struct demo *demo, size_t bond)
{
	const struct demo_bond *b = &demo->bonds[bond];
	struct random r = random_stream(STREAM_FAILURE, bond);
	int32_t from = b->known_day + 30;
	int32_t to = b->removed_day != DAY_NONE ? b->removed_day - 40 : demo->last_day - 1;
	int count = from < to ? random_poisson(&r, b->failures_a_year * (to - from) / 365.25) : 0;

	for (int i = 0; i < count; i++) {
		int mode = random_pick(&r, mode_weights[b->kind], FAILURE_MODE_NOT_STATED);
		struct demo_failure *f = add(demo, bond, random_int(&r, from, to), (enum failure_mode)mode);

		if (f == NULL) {
			return;
		}
		f->cause = random_chance(&r, 0.55) ? causes[mode][random_int(&r, 0, 2)] : NULL;
		f->end = of_whole_bond(f->mode) ? -1 : random_chance(&r, 0.5) ? END_A : END_B;
		if (!b->never_inspected && random_chance(&r, 0.42)) {
			leave_to_visit(demo, f);
		}
	}
}

/* The k-th failure falls on the bonds of the place in turn, on one that is there on that day. */
static size_t bond_of_repeat(const struct demo *demo, int repeat, int k, int32_t day)
{
	int left = k % plan_repeats[repeat].bonds;

	for (size_t i = 0; i < demo->n_bonds; i++) {
		const struct demo_bond *b = &demo->bonds[i];

		if (b->repeat == repeat && b->installed_day < day &&
			(b->removed_day == DAY_NONE || b->removed_day >= day) && left-- == 0) {
			return i;
		}
	}
	return 0;
}

static void fail_repeatedly(struct demo *demo, int repeat)
{
	const struct plan_repeat *p = &plan_repeats[repeat];
	int n_causes = p->causes[1] == NULL ? 1 : 2;

	for (int k = 0; k < p->failures; k++) {
		int32_t day = demo_repeat_day(demo, repeat, k);
		struct demo_failure *f = add(demo, bond_of_repeat(demo, repeat, k, day), day,
			p->modes[k % 3 == 1]);

		if (f == NULL) {
			return;
		}
		f->end = of_whole_bond(f->mode) ? -1 : END_A;
		f->cause = k % 3 == 2 ? NULL : p->causes[k % n_causes];
		f->repeat = repeat;
	}
}

/* The batch that fails at one place was used for other bonds near by in the same weeks; some of
 * these came off too. */
static void spread_bad_batch(struct demo *demo, int repeat)
{
	int32_t made = demo_repeat_day(demo, repeat, 0) - 150;
	int n = 0;

	for (size_t i = 0; i < demo->n_bonds && n < 26; i++) {
		struct demo_bond *b = &demo->bonds[i];
		struct demo_failure *f;

		if (b->line != LINE_SUBURBAN || b->kind != BOND_RAIL_JOINT || b->track != 1 ||
			b->distance_mm < 6500000 || b->repeat >= 0 || b->never_inspected ||
			b->removed_day != DAY_NONE || b->installed_day == DAY_NONE ||
			b->installed_day > made - 100) {
			continue;
		}
		b->renewed_day = made + n % 20;
		b->failures_a_year = 0;
		if (n % 3 == 1) {
			f = add(demo, i, made + 200 + (n * 197) % 1100, FAILURE_DETACHED);
			if (f != NULL && n % 2 == 0) {
				f->cause = "solder did not wet the web";
			}
		}
		n++;
	}
}

static int newest_first(const void *a, const void *b)
{
	const struct demo_failure *x = a, *y = b;

	return x->day != y->day ? (x->day > y->day ? -1 : 1) :
		(x->bond > y->bond) - (x->bond < y->bond);
}

static int by_bond(const void *a, const void *b)
{
	const struct demo_failure *x = a, *y = b;

	return x->bond != y->bond ? (x->bond < y->bond ? -1 : 1) : (x->day > y->day) - (x->day < y->day);
}

/* Three of each five of the newest are still to be made good. */
static void leave_open(struct demo *demo)
{
	size_t seen = 0;

	qsort(demo->failures, demo->n_failures, sizeof *demo->failures, newest_first);
	for (size_t i = 0; i < demo->n_failures && seen < OPEN_OF_NEWEST; i++) {
		if (demo->failures[i].repeat < 0) {
			demo->failures[i].stays_open = seen % 5 != 1 && seen % 5 != 3;
			seen++;
		}
	}
}

/* A bond that fails again within weeks was not mended; such pairs of chance are left out. */
static void drop_too_close(struct demo *demo)
{
	size_t kept = 0;

	for (size_t i = 0; i < demo->n_failures; i++) {
		const struct demo_failure *f = &demo->failures[i];

		if (kept > 0 && demo->failures[kept - 1].bond == f->bond && f->repeat < 0 &&
			f->day < demo->failures[kept - 1].day + REPEATS_APART_DAYS) {
			continue;
		}
		demo->failures[kept++] = *f;
	}
	demo->n_failures = kept;
}

bool demo_make_failures(struct demo *demo)
{
	for (int i = 0; i < PLAN_REPEATS; i++) {
		fail_repeatedly(demo, i);
		if (plan_repeats[i].reason == REASON_BATCH) {
			spread_bad_batch(demo, i);
		}
	}
	for (size_t i = 0; i < demo->n_bonds; i++) {
		if (demo->bonds[i].failures_a_year > 0 && demo->bonds[i].surveyed) {
			fail_at_random(demo, i);
		}
	}
	if (demo->no_memory) {
		return false;
	}
	qsort(demo->failures, demo->n_failures, sizeof *demo->failures, by_bond);
	drop_too_close(demo);
	leave_open(demo);
	qsort(demo->failures, demo->n_failures, sizeof *demo->failures, by_bond);
	return true;
}
