/* Bonds are inspected in rounds: neighbours with the same interval, one crew, one night. */
#include "base/day.h"
#include "demo.h"
#include "rules/rulebook.h"

enum { ROUND_BONDS = 27, SHORT_DAYS = 400, LEFT_OUT_DAYS = 140 };

static const int crews[PLAN_LINES][3] = {
	[LINE_MAIN] = { PERSON_CREW, PERSON_MORE_CREW, PERSON_MORE_CREW + 1 },
	[LINE_BRANCH] = { PERSON_MORE_CREW + 2, PERSON_MORE_CREW + 3, PERSON_MORE_CREW + 2 },
	[LINE_SUBURBAN] = { PERSON_MORE_CREW + 4, PERSON_MORE_CREW + 5, PERSON_CREW },
};

/* Days after the due day; before it when negative. The crew of the branch has been short of people
 * for a year, and has left out two of three rounds for some months. */
static int lateness(const struct demo *demo, const struct demo_round *round, size_t n, int32_t due,
	struct random *r)
{
	if (round->line == LINE_BRANCH && due > demo->last_day - SHORT_DAYS) {
		return n % 3 != 0 && due > demo->last_day - LEFT_OUT_DAYS ? LEFT_OUT_DAYS :
			random_int(r, 5, 60);
	}
	return random_chance(r, 0.04) ? random_int(r, 15, 45) : random_int(r, -18, 9);
}

static void give_visit(const struct demo *demo, struct demo_round *round, int32_t day,
	struct random *r)
{
	struct demo_visit *visit = &round->visits[round->n_visits++];
	int years_ago = (demo->last_day - day) / 365;

	*visit = (struct demo_visit){ .day = day, .person = crews[round->line][random_int(r, 0, 2)],
		.instrument = round->line == LINE_BRANCH ? INSTRUMENT_LATE : random_int(r, 0, 2) };
	/* what is written down on paper is entered by the planner */
	if (random_chance(r, years_ago >= 5 ? 0.3 : years_ago >= 3 ? 0.08 : 0)) {
		visit->person = PERSON_PLANNER;
		visit->name = plan_names_only[random_int(r, 0, PLAN_NAMES_ONLY - 1)];
	}
}

static void plan_visits(const struct demo *demo, struct demo_round *round, size_t n)
{
	struct random r = random_stream(STREAM_ROUND, n);
	int32_t day = demo->first_day + 10 + random_int(&r, 0, round->interval_months * 30);

	while (day <= demo->last_day && round->n_visits < ROUND_VISITS) {
		int32_t due;

		give_visit(demo, round, day, &r);
		due = day_add_months(day, round->interval_months);
		day = due + lateness(demo, round, n, due, &r);
	}
}

static struct demo_round *round_new(struct demo *demo, int line, int months, size_t *room)
{
	struct demo_round *moved = demo_grow(demo, demo->rounds, demo->n_rounds, room,
		sizeof *demo->rounds);

	if (moved == NULL) {
		return NULL;
	}
	demo->rounds = moved;
	demo->rounds[demo->n_rounds] = (struct demo_round){ .line = line, .interval_months = months };
	return &demo->rounds[demo->n_rounds++];
}

static bool make_rounds_of(struct demo *demo, int line, int months, size_t *room)
{
	const struct rulebook rulebook = rulebook_default();
	int filled = ROUND_BONDS;

	for (size_t i = 0; i < demo->n_bonds; i++) {
		struct demo_bond *b = &demo->bonds[i];

		if (b->line != line ||
			rulebook_interval_months(&rulebook, b->kind, b->criticality) != months) {
			continue;
		}
		if (filled++ == ROUND_BONDS) {
			if (round_new(demo, line, months, room) == NULL) {
				return false;
			}
			filled = 1;
		}
		b->round = (int)demo->n_rounds - 1;
	}
	return true;
}

bool demo_make_rounds(struct demo *demo)
{
	static const int months[] = { 3, 6, 12, 24 };
	size_t room = 0;

	for (int line = 0; line < PLAN_LINES; line++) {
		for (size_t i = 0; i < sizeof months / sizeof months[0]; i++) {
			if (!make_rounds_of(demo, line, months[i], &room)) {
				return false;
			}
		}
	}
	for (size_t n = 0; n < demo->n_rounds; n++) {
		plan_visits(demo, &demo->rounds[n], n);
	}
	return true;
}
