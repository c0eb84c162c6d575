/* Which passwords may be chosen. The examples are ours; the worst are on each list of leaked ones. */
#include <string.h>

#include "case.h"
#include "service/access/password.h"
#include "service/railway.h"

static const struct { const char *password; bool fits; } rows[] = {
	{ "ninety nine sleepers", true }, { "correct horse battery staple", true },
	{ "zug faehrt nach sueden", true }, { "x7!kQpz0wd", true },
	/* ten characters, whatever they are: nine are too few, also where they take more bytes */
	{ "vkwpmrtzgb", true }, { "vkwpmrtzg", false },
	{ "\xC3\xA4\xC3\xB6\xC3\xBC\xC3\xA9\xC3\xA8\xC3\xA0\xC3\xB1\xC3\xA7\xC3\xB8", false },
	{ "\xC3\xA4\xC3\xB6\xC3\xBC\xC3\xA9\xC3\xA8\xC3\xA0\xC3\xB1\xC3\xA7\xC3\xB8\xC3\xA5", true },
	/* common words, with marks for letters and figures behind them */
	{ "password123", false }, { "P@ssw0rd2026", false }, { "Passwort!!!", false },
	{ "Welcome2026!", false }, { "Summer2026!!", false }, { "bondbook2026", false },
	{ "railwaytrain1", false }, { "password wild geese", true }, { "Letmein123!", false },
	{ "iloveyou123", false },
	/* in a row */
	{ "1234567890", false }, { "0987654321", false }, { "abcdefghij", false },
	{ "qwertyuiop", false }, { "asdfghjkl1", false }, { "aaaaaaaaaaaa", false }, { "111222333444", false },
	/* of other languages, names and days */
	{ "motdepasse12", false }, { "geheim2026!", false }, { "jennifer1987", false },
	{ "14.03.1987!!", false },
	/* the railway's own: its line is the Vale line, VAL */
	{ "valeline2026", false }, { "Vale-Line-1", false }, { "vale of grey wagtails", true },
	/* the person's own */
	{ "andrea-kuhn-1", false }, { "AndreaKuhn99", false }, { "kuhn.andrea!", false },
	{ "andrea likes grey fog", true },
};

START_TEST(what_anybody_would_guess_is_refused)
{
	struct password_names names = { 0 };
	struct problem trouble = { 0 };
	struct railway r;

	railway_make(&r, "2026-03-31");
	ck_assert(password_names_read(r.store, "a.kuhn", "Andrea Kuhn", &names, &trouble));
	for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
		struct problems why = { 0 };

		ck_assert_msg(password_fits(rows[i].password, &names, "new_password", &why) == rows[i].fits,
			"%s", rows[i].password);
		if (!rows[i].fits) {
			ck_assert_str_eq(why.item[0].field, "new_password");
		}
	}
	password_names_release(&names);
	railway_remove(&r);
}
END_TEST

START_TEST(two_hundred_bytes_are_taken_and_one_more_is_not)
{
	static char text[202];
	const struct password_names none = { 0 };
	struct problems why = { 0 };

	for (size_t i = 0; i < 201; i++) {
		text[i] = (char)('a' + i * i * 7 % 23);
	}
	ck_assert(!password_fits(text, &none, "password", &why));
	text[200] = '\0';
	ck_assert(password_fits(text, &none, "password", &why));
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { what_anybody_would_guess_is_refused,
		two_hundred_bytes_are_taken_and_one_more_is_not, NULL };

	return case_run("password", tests);
}
