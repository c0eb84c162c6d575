/* A file tried in parts comes out as it does in one. */
#include <stdlib.h>

#include "case.h"
#include "service/import/trial.h"
#include "service/importing.h"

#define TODAY "2024-05-01"
#define AS_CSV "'separator':'comma','encoding':'utf_8','decimal':'point','day_order':'ymd',"

static const char line_settings[] = "{" AS_CSV "'columns':[{'field':'code','column':'code'},"
	"{'field':'name','column':'code'},{'field':'notation','constant':'km_m'},"
	"{'field':'electrification','constant':'ac'}]}";
static const char bond_settings[] = "{" AS_CSV "'known':'stays','columns':["
	"{'field':'line','column':'line'},{'field':'label','column':'label'},"
	"{'field':'kind','constant':'structure'},{'field':'a_chainage','column':'at'}]}";
static const char visit_settings[] = "{" AS_CSV "'columns':["
	"{'field':'line','column':'line'},{'field':'bond','column':'bond'},"
	"{'field':'day','column':'day'},{'field':'quantity','column':'quantity'},"
	"{'field':'method','constant':'four_wire'},{'field':'seen_a','constant':'good'},"
	"{'field':'shown_uohm','column':'shown','unit':'uohm'},"
	"{'field':'instrument','constant':'M-1'}]}";
static const char failure_settings[] = "{" AS_CSV "'columns':["
	"{'field':'line','column':'line'},{'field':'chainage','column':'at'},"
	"{'field':'found_day','column':'day'},{'field':'mode','constant':'cable_broken'},"
	"{'field':'within_m','constant':'5'}]}";

static const char lines[] = "code\nL1\nL2\nL3\nL4\n";
/* Wrong: a place that is none, a line that is none. A label stands twice with two places; one
 * bond is there, and one otherwise. */
static const char bonds[] = "line,label,at\nL1,A,1+000\nL2,A,1+000\nL3,A,1+000\nVAL,J1,1+200\n"
	"VAL,J2,1+350\nL1,B,nowhere\nL4,A,2+000\nL1,A,1+001\nL9,A,1+000\nL3,A,1+000\nL2,C,3+000\n";
/* Asked: J1's second reading is more than three times the limit; far below: J3's. J2's visit has
 * two rows, of which the second contradicts the first; one day is to come, one is none. */
static const char visits[] = "line,bond,day,quantity,shown\nVAL,J1,2023-05-01,contact_a,9\n"
	"VAL,J2,2023-05-01,contact_a,12\nVAL,J3,2023-05-02,contact_a,0.01\n"
	"VAL,J2,2023-05-01,contact_a,no\nVAL,J1,2024-02-01,contact_a,900\n"
	"VAL,J3,2029-01-01,contact_a,9\n"
	"VAL,J9,2023-05-01,contact_a,9\nVAL,J1,today,contact_a,9\nVAL,J2,2023-07-01,contact_b,9\n"
	"VAL,J2,2023-07-01,contact_b,9\n";
/* Near J1; one place of its own twice; another on another line; one without a day. */
static const char failures[] = "line,at,day\nVAL,1+202,2023-06-01\nVAL,5+000,2023-06-01\n"
	"L2,5+000,2023-06-01\nVAL,5+003,2023-07-01\nL3,7+000,\nVAL,5+000,2023-06-01\n";

static void make(struct railway *r)
{
	struct importing i;

	railway_make(r, "2024-01-01");
	railway_begin(r, TODAY);
	railway_calibrate(r, 1, 0.5, "2020-01-01", "2026-01-01");
	railway_add_bond(r, "J1", "1+200");
	railway_add_bond(r, "J2", "1+300");
	railway_add_bond(r, "J3", "1+400");
	railway_end(r);
	importing_settings(&i, line_settings);
	importing_expect(r, &i, "lines", lines, 4, 0, 0, 0);
	importing_release(&i);
}

struct trying {
	struct trial_views views;
	struct railway *r;
	int begun;
	int64_t comes_before;           /* the part before which another import comes; 0: none does */
};

static struct act *begin(struct trial_views *views, struct problems *why)
{
	struct trying *t = (struct trying *)views;

	(void)why;
	if (++t->begun == t->comes_before) {
		struct importing i;

		importing_settings(&i, line_settings);
		importing_expect(t->r, &i, "lines", "code\nL7\n", 1, 0, 0, 0);
		importing_release(&i);
	}
	railway_begin(t->r, TODAY);
	return &t->r->act;
}

static void end(struct trial_views *views)
{
	railway_undo(((struct trying *)views)->r);
}

static int by_column(const void *a, const void *b)
{
	return strcmp(((const struct import_reason *)a)->column,
		((const struct import_reason *)b)->column);
}

/* The result as it is told. (The example of a reason is the first that was read, and so stand those
 * that are as many.) */
static char *told(const struct import_request *request, struct import_result *result)
{
	struct text to = { 0 };

	for (size_t i = 0; i < result->n_reasons; i++) {
		result->reasons[i].example[0] = '\0';
	}
	qsort(result->reasons, result->n_reasons, sizeof result->reasons[0], by_column);
	import_result_write(request, result, &to);
	ck_assert(!to.failed);
	return to.data;
}

static void expect_same(const char *kind, const char *settings, const char *text, size_t wrong,
	size_t findings, int parts)
{
	struct railway r;
	struct importing i;
	struct import_result whole;
	struct import_request request = { .kind = import_kind_find(kind), .file_name = "file.csv",
		.bytes = text, .len = strlen(text), .dry_run = true };
	struct trying t = { .views = { begin, end }, .r = &r };
	char *got, *wanted;

	make(&r);
	importing_settings(&i, settings);
	request.settings = &i.settings;
	railway_must(importing(&r, &i, kind, text, true), &i.why);
	whole = i.result;
	ck_assert_uint_eq(whole.wrong, wrong);
	ck_assert_uint_eq(whole.n_findings, findings);
	wanted = told(&request, &whole);
	i.result = (struct import_result){ 0 };
	railway_must(import_try(&request, &t.views, 2, &i.result, &i.why), &i.why);
	got = told(&request, &i.result);
	ck_assert_str_eq(got, wanted);
	ck_assert_uint_eq(i.result.bonds_made, whole.bonds_made);
	ck_assert_int_eq(i.result.number, whole.number);
	ck_assert_int_eq(t.begun, parts);
	free(got);
	free(wanted);
	import_result_release(&whole);
	importing_release(&i);
	importing_content(&r);
	railway_remove(&r);
}

START_TEST(in_parts_it_comes_out_as_in_one)
{
	expect_same("lines", line_settings, "code\nL1\nL5\n", 0, 0, 1);
	expect_same("bonds", bond_settings, bonds, 2, 0, 7);
	expect_same("inspections", visit_settings, visits, 5, 4, 7);
	expect_same("failures", failure_settings, failures, 1, 0, 5);
}
END_TEST

/* What the parts before it found may be known by now. */
START_TEST(one_that_comes_between_two_parts_ends_it)
{
	struct railway r;
	struct importing i;
	struct import_request request = { .kind = import_kind_find("bonds"), .file_name = "file.csv",
		.bytes = bonds, .len = strlen(bonds), .dry_run = true };
	struct trying t = { .views = { begin, end }, .r = &r, .comes_before = 3 };

	make(&r);
	importing_settings(&i, bond_settings);
	request.settings = &i.settings;
	ck_assert(!import_try(&request, &t.views, 2, &i.result, &i.why));
	ck_assert_int_eq(problems_code(&i.why), PROBLEM_BUSY);
	ck_assert_msg(strstr(i.why.item[0].detail, "Import 2 came in while") != NULL, "%s",
		i.why.item[0].detail);
	ck_assert_int_eq(i.result.waits_for, 2);
	ck_assert_int_eq(t.begun, 3);
	import_result_release(&i.result);
	importing_release(&i);
	railway_remove(&r);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { in_parts_it_comes_out_as_in_one,
		one_that_comes_between_two_parts_ends_it, NULL };

	return case_run("import_trial", tests);
}
