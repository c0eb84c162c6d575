#include "service/import/unit.h"

#include <stdio.h>
#include <string.h>

#include "base/decimal.h"
#include "base/utf8.h"
#include "service/import/kind.h"

enum { SPELLING = 24 };

static const struct unit uohm[] = {
	{ "uohm", "µΩ", "uohm uohms uOhm uOhms UOHM Uohm microohm microohms Microohm", 0, 0, 0 },
	{ "mohm", "mΩ", "mohm mohms mOhm mOhms milliohm milliohms Milliohm", 3, 0, 0 },
	{ "ohm", "Ω", "ohm ohms Ohm Ohms OHM", 6, 0, 0 },
	{ "nohm", "nΩ", "nohm nOhm nanoohm", -3, 0, 0 }, { 0 } };
static const struct unit uv[] = {
	{ "uv", "µV", "uV uv UV microvolt microvolts", 0, 0, 0 },
	{ "mv", "mV", "mV mv millivolt millivolts", 3, 0, 0 },
	{ "v", "V", "V v volt volts Volt", 6, 0, 0 },
	{ "nv", "nV", "nV nv", -3, 0, 0 }, { 0 } };
static const struct unit amperes[] = {
	{ "a", "A", "A a amp amps ampere amperes Ampere", 0, 0, 0 },
	{ "ma", "mA", "mA ma milliampere", -3, 0, 0 },
	{ "ka", "kA", "kA ka", 3, 0, 0 }, { 0 } };
/* 0 °C is 273.15 K and 32 °F, by definition */
static const struct unit celsius[] = {
	{ "c", "°C", "C c degC degc Celsius celsius", 0, 0, 0 },
	{ "f", "°F", "F f degF degf Fahrenheit fahrenheit", 0, 1 / 1.8, -32 / 1.8 },
	{ "k", "K", "K k Kelvin kelvin", 0, 1, -273.15 }, { 0 } };
/* the yard of 0.9144 m, exactly */
#define LENGTHS \
	{ "m", "m", "m M metre metres meter meters Meter Metre", 0, 0, 0 }, \
	{ "km", "km", "km Km KM kilometre kilometres kilometer kilometers Kilometer", 3, 0, 0 }, \
	{ "cm", "cm", "cm CM Cm centimetre centimetres", -2, 0, 0 }, \
	{ "mm", "mm", "mm MM millimetre millimetres", -3, 0, 0 }, \
	{ "ft", "ft", "ft FT feet foot Feet", 0, 0.3048, 0 }, \
	{ "yd", "yd", "yd yds yard yards Yards", 0, 0.9144, 0 }, \
	{ "mi", "miles", "mi mile miles Mile Miles MILES", 0, 1609.344, 0 }, { 0 }
static const struct unit metres[] = { LENGTHS };
/* a circular mil is pi/4 of a thousandth of an inch squared: 0.50670748 mm² a thousand */
static const struct unit square_millimetres[] = {
	{ "mm2", "mm²", "mm2 mm^2 MM2 sqmm qmm", 0, 0, 0 },
	{ "cm2", "cm²", "cm2 cm^2", 2, 0, 0 },
	{ "kcmil", "kcmil", "kcmil KCMIL MCM", 0, 0.506707479097498, 0 }, { 0 } };

static const struct {
	const char *unit;
	const struct unit *units;
} families[] = {
	{ "µΩ", uohm }, { "µV", uv }, { "A", amperes }, { "°C", celsius }, { "m", metres },
	{ "mm²", square_millimetres } };

const struct unit *units_of(const struct member *m)
{
	if (import_is_place(m)) {
		return metres;
	}
	for (size_t i = 0; m->unit != NULL && i < sizeof families / sizeof families[0]; i++) {
		if (strcmp(families[i].unit, m->unit) == 0) {
			return families[i].units;
		}
	}
	return NULL;
}

const char *unit_family(const struct member *m)
{
	return units_of(m) == NULL ? "" : import_is_place(m) ? "place" : m->unit;
}

const struct unit *unit_of_code(const struct member *m, const char *code)
{
	for (const struct unit *u = units_of(m); u != NULL && u->code != NULL; u++) {
		if (strcmp(u->code, code) == 0) {
			return u;
		}
	}
	return NULL;
}

bool unit_can_be(const struct member *m, const char *code)
{
	return units_of(m) != NULL && (unit_of_code(m, code) != NULL || strcmp(code, UNIT_CELL) == 0 ||
		(import_is_place(m) && strcmp(code, UNIT_LINE) == 0));
}

void units_list(const struct member *m, struct text *to)
{
	text_add_z(to, import_is_place(m) ? UNIT_LINE " (as the line writes it), " : "");
	for (const struct unit *u = units_of(m); u != NULL && u->code != NULL; u++) {
		text_addf(to, "%s, ", u->code);
	}
	text_add_z(to, "or " UNIT_CELL " where each cell names its own");
}

/* In plain letters: "µΩ" is "uohm", "mm²" is "mm2", "° C" is "C"; "" when it is too long. */
static void plain(const char *text, size_t len, char to[SPELLING])
{
	static const struct { const char *from, *to; } signs[] = { { "\xC2\xB5", "u" },
		{ "\xCE\xBC", "u" }, { "\xCE\xA9", "ohm" }, { "\xE2\x84\xA6", "ohm" }, { "\xC2\xB2", "2" },
		{ "\xC2\xB0", "" }, { ".", "" }, { " ", "" }, { "-", "" }, { "\xC2\xBA", "" } };
	size_t n = 0;

	while (len > 0) {
		size_t step = utf8_step(text, len);
		const char *as = NULL;

		step = step > 0 ? step : 1;
		for (size_t i = 0; i < sizeof signs / sizeof signs[0]; i++) {
			if (strlen(signs[i].from) == step && memcmp(signs[i].from, text, step) == 0) {
				as = signs[i].to;
			}
		}
		if (n + (as != NULL ? strlen(as) : step) >= SPELLING) {
			n = 0;
			break;
		}
		memcpy(to + n, as != NULL ? as : text, as != NULL ? strlen(as) : step);
		n += as != NULL ? strlen(as) : step;
		text += step;
		len -= step;
	}
	to[n] = '\0';
}

static bool is_spelling(const char *spellings, const char *word)
{
	size_t len = strlen(word);

	for (const char *at = strstr(spellings, word); len > 0 && at != NULL;
		at = strstr(at + 1, word)) {
		if ((at == spellings || at[-1] == ' ') && (at[len] == ' ' || at[len] == '\0')) {
			return true;
		}
	}
	return false;
}

static const struct unit *find(const struct member *m, const char *text, size_t len)
{
	char word[SPELLING];

	plain(text, len, word);
	for (const struct unit *u = units_of(m); u != NULL && u->code != NULL; u++) {
		if (is_spelling(u->spellings, word)) {
			return u;
		}
	}
	return NULL;
}

/* Between the last brackets of a kind; 0: there are none. */
static size_t in_brackets(const char *heading, size_t len, const char **start)
{
	for (size_t end = len; end > 0; end--) {
		char open = heading[end - 1] == ')' ? '(' : heading[end - 1] == ']' ? '[' : '\0';

		for (size_t at = end - 1; open != '\0' && at > 0; at--) {
			if (heading[at - 1] == open) {
				*start = heading + at;
				return end - 1 - at;
			}
		}
	}
	return 0;
}

static bool parts_words(char c)
{
	return strchr(" _,;:/|\t\r\n-()[]", c) != NULL;
}

const struct unit *unit_in_heading(const struct member *m, const char *heading, size_t len)
{
	const struct unit *found = NULL;
	const char *start;
	size_t bracketed = in_brackets(heading, len, &start), end = len;

	if (bracketed > 0 && find(m, start, bracketed) != NULL) {
		return find(m, start, bracketed);
	}
	/* word by word from the last; a single letter is a unit only there */
	for (bool is_last = true; end > 0; is_last = false) {
		size_t begin;
		const struct unit *u;

		while (end > 0 && parts_words(heading[end - 1])) {
			end--;
		}
		for (begin = end; begin > 0 && !parts_words(heading[begin - 1]);) {
			begin--;
		}
		u = end - begin > 1 || is_last ? find(m, heading + begin, end - begin) : NULL;
		if (u != NULL && found != NULL && u != found) {
			return NULL;
		}
		found = found != NULL ? found : u;
		end = begin;
	}
	return found;
}

static bool is_digit(char c)
{
	return c >= '0' && c <= '9';
}

/* Bytes of the sign, digits, marks and exponent that a cell begins with; 0: no digit is there.
 * *exponent: where that begins, the same when there is none. */
static size_t count_number(const char *cell, size_t len, size_t *exponent)
{
	size_t at = len >= 3 && memcmp(cell, "\xE2\x88\x92", 3) == 0 ? 3 :
		len >= 1 && (cell[0] == '-' || cell[0] == '+') ? 1 : 0;
	size_t digits = 0, after;

	while (at < len && (is_digit(cell[at]) || cell[at] == '.' || cell[at] == ',')) {
		digits += is_digit(cell[at++]);
	}
	*exponent = at;
	if (digits == 0) {
		return 0;
	}
	if (at < len && (cell[at] == 'E' || cell[at] == 'e')) {
		after = at + 1;
		after += after < len && (cell[after] == '+' || cell[after] == '-');
		if (after < len && is_digit(cell[after])) {
			for (at = after; at < len && is_digit(cell[at]);) {
				at++;
			}
		}
	}
	return at;
}

const struct unit *unit_in_cell(const struct member *m, const char *cell, size_t len,
	size_t *number, size_t *rest)
{
	size_t exponent, at = count_number(cell, len, &exponent);

	*number = at;
	while (at < len && cell[at] == ' ') {
		at++;
	}
	*rest = at;
	return *number > 0 && at < len ? find(m, cell + at, len - at) : NULL;
}

/* The number with its exponent raised: no digit of it is touched. */
static void add_shifted(const char *number, size_t len, int power, struct text *to)
{
	size_t exponent, read = count_number(number, len, &exponent);
	int own = 0;

	for (size_t i = exponent + 1; i < read && own < 10000; i++) {
		own = is_digit(number[i]) ? own * 10 + (number[i] - '0') : own;
	}
	own = exponent < read && number[exponent + 1] == '-' ? -own : own;
	text_add(to, number, exponent);
	text_addf(to, "E%d", own + power);
}

static void add_scaled(const struct unit *u, const char *number, size_t len, char decimal,
	struct text *to)
{
	char written[40];
	double value;

	if (!decimal_read(number, len, decimal, &value)) {
		text_add(to, number, len);
		return;
	}
	snprintf(written, sizeof written, "%.15g", value * u->factor + u->offset);
	for (char *c = written; *c != '\0'; c++) {
		*c = *c == '.' ? decimal : *c;
	}
	text_add_z(to, written);
}

static bool refuse(const char *cell, size_t len, const char *what, const char *of,
	struct problem *why)
{
	return problem_set(why, PROBLEM_VALUE, NULL, "\"%.*s\" %s%s.", (int)utf8_fit(cell, len, 40),
		cell, what, of);
}

bool unit_convert(const struct member *m, const char *stated, const char *cell, size_t len,
	char decimal, struct text *to, struct problem *why)
{
	const struct unit *own = units_of(m), *column, *said;
	size_t number, rest;
	bool each = stated != NULL && strcmp(stated, UNIT_CELL) == 0;

	said = unit_in_cell(m, cell, len, &number, &rest);
	column = stated == NULL ? own : each ? said : unit_of_code(m, stated);
	if (number == 0) {
		text_add(to, cell, len);
		return true;
	}
	if (rest < len && said == NULL) {
		return refuse(cell, len, "has something behind its number that is no unit of ",
			m->title, why);
	}
	if (column == NULL) {
		return refuse(cell, len, "names no unit, and each cell of this column has to", "", why);
	}
	if (said != NULL && said != column) {
		return refuse(cell, len, "names another unit than its column, which is in ", column->title,
			why);
	}
	if (column->factor != 0) {
		add_scaled(column, cell, number, decimal, to);
	} else if (column->power != 0) {
		add_shifted(cell, number, column->power, to);
	} else {
		text_add(to, cell, number);
	}
	return true;
}
