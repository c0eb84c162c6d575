/* The command line: one row a command. */
#include <errno.h>
#include <fcntl.h>
#include <getopt.h>
#include <locale.h>
#include <signal.h>
#include <sodium.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "cli/cli.h"

static const struct {
	const char *name;
	int (*run)(int argc, char **argv);
	const char *summary;
} commands[] = {
	{ "init", cli_init, "make a register, in the railway's time zone" },
	{ "serve", cli_serve, "serve the register to browsers" },
	{ "person", cli_person, "add a person who may sign in, or give a new password" },
	{ "import", cli_import, "take in lines, maps, bonds, inspections or failures from a file" },
	{ "export", cli_export, "a list or a report as a file" },
	{ "rebuild", cli_rebuild, "compute all that is derived again" },
	{ "backup", cli_backup, "copy the register, also while it is served" },
	{ "restore", cli_restore, "put a backup where no register is" },
	{ "check", cli_check, "prove that what is derived equals what the rules give" },
};
enum { COMMANDS = sizeof commands / sizeof commands[0] };

static int help(FILE *to, int code)
{
	fputs("bondbook, the register of a railway's cable bonds\n\n"
		"usage: bondbook COMMAND --data DIR [options]\n\n", to);
	for (size_t i = 0; i < COMMANDS; i++) {
		fprintf(to, "  %-10s %s\n", commands[i].name, commands[i].summary);
	}
	fputs("\nbondbook COMMAND --help tells the options of a command.\n", to);
	return code;
}

int main(int argc, char **argv)
{
	umask(077);   /* what the program makes is its owner's alone */
	if (sodium_init() < 0) {
		fputs("bondbook: no random numbers\n", stderr);
		return EXIT_FAILURE;
	}
	if (argc < 2) {
		return help(stderr, CLI_USAGE);
	}
	if (strcmp(argv[1], "--help") == 0 || strcmp(argv[1], "help") == 0) {
		return help(stdout, EXIT_SUCCESS);
	}
	if (strcmp(argv[1], "--version") == 0) {
		puts("bondbook " BONDBOOK_VERSION);
		return EXIT_SUCCESS;
	}
	for (size_t i = 0; i < COMMANDS; i++) {
		if (strcmp(commands[i].name, argv[1]) == 0) {
			return commands[i].run(argc - 1, argv + 1);
		}
	}
	fprintf(stderr, "bondbook: there is no command \"%s\"\n\n", argv[1]);
	return help(stderr, CLI_USAGE);
}
