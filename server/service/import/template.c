#include "service/import/template.h"

#include <string.h>

#include "base/utf8.h"

static bool refuse(const char *text, const char *what, struct problem *why)
{
	return problem_set(why, PROBLEM_VALUE, "columns", "The template \"%.80s\" %s.", text, what);
}

/* Cuts ":prefix", ":rest", ":joined", ":3" or ":cm" off a heading. */
static void read_heading(struct template_piece *piece)
{
	static const struct { const char *end; enum template_what what; const char *unit; } parts[] = {
		{ ":prefix", TEMPLATE_PREFIX, NULL }, { ":rest", TEMPLATE_REST, NULL },
		{ ":joined", TEMPLATE_JOINED, NULL }, { ":km", TEMPLATE_LENGTH, "km" },
		{ ":m", TEMPLATE_LENGTH, "m" }, { ":cm", TEMPLATE_LENGTH, "cm" },
		{ ":mm", TEMPLATE_LENGTH, "mm" }, { ":mi", TEMPLATE_LENGTH, "mi" },
		{ ":yd", TEMPLATE_LENGTH, "yd" }, { ":ft", TEMPLATE_LENGTH, "ft" } };
	const char *end = piece->text + piece->len;

	piece->what = TEMPLATE_CELL;
	if (piece->len > 2 && end[-2] == ':' && end[-1] >= '1' && end[-1] <= '9') {
		piece->what = TEMPLATE_DIGITS;
		piece->digits = (size_t)(end[-1] - '0');
		piece->len -= 2;
	}
	for (size_t i = 0; i < sizeof parts / sizeof parts[0]; i++) {
		size_t len = strlen(parts[i].end);

		if (piece->len > len && memcmp(end - len, parts[i].end, len) == 0) {
			piece->what = parts[i].what;
			piece->unit = parts[i].unit;
			piece->len -= len;
			break;
		}
	}
	utf8_trim(&piece->text, &piece->len);
}

/* One piece at *at; false: the template is wrong. */
static bool read_piece(const char *whole, const char **at, struct template_piece *piece,
	struct problem *why)
{
	const char *start = *at;

	if (start[0] == '{' && start[1] != '{') {
		size_t len = strcspn(start + 1, "{}");

		*piece = (struct template_piece){ .text = start + 1, .len = len };
		if (start[1 + len] != '}') {
			return refuse(whole, "has an opening brace without its closing one", why);
		}
		*at = start + len + 2;
		read_heading(piece);
		return piece->len > 0 || refuse(whole, "has braces with no heading in them", why);
	}
	if (start[0] == '}' && start[1] != '}') {
		return refuse(whole, "has a closing brace without an opening one", why);
	}
	if (start[0] == '{' || start[0] == '}') {
		*piece = (struct template_piece){ .what = TEMPLATE_TEXT, .text = start, .len = 1 };
		*at = start + 2;
		return true;
	}
	*piece = (struct template_piece){ .what = TEMPLATE_TEXT, .text = start,
		.len = strcspn(start, "{}") };
	*at = start + piece->len;
	return true;
}

size_t template_parse(const char *text, struct template_piece to[TEMPLATE_PIECES],
	struct problem *why)
{
	const char *at = text;
	size_t n = 0;
	bool has_column = false;

	while (*at != '\0') {
		if (n == TEMPLATE_PIECES) {
			refuse(text, "has too many pieces", why);
			return 0;
		}
		if (!read_piece(text, &at, &to[n], why)) {
			return 0;
		}
		has_column = has_column || to[n].what != TEMPLATE_TEXT;
		n++;
	}
	if (!has_column) {
		refuse(text, "names no column: give a constant", why);
		return 0;
	}
	return n;
}

static bool is_digit(char c)
{
	return c >= '0' && c <= '9';
}

static bool is_space(char c)
{
	return c == ' ' || (c >= '\t' && c <= '\r');
}

static bool is_letter(char c)
{
	return (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z') || (unsigned char)c >= 0x80;
}

/* Bytes of the hyphen, minus or dash that the text begins with, 0: none. */
static size_t dash_bytes(const char *text, size_t len)
{
	static const char *const dashes[] = { "-", "\xE2\x88\x92", "\xE2\x80\x93", "\xE2\x80\x90" };

	for (size_t i = 0; i < sizeof dashes / sizeof dashes[0]; i++) {
		size_t bytes = strlen(dashes[i]);

		if (len >= bytes && memcmp(text, dashes[i], bytes) == 0) {
			return bytes;
		}
	}
	return 0;
}

void template_split(const char *cell, size_t len, size_t *prefix_len, size_t *rest_start)
{
	size_t at = 0;

	*prefix_len = 0;
	while (at < len) {
		size_t dash = dash_bytes(cell + at, len - at);

		if (dash > 0 && *prefix_len > 0) {
			at += dash;
		} else if (dash == 0 && is_letter(cell[at])) {
			*prefix_len = ++at;
		} else if (is_space(cell[at])) {
			at++;
		} else {
			break;
		}
	}
	*rest_start = at;
}

const char *template_rest_fault(const char *cell, size_t len)
{
	size_t prefix, rest;

	template_split(cell, len, &prefix, &rest);
	for (size_t i = prefix; i < rest; i++) {
		if (!is_space(cell[i])) {
			return "has a hyphen between its letters and its number, which may be a minus or only "
				"join them";
		}
	}
	return NULL;
}

const char *template_add_digits(struct text *to, size_t digits, bool close, const char *cell,
	size_t len)
{
	size_t whole = 0, at;

	while (whole < len && is_digit(cell[whole])) {
		whole++;
	}
	at = whole;
	if (at < len && (cell[at] == '.' || cell[at] == ',')) {
		at++;
		while (at < len && is_digit(cell[at])) {
			at++;
		}
	}
	if (len == 0) {
		return "is empty where a number is to be joined";
	}
	if (whole == 0 || at != len) {
		return "is no plain number, and its digits are to be filled up";
	}
	if (close && whole > digits) {
		return "has more digits than the template gives it";
	}
	for (size_t n = whole; n < digits; n++) {
		text_add_char(to, '0');
	}
	text_add(to, cell, len);
	return NULL;
}

bool template_is_close(enum template_what before, const char *text, size_t len)
{
	return before == TEMPLATE_TEXT ? strchr(".,0123456789", text[len - 1]) != NULL :
		before != TEMPLATE_PREFIX;
}

const struct template_piece *template_loose(const struct template_piece *pieces, size_t count)
{
	for (size_t i = 1; i < count; i++) {
		if (pieces[i].what == TEMPLATE_CELL &&
			template_is_close(pieces[i - 1].what, pieces[i - 1].text, pieces[i - 1].len)) {
			return &pieces[i];
		}
	}
	return NULL;
}

void template_add(struct text *to, size_t begin, const char *text, size_t len)
{
	for (size_t i = 0; i < len; i++) {
		if (!is_space(text[i])) {
			text_add_char(to, text[i]);
		} else if (to->len > begin && to->data[to->len - 1] != ' ') {
			text_add_char(to, ' ');
		}
	}
}

void template_trim(struct text *to, size_t begin)
{
	if (!to->failed && to->len > begin && to->data[to->len - 1] == ' ') {
		to->data[--to->len] = '\0';
	}
}
