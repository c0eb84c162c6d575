/* What a meter was on a day, by its calibrations. */
#include "case.h"
#include "store/record/known.h"
#include "store/register.h"
#include "store/sql.h"

static enum meter_standing on(struct store *store, int64_t instrument_id, int32_t day)
{
	struct meter meter;
	struct problem why = { 0 };
	struct known *known = store_known(store, &why);

	ck_assert_ptr_nonnull(known);
	ck_assert_msg(store_known_meter(store, known, instrument_id, day, &meter, &why), "%s",
		why.detail);
	return meter.standing;
}

/* (as_found 1: within, 2: out of its limits) */
START_TEST(the_next_calibration_says_how_it_was_and_of_one_day_the_newest_entry_counts)
{
	struct register_file file;
	struct store *store;
	struct problem why = { 0 };

	register_file_make(&file);
	store = register_open(&file, STORE_WRITE);
	ck_assert(sql_run(store, "INSERT INTO instrument (id, serial, name, recorded_at_ms) "
		"VALUES (1, 'A', 'A', 0), (2, 'B', 'B', 0)", NULL, 0, &why));
	ck_assert(sql_run(store, "INSERT INTO calibration (id, instrument_id, calibrated_day, due_day, "
		"uncertainty_percent, uncertainty_uohm, recorded_at_ms, as_found) VALUES "
		"(1, 1, 300, 1000, 1, 0, 0, 1), (2, 1, 100, 1000, 1, 0, 0, 0), (3, 1, 200, 1000, 1, 0, 0, 1), "
		"(4, 1, 200, 1000, 1, 0, 0, 2), (5, 2, 150, 1000, 1, 0, 0, 2)", NULL, 0, &why));
	ck_assert_int_eq(on(store, 1, 99), METER_NEVER_CALIBRATED);
	ck_assert_int_eq(on(store, 1, 100), METER_FOUND_OUT);
	ck_assert_int_eq(on(store, 1, 199), METER_FOUND_OUT);
	ck_assert_int_eq(on(store, 1, 200), METER_FOUND_OUT);
	ck_assert_int_eq(on(store, 1, 201), METER_IN_CALIBRATION);
	ck_assert_int_eq(on(store, 1, 299), METER_IN_CALIBRATION);
	ck_assert_int_eq(on(store, 1, 300), METER_IN_CALIBRATION);
	ck_assert_int_eq(on(store, 2, 151), METER_IN_CALIBRATION);
	store_close(store);
	register_file_remove(&file);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		the_next_calibration_says_how_it_was_and_of_one_day_the_newest_entry_counts, NULL };

	return case_run("known", tests);
}
