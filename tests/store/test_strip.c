/*
 * The strip shows what the due list shows: counts add up to the list's totals whatever the
 * stretches, and single bonds have both their ends.
 */
#include <math.h>
#include <string.h>

#include "case.h"
#include "store/kept.h"
#include "store/lists/strip.h"
#include "store/register.h"

enum { BONDS = 300, TODAY = 20454, CELLS = 40 };   /* 2026-01-01 */

static const struct origin origin = { .now_ms = 1767225600000 };

struct railway {
	struct register_file file;
	struct store *store;
	int64_t line_id;
	int64_t tracks[2];
};

static void add_bond(struct railway *r, int i, int64_t at_mm)
{
	const struct rulebook rules = rulebook_default();
	struct problem why = { 0 };
	bool cross = i % 8 == BOND_TRACK_CROSS;
	struct bond b = { .line_id = r->line_id, .kind = (enum bond_kind)(i % 8),
		.installed_day = DAY_NONE, .removed_day = DAY_NONE, .material = -1, .area_mm2 = NAN,
		.length_m = NAN, .latitude = NAN, .longitude = NAN,
		.status = i % 17 == 0 ? BOND_REMOVED : BOND_IN_SERVICE,
		.end = { { .track_id = i % 5 == 0 ? 0 : r->tracks[i % 2], .rail = i % 2, .face = -1,
		.distance_mm = at_mm }, { .track_id = cross ? r->tracks[1 - i % 2] : 0,
		.rail = cross ? RAIL_RIGHT : -1, .face = -1, .distance_mm = at_mm + 250,
		.on = cross ? END_ON_RAIL : END_ON_STRUCTURE, .structure = "M 12" } } };
	struct due_facts facts = { .kind = b.kind, .in_service = b.status == BOND_IN_SERVICE,
		.installed_day = DAY_NONE, .known_since_day = TODAY, .commissioning_day = DAY_NONE,
		.early_day = DAY_NONE,
		.inspected_day = i % 11 == 0 ? DAY_NONE : TODAY - i % 300 * 7,
		.deferred_until_day = i % 13 == 0 ? TODAY + i % 5 - 2 : DAY_NONE };
	struct bond_state s = state_graded(i / 3, TODAY);

	snprintf(b.label, sizeof b.label, "B%05d", i);
	ck_assert_msg(store_bond_insert(r->store, &b, &origin, &why), "%s", why.detail);
	s.last_inspection_day = facts.inspected_day;
	facts.is_judged = true;
	facts.act_since_day = s.act_since_day;
	due_compute(&rules, &facts, &s.due);
	keep_state(r->store, &b, s);
}

/* Bonds from before the datum on, three to a place. */
static void make(struct railway *r, int bonds)
{
	struct line line = { .code = "T", .name = "Test", .notation = NOTATION_KM_M };
	struct problem why = { 0 };

	memset(r, 0, sizeof *r);
	register_file_make(&r->file);
	r->store = register_open(&r->file, STORE_WRITE);
	ck_assert(store_begin(r->store, &why));
	ck_assert(store_line_insert(r->store, &line, &origin, &why));
	r->line_id = line.id;
	for (int i = 0; i < 2; i++) {
		struct track track = { .line_id = line.id, .name = { i == 0 ? 'U' : 'D' } };

		ck_assert(store_track_insert(r->store, &track, &origin, &why));
		r->tracks[i] = track.id;
	}
	for (int i = 0; i < bonds; i++) {
		add_bond(r, i, (int64_t)(i / 3) * 1000 - 7500);
	}
	ck_assert(store_commit(r->store, &why));
}

static void end(struct railway *r)
{
	store_close(r->store);
	register_file_remove(&r->file);
}

static void ask(const struct query_pair *pairs, size_t count, struct list_query *q)
{
	struct problems why = { 0 };

	ck_assert_msg(list_query_read(&strip_list, pairs, count, TODAY, q, &why), "%s",
		why.item[0].detail);
}

static void check_sums(struct railway *r, const struct query_pair *pairs, size_t n, int64_t step_mm)
{
	struct list_query q;
	struct problem why = { 0 };
	struct strip_count *all;
	size_t count;
	int64_t expected[DUE_TOTALS], got[DUE_TOTALS] = { 0 };
	int64_t bonds = 0, kinds = 0, states = 0;

	ask(pairs, n, &q);
	ck_assert(list_totals(r->store, &q, expected, &why));
	ck_assert_msg(store_strip_counts(r->store, &q, step_mm, &all, &count, &why), "%s", why.detail);
	for (size_t i = 0; i < count; i++) {
		ck_assert(i == 0 || all[i].stretch > all[i - 1].stretch ||
			(all[i].stretch == all[i - 1].stretch && all[i].track_id > all[i - 1].track_id));
		bonds += all[i].bonds;
		for (size_t k = 0; k < DUE_STATES; k++) {
			got[k] += all[i].by_state[k];
			states += all[i].by_state[k];
		}
		for (size_t k = 0; k < DUE_GRADES; k++) {
			got[DUE_STATES + k] += all[i].by_grade[k];
		}
		for (size_t k = 0; k <= BOND_KIND_NOT_KNOWN; k++) {
			kinds += all[i].by_kind[k];
		}
	}
	for (size_t k = 0; k < DUE_STRIP_TOTALS; k++) {
		ck_assert_int_eq(got[k], expected[k]);
	}
	ck_assert_int_eq(bonds, kinds);
	ck_assert_int_eq(bonds, states);
	free(all);
}

START_TEST(counts_add_up_to_the_totals_of_the_list_whatever_the_stretches)
{
	static const int64_t steps[] = { 1, 500, 1000, 2000, 10000, 1000000000 };
	struct railway r;

	make(&r, BONDS);
	for (size_t i = 0; i < sizeof steps / sizeof steps[0]; i++) {
		check_sums(&r, (const struct query_pair[]){ { "line", "1" } }, 1, steps[i]);
		check_sums(&r, (const struct query_pair[]){ { "line", "1" }, { "kind", "structure" },
			{ "from_mm", "-3000" }, { "to_mm", "40000" } }, 4, steps[i]);
	}
	end(&r);
}
END_TEST

START_TEST(the_state_filter_holds_for_counts)
{
	struct railway r;
	struct list_query q;
	struct problem why = { 0 };
	struct strip_count *all;
	size_t count;
	int64_t expected[DUE_TOTALS], overdue = 0;

	make(&r, BONDS);
	ask((const struct query_pair[]){ { "line", "1" }, { "state", "overdue" } }, 2, &q);
	ck_assert(list_totals(r.store, &q, expected, &why));   /* counts every state */
	ck_assert(store_strip_counts(r.store, &q, 10000, &all, &count, &why));
	for (size_t i = 0; i < count; i++) {
		ck_assert_int_eq(all[i].by_state[DUE_OVERDUE], all[i].bonds);
		overdue += all[i].bonds;
	}
	ck_assert_int_gt(overdue, 0);
	ck_assert_int_eq(overdue, expected[DUE_OVERDUE]);
	free(all);
	end(&r);
}
END_TEST

/* Three bonds each at -7500, -6500 ... : with a step of 2000, -8000 to -6000 is stretch -4. */
START_TEST(stretches_stay_where_they_are_before_the_datum_too)
{
	struct railway r;
	struct list_query q;
	struct problem why = { 0 };
	struct strip_count *all;
	size_t count;
	int64_t bonds = 0;

	make(&r, 24);
	ask((const struct query_pair[]){ { "line", "1" }, { "to_mm", "-6001" } }, 2, &q);
	ck_assert(store_strip_counts(r.store, &q, 2000, &all, &count, &why));
	for (size_t i = 0; i < count; i++) {
		ck_assert_int_eq(all[i].stretch, -4);
		bonds += all[i].bonds;
	}
	ck_assert_int_eq(bonds, 5);   /* 0 to 5, less 0, which is removed */
	free(all);
	ask((const struct query_pair[]){ { "line", "1" }, { "from_mm", "-1000" } }, 2, &q);
	ck_assert(store_strip_counts(r.store, &q, 2000, &all, &count, &why));
	ck_assert_int_eq(all[0].stretch, -1);   /* -500 */
	free(all);
	end(&r);
}
END_TEST

START_TEST(a_cross_bond_has_both_its_ends)
{
	struct railway r;
	struct list_query q;
	struct problem why = { 0 };
	struct table table;
	struct cell row[CELLS];
	struct list_run *run;
	bool failed;
	int rows = 0;

	make(&r, 24);
	ask((const struct query_pair[]){ { "line", "1" }, { "kind", "track_cross" } }, 2, &q);
	run = list_open(r.store, &q, &table, &why);
	while (table.next(table.source, row, &failed)) {
		int64_t number[CELLS] = { 0 };

		for (size_t c = 0; c < table.n_columns; c++) {
			static const char *const names[] = { "track_id", "b_track_id", "distance_mm",
				"b_distance_mm", "b_rail", "b_on" };

			for (size_t n = 0; n < 6; n++) {
				if (strcmp(table.columns[c].name, names[n]) == 0) {
					number[n] = row[c].integer;
				}
			}
		}
		ck_assert_int_eq(number[0], number[1] == r.tracks[0] ? r.tracks[1] : r.tracks[0]);
		ck_assert_int_eq(number[3] - number[2], 250);
		ck_assert_int_eq(number[4], RAIL_RIGHT);
		ck_assert_int_eq(number[5], END_ON_RAIL);
		rows++;
	}
	list_close(run);
	ck_assert_int_eq(rows, 2);   /* 1, 9, 17, of which 17 is removed */
	end(&r);
}
END_TEST

START_TEST(the_extent_takes_in_bonds_and_maps_and_only_maps_in_force)
{
	static const struct map_stretch older[] = { { -900000, 0, 9000000, false } };
	static const struct map_stretch newer[] = { { 0, 0, 40000, false },
		{ 40000, 50000, 110000, false } };
	struct railway r;
	struct problem why = { 0 };
	int64_t from_mm, to_mm;

	make(&r, 0);
	ck_assert(store_line_extent(r.store, r.line_id, &from_mm, &to_mm, &why));
	ck_assert_int_gt(from_mm, to_mm);
	ck_assert(store_begin(r.store, &why));
	add_bond(&r, 1, 5000);
	ck_assert(store_commit(r.store, &why));
	ck_assert(store_line_extent(r.store, r.line_id, &from_mm, &to_mm, &why));
	ck_assert_int_eq(from_mm, 5000);
	ck_assert_int_eq(to_mm, 5000);
	ck_assert(store_begin(r.store, &why));
	ck_assert(store_map_insert(r.store, r.line_id, 0, older, 1, &origin, &why));
	ck_assert(store_map_insert(r.store, r.line_id, 0, newer, 2, &origin, &why));
	ck_assert(store_commit(r.store, &why));
	ck_assert(store_line_extent(r.store, r.line_id, &from_mm, &to_mm, &why));
	ck_assert_int_eq(from_mm, 0);
	ck_assert_int_eq(to_mm, 100000);
	end(&r);
}
END_TEST

START_TEST(tracks_say_whether_they_have_a_map_of_their_own)
{
	static const struct map_stretch own[] = { { 0, 0, 40000, false } };
	struct railway r;
	struct problem why = { 0 };
	struct line_track *tracks;
	size_t count;

	make(&r, 0);
	ck_assert(store_begin(r.store, &why));
	ck_assert(store_map_insert(r.store, r.line_id, r.tracks[1], own, 1, &origin, &why));
	ck_assert(store_commit(r.store, &why));
	ck_assert(store_line_tracks(r.store, r.line_id, &tracks, &count, &why));
	ck_assert_uint_eq(count, 2);
	ck_assert_str_eq(tracks[0].track.name, "U");
	ck_assert(!tracks[0].own_map);
	ck_assert(tracks[1].own_map);
	free(tracks);
	end(&r);
}
END_TEST

START_TEST(a_line_of_20000_bonds_is_counted_whole)
{
	struct railway r;
	struct list_query q;
	struct problem why = { 0 };
	struct strip_count *all;
	size_t count;
	int64_t bonds = 0;

	make(&r, 20000);
	ask((const struct query_pair[]){ { "line", "1" } }, 1, &q);
	ck_assert(store_strip_counts(r.store, &q, 100000, &all, &count, &why));
	for (size_t i = 0; i < count; i++) {
		bonds += all[i].bonds;
	}
	ck_assert_int_eq(bonds, 20000 - 1177);   /* every 17th is removed and never due */
	free(all);
	end(&r);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		counts_add_up_to_the_totals_of_the_list_whatever_the_stretches,
		the_state_filter_holds_for_counts,
		stretches_stay_where_they_are_before_the_datum_too,
		a_cross_bond_has_both_its_ends,
		the_extent_takes_in_bonds_and_maps_and_only_maps_in_force,
		tracks_say_whether_they_have_a_map_of_their_own,
		a_line_of_20000_bonds_is_counted_whole, NULL };

	return case_run("strip", tests);
}
