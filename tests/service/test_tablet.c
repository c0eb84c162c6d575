/* What a tablet takes along of a bond. The conductor of the cable is IEC 60228's: copper of class
 * 2, 95 mm2, 0.193 ohm/km. */
#include <math.h>

#include "case.h"
#include "rules/judge/limit.h"
#include "service/railway.h"
#include "service/report/tablet.h"

static int64_t add_instrument(struct railway *r, const char *serial, const char *from, const char *to,
	double percent)
{
	struct instrument_new form;
	struct problems why = { 0 };
	struct recorded recorded;

	form_clear(&instrument_form, &form);
	form.serial = serial;
	form.name = "micro-ohmmeter";
	form.calibrated_day = railway_day(from);
	form.calibration_due_day = railway_day(to);
	form.uncertainty_percent = percent;
	form.uncertainty_uohm = 0.3;
	railway_must(instrument_register(&r->act, &form, &recorded, &why), &why);
	return recorded.id;
}

static void measure(struct railway *r, int n, int64_t bond_id, const char *day, int purpose,
	double uohm, int64_t instrument_id)
{
	struct reading_new reading;
	struct inspection_new form;
	struct problems why = { 0 };
	struct recorded recorded;

	form_clear(&reading_form, &reading);
	reading.quantity = QUANTITY_END_TO_END;
	reading.temp_c = 20;
	reading.method = READING_FOUR_WIRE;
	reading.shown_uohm = uohm;
	reading.instrument_id = instrument_id;
	form_clear(&inspection_form, &form);
	railway_uuid(n, form.uuid);
	form.of.bond_id = bond_id;
	form.day = railway_day(day);
	form.purpose = purpose;
	form.readings = (struct form_list){ &reading, 1 };
	railway_must(inspection_record(&r->act, &form, &recorded, &why), &why);
}

static int64_t add_cable_bond(struct railway *r)
{
	struct bond_new form = railway_bond("J1", "12+345");
	struct problems why = { 0 };
	struct recorded recorded;

	form.kind = BOND_RAIL_CROSS;
	form.b.track = "Up";
	form.b.rail = RAIL_RIGHT;
	form.material = MATERIAL_COPPER;
	form.conductor_class = 2;
	form.area_mm2 = 95;
	form.length_m = 1.2;
	form.cables = 2;
	railway_must(bond_register(&r->act, &form, &recorded, &why), &why);
	return recorded.id;
}

START_TEST(has_the_facts_of_the_limit_the_baseline_and_the_last_evidence)
{
	struct railway r;
	struct tablet_known known;
	struct form_memory memory = { 0 };
	struct problem why = { 0 };
	int64_t bond_id, meter_id;

	railway_make(&r, "2024-01-01");
	railway_begin(&r, "2024-05-01");
	bond_id = add_cable_bond(&r);
	meter_id = add_instrument(&r, "M-1", "2023-01-01", "2025-01-01", 0);
	measure(&r, 1, bond_id, "2023-05-01", PURPOSE_COMMISSIONING, 110, meter_id);
	measure(&r, 2, bond_id, "2024-04-30", PURPOSE_ROUTINE, 200, meter_id);
	ck_assert_msg(tablet_take_along(&r.view, bond_id, &known, &memory, &why), "%s", why.detail);
	ck_assert_int_eq(known.bond_id, bond_id);
	ck_assert_int_eq(known.rulebook_version, 1);
	ck_assert_int_eq(known.material, MATERIAL_COPPER);
	ck_assert_int_eq(known.limit.kind, BOND_RAIL_CROSS);
	ck_assert_double_eq(known.limit.cable_uohm_per_m, 193);
	ck_assert_double_eq(known.limit.length_m, 1.2);
	ck_assert_int_eq(known.limit.cables, 2);
	ck_assert(isnan(known.limit.baseline) && isnan(known.limit.rail_uohm_per_m));
	ck_assert_double_eq(known.baseline[QUANTITY_END_TO_END], 110);
	ck_assert(isnan(known.baseline[QUANTITY_CONTACT_A]));
	/* by hand: 1.5 x 110 = 165, below (0.193 x 1.2 / 2 x 1000 + 2 x 10) x 1.3 = 176.5 of the cable;
	 * 200 less its uncertainty, the root of 0.3^2 + (200 x 0.00393 x 3)^2 + (2 % of 200)^2, is over
	 * it */
	ck_assert_int_eq(known.last[QUANTITY_END_TO_END].day, railway_day("2024-04-30"));
	ck_assert_double_eq(known.last[QUANTITY_END_TO_END].value, 200);
	ck_assert_double_eq_tol(known.last[QUANTITY_END_TO_END].u95, 4.652974, 1e-6);
	ck_assert_double_eq(known.last[QUANTITY_END_TO_END].limit, 165);
	ck_assert_int_eq(known.last[QUANTITY_END_TO_END].verdict, VERDICT_OVER);
	ck_assert_int_eq(known.last[QUANTITY_CONTACT_A].day, DAY_NONE);
	form_memory_release(&memory);
	railway_end(&r);
	railway_remove(&r);
}
END_TEST

START_TEST(has_every_calibration_of_every_instrument_oldest_first)
{
	struct railway r;
	struct tablet_known known;
	struct form_memory memory = { 0 };
	struct problem why = { 0 };
	const struct tablet_instrument *one;
	const struct tablet_calibration *c;
	int64_t bond_id, first, second;

	railway_make(&r, "2024-01-01");
	railway_begin(&r, "2024-05-01");
	bond_id = railway_add_bond(&r, "J1", "12+345");
	ck_assert(tablet_take_along(&r.view, bond_id, &known, &memory, &why));
	ck_assert_uint_eq(known.instruments.count, 0);
	first = add_instrument(&r, "M-1", "2024-02-01", "2025-02-01", 2);
	second = add_instrument(&r, "M-2", "2022-01-01", "2023-01-01", 3);
	add_instrument(&r, "M-1", "2023-02-01", "2024-02-01", 1);
	ck_assert(tablet_take_along(&r.view, bond_id, &known, &memory, &why));
	ck_assert_uint_eq(known.instruments.count, 2);
	one = known.instruments.items;
	ck_assert_int_eq(one[0].id, first);
	ck_assert_uint_eq(one[0].calibrations.count, 2);
	c = one[0].calibrations.items;
	ck_assert_int_eq(c[0].calibrated_day, railway_day("2023-02-01"));
	ck_assert_double_eq(c[0].percent, 1);
	ck_assert_int_eq(c[1].due_day, railway_day("2025-02-01"));
	ck_assert_int_eq(one[1].id, second);
	ck_assert_uint_eq(one[1].calibrations.count, 1);
	form_memory_release(&memory);
	railway_end(&r);
	railway_remove(&r);
}
END_TEST

START_TEST(says_that_there_is_no_such_bond)
{
	struct railway r;
	struct tablet_known known;
	struct form_memory memory = { 0 };
	struct problem why = { 0 };

	railway_make(&r, "2024-01-01");
	railway_begin(&r, "2024-05-01");
	ck_assert(!tablet_take_along(&r.view, 77, &known, &memory, &why));
	ck_assert_int_eq(why.code, PROBLEM_NOT_FOUND);
	form_memory_release(&memory);
	railway_end(&r);
	railway_remove(&r);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		has_the_facts_of_the_limit_the_baseline_and_the_last_evidence,
		has_every_calibration_of_every_instrument_oldest_first,
		says_that_there_is_no_such_bond,
		NULL
	};

	return case_run("tablet", tests);
}
