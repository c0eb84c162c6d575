/* How many bytes of pictures a day has room for. */
#include <string.h>

#include "api/photo_room.h"
#include "case.h"

enum { BO = 1, EVA = 2 };
static const int64_t MEGABYTE = 1000000, DAY_MS = 86400000;

static bool take(struct photo_room *room, int64_t person_id, int64_t megabytes, int64_t now_ms)
{
	struct problem why = { 0 };
	bool ok = photo_room_take(room, person_id, megabytes * MEGABYTE, now_ms, &why);

	ck_assert(ok == (why.code == PROBLEM_NONE));
	ck_assert(ok || (why.code == PROBLEM_TOO_MANY && strstr(why.detail, "tomorrow") != NULL));
	return ok;
}

START_TEST(one_person_has_400_MB_a_day_and_another_as_many)
{
	struct photo_room *room = photo_room_new();

	ck_assert(take(room, BO, 399, 5));
	ck_assert(!take(room, BO, 2, 6));
	ck_assert(take(room, BO, 1, 7));
	ck_assert(!take(room, BO, 1, DAY_MS - 1));
	ck_assert(take(room, EVA, 400, 8));
	ck_assert(take(room, BO, 400, DAY_MS));
	photo_room_free(room);
}
END_TEST

START_TEST(all_together_have_20_GB_a_day)
{
	struct photo_room *room = photo_room_new();

	for (int64_t person = 1; person <= 50; person++) {
		ck_assert(take(room, person, 400, 5));
	}
	ck_assert(!take(room, 51, 1, 6));
	ck_assert(take(room, 51, 1, DAY_MS));
	photo_room_free(room);
}
END_TEST

START_TEST(more_people_than_are_counted_are_not_let_in)
{
	struct photo_room *room = photo_room_new();

	for (int64_t person = 1; person <= 1024; person++) {
		ck_assert(take(room, person, 1, 5));
	}
	ck_assert(!take(room, 1025, 1, 5));
	ck_assert(take(room, 1024, 1, 5));
	photo_room_free(room);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { one_person_has_400_MB_a_day_and_another_as_many,
		all_together_have_20_GB_a_day, more_people_than_are_counted_are_not_let_in, NULL };

	return case_run("photo_room", tests);
}
