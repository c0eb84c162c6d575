#include <stdio.h>
#include <string.h>

#include "base/clock.h"
#include "base/day.h"
#include "base/zone.h"
#include "case.h"

/* Offsets: the zone database, as "date" of the system tells them; from memory +2 and +3 h in
 * Vilnius, +13:45 in the summer of Chatham, -5 and -4 in New York, -11 in Pago Pago. */
static const struct { const char *zone, *instant; const char *day; } days[] = {
	{ "UTC", "2026-01-14T23:30:00.000Z", "2026-01-14" },
	{ "Europe/Vilnius", "2026-01-14T21:59:59.999Z", "2026-01-14" },
	{ "Europe/Vilnius", "2026-01-14T22:00:00.000Z", "2026-01-15" },
	{ "Europe/Vilnius", "2026-01-14T23:30:00.000Z", "2026-01-15" },
	{ "Europe/Vilnius", "2026-07-14T20:59:59.999Z", "2026-07-14" },
	{ "Europe/Vilnius", "2026-07-14T21:00:00.000Z", "2026-07-15" },
	{ "Pacific/Chatham", "2026-01-14T10:14:59.999Z", "2026-01-14" },
	{ "Pacific/Chatham", "2026-01-14T10:15:00.000Z", "2026-01-15" },
	{ "America/New_York", "2026-01-15T04:59:59.999Z", "2026-01-14" },
	{ "America/New_York", "2026-01-15T05:00:00.000Z", "2026-01-15" },
	{ "Pacific/Pago_Pago", "2026-01-15T10:59:59.999Z", "2026-01-14" },
	{ "UTC", "1969-12-31T23:59:59.999Z", "1969-12-31" },
	{ "UTC", "1970-01-01T00:00:00.000Z", "1970-01-01" },
};

static int64_t read_instant(const char *text)
{
	int32_t day = 0;
	int hour, minute, second, ms;

	ck_assert(day_read(text, 10, &day));
	ck_assert_int_eq(sscanf(text + 11, "%d:%d:%d.%dZ", &hour, &minute, &second, &ms), 4);
	return ((int64_t)day * 86400 + hour * 3600 + minute * 60 + second) * 1000 + ms;
}

START_TEST(an_instant_is_on_the_day_of_the_zone)
{
	for (size_t i = 0; i < sizeof days / sizeof days[0]; i++) {
		struct problem why = { 0 };
		char day[DAY_TEXT_SIZE];

		ck_assert_msg(zone_use(days[i].zone, &why), "%s", why.detail);
		day_write(clock_day_of(read_instant(days[i].instant)), day);
		ck_assert_msg(strcmp(day, days[i].day) == 0, "%s in %s: %s", days[i].instant, days[i].zone,
			day);
	}
}
END_TEST

static const char *const refused[] = { "", "Vilnius", "Europe/vilnius", "Europe", "Europe/",
	"/usr/share/zoneinfo/Europe/Vilnius", "/Europe/Vilnius", "../zoneinfo/UTC", "Europe/../UTC",
	"Europe//Vilnius",
	":UTC", "UTC ", "UTC-2,M3.5.0", "<+02>-2", "zone.tab", "tzdata.zi", "right/Europe/Vilnius",
	"localtime", "posixrules", "Europe/Vilnius\n",
	"Europe/VilniusVilniusVilniusVilniusVilniusVilniusVilniusVilniusVilnius" };

START_TEST(refuses_what_has_no_file_in_the_zone_database)
{
	struct problem why = { 0 };

	ck_assert(zone_check("Europe/Vilnius", "zone", &why));
	ck_assert(zone_check("Etc/GMT-14", "zone", &why));
	for (size_t i = 0; i < sizeof refused / sizeof refused[0]; i++) {
		why = (struct problem){ 0 };
		ck_assert_msg(!zone_check(refused[i], "zone", &why), "%s", refused[i]);
		ck_assert_int_eq(why.code, PROBLEM_VALUE);
		ck_assert_str_eq(why.field, "zone");
		ck_assert_ptr_nonnull(strstr(why.detail, "like Europe/Vilnius"));
	}
}
END_TEST

START_TEST(a_refused_zone_changes_nothing)
{
	struct problem why = { 0 };
	int64_t late = read_instant("2026-01-14T23:30:00.000Z");

	ck_assert(zone_use("Europe/Vilnius", &why));
	ck_assert(!zone_use("Europe/Nowhere", &why));
	ck_assert_int_eq(clock_day_of(late), clock_day_of(late + 1800000));
}
END_TEST

START_TEST(without_a_name_the_machines_own_zone_holds)
{
	struct problem why = { 0 };
	char machine[ZONE_NAME_SIZE];
	int64_t noon = read_instant("2026-01-14T12:00:00.000Z");
	int32_t day;

	setenv("TZ", "Pacific/Kiritimati", 1);   /* 14 hours ahead: noon is tomorrow */
	ck_assert(zone_use("", &why));
	day = clock_day_of(noon);
	ck_assert(zone_use("UTC", &why));
	ck_assert_int_eq(clock_day_of(noon), day - 1);
	zone_machine(machine);
	ck_assert_str_eq(machine, "Pacific/Kiritimati");
	ck_assert(zone_use("", &why));
	ck_assert_int_eq(clock_day_of(noon), day);
}
END_TEST

static const struct { const char *says, *name; } machines[] = {
	{ ":Europe/Vilnius", "Europe/Vilnius" }, { "/usr/share/zoneinfo/Asia/Tokyo", "Asia/Tokyo" },
	{ "CET-1CEST,M3.5.0,M10.5.0/3", "" }, { "Europe/Nowhere", "" },
};

START_TEST(proposes_no_name_where_the_machine_has_none)
{
	char machine[ZONE_NAME_SIZE];

	setenv("TZ", machines[_i].says, 1);
	zone_machine(machine);
	ck_assert_str_eq(machine, machines[_i].name);
}
END_TEST

int main(void)
{
	Suite *suite = suite_create("zone");
	TCase *tcase = tcase_create("zone");
	SRunner *runner;
	int failed;

	tcase_add_test(tcase, an_instant_is_on_the_day_of_the_zone);
	tcase_add_test(tcase, refuses_what_has_no_file_in_the_zone_database);
	tcase_add_test(tcase, a_refused_zone_changes_nothing);
	tcase_add_test(tcase, without_a_name_the_machines_own_zone_holds);
	/* each in a process of its own: what it was started with is remembered */
	tcase_add_loop_test(tcase, proposes_no_name_where_the_machine_has_none, 0,
		sizeof machines / sizeof machines[0]);
	suite_add_tcase(suite, tcase);
	runner = srunner_create(suite);
	srunner_run_all(runner, CK_ENV);
	failed = srunner_ntests_failed(runner);
	srunner_free(runner);
	return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
