/*
 * UTF-8 proves itself: text in another encoding is hardly ever valid UTF-8. Between the one-byte
 * encodings the letters decide: in the wrong one, capitals and signs stand in the middle of words.
 */
#include <stdio.h>
#include <string.h>

#include "base/csv_propose.h"
#include "base/utf8.h"

static bool is_lower(char c)
{
	return c >= 'a' && c <= 'z';
}

static bool is_letter(char c)
{
	return is_lower(c) || (c >= 'A' && c <= 'Z');
}

static bool is_special(char c)
{
	return (unsigned char)c >= 0x80;
}

/* Letters of Latin-1 and Latin Extended-A; their small ones. */
static bool is_wide_letter(uint32_t c)
{
	return c >= 0xC0 && c < 0x180 && c != 0xD7 && c != 0xF7;
}

static bool is_wide_capital(uint32_t c)
{
	return is_wide_letter(c) && c < 0xDF;
}

/* Signs that a register's texts hold beside letters: degree, micro, squared, plus-minus ... */
static bool is_usual_sign(uint32_t c)
{
	return c == 0xB0 || c == 0xB5 || c == 0xB1 || c == 0xB2 || c == 0xB3 || c == 0xA7 ||
		(c >= 0xBC && c <= 0xBE) || (c >= 0x2013 && c <= 0x201E) || c == 0x2026 || c == 0x20AC;
}

/* How well one byte beyond ASCII reads between its neighbours. */
static int score_byte(enum charset from, const char *bytes, size_t len, size_t at)
{
	uint32_t c = charset_code_point(from, (unsigned char)bytes[at]);
	char before = at > 0 ? bytes[at - 1] : ' ';
	char after = at + 1 < len ? bytes[at + 1] : ' ';
	bool within = is_letter(before) && is_letter(after);

	if (c == 0) {
		return -20;
	}
	if (is_wide_letter(c)) {
		bool odd = is_wide_capital(c) && is_lower(before);

		return odd ? -2 : is_letter(before) || is_letter(after) ? 2 : 0;
	}
	if (c == 0x2019 && within) {   /* an apostrophe */
		return 2;
	}
	return within || (c >= 0x2500 && c < 0x2600) ? -2 : is_usual_sign(c) ? 1 : 0;
}

/* The word around a byte, as the encoding reads it. */
static void read_word(enum charset from, const char *bytes, size_t len, size_t at, char word[64])
{
	size_t first = at;
	size_t last = at;
	size_t to = 0;

	while (first > 0 && at - first < 7 &&
		(is_letter(bytes[first - 1]) || is_special(bytes[first - 1]))) {
		first--;
	}
	while (last + 1 < len && last - at < 7 &&
		(is_letter(bytes[last + 1]) || is_special(bytes[last + 1]))) {
		last++;
	}
	for (size_t i = first; i <= last; i++) {
		uint32_t c = charset_code_point(from, (unsigned char)bytes[i]);

		to += utf8_put(c != 0 ? c : 0xFFFD, word + to);
	}
	word[to] = '\0';
}

static void choose_one_byte(const char *bytes, size_t len, size_t first, struct csv_choice *choice)
{
	long scores[2] = { 0 };
	long better, worse;
	char as_1252[64], as_850[64];

	for (size_t i = first; i < len; i++) {
		if (is_special(bytes[i])) {
			scores[0] += score_byte(CHARSET_WINDOWS_1252, bytes, len, i);
			scores[1] += score_byte(CHARSET_CP850, bytes, len, i);
		}
	}
	choice->value = scores[1] > scores[0] ? CHARSET_CP850 : CHARSET_WINDOWS_1252;
	better = scores[1] > scores[0] ? scores[1] : scores[0];
	worse = scores[1] > scores[0] ? scores[0] : scores[1];
	choice->sure = better > 0 && better - worse >= 3 ? SURE_LIKELY : SURE_GUESS;
	read_word(CHARSET_WINDOWS_1252, bytes, len, first, as_1252);
	read_word(CHARSET_CP850, bytes, len, first, as_850);
	snprintf(choice->why, sizeof choice->why, "it is not UTF-8; the first special character reads "
		"\"%s\" in Windows-1252 and \"%s\" in code page 850", as_1252, as_850);
}

void charset_propose(const char *bytes, size_t len, struct csv_choice *choice)
{
	size_t first = 0;
	size_t at;

	*choice = (struct csv_choice){ .value = CHARSET_UTF_8, .sure = SURE_CERTAIN };
	if (len >= 3 && memcmp(bytes, "\xEF\xBB\xBF", 3) == 0 && utf8_valid(bytes, len)) {
		snprintf(choice->why, sizeof choice->why, "it begins with the mark of UTF-8");
		return;
	}
	while (first < len && !is_special(bytes[first])) {
		first++;
	}
	if (first == len) {
		snprintf(choice->why, sizeof choice->why,
			"it holds no special characters, so every encoding reads it the same");
		return;
	}
	at = first;
	while (at < len && utf8_step(bytes + at, len - at) > 0) {
		at += utf8_step(bytes + at, len - at);
	}
	if (at == len) {
		snprintf(choice->why, sizeof choice->why,
			"all its special characters are valid UTF-8, which hardly happens by chance");
	} else {
		choose_one_byte(bytes, len, first, choice);
	}
}
