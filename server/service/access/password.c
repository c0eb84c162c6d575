#include "service/access/password.h"

#include <stdlib.h>
#include <string.h>
#include <zxcvbn.h>

#include "base/utf8.h"
#include "store/record/line.h"

/* Bits of what has to be guessed, by the estimator: 2^33 is about 10^10 tries. Marks between words
 * tell less than it takes them for, so without them there are four million still. */
static const double LEAST_BITS = 33.0, LEAST_BITS_PLAIN = 22.0;

static const char marks[] = " .-_@,'()/";

enum { SHORTEST_NAME = 3 };

/* From memory: words of other languages than its lists are of, and this trade's. */
static const char others[] = "bondbook cable bond rail railway railroad eisenbahn bahn kolej "
	"chemin ferrocarril passwort kennwort geheim hallo willkommen motdepasse bonjour bienvenue contrasena "
	"hola bienvenido haslo witaj slaptazodis parole parola wachtwoord welkom losenord salasana "
	"adgangskode jelszo heslo administrator sommer winter herbst januar februar mai juni juli";

/* Each word of a text, ASCII letters small. What is too short says nothing. */
static void take_words(const char *text, struct password_names *to)
{
	while (*text != '\0') {
		size_t len = strcspn(text, marks);

		if (len >= SHORTEST_NAME) {
			for (size_t i = 0; i < len; i++) {
				text_add_char(&to->words, (char)(text[i] >= 'A' && text[i] <= 'Z' ?
					text[i] + ('a' - 'A') : text[i]));
			}
			text_add(&to->words, "", 1);
			to->count++;
		}
		text += len + (text[len] != '\0');
	}
}

bool password_names_read(struct store *store, const char *login, const char *name,
	struct password_names *to, struct problem *why)
{
	int64_t id = 0;
	struct line line;

	take_words(login, to);
	take_words(name, to);
	take_words(others, to);
	for (;;) {
		if (!store_line_next(store, id, &id, why)) {
			return false;
		}
		if (id == 0) {
			break;
		}
		if (!store_line_get(store, id, &line, why)) {
			return false;
		}
		take_words(line.code, to);
		take_words(line.name, to);
	}
	return !to->words.failed || problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
}

void password_names_release(struct password_names *names)
{
	text_release(&names->words);
	*names = (struct password_names){ 0 };
}

/* NULL: no memory. */
static const char **list_of(const struct password_names *names)
{
	const char **list = calloc(names->count + 1, sizeof *list);
	const char *word = names->words.data;

	for (size_t i = 0; list != NULL && i < names->count; i++) {
		list[i] = word;
		word += strlen(word) + 1;
	}
	return list;
}

bool password_fits(const char *password, const struct password_names *names, const char *field,
	struct problems *why)
{
	size_t len = strlen(password);
	char plain[PASSWORD_MOST_BYTES + 1];
	const char **list;
	bool ok;

	if (len > PASSWORD_MOST_BYTES || utf8_count(password, len) < PASSWORD_LEAST) {
		return problems_add(why, PROBLEM_VALUE, field, "A password has at least %d characters, and "
			"no more than %d bytes.", PASSWORD_LEAST, PASSWORD_MOST_BYTES);
	}
	list = list_of(names);
	if (list == NULL) {
		return problems_add(why, PROBLEM_NO_MEMORY, NULL, "Out of memory: send it again.");
	}
	for (size_t i = len = 0; password[i] != '\0'; i++) {
		plain[len] = password[i];
		len += strchr(marks, password[i]) == NULL;
	}
	plain[len] = '\0';
	ok = ZxcvbnMatch(password, list, NULL) >= LEAST_BITS &&
		ZxcvbnMatch(plain, list, NULL) >= LEAST_BITS_PLAIN;
	free(list);
	return ok || problems_add(why, PROBLEM_VALUE, field,
		"That one would be guessed early: it is made of common words, names from here, a date, or "
		"characters in a row. Take a few words that have nothing to do with one another.");
}
