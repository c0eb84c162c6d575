/* Beginnings of labels, codes, names and serial numbers, whatever signs are typed. */
#include <math.h>
#include <string.h>

#include "case.h"
#include "store/kept.h"
#include "store/lists/search.h"
#include "store/record/work.h"
#include "store/register.h"

static const struct origin origin = { .now_ms = 1767225600000 };

static void add_bond(struct store *store, int64_t line_id, const char *label, int64_t at_mm)
{
	struct bond b = { .line_id = line_id, .installed_day = DAY_NONE, .removed_day = DAY_NONE,
		.material = -1, .area_mm2 = NAN, .length_m = NAN, .latitude = NAN, .longitude = NAN,
		.end = { { .rail = -1, .face = -1, .distance_mm = at_mm }, { .rail = -1, .face = -1 } } };
	const struct bond_state s = { .version = 1, .chainage = "0+000", .last_inspection_day = DAY_NONE,
		.rulebook_version = 1 };
	struct problem why = { 0 };

	snprintf(b.label, sizeof b.label, "%s", label);
	ck_assert(store_bond_insert(store, &b, &origin, &why));
	keep_state(store, &b, s);
}

static struct store *make(struct register_file *f)
{
	static const char *const labels[] = { "B-1", "B-10", "B-2", "b-1", "50%_x", "É 1", "Z" };
	static const char *const lines[][2] = { { "V", "Vale line" }, { "VAL", "Long vale" },
		{ "SAN", "Branch of Vale" } };
	struct problem why = { 0 };
	struct store *store;

	register_file_make(f);
	store = register_open(f, STORE_WRITE);
	ck_assert(store_begin(store, &why));
	for (size_t i = 0; i < 3; i++) {
		struct line line = { .notation = NOTATION_KM_M };

		snprintf(line.code, sizeof line.code, "%s", lines[i][0]);
		snprintf(line.name, sizeof line.name, "%s", lines[i][1]);
		ck_assert(store_line_insert(store, &line, &origin, &why));
	}
	for (size_t i = 0; i < sizeof labels / sizeof labels[0]; i++) {
		add_bond(store, 1, labels[i], (int64_t)i * 1000);
	}
	for (int i = 0; i < 12; i++) {
		char label[24];

		snprintf(label, sizeof label, "MANY-%02d", i);
		add_bond(store, 2, label, 5000);
	}
	ck_assert(store_commit(store, &why));
	return store;
}

static void labels(struct store *store, const char *text, const char *expected)
{
	struct found_bond bonds[SEARCH_ROWS];
	struct problem why = { 0 };
	char all[400] = "";
	size_t count;

	ck_assert_msg(store_search_bonds(store, text, bonds, &count, &why), "%s", why.detail);
	for (size_t i = 0; i < count; i++) {
		strncat(all, i > 0 ? "|" : "", 2);
		strncat(all, bonds[i].label, 64);
	}
	ck_assert_str_eq(all, expected);
}

START_TEST(labels_by_their_beginning_as_typed_and_in_capitals)
{
	struct register_file f;
	struct store *store = make(&f);

	labels(store, "B-1", "B-1|B-10");
	labels(store, "b-1", "b-1|B-1|B-10");
	labels(store, "B-2", "B-2");
	labels(store, "B-3", "");
	labels(store, "50%", "50%_x");
	labels(store, "%", "");
	labels(store, "É", "É 1");
	labels(store, "' OR 1=1 --", "");
	labels(store, "many", "MANY-00|MANY-01|MANY-02|MANY-03|MANY-04|MANY-05|MANY-06|MANY-07");
	store_close(store);
	register_file_remove(&f);
}
END_TEST

static void near(struct store *store, int64_t at_mm, bool after, const char *expected)
{
	struct found_bond bonds[SEARCH_ROWS];
	struct problem why = { 0 };
	char all[400] = "";
	size_t count;

	ck_assert(store_search_near(store, 1, at_mm, after, 2, bonds, &count, &why));
	for (size_t i = 0; i < count; i++) {
		strncat(all, i > 0 ? "|" : "", 2);
		strncat(all, bonds[i].label, 64);
	}
	ck_assert_str_eq(all, expected);
}

START_TEST(the_nearest_on_either_side_a_bond_at_the_place_counts_as_after)
{
	struct register_file f;
	struct store *store = make(&f);

	near(store, 2000, true, "B-2|b-1");
	near(store, 2000, false, "B-10|B-1");
	near(store, 2001, false, "B-2|B-10");
	near(store, 0, false, "");
	near(store, 6001, true, "");   /* bonds of another line are at 5 m */
	store_close(store);
	register_file_remove(&f);
}
END_TEST

static void lines(struct store *store, const char *text, bool names, const char *expected)
{
	struct found_line found[SEARCH_ROWS];
	struct problem why = { 0 };
	char all[400] = "";
	size_t count;

	ck_assert_msg(store_search_lines(store, text, names, found, &count, &why), "%s", why.detail);
	for (size_t i = 0; i < count; i++) {
		strncat(all, i > 0 ? "|" : "", 2);
		strncat(all, found[i].line.code, 64);
	}
	ck_assert_str_eq(all, expected);
}

START_TEST(lines_by_code_first_then_by_any_word_of_the_name)
{
	struct register_file f;
	struct store *store = make(&f);

	lines(store, "va", false, "VAL");
	lines(store, "v", false, "V|VAL");      /* the shorter code is nearer */
	lines(store, "vale", true, "V|SAN|VAL");
	lines(store, "v", true, "V|VAL|SAN");
	lines(store, "ale", true, "");
	lines(store, "_", true, "");
	lines(store, "%", true, "");
	store_close(store);
	register_file_remove(&f);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		labels_by_their_beginning_as_typed_and_in_capitals,
		the_nearest_on_either_side_a_bond_at_the_place_counts_as_after,
		lines_by_code_first_then_by_any_word_of_the_name, NULL };

	return case_run("search", tests);
}
