/* Reads a chainage by its notation alone: one function per notation over a cleaned text. */
#include "rules/place/chainage.h"

#include <string.h>

#include "base/utf8.h"
#include "rules/place/chainage_units.h"

enum { CLEAN_SIZE = 64, DIGITS_MOST = 9, SHOWN_MOST = 40 };

struct scan {
	const char *at;
	const char *end;
};

/* Digits with an optional decimal mark: "12", "12.", ".3", "0104,50". */
struct number {
	int64_t whole;
	int64_t fraction;     /* the digits after the mark as a number */
	int64_t scale;        /* 10 to the power of their count */
	int whole_digits;
	int fraction_digits;
	bool has_mark;
};

/* What the parsers of the notations fill in. */
struct reading {
	bool negative;
	int64_t post_mm;
	int64_t offset_mm;
	const char *fault;    /* set when something better can be said than how it is written */
};

static bool is_digit(char c)
{
	return c >= '0' && c <= '9';
}

static bool is_letter(char c)
{
	return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

static void skip_space(struct scan *s)
{
	while (s->at < s->end && *s->at == ' ') {
		s->at++;
	}
}

static bool is_at_end(struct scan *s)
{
	skip_space(s);
	return s->at == s->end;
}

static bool take_char(struct scan *s, char c)
{
	skip_space(s);
	if (s->at == s->end || *s->at != c) {
		return false;
	}
	s->at++;
	return true;
}

/* Digits where the scan stands; false when they are too many. */
static bool take_digits(struct scan *s, int64_t *value, int *digits)
{
	*value = 0;
	*digits = 0;
	for (; s->at < s->end && is_digit(*s->at); s->at++) {
		if (++*digits > DIGITS_MOST) {
			return false;
		}
		*value = *value * 10 + (*s->at - '0');
	}
	return true;
}

static bool take_number(struct scan *s, struct number *n)
{
	*n = (struct number){ .scale = 1 };
	skip_space(s);
	if (!take_digits(s, &n->whole, &n->whole_digits)) {
		return false;
	}
	if (s->at < s->end && (*s->at == '.' || *s->at == ',')) {
		n->has_mark = true;
		s->at++;
		if (!take_digits(s, &n->fraction, &n->fraction_digits)) {
			return false;
		}
	}
	for (int i = 0; i < n->fraction_digits; i++) {
		n->scale *= 10;
	}
	return n->whole_digits + n->fraction_digits > 0;
}

static bool take_integer(struct scan *s, int64_t *value)
{
	int digits;

	skip_space(s);
	return take_digits(s, value, &digits) && digits > 0;
}

/* The letters where the scan stands are one of the words, which are parted by a space. */
static bool take_word(struct scan *s, const char *words)
{
	const char *start;
	size_t len;

	skip_space(s);
	start = s->at;
	while (s->at < s->end && is_letter(*s->at)) {
		s->at++;
	}
	len = (size_t)(s->at - start);
	for (const char *w = words; len > 0 && *w != '\0'; w += *w == ' ') {
		const char *next = strchr(w, ' ');
		size_t word_len = next != NULL ? (size_t)(next - w) : strlen(w);
		size_t same = 0;

		while (same < len && same < word_len && (start[same] | 0x20) == w[same]) {
			same++;
		}
		if (same == len && same == word_len) {
			return true;
		}
		w += word_len;
	}
	s->at = start;
	return false;
}

/* A number of a unit in millimetres, halves up. Whole and fraction apart: no overflow. */
static int64_t number_mm(const struct number *n, int64_t unit_mm)
{
	return n->whole * unit_mm + (n->fraction * unit_mm * 2 + n->scale) / (n->scale * 2);
}

/* "12+345", "000-428", "-0+150"; hectometre: "172,9 + 16", "-0,0 + -73". */
static bool parse_post_and_metres(struct scan *s, bool hectometre, struct reading *r)
{
	struct number post, metres;
	bool minus;

	if (!take_number(s, &post) || post.whole_digits == 0) {
		return false;
	}
	if (post.has_mark != hectometre || (hectometre && post.fraction_digits != 1)) {
		return false;
	}
	r->post_mm = number_mm(&post, 1000000);
	minus = take_char(s, '-');
	if (minus && (r->negative || r->post_mm != 0)) {
		r->fault = "the minus between the numbers is only for places before zero, as in 000-428";
		return false;
	}
	if (!minus && !take_char(s, '+')) {
		return false;
	}
	if (!minus && take_char(s, '-') && !r->negative) {
		r->fault = "before zero the first number has the minus, as in -0,0 + -73";
		return false;
	}
	if (!take_number(s, &metres) || metres.whole_digits == 0) {
		return false;
	}
	take_word(s, "m");
	r->negative = r->negative || minus;
	r->offset_mm = number_mm(&metres, 1000);
	return true;
}

static bool parse_km(struct scan *s, struct reading *r)
{
	struct number km;

	if (!take_number(s, &km)) {
		return false;
	}
	take_word(s, "km");
	r->offset_mm = number_mm(&km, 1000000);
	return true;
}

static bool parse_m(struct scan *s, struct reading *r)
{
	struct number m;

	if (!take_number(s, &m)) {
		return false;
	}
	if (m.fraction_digits == 3 && m.whole > 0 && m.whole_digits <= 3) {
		r->fault = "the mark may part thousands or decimals: write 12345 or 12.3450";
		return false;
	}
	take_word(s, "m");
	r->offset_mm = number_mm(&m, 1000);
	return true;
}

static bool parse_miles(struct scan *s, struct reading *r)
{
	struct number miles;

	if (!take_number(s, &miles)) {
		return false;
	}
	take_word(s, "mi mile miles");
	r->offset_mm = miles.whole * MILE_MM +
		mile_part_mm(mile_part_of(NOTATION_MILES), miles.fraction, miles.scale);
	return true;
}

/* What follows the miles as parts of a mile: adds them, or says why there are too many. */
static bool add_part(int64_t count, int64_t scale, const struct mile_part *part, struct reading *r)
{
	if (count >= part->per_mile * scale) {
		r->fault = part->per_mile == 80 ? "a mile has 80 chains, so they go up to 79" :
			"a mile has 1760 yards, so they go up to 1759";
		return false;
	}
	r->offset_mm += mile_part_mm(part, count, scale);
	return true;
}

/* "5m 40ch", "12m 34ch 50lk": a link is the hundredth of a chain. */
static bool parse_named_chains(struct scan *s, struct reading *r)
{
	const struct mile_part *part = mile_part_of(NOTATION_MILES_CHAINS);
	struct number chains;
	int64_t links;

	if (!take_number(s, &chains) || !take_word(s, "c ch chs chain chains")) {
		return false;
	}
	if (is_at_end(s) || chains.has_mark) {
		return add_part(chains.whole * chains.scale + chains.fraction, chains.scale, part, r);
	}
	if (!take_integer(s, &links) || !take_word(s, "l lk lks link links")) {
		return false;
	}
	if (links >= 100) {
		r->fault = "a chain has 100 links, so they go up to 99";
		return false;
	}
	return add_part(chains.whole * 100 + links, 100, part, r);
}

static bool parse_named_yards(struct scan *s, struct reading *r)
{
	struct number yards;

	if (!take_number(s, &yards) || !take_word(s, "y yd yds yard yards")) {
		return false;
	}
	return add_part(yards.whole * yards.scale + yards.fraction, yards.scale,
		mile_part_of(NOTATION_MILES_YARDS), r);
}

/* "5.40": always two digits, since a lost zero would make 40 chains of 4. "5.0880": four digits
 * of yards, and zeros lost at the end can be put back. */
static bool parse_mile_parts(struct scan *s, enum notation notation, struct reading *r)
{
	bool chains = notation == NOTATION_MILES_CHAINS;
	struct number n;

	if (!take_number(s, &n) || n.whole_digits == 0) {
		return false;
	}
	r->offset_mm = n.whole * MILE_MM;
	if (n.has_mark && chains && n.fraction_digits != 2) {
		r->fault = "chains after the point have two digits, as in 5.04 or 5.40";
		return false;
	}
	if (n.has_mark && (n.fraction_digits < 1 || n.fraction_digits > 4)) {
		r->fault = "yards after the point have four digits, as in 5.0880";
		return false;
	}
	if (n.has_mark) {
		return add_part(chains ? n.fraction : n.fraction * (10000 / n.scale), 1,
			mile_part_of(notation), r);
	}
	if (!take_word(s, "m mi mile miles") || is_at_end(s)) {
		return true;
	}
	return chains ? parse_named_chains(s, r) : parse_named_yards(s, r);
}

/* "MP", "km" ...; any other letters before the number are part of the place's identity. */
static bool take_prefix(struct scan *s, enum notation notation, struct reading *r)
{
	skip_space(s);
	if (s->at == s->end || !is_letter(*s->at)) {
		return true;
	}
	if (notation != NOTATION_M &&
		take_word(s, mile_part_of(notation) != NULL ? "mp milepost mile" : "km pk")) {
		return true;
	}
	r->fault = "letters before the number do not belong to it; a prefix that tells places apart"
		" belongs to the line's code";
	return false;
}

static bool parse_clean(struct scan *s, enum notation notation, struct reading *r)
{
	if (!take_prefix(s, notation, r)) {
		return false;
	}
	r->negative = take_char(s, '-');
	switch (notation) {
	case NOTATION_KM_M:
		return parse_post_and_metres(s, false, r);
	case NOTATION_HM_M:
		return parse_post_and_metres(s, true, r);
	case NOTATION_KM:
		return parse_km(s, r);
	case NOTATION_M:
		return parse_m(s, r);
	case NOTATION_MILES_CHAINS:
	case NOTATION_MILES_YARDS:
		return parse_mile_parts(s, notation, r);
	case NOTATION_MILES:
		return parse_miles(s, r);
	}
	return false;
}

/* Takes " #2" off the end. */
static bool cut_qualifier(struct scan *s, struct chainage *label, struct reading *r)
{
	const char *mark = memchr(s->at, '#', (size_t)(s->end - s->at));
	struct scan after;
	int64_t value;

	if (mark == NULL) {
		return true;
	}
	after = (struct scan){ mark + 1, s->end };
	s->end = mark;
	if (!take_integer(&after, &value) || !is_at_end(&after) || value < 1 ||
		value > LINE_MAP_MOST) {
		r->fault = "after # comes the number of the place, counted from 1";
		return false;
	}
	label->qualifier = (int)value;
	return true;
}

/* Characters that stand for a space or a minus; 0: itself. */
static char plain_char(const char *text, size_t len)
{
	static const struct { const char *from; char to; } plain[] = {
		{ "\t", ' ' }, { "\xC2\xA0", ' ' }, { "\xE2\x80\x89", ' ' }, { "\xE2\x80\xAF", ' ' },
		{ "\xE2\x88\x92", '-' }, { "\xE2\x80\x93", '-' }
	};

	for (size_t i = 0; i < sizeof plain / sizeof plain[0]; i++) {
		if (strlen(plain[i].from) == len && memcmp(plain[i].from, text, len) == 0) {
			return plain[i].to;
		}
	}
	return 0;
}

/* Copies with plain spaces and minus signs; false when it is too long or not valid UTF-8. */
static bool clean(const char *text, size_t len, char *to, size_t *to_len)
{
	size_t n = 0;

	while (len > 0) {
		size_t step = utf8_step(text, len);
		char c = step > 0 ? plain_char(text, step) : 0;

		if (step == 0 || n + 4 > CLEAN_SIZE) {
			return false;
		}
		if (c != 0) {
			to[n++] = c;
		} else {
			memcpy(to + n, text, step);
			n += step;
		}
		text += step;
		len -= step;
	}
	*to_len = n;
	return true;
}

/* What the person typed, safe to show: whole characters, none that controls. */
static void show(const char *text, size_t len, char to[SHOWN_MOST + 4])
{
	size_t n = 0;

	while (len > 0 && n + 4 <= SHOWN_MOST) {
		size_t step = utf8_step(text, len);

		if (step <= 1) {
			to[n++] = step == 1 && text[0] >= ' ' && text[0] < 0x7F ? text[0] : '?';
			step = 1;
		} else {
			memcpy(to + n, text, step);
			n += step;
		}
		text += step;
		len -= step;
	}
	memcpy(to + n, len > 0 ? "..." : "", len > 0 ? 4 : 1);
}

static bool refuse(const char *text, size_t len, enum notation notation, const char *fault,
	struct problem *why)
{
	static const char *const form[] = {
		"kilometres + metres, like 12+345", "hectometres + metres, like 172,9 + 16",
		"kilometres, like 12.345", "metres, like 12345", "miles and chains, like 5m 40ch or 5.40",
		"miles and yards, like 5m 880y or 5.0880", "miles, like 123.45"
	};
	char shown[SHOWN_MOST + 4];

	show(text, len, shown);
	if (fault != NULL) {
		return problem_set(why, PROBLEM_CHAINAGE_SYNTAX, NULL, "\"%s\": %s.", shown, fault);
	}
	return problem_set(why, PROBLEM_CHAINAGE_SYNTAX, NULL,
		"\"%s\" is not a chainage here: write %s.", shown, form[notation]);
}

bool chainage_parse(const char *text, size_t len, enum notation notation,
	struct chainage *label, struct problem *why)
{
	char buffer[CLEAN_SIZE];
	size_t clean_len = 0;
	struct reading r = { 0 };
	struct chainage read = { 0 };
	struct scan s;
	bool ok = clean(text, len, buffer, &clean_len);

	s = (struct scan){ buffer, buffer + clean_len };
	if (ok && is_at_end(&s)) {
		return refuse(text, len, notation, "a chainage is missing", why);
	}
	ok = ok && cut_qualifier(&s, &read, &r) && parse_clean(&s, notation, &r) && is_at_end(&s);
	if (!ok) {
		return refuse(text, len, notation, r.fault, why);
	}
	if (r.post_mm > CHAINAGE_LIMIT_MM || r.offset_mm > CHAINAGE_LIMIT_MM - r.post_mm) {
		return refuse(text, len, notation, "no line is longer than 100,000 km", why);
	}
	read.post_mm = r.negative ? -r.post_mm : r.post_mm;
	read.offset_mm = r.negative ? -r.offset_mm : r.offset_mm;
	*label = read;
	return true;
}
