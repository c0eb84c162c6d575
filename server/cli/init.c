/* Makes a register. */
#include <errno.h>
#include <fcntl.h>
#include <getopt.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "cli/cli.h"
#include "service/register.h"

static const char usage[] =
	"usage: bondbook init --data DIR --zone NAME\n\n"
	"  --data DIR   where the register is to be; made when it is not there\n"
	"  --zone NAME  the time zone of the railway, as the zone database names it (Europe/Vilnius);\n"
	"               asked for when it is left out\n";

static bool begin(struct act *act, void *arg, struct problems *why)
{
	return register_begin(act, arg, why);
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

/* The file, empty and nobody else's; what was there before is never touched. */
static int make_file(const char *path)
{
	int file = open(path, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0600);

	if (file >= 0) {
		close(file);
		return 0;
	}
	if (errno == EEXIST) {
		fprintf(stderr, "bondbook: there is a register already: %s\n", path);
		return CLI_DATA;
	}
	fprintf(stderr, "bondbook: %s: %s\n", path, strerror(errno));
	return CLI_IO;
}

static int make(const char *folder, char *zone)
{
	struct problem why = { 0 };
	char path[4096];
	int code;

	if (!zone_check(zone, "zone", &why)) {
		fprintf(stderr, "bondbook: %s\n", why.detail);
		return CLI_DATA;
	}
	umask(077);
	if (!cli_register(folder, true, path, sizeof path)) {
		return CLI_USAGE;
	}
	code = make_file(path);
	if (code != 0) {
		return code;
	}
	code = cli_act(folder, begin, zone);
	if (code != 0) {
		unlink(path);
		return code;
	}
	printf("%s is a register in the time zone %s.\n", path, zone);
	return EXIT_SUCCESS;
}

int cli_init(int argc, char **argv)
{
	static const struct option options[] = { { "data", required_argument, NULL, 'd' },
		{ "zone", required_argument, NULL, 'z' }, { "help", no_argument, NULL, 'h' }, { 0 } };
	const char *data = NULL;
	char zone[ZONE_NAME_SIZE * 2] = "";
	bool told = false;
	int c;

	while ((c = getopt_long(argc, argv, "", options, NULL)) != -1) {
		if (c == 'h') {
			fputs(usage, stdout);
			return EXIT_SUCCESS;
		}
		data = c == 'd' ? optarg : data;
		if (c == 'z') {
			snprintf(zone, sizeof zone, "%s", optarg);
			told = true;
		}
	}
	if (data == NULL || (!told && (!isatty(STDIN_FILENO) || !ask_zone(zone, sizeof zone)))) {
		fputs(usage, stderr);
		return CLI_USAGE;
	}
	return make(data, zone);
}
