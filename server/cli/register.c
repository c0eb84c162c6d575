/* Commands that look after a register: person, rebuild, check. */
#include <getopt.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <termios.h>
#include <unistd.h>

#include "base/clock.h"
#include "cli/cli.h"
#include "derived/rebuild.h"
#include "service/access/person.h"
#include "service/access/sign_in.h"
#include "store/photo_file.h"

static const char person_usage[] =
	"usage: bondbook person --data DIR --login NAME --name \"FULL NAME\" --role ROLE\n\n"
	"Asks for the password (or reads it from standard input when that is no terminal).\n"
	"ROLE: viewer, crew, planner, manager, administrator. A login that is known gets the new "
	"name,\n"
	"role and password.\n";

struct person_args {
	struct person_new form;
	char password[PASSWORD_MOST_BYTES + 2];
};

static bool hash_password(struct store *store, const struct person_args *a, char *hash,
	struct problems *why)
{
	struct password_names names = { 0 };
	struct problem trouble = { 0 };
	bool ok = password_names_read(store, a->form.login, a->form.name, &names, &trouble) &&
		password_fits(a->password, &names, "password", why) &&
		password_hash(a->password, hash, why);

	problems_take(why, &trouble);
	password_names_release(&names);
	return ok;
}

static bool put_person(struct act *act, void *arg, struct problems *why)
{
	const struct person_args *a = arg;
	struct problem trouble = { 0 };
	struct recorded recorded;
	char hash[PERSON_HASH_SIZE];
	int64_t id;

	if (!hash_password(act->store, a, hash, why)) {
		return false;
	}
	if (!person_of_login(act->store, a->form.login, &id, &trouble)) {
		return act_refuse(why, &trouble, NULL);
	}
	return id != 0 ? person_change(act, id, &a->form, hash, why) :
		person_register(act, &a->form, hash, &recorded, why);
}

/* Never from the command line, where other users of the machine could read it. */
static bool ask_password(char *to, size_t size)
{
	struct termios shown, hidden;
	bool terminal = isatty(STDIN_FILENO) && tcgetattr(STDIN_FILENO, &shown) == 0;
	bool got;

	if (terminal) {
		fputs("Password: ", stderr);
		hidden = shown;
		hidden.c_lflag &= ~(tcflag_t)ECHO;
		tcsetattr(STDIN_FILENO, TCSAFLUSH, &hidden);
	}
	got = fgets(to, (int)size, stdin) != NULL;
	if (terminal) {
		tcsetattr(STDIN_FILENO, TCSAFLUSH, &shown);
		fputc('\n', stderr);
	}
	to[got ? strcspn(to, "\n") : 0] = '\0';
	return got;
}

int cli_person(int argc, char **argv)
{
	static const struct option options[] = { { "data", required_argument, NULL, 'd' },
		{ "login", required_argument, NULL, 'l' }, { "name", required_argument, NULL, 'n' },
		{ "role", required_argument, NULL, 'r' }, { "help", no_argument, NULL, 'h' }, { 0 } };
	struct person_args a = { .form = { .role = -1, .active = 1 } };
	const char *data = NULL;
	int c, code;

	while ((c = getopt_long(argc, argv, "", options, NULL)) != -1) {
		if (c == 'h') {
			fputs(person_usage, stdout);
			return EXIT_SUCCESS;
		}
		data = c == 'd' ? optarg : data;
		a.form.login = c == 'l' ? optarg : a.form.login;
		a.form.name = c == 'n' ? optarg : a.form.name;
		a.form.role = c == 'r' ? words_find(&role_words, optarg, strlen(optarg)) : a.form.role;
	}
	if (data == NULL || a.form.login == NULL || a.form.name == NULL || a.form.role < 0) {
		fputs(person_usage, stderr);
		return CLI_USAGE;
	}
	if (!ask_password(a.password, sizeof a.password)) {
		fputs("bondbook: no password was given.\n", stderr);
		return CLI_DATA;
	}
	code = cli_act(data, put_person, &a);
	if (code == 0) {
		printf("%s may sign in as %s (%s).\n", a.form.name, a.form.login,
			role_words.title[a.form.role]);
	}
	return code;
}

static int read_data(int argc, char **argv, const char *usage, const char **data)
{
	static const struct option options[] = { { "data", required_argument, NULL, 'd' },
		{ "help", no_argument, NULL, 'h' }, { 0 } };
	int c;

	while ((c = getopt_long(argc, argv, "", options, NULL)) != -1) {
		if (c == 'h') {
			fputs(usage, stdout);
			return EXIT_SUCCESS + 1;
		}
		*data = c == 'd' ? optarg : *data;
	}
	if (*data == NULL) {
		fputs(usage, stderr);
		return CLI_USAGE + 1;
	}
	return 0;
}

static void show_progress(void *arg, int64_t done, int64_t all)
{
	(void)arg;
	if (isatty(STDERR_FILENO)) {
		fprintf(stderr, "\r%lld of %lld bonds", (long long)done, (long long)all);
	}
}

static bool rebuild(struct act *act, void *arg, struct problems *why)
{
	(void)arg;
	return rebuild_all(act, show_progress, NULL, why);
}

int cli_rebuild(int argc, char **argv)
{
	const char *data = NULL;
	int told = read_data(argc, argv, "usage: bondbook rebuild --data DIR\n", &data);
	int code;

	if (told != 0) {
		return told - 1;
	}
	code = cli_act(data, rebuild, NULL);
	if (isatty(STDERR_FILENO)) {
		fputc('\n', stderr);
	}
	if (code == 0) {
		puts("All that is derived was computed again.");
	}
	return code;
}

static void tell_photo(void *arg, const char *sentence)
{
	(*(size_t *)arg)++;
	puts(sentence);
}

/* Whether the pictures of all photos are there and as they were. */
static int check_photos(struct store *store, const char *path)
{
	size_t wrong = 0;
	struct photo_files_check check = { .told = tell_photo, .arg = &wrong };
	struct problem why = { 0 };

	if (!photo_files_check(store, path, &check, &why)) {
		fprintf(stderr, "bondbook: %s\n", why.detail);
		return CLI_IO;
	}
	printf("%lld photos looked at.\n", (long long)check.photos);
	if (wrong > 0) {
		printf("%zu pictures are missing or changed: restore the folder photos from a backup.\n",
			wrong);
	}
	return wrong > 0 ? CLI_DATA : EXIT_SUCCESS;
}

static int check(struct store *store)
{
	const struct origin origin = { .now_ms = clock_now_ms() };
	struct check_result r = { 0 };
	struct problems why = { 0 };
	struct problem one = { 0 };
	struct view view = { .store = store, .today = clock_today() };
	struct act act = { 0 };
	bool ok = store_read_begin(store, &one) &&
		act_begin(&act, &view, &origin, &why) && check_all(&act, &r, &why);

	store_read_end(store);
	act_release(&act);
	view_release(&view);
	problems_take(&why, &one);
	if (!ok) {
		cli_tell(&why);
		return problems_code(&why) == PROBLEM_DAMAGED ? CLI_DATA : CLI_IO;
	}
	if (r.damaged) {
		puts(r.shown[0]);
		puts("bondbook rebuild does not mend that: the record itself may be damaged.");
		return CLI_DATA;
	}
	printf("%lld bonds, %lld readings, %lld groups of failures looked at.\n", (long long)r.bonds,
		(long long)r.readings, (long long)r.groups);
	if (r.waiting > 0 || r.places_wait) {
		printf("%lld bonds%s are still to be made again: the server does that.\n",
			(long long)r.waiting, r.places_wait ? " and the repeat places" : "");
	}
	for (size_t i = 0; i < r.differences && i < CHECK_SHOWN; i++) {
		puts(r.shown[i]);
	}
	if (r.differences > 0) {
		printf("%zu differences: run bondbook rebuild, and report this.\n", r.differences);
		return CLI_DATA;
	}
	puts("The register is content: what is kept is what the rules give.");
	return EXIT_SUCCESS;
}

int cli_check_register(const char *path)
{
	struct store *store = cli_open(path);
	int photos, code;

	if (store == NULL) {
		return CLI_UNAVAILABLE;
	}
	photos = check_photos(store, path);
	code = check(store);
	store_close(store);
	return code != EXIT_SUCCESS ? code : photos;
}

int cli_check(int argc, char **argv)
{
	const char *data = NULL;
	char path[4096];
	int told = read_data(argc, argv, "usage: bondbook check --data DIR\n", &data);

	if (told != 0) {
		return told - 1;
	}
	return cli_register(data, path, sizeof path) ? cli_check_register(path) : CLI_USAGE;
}
