/* Makes a register. */
#include <errno.h>
#include <getopt.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/day.h"
#include "base/file.h"
#include "cli/cli.h"
#include "service/access/register.h"

static const char usage[] =
	"usage: bondbook init --data DIR --zone NAME [--began DAY]\n\n"
	"  --data DIR   where the register is to be; made when it is not there\n"
	"  --zone NAME  the time zone of the railway, as the zone database names it (Europe/Vilnius);\n"
	"               asked for when it is left out\n"
	"  --began DAY  (YYYY-MM-DD) the first day from which it is kept, when it was kept elsewhere\n"
	"               so far; today when it is left out. Bonds and attachments that were made since\n"
	"               then are due for commissioning until a commissioning visit is on record.\n";

struct beginning {
	char zone[ZONE_NAME_SIZE * 2];
	int32_t began_day;
};

static bool begin(struct act *act, void *arg, struct problems *why)
{
	const struct beginning *b = arg;

	return register_begin(act, b->zone, b->began_day, why);
}

/* Of somebody at a terminal, who may take the machine's own. */
static bool ask_zone(char *to, size_t size)
{
	char machine[ZONE_NAME_SIZE];

	zone_machine(machine);
	fputs("Which time zone is this railway in? ", stderr);
	if (machine[0] != '\0') {
		fprintf(stderr, "[%s] ", machine);
	}
	if (fgets(to, (int)size, stdin) == NULL) {
		return false;
	}
	to[strcspn(to, "\n")] = '\0';
	if (to[0] == '\0') {
		snprintf(to, size, "%s", machine);
	}
	return true;
}

static int failed(const char *what)
{
	fprintf(stderr, "bondbook: %s: %s\n", what, strerror(errno));
	return CLI_IO;
}

/* What was there before is never touched: not even a log without its register, which SQLite would
 * take for that of the new one. */
bool cli_place_is_free(const char *path)
{
	static const char *const ends[] = { "", "-wal", "-shm" };
	char name[4096 + 8];
	struct stat st;

	for (size_t i = 0; i < sizeof ends / sizeof ends[0]; i++) {
		snprintf(name, sizeof name, "%s%s", path, ends[i]);
		if (lstat(name, &st) == 0) {
			fprintf(stderr, i == 0 ? "bondbook: there is a register already: %s\n" :
				"bondbook: there is a register's log without the register: %s. Put the register "
				"back, or remove this.\n", name);
			return false;
		}
	}
	return true;
}

/* An earlier one that was ended while it made a register. */
static void remove_part(const char *part)
{
	static const char *const ends[] = { "", "-wal", "-shm", "-journal" };
	char name[4096 + 16];

	for (size_t i = 0; i < sizeof ends / sizeof ends[0]; i++) {
		snprintf(name, sizeof name, "%s%s", part, ends[i]);
		unlink(name);
	}
}

/* Under its name it is there as a whole or not at all, whenever this is ended. */
static int make_at(const char *folder, const char *path, struct beginning *beginning)
{
	char part[4096 + 4], above[4096 + 4];
	int code;

	snprintf(part, sizeof part, "%s.new", path);
	snprintf(above, sizeof above, "%s/..", folder);
	if (!cli_place_is_free(path)) {
		return CLI_DATA;
	}
	remove_part(part);
	code = cli_act_on_new(part, begin, beginning);
	if (code == 0 && (link(part, path) != 0 || unlink(part) != 0 || !folder_sync(folder) ||
		!folder_sync(above))) {
		code = failed(path);
	}
	if (code != 0) {
		remove_part(part);
	}
	return code;
}

static int make(const char *folder, struct beginning *beginning)
{
	struct problem why = { 0 };
	char path[4096];
	int code;

	if (!zone_check(beginning->zone, "zone", &why)) {
		fprintf(stderr, "bondbook: %s\n", why.detail);
		return CLI_DATA;
	}
	if (!cli_register(folder, path, sizeof path)) {
		return CLI_USAGE;
	}
	if (mkdir(folder, 0700) != 0 && errno != EEXIST) {
		return failed(folder);
	}
	code = make_at(folder, path, beginning);
	if (code == 0) {
		printf("%s is a register in the time zone %s.\n", path, beginning->zone);
	}
	return code;
}

int cli_init(int argc, char **argv)
{
	static const struct option options[] = { { "data", required_argument, NULL, 'd' },
		{ "zone", required_argument, NULL, 'z' }, { "began", required_argument, NULL, 'b' },
		{ "help", no_argument, NULL, 'h' }, { 0 } };
	const char *data = NULL;
	struct beginning b = { .began_day = DAY_NONE };
	bool told = false, day_is_bad = false;
	int c;

	while ((c = getopt_long(argc, argv, "", options, NULL)) != -1) {
		if (c == 'h') {
			fputs(usage, stdout);
			return EXIT_SUCCESS;
		}
		data = c == 'd' ? optarg : data;
		day_is_bad = day_is_bad || (c == 'b' && !day_read(optarg, strlen(optarg), &b.began_day));
		if (c == 'z') {
			snprintf(b.zone, sizeof b.zone, "%s", optarg);
			told = true;
		}
	}
	if (data == NULL || day_is_bad ||
		(!told && (!isatty(STDIN_FILENO) || !ask_zone(b.zone, sizeof b.zone)))) {
		fputs(usage, stderr);
		return CLI_USAGE;
	}
	return make(data, &b);
}
