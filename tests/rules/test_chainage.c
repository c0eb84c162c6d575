#include <inttypes.h>
#include <string.h>

#include "case.h"
#include "rules/place/chainage.h"

enum { KM_M = NOTATION_KM_M, HM_M = NOTATION_HM_M, KM = NOTATION_KM, M = NOTATION_M,
	CHAINS = NOTATION_MILES_CHAINS, YARDS = NOTATION_MILES_YARDS, MILES = NOTATION_MILES };

#define REFUSED INT64_MIN

/*
 * Source of the rows marked E: worked in exact fractions beside the published list in which the
 * form was seen (France: positions of stations and crossings; Germany: places on lines and pieces
 * of line; Great Britain: way marks; USA: accident reports). U: unit lengths and notation rows of
 * published unit tables (tests/reference/units_length.csv names each: yard 0.9144 m, chain 20.1168
 * m, mile 1609.344 m) and surveying manuals, multiplied by hand. What has no mark is worked by hand
 * from the same lengths.
 */
static const struct { const char *label; int notation; const char *text; int64_t mm; } reads[] = {
	{ "E kilometres + metres", KM_M, "12+345", 12345000 },
	{ "E zero padded, not octal", KM_M, "012+345", 12345000 },
	{ "E unpadded", KM_M, "0+806", 806000 },
	{ "E the largest crossing", KM_M, "854+016", 854016000 },
	{ "E minus parts the numbers before zero", KM_M, "000-428", -428000 },
	{ "E the sign is for the whole", KM_M, "-0+150", -150000 },
	{ "E decimals of a metre", KM_M, "KM27+205.4", 27205400 },
	{ "U 0+348.832", KM_M, "0+348.832", 348832 },
	{ "U 0+550.725", KM_M, "0+550.725", 550725 },
	{ "U 12+345.678", KM_M, "12+345.678", 12345678 },
	{ "comma, spaces, lower case", KM_M, " km 12 + 345,5 ", 12345500 },
	{ "narrow space and true minus", KM_M, "\xE2\x88\x92" "1\xE2\x80\xAF+\xC2\xA0" "500", -1500000 },
	{ "both parts signed", KM_M, "-1+-500", -1500000 },
	{ "zero has no sign", KM_M, "-0+000", 0 },
	{ "half a millimetre goes away from zero", KM_M, "0+000.0005", 1 },
	{ "less than half does not", KM_M, "0+000.000499999", 0 },
	{ "nor after zero with a minus", KM_M, "-0+000.0005", -1 },
	{ "E a letter kilometre", KM_M, "F+489", REFUSED },
	{ "a range is no place", KM_M, "012-428", REFUSED },
	{ "sign in the middle only", KM_M, "0+-428", REFUSED },
	{ "two signs", KM_M, "-0-428", REFUSED },
	{ "three signs", KM_M, "0--428", REFUSED },
	{ "no metres", KM_M, "12+", REFUSED },
	{ "no kilometres", KM_M, "+345", REFUSED },
	{ "kilometres alone", KM_M, "12", REFUSED },
	{ "decimal kilometres in a km + m line", KM_M, "12.345", REFUSED },
	{ "decimal post", KM_M, "12.5+345", REFUSED },
	{ "letter O for zero", KM_M, "12+3O5", REFUSED },
	{ "letter l for one", KM_M, "l2+345", REFUSED },
	{ "two places", KM_M, "12+345 12+346", REFUSED },
	{ "space in a number", KM_M, "12+3 45", REFUSED },
	{ "mileposts in a km line", KM_M, "MP 12+345", REFUSED },
	{ "counted past the post on a plain line", KM_M, "12+1000", REFUSED },
	{ "just before the post", KM_M, "12+999.999", 12999999 },
	{ "E hectometres + metres", HM_M, "172,9 + 16", 172916000 },
	{ "E point and padding", HM_M, "4.4 +     0", 4400000 },
	{ "E 4,5 + 21", HM_M, "4,5 + 21", 4521000 },
	{ "E before zero", HM_M, "-0,0 + -73", -73000 },
	{ "E before zero, further", HM_M, "-1,5 + -63", -1563000 },
	{ "sign of the whole alone", HM_M, "-1,5+63", -1563000 },
	{ "posts at even hectometres", HM_M, "7,0 + 130", 7130000 },
	{ "up to 200 m past", HM_M, "7,0 + 200", 7200000 },
	{ "not more", HM_M, "7,0 + 200,001", REFUSED },
	{ "before zero too", HM_M, "-7,0 + -200", -7200000 },
	{ "not past an odd hectometre", HM_M, "7,1 + 100", REFUSED },
	{ "up to the post", HM_M, "7,1 + 99,999", 7199999 },
	{ "no hectometre", HM_M, "172 + 16", REFUSED },
	{ "two hectometre digits", HM_M, "172,91 + 6", REFUSED },
	{ "no metres", HM_M, "172,9", REFUSED },
	{ "sign in the middle only", HM_M, "0,0 + -73", REFUSED },
	{ "E decimal kilometres", KM, "12.345", 12345000 },
	{ "E decimal comma, not twelve thousand", KM, "12,345", 12345000 },
	{ "E one decimal", KM, "12.3", 12300000 },
	{ "E whole kilometres", KM, "12", 12000000 },
	{ "E another column of the way marks", KM, "36.0000", 36000000 },
	{ "E thousands and decimals", KM, "1.234,5", REFUSED },
	{ "thousands and decimals, the other way", KM, "1,234.5", REFUSED },
	{ "unit and prefix", KM, "Km 12.345 km", 12345000 },
	{ "metres in a kilometre column", KM, "12.345 m", REFUSED },
	{ "km + m in a kilometre column", KM, "12+345", REFUSED },
	{ "exponent", KM, "1e3", REFUSED },
	{ "before zero", KM, "-0.428", -428000 },
	{ "ten decimals", KM, "0.1234567890", REFUSED },
	{ "100,000 km", KM, "100000", 100000000000 },
	{ "more than that", KM, "100000.000001", REFUSED },
	{ "ten digits", KM, "1234567890", REFUSED },
	{ "E metres", M, "12345", 12345000 },
	{ "decimal metres", M, "12345,5 m", 12345500 },
	{ "three decimals of a metre", M, "12345.678", 12345678 },
	{ "thousands or decimals", M, "12.345", REFUSED },
	{ "thousands or decimals", M, "12,345", REFUSED },
	{ "four decimals are no thousands", M, "12.3450", 12345 },
	{ "nor is zero", M, "0.345", 345 },
	{ "kilometres in a metre column", M, "km 12", REFUSED },
	{ "E miles and chains", CHAINS, "5m 40ch", 8851392 },
	{ "E miles.chains", CHAINS, "5.40", 8851392 },
	{ "E a lost zero", CHAINS, "5.4", REFUSED },
	{ "E the largest chain", CHAINS, "0m 79ch", 1589227 },
	{ "E a mile has 80", CHAINS, "5m 80ch", REFUSED },
	{ "81 chains", CHAINS, "3 mi 81 ch", REFUSED },
	{ "80 chains after the point", CHAINS, "5.80", REFUSED },
	{ "79 chains after the point", CHAINS, "5.79", 9635947 },   /* 479 x 20116.8 = 9635947.2 */
	{ "U 12 m 34 ch", CHAINS, "12 m 34 ch", 19996099 },         /* 19996.0992 m */
	{ "U 12 m 34 ch 50 lk", CHAINS, "12 m 34 ch 50 lk", 20006158 }, /* 20006.1576 m */
	{ "100 links", CHAINS, "12 m 34 ch 100 lk", REFUSED },
	{ "links of a decimal chain", CHAINS, "12 m 34.5 ch 10 lk", REFUSED },
	{ "words, no spaces, capitals", CHAINS, "5MILES40CHAINS", 8851392 },
	{ "whole miles", CHAINS, "5m", 8046720 },
	{ "before zero", CHAINS, "-0.40", -804672 },
	{ "yards on a line of chains", CHAINS, "5m 880y", REFUSED },
	{ "yards after the point", CHAINS, "5.0880", REFUSED },
	{ "chains without a unit", CHAINS, "5m 40", REFUSED },
	{ "79 and nine tenths", CHAINS, "0m 79.9ch", 1607332 },     /* 1607332.32 */
	{ "E miles and yards", YARDS, "5m 880y", 8851392 },
	{ "E yd", YARDS, "5m 880yd", 8851392 },
	{ "E miles.yards", YARDS, "5.0880", 8851392 },
	{ "E 140.0746", YARDS, "140.0746", 225990302 },             /* 225990.3024 m */
	{ "E 174.1320", YARDS, "174.1320", 281232864 },
	{ "E a mile has 1760", YARDS, "140.1760", REFUSED },
	{ "1759 yards", YARDS, "140.1759", 226916590 },             /* 141 mi - 914.4 = 226916589.6 */
	{ "1761 yards", YARDS, "5m 1761y", REFUSED },
	{ "E before zero", YARDS, "-0.0312", -285293 },             /* -285.2928 m */
	{ "E zero lost at the end", YARDS, "0.044", 402336 },
	{ "U 12.0440", YARDS, "12.0440", 19714464 },
	{ "U 3 mi 1759 yd", YARDS, "3 mi 1759 yd", 6436462 },       /* 6436.4616 m */
	{ "five digits", YARDS, "5.08800", REFUSED },
	{ "chains on a line of yards", YARDS, "5m 40ch", REFUSED },
	{ "E decimal miles", MILES, "MP 123.45", 198673517 },       /* 198673.5168 m */
	{ "E zero padded", MILES, "0104.5", 168176448 },
	{ "E no zero before the point", MILES, ".3", 482803 },      /* 482.8032 m */
	{ "E nothing after the point", MILES, "401.", 645346944 },
	{ "E MP401.", MILES, "MP401.", 645346944 },
	{ "E a prefix is part of the identity", MILES, "C588.7", REFUSED },
	{ "E CJ138.", MILES, "CJ138.", REFUSED },
	{ "E M 0.2 is no 0.2 miles", MILES, "M 0.2", REFUSED },
	{ "E a suffix is part of the identity", MILES, "0.7X", REFUSED },
	{ "E a second part of unknown meaning", MILES, "260+32", REFUSED },
	{ "E two points", MILES, "153..0", REFUSED },
	{ "two points", MILES, "128..4", REFUSED },
	{ "E no position", MILES, "N/A", REFUSED },
	{ "E blank", MILES, "", REFUSED },
	{ "spaces", MILES, "  \t ", REFUSED },
	{ "a point", MILES, ".", REFUSED },
	{ "MP alone", MILES, "MP", REFUSED },
	{ "kilometres in a milepost column", MILES, "KM 12", REFUSED },
	{ "only one, by number", MILES, "12.5 #1", 20116800 },
	{ "there is no second", MILES, "12.5 #2", REFUSED },
	{ "no number after #", MILES, "12.5 #", REFUSED },
	{ "counted from 1", MILES, "12.5 #0", REFUSED },
};

START_TEST(reads_each_notation_and_refuses_what_is_wrong)
{
	for (size_t i = 0; i < sizeof reads / sizeof reads[0]; i++) {
		struct line_map line = { (enum notation)reads[i].notation, NULL, 0 };
		struct problem why = { 0 };
		int64_t mm = REFUSED;
		bool ok = chainage_read(reads[i].text, strlen(reads[i].text), &line, &mm, &why);

		ck_assert_msg(mm == reads[i].mm, "%s (%s): got %" PRId64 ", not %" PRId64 " %s",
			reads[i].label, reads[i].text, mm, reads[i].mm, why.detail);
		ck_assert_msg(ok == (mm != REFUSED), "%s", reads[i].label);
		ck_assert_msg(ok || (why.code == PROBLEM_CHAINAGE_SYNTAX && why.detail[0] != '\0'),
			"%s: the code is %d", reads[i].label, (int)why.code);
	}
}
END_TEST

static const struct { int notation; int64_t mm; const char *text; } writes[] = {
	{ KM_M, 12345000, "12+345" }, { KM_M, 45000, "0+045" }, { KM_M, 12345678, "12+345.678" },
	{ KM_M, 12345600, "12+345.6" }, { KM_M, -428000, "-0+428" }, { KM_M, 0, "0+000" },
	{ HM_M, 172916000, "172,9 + 16" }, { HM_M, -73000, "-0,0 + -73" }, { HM_M, 4400500, "4,4 + 0,5" },
	{ KM, 12345000, "12.345" }, { KM, 12000000, "12.000" }, { KM, 12345678, "12.345678" },
	{ KM, -1, "-0.000001" }, { M, 12345000, "12345" }, { M, 12345, "12.3450" }, { M, 345, "0.345" },
	{ M, 12500, "12.5" }, { M, 1234567, "1234.567" }, { CHAINS, 8851392, "5m 40ch" },
	{ CHAINS, 1589227, "0m 79ch" }, { CHAINS, 1607332, "0m 79.9ch" }, { CHAINS, 1609344, "1m 0ch" },
	{ CHAINS, -804672, "-0m 40ch" }, { YARDS, 8851392, "5m 880y" }, { YARDS, 225990302, "140m 746y" },
	{ YARDS, 457, "0m 0.5y" }, { MILES, 198673517, "123.45" }, { MILES, 645346944, "401.00" },
	{ MILES, 482803, "0.30" },
};

START_TEST(writes_each_notation)
{
	for (size_t i = 0; i < sizeof writes / sizeof writes[0]; i++) {
		struct line_map line = { (enum notation)writes[i].notation, NULL, 0 };
		char text[CHAINAGE_TEXT_SIZE];

		ck_assert_uint_eq(chainage_write(writes[i].mm, &line, text, sizeof text), strlen(text));
		ck_assert_str_eq(text, writes[i].text);
	}
}
END_TEST

START_TEST(the_sentence_says_what_would_be_right)
{
	static const struct { int notation; const char *text, *part; } said[] = {
		{ CHAINS, "5m 81ch", "a mile has 80 chains" },
		{ CHAINS, "5.4", "5.04 or 5.40" },
		{ YARDS, "140.1760", "a mile has 1760 yards" },
		{ M, "12.345", "thousands or decimals" },
		{ KM_M, "12-345", "before zero" },
		{ KM_M, "12+1045", "write 13+045" },
		{ MILES, "C588.7", "belongs to the line's code" },
		{ MILES, "", "missing" },
		{ MILES, "12.5 #2", "exists 1 time on" },
		{ KM, "1.234,5", "like 12.345" },
		{ KM, "12\n\xFF", "12??" },
	};

	for (size_t i = 0; i < sizeof said / sizeof said[0]; i++) {
		struct line_map line = { (enum notation)said[i].notation, NULL, 0 };
		struct problem why = { 0 };
		int64_t mm;

		ck_assert(!chainage_read(said[i].text, strlen(said[i].text), &line, &mm, &why));
		ck_assert_msg(strstr(why.detail, said[i].part) != NULL, "%s: %s", said[i].text, why.detail);
	}
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { reads_each_notation_and_refuses_what_is_wrong,
		writes_each_notation, the_sentence_says_what_would_be_right, NULL };

	return case_run("chainage", tests);
}
