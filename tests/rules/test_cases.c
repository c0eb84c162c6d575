/*
 * The case files of tests/cases, asked of the native rules. The pages' tests ask them of
 * rules.wasm, in node and in a browser: the same expectations everywhere.
 *
 * A case is {"case", "rule", "in", "out"} and, where its rulebook differs from rulebook.json beside
 * it, "rulebook" with what differs. Of the answer only the members of "out" are looked at: null
 * must be absent, words and texts are equal to the letter, a number is near by half a unit of its
 * last digit.
 */
#include <check.h>
#include <glob.h>
#include <jansson.h>
#include <math.h>
#include <stdio.h>

#include "case.h"
#include "rules/tablet/tablet.h"

#define CASES TESTS_REFERENCE "/../cases/"

static json_t *load(const char *path)
{
	json_error_t error;
	json_t *got = json_load_file(path, JSON_REJECT_DUPLICATES, &error);

	ck_assert_msg(got != NULL, "%s: %s, line %d", path, error.text, error.line);
	return got;
}

static void decode(const char *label, const struct form *form, const json_t *from, void *to,
	struct form_memory *memory)
{
	char *text = json_dumps(from, JSON_REAL_PRECISION(15));
	struct problems why = { 0 };

	ck_assert(text != NULL);
	ck_assert_msg(form_from_json(form, text, __builtin_strlen(text), to, memory, &why), "%s: %s",
		label, why.item[0].detail);
	free(text);
}

/* Of the decimals that the expectation is written with. */
static bool is_near(double expected, double actual)
{
	double unit = 1;

	for (int i = 0; i < 12 && fabs(expected / unit - rint(expected / unit)) > 1e-6; i++) {
		unit /= 10;
	}
	return fabs(actual - expected) <= unit / 2 * (1 + 1e-6);
}

static void compare(const char *label, const char *name, const json_t *expected,
	const json_t *actual);

static void compare_members(const char *label, json_t *expected, const json_t *actual)
{
	const char *name;
	json_t *value;

	json_object_foreach(expected, name, value) {
		compare(label, name, value, json_object_get(actual, name));
	}
}

static void compare(const char *label, const char *name, const json_t *expected,
	const json_t *actual)
{
	char *said = actual == NULL ? NULL : json_dumps(actual, JSON_ENCODE_ANY);
	bool same = json_is_null(expected) ? actual == NULL :
		json_is_integer(expected) && json_is_integer(actual) ? json_equal(expected, actual) :
		json_is_number(expected) ? json_is_number(actual) &&
			is_near(json_number_value(expected), json_number_value(actual)) :
		json_is_object(expected) || json_is_array(expected) ?
			json_typeof(expected) == (actual == NULL ? JSON_NULL : json_typeof(actual)) :
		actual != NULL && json_equal(expected, actual);

	ck_assert_msg(same, "%s: %s is %s", label, name, said == NULL ? "absent" : said);
	free(said);
	if (json_is_object(expected)) {
		compare_members(label, (json_t *)expected, actual);
	}
	if (json_is_array(expected)) {
		ck_assert_msg(json_array_size(expected) == json_array_size(actual), "%s: %s has %zu items",
			label, name, json_array_size(actual));
		for (size_t i = 0; i < json_array_size(expected); i++) {
			compare(label, name, json_array_get(expected, i), json_array_get(actual, i));
		}
	}
}

static void run(const json_t *one, const json_t *usual)
{
	static _Alignas(max_align_t) char in[TABLET_STRUCT_SIZE], out[TABLET_STRUCT_SIZE];
	const char *label = json_string_value(json_object_get(one, "case"));
	const struct tablet_rule *rule = tablet_find(json_string_value(json_object_get(one, "rule")));
	json_t *own = json_deep_copy(usual), *answer;
	struct form_memory memory = { 0 };
	struct rulebook rulebook;
	struct text text = { 0 };

	ck_assert_msg(rule != NULL, "%s: its rule is none of the tablet's", label);
	ck_assert_uint_le(rule->in->size, sizeof in);
	ck_assert_uint_le(rule->out->size, sizeof out);
	if (json_object_get(one, "rulebook") != NULL) {
		json_object_update_recursive(own, json_object_get(one, "rulebook"));
	}
	decode(label, &rulebook_form, own, &rulebook, &memory);
	decode(label, rule->in, json_object_get(one, "in"), in, &memory);
	tablet_ask(rule, &rulebook, in, out);
	form_write(rule->out, out, &text);
	answer = json_loads(text.data, JSON_REJECT_DUPLICATES, NULL);
	ck_assert_msg(answer != NULL, "%s: %s is no JSON", label, text.data);
	compare_members(label, json_object_get(one, "out"), answer);
	json_decref(answer);
	json_decref(own);
	text_release(&text);
	form_memory_release(&memory);
}

START_TEST(answers_every_case)
{
	json_t *usual = load(CASES "rulebook.json");
	size_t n = 0, asked[16] = { 0 };
	glob_t files;

	ck_assert_int_eq(glob(CASES "*.json", 0, NULL, &files), 0);
	for (size_t i = 0; i < files.gl_pathc; i++) {
		json_t *all = load(files.gl_pathv[i]), *one;
		size_t at;

		json_array_foreach(all, at, one) {
			run(one, usual);
			for (size_t r = 0; r < tablet_rules_count; r++) {
				asked[r] += tablet_rules[r] ==
					tablet_find(json_string_value(json_object_get(one, "rule")));
			}
			n++;
		}
		json_decref(all);
	}
	ck_assert_uint_gt(n, 0);
	for (size_t r = 0; r < tablet_rules_count; r++) {
		ck_assert_msg(asked[r] > 0, "no case asks for %s", tablet_rules[r]->name);
	}
	globfree(&files);
	json_decref(usual);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { answers_every_case, NULL };

	return case_run("cases", tests);
}
