/* What the commands share. A command takes its own arguments (argv[0] is its name) and returns the
 * exit code of the program, as sysexits.h has them. */
#ifndef CLI_H
#define CLI_H

#include "derived/act.h"
#include "store/writer.h"

enum { CLI_USAGE = 64, CLI_DATA = 65, CLI_UNAVAILABLE = 69, CLI_SOFTWARE = 70, CLI_IO = 74 };

int cli_init(int argc, char **argv);
int cli_serve(int argc, char **argv);
int cli_person(int argc, char **argv);
int cli_import(int argc, char **argv);
int cli_export(int argc, char **argv);
int cli_rebuild(int argc, char **argv);
int cli_check(int argc, char **argv);
int cli_backup(int argc, char **argv);
int cli_restore(int argc, char **argv);

/* DIR/register.db into path. False, told on stderr: no folder is named, or its name is too long. */
bool cli_register(const char *folder, char *path, size_t size);

/* The register for reading, and this process in its time zone; NULL: told on stderr. */
struct store *cli_open(const char *path);

/* Whether neither a register nor the log of one is at this path; told on stderr when not. */
bool cli_place_is_free(const char *path);

/* What bondbook check says and returns. */
int cli_check_register(const char *path);

/* One act as one job of a writer of its own: opens the register, runs, commits, closes. Told on
 * stderr when not. Returns the exit code. */
typedef bool cli_deed(struct act *act, void *arg, struct problems *why);
int cli_act(const char *folder, cli_deed *run, void *arg);

/* The same on a register that is made for it, at this path. */
int cli_act_on_new(const char *path, cli_deed *run, void *arg);

/* Every problem, a line each. */
void cli_tell(const struct problems *why);

#endif
