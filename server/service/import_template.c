#include "service/import_template.h"

#include <string.h>

#include "base/utf8.h"

static bool refuse(const char *text, const char *what, struct problem *why)
{
	return problem_set(why, PROBLEM_VALUE, "columns", "The template \"%.80s\" %s.", text, what);
}

/* Cuts ":prefix" or ":rest" off a heading. */
static void read_heading(struct template_piece *piece)
{
	static const struct { const char *end; enum template_what what; } parts[] = {
		{ ":prefix", TEMPLATE_PREFIX }, { ":rest", TEMPLATE_REST } };

	piece->what = TEMPLATE_CELL;
	for (size_t i = 0; i < 2; i++) {
		size_t end = strlen(parts[i].end);

		if (piece->len > end && memcmp(piece->text + piece->len - end, parts[i].end, end) == 0) {
			piece->what = parts[i].what;
			piece->len -= end;
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
		*piece = (struct template_piece){ TEMPLATE_TEXT, start, 1 };
		*at = start + 2;
		return true;
	}
	*piece = (struct template_piece){ TEMPLATE_TEXT, start, strcspn(start, "{}") };
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

static bool is_space(char c)
{
	return c == ' ' || (c >= '\t' && c <= '\r');
}

static bool is_letter(char c)
{
	return (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z') || (unsigned char)c >= 0x80;
}

void template_split(const char *cell, size_t len, size_t *prefix_len, size_t *rest_start)
{
	size_t at = 0;

	*prefix_len = 0;
	while (at < len && (is_letter(cell[at]) || is_space(cell[at]) ||
		(cell[at] == '-' && *prefix_len > 0))) {
		at++;
		if (is_letter(cell[at - 1])) {
			*prefix_len = at;
		}
	}
	*rest_start = at;
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
