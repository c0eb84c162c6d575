/*
 * A file that says something else of known bonds shows what would change, field by field, and takes
 * what is chosen: by field and by row, as a further version of the bond.
 */
#include "case.h"
#include "derived/rebuild.h"
#include "service/importing.h"
#include "service/record/bond_differ.h"
#include "store/record/bond.h"
#include "store/record/line.h"

#define AS_CSV "'separator':'comma','encoding':'utf_8','decimal':'point','day_order':'ymd',"
#define COLUMNS "'columns':[{'field':'line','constant':'VAL'},{'field':'label','column':'label'}," \
	"{'field':'kind','column':'kind'},{'field':'a_chainage','column':'at'}," \
	"{'field':'a_track','constant':'Up'},{'field':'a_rail','constant':'left'}," \
	"{'field':'criticality','column':'crit'},{'field':'length_m','column':'length','unit':'m'}]"

static const char first[] = "label,kind,at,crit,length\nJ1,rail_joint,1+200,normal,0.5\n"
	"J2,rail_joint,1+300,normal,0.6\nJ3,rail_joint,1+400,normal,0.7\n";
/* J1 lies elsewhere, J2 is critical and longer, J3 is as it is and J4 is new. */
static const char second[] = "label,kind,at,crit,length\nJ1,rail_joint,1+250,normal,0.5\n"
	"J2,rail_joint,1+300,high,0.8\nJ3,rail_joint,1+400,normal,0.7\nJ4,rail_joint,1+500,safety,0.9\n";

static void take(struct railway *r, struct importing *i, const char *choice, const char *text,
	bool dry_run)
{
	char settings[1200];

	snprintf(settings, sizeof settings, "{" AS_CSV "%s" COLUMNS "}", choice);
	importing_settings(i, settings);
	railway_must(importing(r, i, "bonds", text, dry_run), &i->why);
}

static struct bond bond_of(struct railway *r, const char *label)
{
	struct problem why = { 0 };
	struct bond bond = { 0 };
	int64_t line = 0, id = 0;

	ck_assert(store_line_find(r->store, "VAL", &line, &why) &&
		store_bond_find(r->store, line, label, &id, &why));
	ck_assert(id == 0 || store_bond_get(r->store, id, &bond, &why));
	return bond;
}

static void make(struct railway *r)
{
	struct importing i;

	railway_make(r, "2024-05-01");
	take(r, &i, "", first, false);
	ck_assert_uint_eq(i.result.added, 3);
	importing_release(&i);
}

static void difference(const struct importing *i, size_t n, size_t row, const char *what,
	const char *field, const char *known, const char *said, bool taken)
{
	const struct import_difference *d;

	ck_assert_uint_lt(n, i->result.n_differences);
	d = &i->result.differences[n];
	ck_assert_msg(d->row == row && strcmp(d->what, what) == 0 && strcmp(d->field, field) == 0 &&
		strcmp(d->known, known) == 0 && strcmp(d->said, said) == 0 && d->taken == taken,
		"row %zu, %s, %s: %s, %s, %d", d->row, d->what, d->field, d->known, d->said, d->taken);
}

START_TEST(without_a_choice_such_rows_are_wrong_and_what_differs_is_told_field_by_field)
{
	struct railway r;
	struct importing i;

	make(&r);
	take(&r, &i, "", second, false);
	ck_assert_uint_eq(i.result.wrong, 2);
	importing_wrong(&i, 0, 2, "label", "J1", "has a bond J1 already, and the chainage of it differs");
	ck_assert_uint_eq(i.result.n_differences, 3);
	difference(&i, 0, 2, "J1", "a_chainage", "1+200", "1+250", false);
	difference(&i, 1, 3, "J2", "criticality", "normal", "high", false);
	difference(&i, 2, 3, "J2", "length_m", "0.6 m", "0.8 m", false);
	ck_assert_uint_eq(i.result.n_differing, 3);
	ck_assert_uint_eq(i.result.differing[0].count, 1);
	ck_assert_int_eq(bond_of(&r, "J1").end[END_A].distance_mm, 1200000);
	ck_assert_int_eq(bond_of(&r, "J4").id, 0);                  /* as a whole or not at all */
	importing_release(&i);
	railway_remove(&r);
}
END_TEST

START_TEST(what_is_known_stays_where_that_is_chosen_and_the_new_bonds_come_in)
{
	struct railway r;
	struct importing i;

	make(&r);
	take(&r, &i, "'known':'stays',", second, false);
	ck_assert_uint_eq(i.result.added, 1);
	ck_assert_uint_eq(i.result.already, 3);
	ck_assert_uint_eq(i.result.changed, 0);
	ck_assert_uint_eq(i.result.n_differences, 3);
	ck_assert_int_eq(bond_of(&r, "J2").version, 1);
	ck_assert_int_ne(bond_of(&r, "J4").id, 0);
	importing_release(&i);
	railway_remove(&r);
}
END_TEST

START_TEST(the_chosen_fields_are_taken_as_a_further_version_and_no_others)
{
	static struct check_result checked;
	struct railway r;
	struct importing i;
	struct problems why = { 0 };
	struct bond bond;

	make(&r);
	take(&r, &i, "'known':'takes','take':['length_m','criticality'],", second, true);
	ck_assert_uint_eq(i.result.changed, 1);
	ck_assert_int_eq(bond_of(&r, "J2").version, 1);              /* a trial changes nothing */
	importing_release(&i);
	take(&r, &i, "'known':'takes','take':['length_m'],", second, false);
	difference(&i, 1, 3, "J2", "criticality", "normal", "high", false);
	difference(&i, 2, 3, "J2", "length_m", "0.6 m", "0.8 m", true);
	ck_assert_uint_eq(i.result.changed, 1);
	bond = bond_of(&r, "J2");
	ck_assert_int_eq(bond.version, 2);
	ck_assert_double_eq(bond.length_m, 0.8);
	ck_assert_int_eq(bond.criticality, CRITICALITY_NORMAL);
	ck_assert_str_eq(bond.reason, "As file.csv has it.");
	ck_assert_int_eq(bond_of(&r, "J1").version, 1);
	importing_release(&i);
	/* again: that one is known now */
	take(&r, &i, "'known':'takes','take':['length_m'],", second, false);
	ck_assert_uint_eq(i.result.changed, 0);
	ck_assert_uint_eq(i.result.n_differences, 2);
	importing_release(&i);
	railway_begin(&r, "2024-05-02");
	railway_must(check_all(&r.act, &checked, &why), &why);
	ck_assert_msg(checked.differences == 0, "%s", checked.shown[0]);
	railway_end(&r);
	railway_remove(&r);
}
END_TEST

START_TEST(of_chosen_rows_alone_and_by_the_rules_of_a_change_by_hand)
{
	static const char wrong[] = "label,kind,at,crit,length\nJ1,rail_joint,1+250,normal,0.5\n"
		"J2,track_cross,1+300,normal,0.6\n";
	struct railway r;
	struct importing i;

	make(&r);
	take(&r, &i, "'known':'takes','take':['a_chainage','length_m','criticality'],"
		"'take_rows':[2],", second, false);
	ck_assert_uint_eq(i.result.changed, 1);
	ck_assert_int_eq(bond_of(&r, "J1").end[END_A].distance_mm, 1250000);
	ck_assert_str_eq(bond_of(&r, "J1").place_written, "1+250");
	ck_assert_int_eq(bond_of(&r, "J1").end[END_B].distance_mm, 1250000);   /* it lay there too */
	ck_assert_int_eq(bond_of(&r, "J2").version, 1);
	importing_release(&i);
	/* a cross bond reaches another track, and the file names none */
	take(&r, &i, "'known':'takes','take':['kind'],", wrong, false);
	ck_assert_uint_eq(i.result.wrong, 1);
	ck_assert_msg(strstr(i.result.wrongs[0].reason, "reaches another track") != NULL, "%s",
		i.result.wrongs[0].reason);
	ck_assert_int_eq(bond_of(&r, "J2").version, 1);
	importing_release(&i);
	railway_remove(&r);
}
END_TEST

/* What the file says is right as a whole, and half of it is not. */
START_TEST(half_of_what_belongs_together_is_refused)
{
	static const char gone[] = "label,at,status,gone\nJ1,1+200,removed,2024-03-01\n";
	struct railway r;
	struct importing i;
	char settings[1200];

	make(&r);
	for (int whole = 0; whole < 2; whole++) {
		snprintf(settings, sizeof settings, "{" AS_CSV "'known':'takes','take':[%s'removed_day'],"
			"'columns':[{'field':'line','constant':'VAL'},{'field':'label','column':'label'},"
			"{'field':'kind','constant':'rail_joint'},{'field':'a_chainage','column':'at'},"
			"{'field':'status','column':'status'},{'field':'removed_day','column':'gone'}]}",
			whole ? "'status'," : "");
		importing_settings(&i, settings);
		railway_must(importing(&r, &i, "bonds", gone, false), &i.why);
		ck_assert_uint_eq(i.result.wrong, whole ? 0 : 1);
		ck_assert_uint_eq(i.result.changed, whole ? 1 : 0);
		ck_assert_int_eq(i.result.import_id != 0, whole);        /* on record: from which file */
		if (!whole) {
			ck_assert_ptr_nonnull(strstr(i.result.wrongs[0].reason, "no day of removal"));
		}
		importing_release(&i);
	}
	ck_assert_int_eq(bond_of(&r, "J1").status, BOND_REMOVED);
	ck_assert_int_eq(bond_of(&r, "J1").end[END_A].rail, RAIL_LEFT);      /* nobody said otherwise */
	railway_remove(&r);
}
END_TEST

START_TEST(a_choice_that_nothing_can_be_chosen_by_is_refused)
{
	static const struct { const char *kind, *choice, *field, *part; } cases[] = {
		{ "bonds", "'known':'takes','take':['note'],", "take", "Note is to be taken, but no column" },
		{ "bonds", "'known':'takes','take':['lenght_m'],", "take", "do you mean length_m" },
		{ "bonds", "'take':['length_m'],", "take", "are chosen where known is" },
		{ "bonds", "'known':'stays','take_rows':[2],", "take", "are chosen where known is" },
	};
	struct railway r;
	struct importing i;
	char settings[1200];

	make(&r);
	for (size_t n = 0; n < sizeof cases / sizeof cases[0]; n++) {
		snprintf(settings, sizeof settings, "{" AS_CSV "%s" COLUMNS "}", cases[n].choice);
		importing_settings(&i, settings);
		ck_assert(!importing(&r, &i, cases[n].kind, second, true));
		ck_assert_str_eq(i.why.item[0].field, cases[n].field);
		ck_assert_msg(strstr(i.why.item[0].detail, cases[n].part) != NULL, "%s",
			i.why.item[0].detail);
		importing_release(&i);
	}
	railway_remove(&r);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = {
		without_a_choice_such_rows_are_wrong_and_what_differs_is_told_field_by_field,
		what_is_known_stays_where_that_is_chosen_and_the_new_bonds_come_in,
		the_chosen_fields_are_taken_as_a_further_version_and_no_others,
		of_chosen_rows_alone_and_by_the_rules_of_a_change_by_hand,
		half_of_what_belongs_together_is_refused,
		a_choice_that_nothing_can_be_chosen_by_is_refused, NULL };

	return case_run("import_take", tests);
}
