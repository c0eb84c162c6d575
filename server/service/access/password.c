#include "service/access/password.h"

#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"

enum { LEAST_LEFT = 6, LEAST_WORD = 3, TEXT_MOST = PASSWORD_MOST_BYTES + 1 };

/* From memory: words that lists of leaked passwords are full of, and those of this place. */
static const char *const common[] = { "password", "passwort", "passwd", "motdepasse", "contrasena",
	"parole", "haslo", "letmein", "welcome", "willkommen", "bienvenue", "administrator", "admin",
	"qwertyuiop", "qwertz", "qwerty", "azerty", "asdfgh", "zxcvbn", "iloveyou", "sunshine",
	"princess", "football", "baseball", "monkey", "dragon", "master", "shadow", "superman", "batman", "trustno",
	"michael", "charlie", "jordan", "secret", "geheim", "login", "user", "test", "guest", "demo",
	"changeme", "default", "root", "hello", "hallo", "summer", "sommer", "winter", "spring",
	"autumn", "january", "february", "march", "april", "june", "july", "august", "september", "october",
	"november", "december", "monday", "friday", "love", "abc",
	"bondbook", "railway", "railroad", "eisenbahn", "train", "bond" };

static const char *const rows[] = { "abcdefghijklmnopqrstuvwxyz", "01234567890", "qwertyuiop",
	"qwertzuiop", "azertyuiop", "asdfghjkl", "qsdfghjklm", "zxcvbnm", "yxcvbnm", "wxcvbn" };

/* ASCII letters small, and a digit or mark for the letter that it is put for. */
static char plain(char c)
{
	static const char marks[] = "0134578@$!|+", letters[] = "oleastbasiit";
	const char *at = c != '\0' ? strchr(marks, c) : NULL;

	return at != NULL ? letters[at - marks] : c >= 'A' && c <= 'Z' ? (char)(c + ('a' - 'A')) : c;
}

/* Blanks out a word wherever it stands, in `text` made plain; `left` are the same places. */
static void take_word(const char *text, const char *word, size_t len, char *left)
{
	for (size_t at = 0; len >= LEAST_WORD && strlen(text + at) >= len; at++) {
		if (memcmp(text + at, word, len) == 0) {
			memset(left + at, ' ', len);
		}
	}
}

/* The words of a name or sign-in name, each. */
static void take_words(const char *text, const char *words, char *left)
{
	char small[TEXT_MOST];
	size_t len = 0;

	for (const char *c = words; len + 1 < sizeof small; c++) {
		if (*c != '\0' && strchr(" .-_@,'", *c) == NULL) {
			small[len++] = plain(*c);
			continue;
		}
		take_word(text, small, len, left);
		len = 0;
		if (*c == '\0') {
			return;
		}
	}
}

static bool follows_in_row(char a, char b)
{
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		const char *at = strchr(rows[i], a);

		if (at != NULL && *at != '\0' && (at[1] == b || (at > rows[i] && at[-1] == b))) {
			return true;
		}
	}
	return false;
}

/* Of a run only its first character says anything. */
static void take_runs(const char *small, char *left)
{
	for (size_t i = 1; small[i] != '\0'; i++) {
		if (small[i] == small[i - 1] || follows_in_row(small[i - 1], small[i])) {
			left[i] = ' ';
		}
	}
}

/* Characters that are left: ASCII's but blanks, and whole ones of others. */
static size_t count_left(const char *left)
{
	size_t n = 0;

	for (const unsigned char *c = (const unsigned char *)left; *c != '\0'; c++) {
		n += *c > ' ' && (*c & 0xC0) != 0x80;
	}
	return n;
}

bool password_fits(const char *password, const char *login, const char *name, const char *field,
	struct problems *why)
{
	size_t len = strlen(password);
	char text[TEXT_MOST], small[TEXT_MOST], left[TEXT_MOST];

	if (len > PASSWORD_MOST_BYTES || utf8_count(password, len) < PASSWORD_LEAST) {
		return problems_add(why, PROBLEM_VALUE, field, "A password has at least %d characters, and "
			"no more than %d bytes.", PASSWORD_LEAST, PASSWORD_MOST_BYTES);
	}
	for (size_t i = 0; i <= len; i++) {
		char c = password[i];

		text[i] = plain(c);
		small[i] = c >= 'A' && c <= 'Z' ? (char)(c + ('a' - 'A')) : c;
	}
	memcpy(left, small, len + 1);
	for (size_t i = 0; i < sizeof common / sizeof common[0]; i++) {
		take_word(text, common[i], strlen(common[i]), left);
	}
	take_words(text, login, left);
	take_words(text, name, left);
	take_runs(small, left);
	return count_left(left) >= LEAST_LEFT || problems_add(why, PROBLEM_VALUE, field,
		"Anybody would guess that one: it is made of common words, your own name, or characters in "
		"a row. Take a few words that have nothing to do with one another.");
}
