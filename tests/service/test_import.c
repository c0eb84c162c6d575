/* Lines, tracks, maps and bonds from files: mapped, checked, all or nothing, once. */
#include "case.h"
#include "derived/rebuild.h"
#include "rules/place/chainage.h"
#include "service/importing.h"
#include "store/record/book.h"

#define AS_CSV "'separator':'semicolon','encoding':'utf_8','decimal':'comma','day_order':'dmy',"

static const char bond_settings[] = "{" AS_CSV "'columns':["
	"{'field':'line','constant':'VAL'},{'field':'label','template':'{Bez}-{Nr}'},"
	"{'field':'kind','column':'Art'},{'field':'a_chainage','column':'km'},"
	"{'field':'a_track','column':'Gleis'},{'field':'a_rail','column':'Schiene'},"
	"{'field':'installed_day','column':'seit'},{'field':'length_m','column':'L','unit':'m'}],'first_row':'headings','left_out':['Nr 2','Nr 3'],"
	"'words':[{'field':'kind','from':'SV','to':'rail_joint'},"
	"{'field':'a_rail','from':'L','to':'left'},{'field':'a_rail','from':'R','to':'right'},"
	"{'field':'a_rail','from':'*'}],"
	"'only':[{'column':'Bez','begins_with':'J'}]}";

#define HEADING "Bez;Nr;Art;km;Gleis;Schiene;seit;L\n"

static const char bonds[] = HEADING
	"J;1;SV;1+200;Up;L;31.03.2020;0,85\n"
	"J;2;SV;1+300;Up;R;01.04.2020;\n"
	"\n"
	"X;3;??;;;;;\n"
	"J;4;SV;1+400;Down;?;;1\n";

START_TEST(takes_bonds_by_columns_templates_constants_and_words)
{
	struct railway r;
	struct importing i;
	struct problem why = { 0 };
	struct bond bond;
	struct check_result checked;
	int64_t line, id;

	railway_make(&r, "2024-01-01");
	importing_settings(&i, bond_settings);
	importing_expect(&r, &i, "bonds", bonds, 3, 0, 1, 0);
	ck_assert(store_line_find(r.store, "VAL", &line, &why));
	ck_assert(store_bond_find(r.store, line, "J-1", &id, &why) && id != 0);
	ck_assert(store_bond_get(r.store, id, &bond, &why));
	ck_assert_int_eq(bond.kind, BOND_RAIL_JOINT);
	ck_assert_int_eq(bond.end[END_A].distance_mm, 1200000);
	ck_assert_int_eq(bond.end[END_A].rail, RAIL_LEFT);
	ck_assert_int_eq(bond.installed_day, railway_day("2020-03-31"));
	ck_assert(bond.length_m == 0.85);
	ck_assert(store_bond_find(r.store, line, "J-4", &id, &why) && id != 0);
	ck_assert(store_bond_get(r.store, id, &bond, &why));
	ck_assert_int_eq(bond.end[END_A].rail, -1);
	railway_begin(&r, "2024-06-01");
	railway_must(check_all(&r.act, &checked, &i.why), &i.why);
	ck_assert_msg(checked.differences == 0, "%s", checked.shown[0]);
	railway_undo(&r);
	importing_release(&i);
	railway_remove(&r);
}
END_TEST

START_TEST(the_same_file_twice_adds_nothing_and_one_import_is_kept_with_its_counts)
{
	struct railway r;
	struct importing i;

	railway_make(&r, "2024-01-01");
	importing_settings(&i, bond_settings);
	importing_expect(&r, &i, "bonds", bonds, 3, 0, 1, 0);
	ck_assert_int_eq(i.result.import_id, 1);
	importing_expect(&r, &i, "bonds", bonds, 0, 3, 1, 0);
	ck_assert_uint_eq(importing_count(&r, &bond_list), 3);
	ck_assert_uint_eq(importing_count(&r, &import_list), 1);
	importing_release(&i);
	railway_remove(&r);
}
END_TEST

START_TEST(a_dry_run_changes_nothing)
{
	struct railway r;
	struct importing i;

	railway_make(&r, "2024-01-01");
	importing_settings(&i, bond_settings);
	ck_assert(importing(&r, &i, "bonds", bonds, true));
	ck_assert_uint_eq(i.result.added, 3);
	ck_assert_uint_eq(importing_count(&r, &bond_list), 0);
	ck_assert_uint_eq(importing_count(&r, &import_list), 0);
	importing_release(&i);
	railway_remove(&r);
}
END_TEST

START_TEST(every_wrong_row_is_named_at_once_and_nothing_is_kept)
{
	static const char text[] = HEADING
		"J;1;SV;1+200;Up;L;31.03.2020;0,85\n"
		"J;2;SV;1+2x0;Up;L;31.03.2020;0,85\n"
		"J;3;SV;1+200;Up;L;31.02.2020;0.85\n"
		"J;4;SV;1+200;Up\n"
		"J;5;SV;1+200;Sideways;L;;\n"
		"J;6;\"S\nV\";1+200;Up;L;;\n"
		"J;7;SV;;Up;L;;\n"
		"J;8;SV;\"1+200\"x;Up;L;;\n"
		"J;1;SV;1+201;Up;L;31.03.2020;0,85\n"
		"J;9;SV;1+200;Up;L;02.05.2024;\n"
		"J;10;SV;1+200;Up;L;;\n";
	struct railway r;
	struct importing i;

	railway_make(&r, "2024-01-01");
	importing_settings(&i, bond_settings);
	importing_expect(&r, &i, "bonds", text, 2, 0, 0, 9);
	importing_wrong(&i, 0, 3, "km", "1+2x0", "1+2x0");
	importing_wrong(&i, 1, 4, "seit", "31.02.2020", "day, month, year");
	ck_assert_ptr_nonnull(strstr(i.result.wrongs[1].reason, " L must be a number"));
	importing_wrong(&i, 2, 5, "", "", "5");
	importing_wrong(&i, 3, 6, "Gleis", "Sideways", "has no track Sideways");
	importing_wrong(&i, 4, 7, "Art", "S\nV", "Art must be one of rail joint bond");
	importing_wrong(&i, 5, 8, "km", "", "km is needed, and the row has none");
	ck_assert_uint_eq(i.result.wrongs[5].line, 9);
	importing_wrong(&i, 6, 9, "", "", "quote");
	importing_wrong(&i, 7, 10, "{Bez}-{Nr}", "J-1", "the chainage of it differs");
	importing_wrong(&i, 8, 11, "seit", "02.05.2024", "");
	ck_assert_uint_eq(importing_count(&r, &bond_list), 0);
	importing_release(&i);
	railway_remove(&r);
}
END_TEST

START_TEST(wrong_rows_are_left_out_only_when_that_is_said)
{
	static const char text[] = HEADING "J;1;SV;1+200;Up;L;;\nJ;2;SV;x;Up;L;;\n";
	struct railway r;
	struct importing i;

	railway_make(&r, "2024-01-01");
	importing_settings(&i, bond_settings);
	importing_expect(&r, &i, "bonds", text, 1, 0, 0, 1);
	ck_assert_uint_eq(importing_count(&r, &bond_list), 0);
	i.settings.leave_wrong_out = 1;
	importing_expect(&r, &i, "bonds", text, 1, 0, 0, 1);
	ck_assert_uint_eq(importing_count(&r, &bond_list), 1);
	ck_assert_uint_eq(importing_count(&r, &import_list), 1);
	importing_release(&i);
	railway_remove(&r);
}
END_TEST

START_TEST(a_thousand_wrong_rows_are_kept_the_rest_are_counted_by_reason)
{
	struct railway r;
	struct importing i;
	struct text text = { 0 };

	railway_make(&r, "2024-01-01");
	importing_settings(&i, bond_settings);
	text_add_z(&text, HEADING);
	for (int n = 0; n < 1001; n++) {
		text_addf(&text, "J;%d;SV;%s;Up;L;;\n", n, n % 3 == 0 ? "" : "x");
	}
	importing_expect(&r, &i, "bonds", text.data, 0, 0, 0, 1001);
	ck_assert_uint_eq(i.result.n_wrongs, 1000);
	ck_assert_uint_eq(i.result.n_reasons, 2);
	ck_assert_uint_eq(i.result.reasons[0].count, 667);
	ck_assert_int_eq(i.result.reasons[0].code, PROBLEM_CHAINAGE_SYNTAX);
	ck_assert_uint_eq(i.result.reasons[1].count, 334);
	text_release(&text);
	importing_release(&i);
	railway_remove(&r);
}
END_TEST

/* ä and ß as in Windows-1252, and as in code page 850; 0x81 is not defined in the former. */
static const struct { const char *label, *encoding, *bytes, *name; size_t offset; } encodings[] = {
	{ "Windows-1252", "windows_1252", "c;n\nA;B\xe4r\xdf\n", "B\xc3\xa4r\xc3\x9f", 0 },
	{ "code page 850", "cp850", "c;n\nA;B\x84r\xe1\n", "B\xc3\xa4r\xc3\x9f", 0 },
	{ "UTF-8 with a mark", "utf_8", "\xef\xbb\xbf" "c;n\nA;B\xc3\xa4r\n", "B\xc3\xa4r", 0 },
	{ "wrongly told", "utf_8", "c;n\nA;B\xe4r\n", NULL, 7 },
	{ "not in Windows-1252", "windows_1252", "c;n\nA;B\x81r\n", NULL, 7 },
};

START_TEST(reads_the_encoding_that_is_stated)
{
	struct railway r;
	struct importing i;

	for (size_t n = 0; n < sizeof encodings / sizeof encodings[0]; n++) {
		char json[512], offset[32];
		struct line line;
		struct problem why = { 0 };
		int64_t id;

		railway_make(&r, "2024-01-01");
		snprintf(json, sizeof json, "{'separator':'semicolon','encoding':'%s','columns':["
			"{'field':'code','column':'c'},{'field':'name','column':'n'},"
			"{'field':'notation','constant':'miles'}]}", encodings[n].encoding);
		importing_settings(&i, json);
		ck_assert_msg(importing(&r, &i, "lines", encodings[n].bytes, false) ==
			(encodings[n].name != NULL), "%s: %s", encodings[n].label, i.why.item[0].detail);
		if (encodings[n].name != NULL) {
			ck_assert(store_line_find(r.store, "A", &id, &why));
			ck_assert(store_line_get(r.store, id, &line, &why));
			ck_assert_str_eq(line.name, encodings[n].name);
		} else {
			snprintf(offset, sizeof offset, "line 2");
			ck_assert_msg(strstr(i.why.item[0].detail, offset) != NULL, "%s",
				i.why.item[0].detail);
		}
		importing_release(&i);
		railway_remove(&r);
	}
}
END_TEST

static const struct { const char *order, *text; } orders[] = {
	{ "ymd", "2020-03-04" }, { "dmy", "04.03.2020" }, { "mdy", "03/04/2020" } };

START_TEST(reads_the_order_of_a_date_that_is_stated)
{
	for (size_t n = 0; n < 3; n++) {
		struct railway r;
		struct importing i;
		struct bond bond;
		struct problem why = { 0 };
		char json[512], text[128];

		railway_make(&r, "2024-01-01");
		snprintf(json, sizeof json, "{'separator':'comma','encoding':'utf_8','day_order':'%s',"
			"'columns':[{'field':'line','constant':'VAL'},{'field':'label','column':'b'},"
			"{'field':'kind','constant':'structure'},{'field':'a_chainage','constant':'1+0'},"
			"{'field':'installed_day','column':'d'}]}", orders[n].order);
		importing_settings(&i, json);
		snprintf(text, sizeof text, "b,d\nA,%s\n", orders[n].text);
		importing_expect(&r, &i, "bonds", text, 1, 0, 0, 0);
		ck_assert(store_bond_get(r.store, 1, &bond, &why));
		ck_assert_int_eq(bond.installed_day, railway_day("2020-03-04"));
		importing_release(&i);
		railway_remove(&r);
	}
}
END_TEST

START_TEST(takes_lines_and_tracks_of_many_rows_once)
{
	struct railway r;
	struct importing i;

	railway_make(&r, "2024-01-01");
	importing_settings(&i, "{'separator':'tab','encoding':'utf_8','columns':["
		"{'field':'code','template':'{c} {p:prefix}'},{'field':'name','column':'n'},"
		"{'field':'notation','column':'k'},{'field':'electrification','column':'e'}]}");
	importing_expect(&r, &i, "lines", "c\tp\tn\tk\te\nA\tMP 12\tNorth\tmiles\tdc\n"
		"A\tMP 13\tNorth\tmiles\tdc\nA\t13\tSouth\tkm_m\t\n", 2, 1, 0, 0);
	importing_release(&i);
	importing_settings(&i, "{'separator':'tab','encoding':'utf_8','columns':["
		"{'field':'line','column':'c'},{'field':'name','column':'t'}]}");
	importing_expect(&r, &i, "tracks", "c\tt\nA MP\tUp\nA MP\tDown\nA MP\tUp\nB\tUp\n", 2, 1, 0, 1);
	importing_wrong(&i, 0, 5, "c", "B", "There is no line B");
	importing_release(&i);
	railway_remove(&r);
}
END_TEST

/* Incomplete or wrong settings: what they say, and the field of the problem. */
static const struct { const char *kind, *json, *field, *says; } refused[] = {
	{ "bonds", "{}", "separator", "State the separator" },
	{ "lines", "{'separator':'comma'}", "encoding", "State the encoding" },
	{ "lines", "{'separator':'comma','encoding':'utf_8'}", "columns", "gives Line code" },
	{ "bonds", "{'separator':'comma','encoding':'utf_8','columns':[{'field':'length_m','column':"
		"'c'}]}", "decimal", "State the decimal mark of the numbers, as in c: point" },
	{ "bonds", "{'separator':'comma','encoding':'utf_8','columns':[{'field':'installed_day',"
		"'column':'c'}]}", "day_order", "State how the dates are written, as in c: ymd" },
	{ "lines", "{'separator':'comma','encoding':'utf_8','columns':[{'field':'nme','column':'c'}]}",
		"columns", "do you mean name?" },
	{ "lines", "{'separator':'comma','encoding':'utf_8','columns':[{'field':'name','column':'c'},"
		"{'field':'name','column':'n'}]}", "columns", "given twice" },
	{ "lines", "{'separator':'comma','encoding':'utf_8','columns':[{'field':'name'}]}", "columns",
		"a column, a template or a constant" },
	{ "lines", "{'separator':'comma','encoding':'utf_8','columns':[{'field':'name','template':"
		"'{c'}]}", "columns", "without its closing one" },
	{ "lines", "{'separator':'comma','encoding':'utf_8','words':[{'field':'name','to':'c'}]}",
		"words", "no column gives it" },
	{ "lines", "{'separator':'comma','encoding':'utf_8','only':[{'column':'c'}]}", "only",
		"one of them" },
	{ "lines", "{'separator':'comma','encoding':'utf_8','columns':[{'field':'code','column':'c'},"
		"{'field':'name','column':'nn'},{'field':'notation','constant':'km'}]}", "columns",
		"The file has no column nn" },
	{ "lines", "{'separator':'comma','encoding':'utf_8','columns':[{'field':'code','column':'c'},"
		"{'field':'name','column':'d'},{'field':'notation','constant':'km'}]}", "columns",
		"Several columns have the heading d: in their order they are d (1)" },
	{ "maps", "{'separator':'comma','encoding':'utf_8'}", "tolerance_m", "State by how many metres" },
	{ "failures", "{'separator':'comma','encoding':'utf_8','columns':[{'field':'chainage','column':"
		"'c'}]}", "columns", "Say within how many metres" },
};

START_TEST(refuses_settings_that_are_not_complete_and_says_what_to_state)
{
	struct railway r;

	railway_make(&r, "2024-01-01");
	for (size_t n = 0; n < sizeof refused / sizeof refused[0]; n++) {
		struct importing i;
		bool said = false;

		importing_settings(&i, refused[n].json);
		ck_assert_msg(!importing(&r, &i, refused[n].kind, "c,name,d,d\nA,B,C,D\n", false), "%s",
			refused[n].json);
		for (size_t p = 0; p < i.why.count && p < PROBLEMS_SHOWN; p++) {
			said = said || (strcmp(i.why.item[p].field, refused[n].field) == 0 &&
				strstr(i.why.item[p].detail, refused[n].says) != NULL);
		}
		ck_assert_msg(said, "%s: %s", refused[n].json, i.why.item[0].detail);
		importing_release(&i);
	}
	railway_remove(&r);
}
END_TEST

START_TEST(a_saved_mapping_reads_back_the_same_and_keeps_its_versions)
{
	struct railway r;
	struct importing i;
	const struct import_kind *kind = NULL;
	struct import_settings again;
	struct form_memory memory = { 0 };
	struct problems why = { 0 };
	struct text one = { 0 }, two = { 0 };

	railway_make(&r, "2024-01-01");
	importing_settings(&i, bond_settings);
	for (int n = 0; n < 3; n++) {
		railway_begin(&r, "2024-05-01");
		i.settings.leave_wrong_out = n == 2 ? 1 : -1;
		railway_must(import_mapping_save(&r.act, "our bonds", import_kind_find("bonds"),
			&i.settings, &why), &why);
		railway_end(&r);
	}
	ck_assert_uint_eq(importing_count(&r, &mapping_list), 1);
	railway_must(import_mapping_load(r.store, "our bonds", &kind, &again, &memory, &why), &why);
	ck_assert_ptr_eq(kind, import_kind_find("bonds"));
	form_write(&import_settings_form, &i.settings, &one);
	form_write(&import_settings_form, &again, &two);
	ck_assert_str_eq(one.data, two.data);
	ck_assert_int_eq(again.leave_wrong_out, 1);
	ck_assert(!import_mapping_load(r.store, "theirs", &kind, &again, &memory, &why));
	ck_assert_int_eq(problems_code(&why), PROBLEM_NOT_FOUND);
	text_release(&one);
	text_release(&two);
	form_memory_release(&memory);
	importing_release(&i);
	railway_remove(&r);
}
END_TEST

/* Line 1760 of the open data in small, with invented numbers: track 1 has a long hectometre that
 * track 2 does not have. */
static const char pieces[] = "line;track;from;to;length;jump\n"
	"H;0;0,0 + 0;1,0 + 0;1000;\n"
	"H;2;1,0 + 0;1,1 + 0;100;\n"
	"H;1;1,0 + 0;1,1 + 0;2500;yes\n"
	"H;0;1,1 + 0;3,0 + 0;1903;\n";

#define PIECE_SETTINGS "'tolerance_m':5,'columns':[" \
	"{'field':'line','column':'line'},{'field':'track','column':'track'}," \
	"{'field':'from','column':'from'},{'field':'to','column':'to'}," \
	"{'field':'length_m','column':'length','unit':'m'},{'field':'is_jump','column':'jump'}]," \
	"'words':[{'field':'track','from':'0'}]}"
static const char piece_settings[] = "{" AS_CSV PIECE_SETTINGS;
static const char taking_settings[] = "{" AS_CSV "'known':'takes','take':['length_m'],"
	PIECE_SETTINGS;

static void add_line(struct railway *r, const char *code, enum notation notation)
{
	const struct line_new line = { code, code, notation, ELECTRIFICATION_AC };
	struct problems why = { 0 };
	struct recorded recorded;

	railway_begin(r, "2024-05-01");
	railway_must(line_register(&r->act, &line, &recorded, &why), &why);
	railway_end(r);
}

static int64_t place(struct railway *r, const char *line, const char *track, const char *chainage)
{
	struct problem why = { 0 };
	const struct line_map *map;
	int64_t line_id, track_id = 0, mm = -1;

	ck_assert(store_line_find(r->store, line, &line_id, &why) && line_id != 0);
	if (track != NULL) {
		ck_assert(store_track_find(r->store, line_id, track, &track_id, &why) && track_id != 0);
	}
	map = store_map_get(r->store, line_id, track_id, &why);
	ck_assert_msg(map != NULL && chainage_read(chainage, strlen(chainage), map, &mm, &why), "%s",
		why.detail);
	return mm;
}

START_TEST(makes_a_map_for_each_track_from_pieces_of_line)
{
	struct railway r;
	struct importing i;

	railway_make(&r, "2024-01-01");
	add_line(&r, "H", NOTATION_HM_M);
	importing_settings(&i, piece_settings);
	importing_expect(&r, &i, "maps", pieces, 4, 0, 0, 0);
	ck_assert_int_eq(place(&r, "H", "1", "1,0 + 2230"), 3230000);
	ck_assert_int_eq(place(&r, "H", "1", "1,1 + 47"), 3547000);
	ck_assert_int_eq(place(&r, "H", "2", "1,1 + 47"), 1147000);
	ck_assert_int_eq(place(&r, "H", NULL, "1,1 + 47"), 3547000); /* as the first track */
	importing_expect(&r, &i, "maps", pieces, 0, 4, 0, 0);
	importing_release(&i);
	railway_remove(&r);
}
END_TEST

START_TEST(a_track_keeps_its_own_map_when_a_later_file_has_other_tracks_only)
{
	struct railway r;
	struct importing i;

	railway_make(&r, "2024-01-01");
	add_line(&r, "H", NOTATION_HM_M);
	importing_settings(&i, piece_settings);
	importing_expect(&r, &i, "maps", pieces, 4, 0, 0, 0);
	ck_assert_int_eq(place(&r, "H", "1", "1,1 + 47"), 3547000);
	importing_release(&i);
	importing_settings(&i, taking_settings);
	importing_expect(&r, &i, "maps", "line;track;from;to;length;jump\n"
		"H;2;0,0 + 0;5,0 + 0;5000;\n", 0, 1, 0, 0);
	ck_assert_int_eq(place(&r, "H", "2", "2,1 + 47"), 2147000);
	ck_assert_int_eq(place(&r, "H", "1", "1,1 + 47"), 3547000);
	ck_assert_int_eq(place(&r, "H", NULL, "1,1 + 47"), 3547000); /* the first track is still 1 */
	importing_expect(&r, &i, "maps", "line;track;from;to;length;jump\n"
		"H;0;0,0 + 0;4,0 + 0;4000;\n", 0, 1, 0, 0);
	ck_assert_int_eq(place(&r, "H", NULL, "1,1 + 47"), 1147000); /* a file of no track is the line's */
	importing_release(&i);
	railway_remove(&r);
}
END_TEST

START_TEST(a_wrong_piece_spoils_its_line_and_no_other)
{
	struct railway r;
	struct importing i;

	railway_make(&r, "2024-01-01");
	add_line(&r, "H", NOTATION_HM_M);
	add_line(&r, "I", NOTATION_HM_M);
	importing_settings(&i, piece_settings);
	i.settings.leave_wrong_out = 1;
	importing_expect(&r, &i, "maps", "line;track;from;to;length;jump\n"
		"H;;0,0 + 0;1,0 + 0;1000;\nI;;0,0 + 0;2,0 + 0;2000;\nH;;1,0 + 0;2,0 + 0;far;\n"
		"H;;3,0 + 0;2,0 + 0;1000;\n", 1, 0, 0, 3);
	importing_wrong(&i, 0, 4, "length", "far", "length must be a number");
	importing_wrong(&i, 1, 5, "to", "2,0 + 0", "ends before it starts");
	importing_wrong(&i, 2, 2, "line", "", "of the same line is wrong");
	importing_release(&i);
	railway_remove(&r);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { takes_bonds_by_columns_templates_constants_and_words,
		the_same_file_twice_adds_nothing_and_one_import_is_kept_with_its_counts,
		a_dry_run_changes_nothing,
		every_wrong_row_is_named_at_once_and_nothing_is_kept,
		wrong_rows_are_left_out_only_when_that_is_said,
		a_thousand_wrong_rows_are_kept_the_rest_are_counted_by_reason,
		reads_the_encoding_that_is_stated, reads_the_order_of_a_date_that_is_stated,
		takes_lines_and_tracks_of_many_rows_once,
		refuses_settings_that_are_not_complete_and_says_what_to_state,
		a_saved_mapping_reads_back_the_same_and_keeps_its_versions,
		makes_a_map_for_each_track_from_pieces_of_line,
		a_track_keeps_its_own_map_when_a_later_file_has_other_tracks_only,
		a_wrong_piece_spoils_its_line_and_no_other, NULL };

	return case_run("import", tests);
}
