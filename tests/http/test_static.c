#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "case.h"
#include "http/static.h"

static char root[] = "/tmp/test-static-XXXXXX";

static void put(const char *name, const char *bytes, size_t len)
{
	char path[200];
	FILE *f;

	snprintf(path, sizeof path, "%s/%s", root, name);
	f = fopen(path, "wb");
	ck_assert_ptr_nonnull(f);
	ck_assert_uint_eq(fwrite(bytes, 1, len, f), len);
	fclose(f);
}

static void folder(const char *name)
{
	char path[200];

	snprintf(path, sizeof path, "%s/%s", root, name);
	ck_assert_int_eq(mkdir(path, 0700), 0);
}

static const char *const names[] = { "due.html", "empty.css", "js/due-AB12CD34.js", "js/due-ab12cd34.js",
	"js/parts/badge.js", "rules.wasm", "with space.html", ".hidden" };

static void make_files(void)
{
	char long_text[3000];

	memset(long_text, 'a', sizeof long_text);
	ck_assert_ptr_nonnull(mkdtemp(root));
	folder("js");
	folder("js/parts");
	for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
		put(names[i], long_text, strcmp(names[i], "empty.css") == 0 ? 0 : sizeof long_text - i);
	}
	put("tiny.txt", "x", 1);
}

static void remove_files(void)
{
	char path[200];
	static const char *const others[] = { "tiny.txt", "js/parts", "js", "" };

	for (size_t i = 0; i < sizeof names / sizeof names[0]; i++) {
		snprintf(path, sizeof path, "%s/%s", root, names[i]);
		ck_assert_int_eq(remove(path), 0);
	}
	for (size_t i = 0; i < sizeof others / sizeof others[0]; i++) {
		snprintf(path, sizeof path, "%s/%s", root, others[i]);
		ck_assert_int_eq(remove(path), 0);
	}
}

START_TEST(serves_what_the_folder_holds_and_nothing_else)
{
	static const char *const absent[] = { "/", "", "due.html", "/due", "/js", "/js/", "/.hidden",
		"/with space.html", "/js/../due.html", "/etc/passwd", "/JS/parts/badge.js" };
	struct problem why = { 0 };
	struct static_files *files;
	struct request req = { .accept_gzip = true };
	struct request plain = { 0 };
	struct reply out = { 0 };
	char etag[80];

	make_files();
	files = static_files_load(root, &why);
	remove_files();
	ck_assert_msg(files != NULL, "%s", why.detail);
	for (size_t i = 0; i < sizeof absent / sizeof absent[0]; i++) {
		ck_assert_msg(!static_files_get(files, absent[i], &req, &out), "%s", absent[i]);
	}

	ck_assert(static_files_get(files, "/due.html", &plain, &out));
	ck_assert_int_eq(out.status, 200);
	ck_assert_str_eq(out.type, "text/html; charset=utf-8");
	ck_assert_str_eq(out.cache, "no-cache");
	ck_assert_uint_eq(out.fixed_len, 3000);
	ck_assert(!out.fixed_gzip);
	snprintf(etag, sizeof etag, "%s", out.etag);

	plain.if_none_match = etag;
	out = (struct reply){ 0 };
	ck_assert(static_files_get(files, "/due.html", &plain, &out));
	ck_assert_int_eq(out.status, 304);
	ck_assert_ptr_null(out.fixed);

	out = (struct reply){ 0 };
	ck_assert(static_files_get(files, "/due.html", &req, &out));
	ck_assert(out.fixed_gzip);
	ck_assert_uint_lt(out.fixed_len, 100);
	ck_assert_str_ne(out.etag, etag); /* other bytes, other strong tag */

	out = (struct reply){ 0 };
	ck_assert(static_files_get(files, "/js/due-AB12CD34.js", &req, &out));
	ck_assert_ptr_nonnull(strstr(out.cache, "immutable"));
	ck_assert(static_files_get(files, "/js/due-ab12cd34.js", &req, &out));
	ck_assert_str_eq(out.cache, "no-cache");
	ck_assert(static_files_get(files, "/js/parts/badge.js", &req, &out));
	ck_assert(static_files_get(files, "/rules.wasm", &req, &out));
	ck_assert_str_eq(out.type, "application/wasm");

	out = (struct reply){ 0 };
	ck_assert(static_files_get(files, "/tiny.txt", &req, &out)); /* gzip would make it longer */
	ck_assert(!out.fixed_gzip);
	ck_assert_uint_eq(out.fixed_len, 1);
	ck_assert(static_files_get(files, "/empty.css", &req, &out));
	ck_assert_uint_eq(out.fixed_len, 0);
	static_files_free(files);
}
END_TEST

START_TEST(names_a_folder_that_is_not_there)
{
	struct problem why = { 0 };

	ck_assert_ptr_null(static_files_load("/nowhere/at-all", &why));
	ck_assert_ptr_nonnull(strstr(why.detail, "/nowhere/at-all"));
	static_files_free(NULL);
}
END_TEST

int main(void)
{
	const TTest *const tests[] = { serves_what_the_folder_holds_and_nothing_else,
		names_a_folder_that_is_not_there, NULL };

	return case_run("static", tests);
}
