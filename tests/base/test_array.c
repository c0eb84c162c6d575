/* Arrays that grow: what is in them stays, and one that cannot grow is as it was. */
#include <stdint.h>
#include <stdlib.h>

#include "base/array.h"
#include "case.h"

START_TEST(one_after_another_all_stay_in_their_order)
{
	int64_t *all = NULL;
	size_t count = 0;
	struct problem why = { 0 };

	for (int64_t i = 0; i < 1000; i++) {
		ck_assert(array_grow((void **)&all, count, sizeof *all, &why));
		all[count++] = i;
	}
	for (int64_t i = 0; i < 1000; i++) {
		ck_assert_int_eq(all[i], i);
	}
	free(all);
}
END_TEST

START_TEST(arrays_side_by_side_have_room_for_all_that_is_wanted)
{
	int64_t *wide = NULL;
	char *narrow = NULL;
	size_t room = 0;
	const struct array arrays[] = { { (void **)&wide, sizeof *wide },
		{ (void **)&narrow, sizeof *narrow } };
	struct problem why = { 0 };

	ck_assert(arrays_room(arrays, 2, &room, 0, &why));
	ck_assert_uint_eq(room, 0);
	for (size_t wanted = 1; wanted < 5000; wanted = wanted * 3 + 1) {
		ck_assert(arrays_room(arrays, 2, &room, wanted, &why));
		ck_assert_uint_ge(room, wanted);
		wide[wanted - 1] = (int64_t)wanted;
		narrow[wanted - 1] = 'x';
	}
	ck_assert_int_eq(wide[0], 1);
	ck_assert_int_eq(narrow[3], 'x');
	free(wide);
	free(narrow);
}
END_TEST

/* (more than there are addresses: twice eight bytes of it is a small number again) */
START_TEST(what_cannot_grow_is_as_it_was_and_says_why)
{
	int64_t *all = NULL, *before;
	size_t room = 0;
	struct problem why = { 0 };

	ck_assert(array_room((void **)&all, &room, 3, sizeof *all, &why));
	before = all;
	all[2] = 7;
	ck_assert(!array_room((void **)&all, &room, SIZE_MAX / 8 + 2, sizeof *all, &why));
	ck_assert_int_eq(why.code, PROBLEM_NO_MEMORY);
	ck_assert(!array_room((void **)&all, &room, SIZE_MAX, sizeof *all, NULL));
	ck_assert(!array_grow((void **)&all, SIZE_MAX / 2 + 1, sizeof *all, NULL));
	ck_assert_ptr_eq(all, before);
	ck_assert_int_eq(all[2], 7);
	ck_assert_uint_eq(room, 16);
	free(all);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { one_after_another_all_stay_in_their_order,
		arrays_side_by_side_have_room_for_all_that_is_wanted,
		what_cannot_grow_is_as_it_was_and_says_why, NULL };

	return case_run("array", tests);
}
