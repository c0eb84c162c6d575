/*
 * The record of many bonds is read at once, in the order in which records came in. What comes out
 * must be what was sent: each reading with its own bond, its own visit and the calibration of its
 * own day, in the order of the visits, whatever the order in which crews sent them.
 */
#include <math.h>

#include "case.h"
#include "service/railway.h"
#include "store/record/record.h"

enum { BONDS = 12, VISITS = 150, READINGS_MOST = 3, FIRST_BOND = 1 };

/* What the test sent, in the order in which it sent it. */
struct sent_visit {
	int64_t bond_id, inspection_id;
	int32_t day;
	size_t n_readings;
	bool is_corrected;
};

static struct sent_visit sent[VISITS];

static unsigned draw(unsigned *seed, unsigned below)
{
	*seed = *seed * 1103515245u + 12345u;
	return (*seed >> 16) % below;
}

/* A reading says which it is: 1000 times the place in sent, and its own place. */
static double uohm_of(size_t visit, size_t n)
{
	return (double)(1000 * (visit + 1) + n);
}

static void send_visit(struct railway *r, size_t v, const char *corrects)
{
	struct reading_new readings[READINGS_MOST];
	struct inspection_new form;
	struct problems why = { 0 };
	struct recorded recorded;

	form_clear(&inspection_form, &form);
	railway_uuid((int)v + 1, form.uuid);
	form.of.bond_id = sent[v].bond_id;
	form.day = sent[v].day;
	memcpy(form.corrects, corrects, strlen(corrects) + 1);
	for (size_t n = 0; n < sent[v].n_readings; n++) {
		form_clear(&reading_form, &readings[n]);
		readings[n].quantity = n == 0 ? QUANTITY_END_TO_END : n == 1 ? QUANTITY_CONTACT_A :
			QUANTITY_CONTACT_B;
		readings[n].method = READING_FOUR_WIRE;
		readings[n].shown_uohm = uohm_of(v, n);
		readings[n].instrument = n == 0 ? "M-1" : NULL;
	}
	form.readings = (struct form_list){ readings, sent[v].n_readings };
	railway_must(inspection_record(&r->act, &form, &recorded, &why), &why);
	sent[v].inspection_id = recorded.id;
}

static void calibrate(struct railway *r, const char *from, const char *due, double percent)
{
	const struct instrument_new meter = { .serial = "M-1", .name = "Microhmmeter",
		.calibrated_day = railway_day(from), .calibration_due_day = railway_day(due),
		.uncertainty_percent = percent, .uncertainty_uohm = percent };
	struct problems why = { 0 };
	struct recorded recorded;

	railway_must(instrument_register(&r->act, &meter, &recorded, &why), &why);
}

/* Bonds in turn at first, as one crew goes along the line; then any; every tenth corrects
 * another. */
static void send_all(struct railway *r, unsigned *seed)
{
	for (size_t v = 0; v < VISITS; v++) {
		char corrects[UUID_TEXT_SIZE] = "";

		sent[v] = (struct sent_visit){ .bond_id = FIRST_BOND + (int64_t)(v < 50 ? v % BONDS :
			draw(seed, BONDS)), .day = railway_day("2022-01-01") + (int32_t)draw(seed, 800),
			.n_readings = draw(seed, READINGS_MOST + 1) };
		if (v >= 50 && v % 10 == 0) {
			sent[v].bond_id = sent[v - 7].bond_id;
			sent[v - 7].is_corrected = true;
			railway_uuid((int)v - 7 + 1, corrects);
		}
		send_visit(r, v, corrects);
	}
}

static void make(struct railway *r, unsigned seed)
{
	railway_make(r, "2024-05-01");
	railway_begin(r, "2024-05-01");
	for (int i = 0; i < BONDS; i++) {
		char label[24], chainage[24];

		snprintf(label, sizeof label, "J%d", i);
		snprintf(chainage, sizeof chainage, "%d+000", i);
		ck_assert_int_eq(railway_add_bond(r, label, chainage), FIRST_BOND + i);
	}
	calibrate(r, "2022-06-01", "2023-06-01", 1);
	calibrate(r, "2023-03-01", "2023-09-01", 2);
	calibrate(r, "2023-12-01", "2024-12-01", 3);
	calibrate(r, "2023-12-01", "2024-12-01", 4);   /* on one day: the last */
	send_all(r, &seed);
	railway_end(r);
}

static double percent_on(int32_t day)
{
	return day < railway_day("2022-06-01") ? NAN : day < railway_day("2023-03-01") ? 1 :
		day <= railway_day("2023-09-01") ? 2 : day < railway_day("2023-12-01") ? NAN : 4;
}

/* The visit of a bond that follows `after` by day and order of sending; VISITS: none. */
static size_t next_visit(int64_t bond_id, int32_t until_day, size_t after)
{
	size_t next = VISITS;

	for (size_t v = 0; v < VISITS; v++) {
		bool later = after == VISITS || sent[v].day > sent[after].day ||
			(sent[v].day == sent[after].day && v > after);

		if (sent[v].bond_id == bond_id && !sent[v].is_corrected && sent[v].day <= until_day &&
			later && (next == VISITS || sent[v].day < sent[next].day)) {
			next = v;
		}
	}
	return next;
}

static double r_uohm_of(const struct record_reading *key)
{
	struct reading_state s;

	reading_state_read(&key->kept, &s);
	return s.r_uohm;
}

static void expect_reading(const struct records *records, const struct record *r, size_t at,
	size_t v, size_t n)
{
	const struct judge_reading *reading = &records->readings[r->reading + at];
	const struct record_reading *key = &records->reading_keys[r->reading + at];
	const struct judge_visit *visit = &records->visits[r->visit + reading->visit];

	ck_assert_double_eq(reading->values.shown_uohm, uohm_of(v, n));
	ck_assert_int_eq(key->inspection_id, sent[v].inspection_id);
	ck_assert_int_eq(key->n, n);
	ck_assert_int_eq(visit->day, sent[v].day);
	/* the first reading of each visit names the one instrument there is */
	ck_assert_int_eq(reading->instrument_id, n == 0 ? 1 : 0);
	if (n == 0 && isnan(percent_on(sent[v].day))) {
		ck_assert_int_ne(reading->meter.standing, METER_IN_CALIBRATION);
	} else if (n == 0) {
		ck_assert_int_eq(reading->meter.standing, METER_IN_CALIBRATION);
		ck_assert_double_eq(reading->meter.percent, percent_on(sent[v].day));
	} else {
		ck_assert_int_eq(reading->meter.standing, METER_NOT_RECORDED);
	}
	ck_assert_int_eq(key->has_state, !records->without_states);
	ck_assert(records->without_states || r_uohm_of(key) == uohm_of(v, n));
}

static void expect_bond(const struct records *records, const struct record *r)
{
	size_t visits = 0, at = 0;

	for (size_t v = next_visit(r->bond.id, records->until_day, VISITS); v < VISITS;
		v = next_visit(r->bond.id, records->until_day, v)) {
		ck_assert_int_eq(records->visit_ids[r->visit + visits], sent[v].inspection_id);
		for (size_t n = 0; n < sent[v].n_readings; n++) {
			ck_assert_uint_lt(at, r->n_readings);
			ck_assert_uint_eq(records->readings[r->reading + at].visit, visits);
			expect_reading(records, r, at++, v, n);
		}
		visits++;
	}
	ck_assert_uint_eq(r->n_visits, visits);
	ck_assert_uint_eq(r->n_readings, at);
}

static void expect_range(struct railway *r, struct records *records, int64_t first, int64_t last,
	int32_t until_day)
{
	struct problem why = { 0 };

	ck_assert_msg(store_records_read(r->store, first, last, until_day, records, &why), "%s",
		why.detail);
	ck_assert_uint_eq(records->n_bonds, (size_t)(last - first + 1));
	for (size_t i = 0; i < records->n_bonds; i++) {
		ck_assert_int_eq(records->bonds[i].bond.id, first + (int64_t)i);
		expect_bond(records, &records->bonds[i]);
	}
}

START_TEST(each_reading_comes_with_its_own_bond_visit_and_calibration)
{
	for (unsigned seed = 1; seed <= 5; seed++) {
		struct railway r;
		struct records records = { 0 };

		make(&r, seed);
		for (int64_t first = FIRST_BOND; first < FIRST_BOND + BONDS; first++) {
			for (int64_t last = first; last < FIRST_BOND + BONDS; last++) {
				expect_range(&r, &records, first, last, RECORD_ALL);
			}
		}
		records_release(&records);
		railway_remove(&r);
	}
}
END_TEST

START_TEST(what_was_seen_after_a_day_is_left_out_and_what_is_kept_where_it_is_not_asked_for)
{
	struct railway r;
	struct records records = { 0 };

	make(&r, 77);
	expect_range(&r, &records, FIRST_BOND, BONDS, railway_day("2023-02-28"));
	records.without_states = true;
	expect_range(&r, &records, FIRST_BOND, BONDS, railway_day("2023-02-28"));
	expect_range(&r, &records, FIRST_BOND, BONDS, RECORD_ALL);
	records.without_states = false;
	expect_range(&r, &records, FIRST_BOND, BONDS, railway_day("2021-12-31"));
	ck_assert_uint_eq(records.n_visits, 0);
	ck_assert_uint_eq(records.n_readings, 0);
	expect_range(&r, &records, 2, 3, RECORD_ALL);
	records_release(&records);
	railway_remove(&r);
}
END_TEST

/* The percentage of the meter that measured the only reading of a bond, by its newest
 * calibration. */
static double percent_of(struct store *store, int64_t bond_id)
{
	struct records records = { 0 };
	struct problem why = { 0 };
	double percent;

	ck_assert_msg(store_records_read(store, bond_id, bond_id, RECORD_ALL, &records, &why), "%s",
		why.detail);
	ck_assert_uint_eq(records.n_readings, 1);
	percent = records.readings[0].meter.percent;
	records_release(&records);
	return percent;
}

static void expect_percent(struct store *store, int64_t bond_id, double percent)
{
	ck_assert_double_eq(percent_of(store, bond_id), percent);
}

/* One bond with one reading, taken with M-1 on 1 April 2024. */
static int64_t make_measured(struct railway *r)
{
	int64_t bond_id;

	railway_make(r, "2024-05-01");
	railway_begin(r, "2024-05-01");
	bond_id = railway_add_bond(r, "J1", "1+000");
	calibrate(r, "2022-06-01", "2023-06-01", 1);
	sent[0] = (struct sent_visit){ .bond_id = bond_id, .day = railway_day("2024-04-01"),
		.n_readings = 1 };
	send_visit(r, 0, "");
	railway_end(r);
	return bond_id;
}

START_TEST(a_calibration_that_is_rolled_back_counts_nowhere)
{
	struct railway r;
	int64_t bond_id = make_measured(&r);
	struct problem why = { 0 };

	railway_begin(&r, "2024-05-01");
	expect_percent(r.store, bond_id, 1);
	calibrate(&r, "2024-01-01", "2025-01-01", 2);
	expect_percent(r.store, bond_id, 2);
	railway_undo(&r);
	expect_percent(r.store, bond_id, 1);

	/* of two acts in one transaction only the first stays */
	railway_begin(&r, "2024-05-01");
	calibrate(&r, "2024-02-01", "2025-02-01", 3);
	ck_assert(store_save(r.store, &why));
	calibrate(&r, "2024-03-01", "2025-03-01", 4);
	expect_percent(r.store, bond_id, 4);
	ck_assert(store_save_undo(r.store, &why));
	expect_percent(r.store, bond_id, 3);
	railway_end(&r);
	expect_percent(r.store, bond_id, 3);
	railway_begin(&r, "2024-05-01");
	expect_percent(r.store, bond_id, 3);
	railway_end(&r);
	railway_remove(&r);
}
END_TEST

START_TEST(a_reader_sees_a_new_calibration_in_its_next_transaction)
{
	struct railway r;
	int64_t bond_id = make_measured(&r);
	struct store *reader = register_open(&r.file, STORE_READ);
	struct problem why = { 0 };

	ck_assert(store_read_begin(reader, &why));
	expect_percent(reader, bond_id, 1);
	railway_begin(&r, "2024-05-01");
	calibrate(&r, "2024-01-01", "2025-01-01", 2);
	railway_end(&r);
	expect_percent(reader, bond_id, 1);
	store_read_end(reader);
	for (int again = 0; again < 2; again++) {
		ck_assert(store_read_begin(reader, &why));
		expect_percent(reader, bond_id, 2);
		store_read_end(reader);
	}
	/* and without a transaction each time anew */
	expect_percent(reader, bond_id, 2);
	railway_begin(&r, "2024-05-01");
	calibrate(&r, "2024-02-01", "2025-02-01", 3);
	railway_end(&r);
	expect_percent(reader, bond_id, 3);
	store_close(reader);
	railway_remove(&r);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { each_reading_comes_with_its_own_bond_visit_and_calibration,
		a_calibration_that_is_rolled_back_counts_nowhere,
		a_reader_sees_a_new_calibration_in_its_next_transaction,
		what_was_seen_after_a_day_is_left_out_and_what_is_kept_where_it_is_not_asked_for, NULL };

	return case_run("records", tests);
}
