/* Where the bonds are, what they are made of and how they are labelled. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/day.h"
#include "demo.h"
#include "rules/place/chainage.h"

static int32_t day_of(int year, int month, int day_of_month)
{
	int32_t day = 0;

	day_from_parts(year, month, day_of_month, &day);
	return day;
}

/* Whole metres; on the line in miles and chains a twentieth of a chain. */
static int64_t on_grid(int line, double at_m)
{
	double step_mm = plan_lines[line].notation == NOTATION_MILES_CHAINS ? 20116.8 / 20 : 1000;

	return (int64_t)llround(floor(at_m * 1000 / step_mm + 0.5) * step_mm);
}

static int32_t end_of_last_year(const struct demo *demo)
{
	int year, month, day;

	day_to_parts(demo->today, &year, &month, &day);
	return day_of(year - 1, 12, 31);
}

/* A quarter came in the years of the register, the others since 1998. */
static void give_days(const struct demo *demo, struct demo_bond *b, struct random *r)
{
	int32_t from = day_of(1998, 1, 5);
	double of_all = random_unit(r);

	b->installed_day = random_chance(r, 0.22) ?
		random_int(r, demo->first_day + 30, end_of_last_year(demo)) :
		random_int(r, from, demo->first_day - 1);
	b->known_day = b->installed_day > demo->first_day ? b->installed_day + random_int(r, 1, 6) :
		demo->first_day;
	b->surveyed = true;
	if (of_all < 0.010) {
		b->removed_day = random_int(r, demo->first_day + 700, demo->last_day - 20);
		if (b->removed_day <= b->known_day) {
			b->removed_day = DAY_NONE;
		}
	} else if (of_all < 0.024) {
		b->installed_day = DAY_NONE;
		b->never_inspected = of_all < 0.0115;
		b->known_day = b->never_inspected ? demo->last_day - random_int(r, 3, 60) :
			demo->first_day;
	} else if (of_all < 0.028) {
		b->installed_day = DAY_NONE;
		b->known_day = demo->last_day - random_int(r, 3, 150);
		b->surveyed = false;
		b->never_inspected = true;
		b->conductor = NULL;
	} else if (of_all < 0.033) {
		b->never_inspected = true;
	}
	if (b->never_inspected && b->installed_day != DAY_NONE) {
		b->installed_day = demo->last_day - random_int(r, 20, 500);
		b->known_day = b->installed_day + 5;
	}
}

/* One more bond, with what does not depend on its sort; NULL: out of memory. */
static struct demo_bond *add(struct demo *demo, int line, int track, double at_m,
	const struct plan_conductor *conductor, const char *prefix)
{
	struct random r = random_stream(STREAM_BOND, demo->n_bonds);
	struct demo_bond *b;
	struct demo_bond *moved = demo_grow(demo, demo->bonds, demo->n_bonds, &demo->room_bonds,
		sizeof *demo->bonds);

	if (moved == NULL) {
		return NULL;
	}
	demo->bonds = moved;
	b = &demo->bonds[demo->n_bonds++];
	*b = (struct demo_bond){ .line = line, .track = track, .track_b = track, .rail_b = -1,
		.distance_mm = on_grid(line, at_m), .conductor = conductor, .prefix = prefix,
		.installed_day = DAY_NONE, .removed_day = DAY_NONE, .renewed_day = DAY_NONE,
		.last_complete_day = DAY_NONE, .repeat = -1 };
	b->length_m = floor(random_between(&r, conductor->shortest_m, conductor->longest_m) * 20) / 20;
	give_days(demo, b, &r);
	return b;
}

/* The rail on the outside of all tracks, where masts and cases stand. */
static int outside(int line, int track)
{
	return track == plan_lines[line].n_tracks - 1 && track > 0 ? RAIL_RIGHT : RAIL_LEFT;
}

static void add_of_layout(struct demo *demo, int line, const struct plan_layout *l, int track,
	double at_m, int n)
{
	const struct plan_track *t = &plan_lines[line].track[track];
	struct demo_bond *b;

	if (at_m < t->from_m || at_m > t->to_m) {
		return;
	}
	b = add(demo, line, track, at_m, l->conductor, l->prefix);
	if (b == NULL) {
		return;
	}
	b->kind = l->kind;
	b->criticality = l->criticality;
	b->failures_a_year = l->failures_a_year;
	b->rail = n % 2;
	if (l->kind == BOND_RAIL_CROSS) {
		b->rail = RAIL_LEFT;
		b->rail_b = RAIL_RIGHT;
	} else if (l->kind == BOND_TRACK_CROSS) {
		b->rail = RAIL_RIGHT;
		b->track_b = l->track_b;
		b->rail_b = RAIL_LEFT;
	} else if (l->kind == BOND_RAIL_JOINT) {
		b->rail_b = b->rail;
	} else if (l->kind == BOND_STRUCTURE || l->kind == BOND_PROTECTIVE_EARTH) {
		b->rail = outside(line, track);
	}
	if (l->structure != NULL) {
		snprintf(b->structure, sizeof b->structure, "%s", l->structure);
		b->structure_is_equipment = l->kind != BOND_STRUCTURE && l->kind != BOND_PROTECTIVE_EARTH;
	}
}

static bool keeps_away(int line, int track, double at_m)
{
	for (int i = 0; i < PLAN_REPEATS; i++) {
		const struct plan_repeat *p = &plan_repeats[i];

		if (p->line == line && p->track == track && at_m > p->at_m - 12 && at_m < p->at_m + 24) {
			return true;
		}
	}
	return false;
}

/* Every spacing_m, a little off, as the ground has it; signals of the tracks do not stand side by
 * side. */
static void lay_along(struct demo *demo, int line, const struct plan_layout *l, int track)
{
	struct random r = random_stream(STREAM_OTHER, (uint64_t)(line * 1000 + track * 100) +
		(uint64_t)l->kind);
	double to_m = l->to_m > 0 ? l->to_m : plan_lines[line].length_m;
	double off = l->where == SIGNALS ? track * l->spacing_m / 3 : 0;

	for (double at = l->from_m + l->spacing_m / 2 + off; at < to_m; at += l->spacing_m) {
		double here = at + random_between(&r, -0.06, 0.06) * l->spacing_m;

		for (int n = 0; n < l->count; n++) {
			if (!keeps_away(line, track, here)) {
				add_of_layout(demo, line, l, track, here, n);
			}
		}
	}
}

/* Half on either side of the spot, rails in turn, beyond a platform in the middle. */
static void lay_at(struct demo *demo, int line, const struct plan_layout *l, int track,
	const struct plan_spot *spots)
{
	double gap = l->where == STATIONS ? 90 : 4;

	for (const struct plan_spot *s = spots; s->name != NULL; s++) {
		bool outside_part = l->to_m > 0 && (s->at_m < l->from_m || s->at_m > l->to_m);

		for (int n = 0; n < l->count && !outside_part; n++) {
			int step = l->kind == BOND_RAIL_JOINT ? n / 4 : n / 2;
			int side = l->kind == BOND_RAIL_JOINT ? n / 2 % 2 : n % 2;
			double away = gap + step * l->spacing_m + (track * 5) % 11;
			double at = l->kind == BOND_PROTECTIVE_EARTH ? s->at_m + n * l->spacing_m - 40 :
				s->at_m + (side == 0 ? -away : away);

			if (!keeps_away(line, track, at)) {
				add_of_layout(demo, line, l, track, at, n);
			}
		}
	}
}

static void lay(struct demo *demo, int line, const struct plan_layout *l)
{
	const struct plan_line *p = &plan_lines[line];

	for (int track = 0; track < p->n_tracks; track++) {
		if (l->track >= 0 && l->track != track) {
			continue;
		}
		if (l->where == EVERY || l->where == MASTS || l->where == SIGNALS) {
			lay_along(demo, line, l, track);
		} else {
			lay_at(demo, line, l, track, l->where == STATIONS ? p->stations :
				l->where == CROSSINGS ? p->crossings : p->substations);
		}
	}
}

/* The bonds of a place that keeps failing; where bonds are stolen, the first is given up after
 * its second time and a new one stands in its place. */
static void add_repeat(struct demo *demo, int n)
{
	const struct plan_repeat *p = &plan_repeats[n];

	for (int i = 0; i < p->bonds + (p->reason == REASON_THEFT ? 1 : 0); i++) {
		struct demo_bond *b = add(demo, p->line, p->track, p->at_m + (i % p->bonds) * p->apart_m,
			p->conductor, p->prefix);

		if (b == NULL) {
			return;
		}
		b->repeat = n;
		b->kind = p->kind;
		b->rail = p->rail;
		b->rail_b = p->kind == BOND_RAIL_CROSS ? 1 - (int)p->rail : (int)p->rail;
		b->conductor = p->conductor;
		b->removed_day = DAY_NONE;
		b->surveyed = true;
		b->never_inspected = false;
		b->installed_day = demo->first_day - 1200 - 37 * n;
		b->known_day = demo->first_day;
		if (p->reason == REASON_BATCH) {
			b->installed_day = demo_repeat_day(demo, n, 0) - 150;
			b->known_day = b->installed_day + 2;
		} else if (p->reason == REASON_THEFT && i == 0) {
			b->removed_day = demo_repeat_day(demo, n, p->bonds) + 4;
		} else if (p->reason == REASON_THEFT && i == p->bonds) {
			b->installed_day = b->known_day = demo_repeat_day(demo, n, p->bonds) + 4;
		}
	}
}

static int by_place(const void *a, const void *b)
{
	const struct demo_bond *x = a, *y = b;

	return x->line != y->line ? (x->line < y->line ? -1 : 1) :
		x->distance_mm != y->distance_mm ? (x->distance_mm < y->distance_mm ? -1 : 1) :
		x->kind != y->kind ? (x->kind < y->kind ? -1 : 1) :
		x->track != y->track ? (x->track < y->track ? -1 : 1) :
		x->rail != y->rail ? (x->rail < y->rail ? -1 : 1) :
		(x->installed_day > y->installed_day) - (x->installed_day < y->installed_day);
}

/* Running numbers: how many of a prefix there were with this key (a kilometre, a chain). */
struct tally {
	const char *prefix;
	int64_t key;
	int n;
};

static int count_on(struct tally *tallies, size_t most, const char *prefix, int64_t key)
{
	size_t i = 0;

	while (i < most - 1 && tallies[i].prefix != NULL && strcmp(tallies[i].prefix, prefix) != 0) {
		i++;
	}
	if (tallies[i].prefix == NULL || tallies[i].key != key) {
		tallies[i] = (struct tally){ prefix, key, 0 };
	}
	return ++tallies[i].n;
}

static void name_structure(struct demo_bond *b, int64_t km, int n)
{
	char what[24];

	if (b->structure[0] == '\0') {
		return;
	}
	snprintf(what, sizeof what, "%.20s", b->structure);
	if (b->line == LINE_BRANCH) {
		snprintf(b->structure, sizeof b->structure, "%s %lld.%02lld", what,
			(long long)(km / 100), (long long)(km % 100));
	} else {
		snprintf(b->structure, sizeof b->structure, "%s %lld/%02d", what, (long long)km, n);
	}
}

/* Main line: kind, kilometre, number within it; branch: mile and chain, as people call a joint;
 * suburban line: running plate numbers. */
static void give_label(struct demo_bond *b, struct tally *tallies, size_t most)
{
	struct chainage at = { 0 };
	int n;

	if (b->line == LINE_BRANCH) {
		int64_t chains = (b->distance_mm * 10 + 5) / 201168;
		int64_t key = chains / 80 * 100 + chains % 80;

		n = count_on(tallies, most, b->prefix, key);
		snprintf(b->label, sizeof b->label, n == 1 ? "%s %lld.%02lld" : "%s %lld.%02lld/%d",
			b->prefix, (long long)(key / 100), (long long)(key % 100), n);
		name_structure(b, key, n);
		return;
	}
	line_map_at(&plan_lines[b->line].map, b->distance_mm, &at);
	if (b->line == LINE_SUBURBAN) {
		n = count_on(tallies, most, b->prefix, 0);
		snprintf(b->label, sizeof b->label, "%s%04d", b->prefix, n);
		name_structure(b, b->distance_mm / 1000000, n);
		return;
	}
	n = count_on(tallies, most, b->prefix, at.post_mm / 1000000);
	snprintf(b->label, sizeof b->label, b->kind == BOND_STRUCTURE ? "%s %lld/%02d" :
		"%s %lld-%03d", b->prefix, (long long)(at.post_mm / 1000000), n);
	name_structure(b, at.post_mm / 1000000, n);
}

/* About two dozen that go up slowly, none of which fails. */
static void choose_drifting(struct demo *demo)
{
	int found = 0;

	for (size_t i = 40; i < demo->n_bonds && found < 25; i += 9) {
		struct demo_bond *b = &demo->bonds[(i * 17) % demo->n_bonds];
		struct random r = random_stream(STREAM_OTHER, 100000 + i);

		if (b->repeat < 0 && b->kind != BOND_STRUCTURE && b->kind != BOND_TRACK_CIRCUIT_LEAD &&
			b->installed_day != DAY_NONE && b->installed_day < demo->first_day &&
			b->removed_day == DAY_NONE && !b->never_inspected && b->drift_a_year <= 0) {
			b->drift_a_year = random_between(&r, 0.06, 0.28);
			b->failures_a_year = 0;
			found++;
		}
	}
}

bool demo_make_bonds(struct demo *demo)
{
	struct tally tallies[PLAN_LINES][12] = { { { NULL, 0, 0 } } };

	for (int line = 0; line < PLAN_LINES; line++) {
		for (const struct plan_layout *l = plan_lines[line].layouts; l->prefix != NULL; l++) {
			lay(demo, line, l);
		}
	}
	for (int i = 0; i < PLAN_REPEATS; i++) {
		add_repeat(demo, i);
	}
	if (demo->no_memory) {
		return false;
	}
	qsort(demo->bonds, demo->n_bonds, sizeof *demo->bonds, by_place);
	for (size_t i = 0; i < demo->n_bonds; i++) {
		give_label(&demo->bonds[i], tallies[demo->bonds[i].line], 12);
	}
	choose_drifting(demo);
	return true;
}
