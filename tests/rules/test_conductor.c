#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>

#include "case.h"
#include "rules/conductor.h"

/* The next row of a table under tests/reference/: neither a comment nor the heading. */
static bool next_row(FILE *file, const char *heading, char *line, int size)
{
	while (fgets(line, size, file) != NULL) {
		if (line[0] != '#' && strncmp(line, heading, strlen(heading)) != 0) {
			return true;
		}
	}
	return false;
}

START_TEST(the_table_is_the_published_one_digit_by_digit)
{
	FILE *file = fopen(TESTS_REFERENCE "/iec60228_resistance.csv", "r");
	char line[200], material[20], ohm_per_km[20];
	size_t rows = 0;
	int class;
	double area_mm2;

	ck_assert_ptr_nonnull(file);
	while (next_row(file, "material", line, sizeof line)) {
		const struct conductor_row *row;
		int found;

		ck_assert_int_eq(sscanf(line, "%19[^,],%d,%lf,%19[^,],", material, &class, &area_mm2,
			ohm_per_km), 4);
		found = words_find(&material_words, material, strlen(material));
		ck_assert_int_ge(found, 0);
		row = conductor_find(found, class, area_mm2);
		ck_assert_msg(row != NULL && strcmp(row->ohm_per_km, ohm_per_km) == 0, "%s", line);
		/* 1 ohm/km is 1000 microohm/m */
		ck_assert_double_eq_tol(conductor_uohm_per_m(found, class, area_mm2),
			strtod(ohm_per_km, NULL) * 1000, 1e-9);
		ck_assert_msg(row == &conductor_table[rows], "in the order of the published rows: %s",
			line);
		rows++;
	}
	fclose(file);
	ck_assert_uint_eq(rows, conductor_table_rows);
}
END_TEST

START_TEST(class_1_differs_from_class_2_from_185_mm2_on)
{
	for (size_t i = 0; i < conductor_table_rows; i++) {
		const struct conductor_row *one = &conductor_table[i], *two;

		if (one->conductor_class == 1) {
			two = conductor_find((int)one->material, 2, one->area_mm2);
			ck_assert_ptr_nonnull(two);
			ck_assert_msg((strcmp(one->ohm_per_km, two->ohm_per_km) != 0) ==
				(one->material == MATERIAL_COPPER && one->area_mm2 >= 185), "%g mm2",
				one->area_mm2);
		}
	}
}
END_TEST

START_TEST(class_5_has_more_than_class_2_but_for_50_mm2)
{
	for (size_t i = 0; i < conductor_table_rows; i++) {
		const struct conductor_row *row = &conductor_table[i];
		double five, two;

		if (row->conductor_class == 5) {
			five = conductor_uohm_per_m(MATERIAL_COPPER, 5, row->area_mm2);
			two = conductor_uohm_per_m(MATERIAL_COPPER, 2, row->area_mm2);
			ck_assert_msg((five < two) == (row->area_mm2 == 50), "%g mm2", row->area_mm2);
		}
	}
}
END_TEST

START_TEST(a_thicker_conductor_of_one_class_has_less)
{
	for (size_t i = 1; i < conductor_table_rows; i++) {
		const struct conductor_row *a = &conductor_table[i - 1], *b = &conductor_table[i];

		if (a->material == b->material && a->conductor_class == b->conductor_class) {
			ck_assert_double_lt(a->area_mm2, b->area_mm2);
			ck_assert_double_gt(strtod(a->ohm_per_km, NULL), strtod(b->ohm_per_km, NULL));
		}
		ck_assert_uint_gt(strlen(b->source), 0);
	}
}
END_TEST

static const struct { const char *label; int material; int64_t class; double area_mm2; bool is; }
asked[] = {
	{ "70 mm2 of copper, class 2", MATERIAL_COPPER, 2, 70, true },
	{ "within 0.01 mm2", MATERIAL_COPPER, 2, 70.009, true },
	{ "within 0.01 mm2 below", MATERIAL_COPPER, 2, 69.991, true },
	{ "beside it", MATERIAL_COPPER, 2, 70.011, false },
	{ "beside it, below", MATERIAL_COPPER, 2, 69.989, false },
	{ "aluminium has no class 5", MATERIAL_ALUMINIUM, 5, 70, false },
	{ "class 6 was not seen", MATERIAL_COPPER, 6, 70, false },
	{ "there is no class 3", MATERIAL_COPPER, 3, 70, false },
	{ "class not known", MATERIAL_COPPER, 0, 70, false },
	{ "a class beyond an int", MATERIAL_COPPER, INT64_C(4294967298), 70, false },
	{ "material not known", -1, 2, 70, false },
	{ "no such material", 2, 2, 70, false },
	{ "area not known", MATERIAL_COPPER, 2, NAN, false },
	{ "area of zero", MATERIAL_COPPER, 2, 0, false },
	{ "negative area", MATERIAL_COPPER, 2, -70, false },
	{ "infinite area", MATERIAL_COPPER, 2, INFINITY, false },
	{ "thinner than the table", MATERIAL_COPPER, 2, 6, false },
	{ "thicker than the table", MATERIAL_COPPER, 2, 500, false },
};

START_TEST(gives_only_what_the_table_has)
{
	for (size_t i = 0; i < sizeof asked / sizeof asked[0]; i++) {
		double uohm = conductor_uohm_per_m(asked[i].material, asked[i].class, asked[i].area_mm2);

		ck_assert_msg(asked[i].is ? uohm == 268 : isnan(uohm), "%s: %g", asked[i].label, uohm);
		ck_assert((conductor_find(asked[i].material, asked[i].class, asked[i].area_mm2) != NULL) ==
			asked[i].is);
	}
}
END_TEST

START_TEST(a_rail_has_its_resistivity_over_its_area)
{
	FILE *file = fopen(TESTS_REFERENCE "/rail_resistance.csv", "r");
	char line[200], profile[20];
	double mass_kg_m, area_cm2, resistivity_uohm_m, uohm_per_m;
	size_t rows = 0;

	ck_assert_ptr_nonnull(file);
	while (next_row(file, "profile", line, sizeof line)) {
		const struct rail_row *row;

		ck_assert_int_eq(sscanf(line, "%19[^,],%lf,%lf,%lf,%lf", profile, &mass_kg_m, &area_cm2,
			&resistivity_uohm_m, &uohm_per_m), 5);
		row = rail_find(profile);
		ck_assert_ptr_nonnull(row);
		ck_assert_double_eq_tol(row->mass_kg_m, mass_kg_m, 0.001);
		ck_assert_double_eq_tol(row->area_cm2, area_cm2, 0.001);
		ck_assert_msg(fabs(rail_uohm_per_m(row) * resistivity_uohm_m / RAIL_RESISTIVITY_UOHM_M -
			uohm_per_m) <= 1e-4, "%s", line);
		rows++;
	}
	fclose(file);
	ck_assert_uint_eq(rows, 3 * rail_table_rows);
}
END_TEST

/* Steel has 7.85 t/m3. Published figures of single rails spread from 0.022 ohm/km (60E1 in pairs,
 * a comment in public code) to 0.040 ohm/km (an encyclopaedia of railways). */
START_TEST(mass_area_and_resistance_of_a_rail_agree)
{
	for (size_t i = 0; i < rail_table_rows; i++) {
		const struct rail_row *row = &rail_table[i];

		ck_assert_double_eq_tol(row->mass_kg_m / row->area_cm2 * 10, 7.85, 0.005);
		ck_assert_double_ge(rail_uohm_per_m(row), 22);
		ck_assert_double_le(rail_uohm_per_m(row), 40);
		ck_assert_ptr_eq(rail_find(row->profile), row);
	}
}
END_TEST

START_TEST(finds_no_rail_that_it_does_not_know)
{
	static const char *const unknown[] = { "", "60E", "60E11", "60e1", "UIC 60" };

	for (size_t i = 0; i < sizeof unknown / sizeof unknown[0]; i++) {
		ck_assert_ptr_null(rail_find(unknown[i]));
	}
	ck_assert_ptr_null(rail_find(NULL));
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { the_table_is_the_published_one_digit_by_digit,
		class_1_differs_from_class_2_from_185_mm2_on,
		class_5_has_more_than_class_2_but_for_50_mm2, a_thicker_conductor_of_one_class_has_less,
		gives_only_what_the_table_has, a_rail_has_its_resistivity_over_its_area,
		mass_area_and_resistance_of_a_rail_agree, finds_no_rail_that_it_does_not_know, NULL };

	return case_run("conductor", tests);
}
