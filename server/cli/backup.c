/* bondbook backup and bondbook restore. */
#include <errno.h>
#include <fcntl.h>
#include <getopt.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/clock.h"
#include "base/day.h"
#include "cli/cli.h"
#include "service/backup/folder.h"
#include "service/backup/keep.h"
#include "service/backup/pack.h"
#include "service/backup/said.h"

static const char backup_usage[] =
	"usage: bondbook backup --data DIR --to FOLDER [--keep N] [--keep-days DAYS]\n"
	"       bondbook backup --data DIR --to - > FILE\n\n"
	"Copies the register as it is at this moment, also while a server uses it, with the files\n"
	"that belong to it, looks at the copy, and notes beside the register when it was made. In\n"
	"FOLDER it gets a name of its own, the moment in UTC; as a stream it is a tar archive.\n\n"
	"  --keep N          removes older ones, but for the newest N ...\n"
	"  --keep-days DAYS  ... and those that are not older than so many days\n\n"
	"A backup holds all that the register holds: keep it where only those can read it who may,\n"
	"and on another disk than the register's.\n";

static const char restore_usage[] =
	"usage: bondbook restore --from BACKUP --data DIR\n"
	"       bondbook restore --from BACKUP --prove\n\n"
	"Puts a backup into DIR, where no register may be: a folder that bondbook backup made, or\n"
	"the archive that it wrote (- reads that from standard input). Each file is compared with\n"
	"what the backup says of it, and the register is looked at as bondbook check does. With\n"
	"--prove the files of a folder are only read and compared.\n";

struct backup_args {
	const char *data, *to, *from;
	int64_t keep, keep_days;      /* -1: not said */
	bool prove, help, wrong;
};

static int64_t read_count(const char *text, bool *wrong)
{
	char *end;
	long long n = strtoll(text, &end, 10);

	*wrong = *wrong || *end != '\0' || end == text || n < 0 || n > 1000000;
	return n;
}

static struct backup_args read_args(int argc, char **argv)
{
	static const struct option options[] = { { "data", required_argument, NULL, 'd' },
		{ "to", required_argument, NULL, 't' }, { "from", required_argument, NULL, 'f' },
		{ "keep", required_argument, NULL, 'k' }, { "keep-days", required_argument, NULL, 'y' },
		{ "prove", no_argument, NULL, 'p' }, { "help", no_argument, NULL, 'h' }, { 0 } };
	struct backup_args a = { .keep = -1, .keep_days = -1 };
	int c;

	while ((c = getopt_long(argc, argv, "", options, NULL)) != -1) {
		a.data = c == 'd' ? optarg : a.data;
		a.to = c == 't' ? optarg : a.to;
		a.from = c == 'f' ? optarg : a.from;
		a.keep = c == 'k' ? read_count(optarg, &a.wrong) : a.keep;
		a.keep_days = c == 'y' ? read_count(optarg, &a.wrong) : a.keep_days;
		a.prove = a.prove || c == 'p';
		a.help = a.help || c == 'h';
		a.wrong = a.wrong || c == '?';
	}
	return a;
}

static int tell(const struct problem *why)
{
	fprintf(stderr, "bondbook: %s\n", why->detail);
	return why->code == PROBLEM_VALUE || why->code == PROBLEM_DAMAGED ||
		why->code == PROBLEM_RULE || why->code == PROBLEM_CONFLICT ? CLI_DATA :
		why->code == PROBLEM_NOT_FOUND ? CLI_UNAVAILABLE : CLI_IO;
}

static int64_t bytes_of(const struct backup_said *said)
{
	const struct backup_file *files = said->files.items;
	int64_t bytes = 0;

	for (size_t i = 0; i < said->files.count; i++) {
		bytes += files[i].bytes;
	}
	return bytes;
}

static void describe(FILE *to, const char *what, const struct backup_said *said)
{
	char made[INSTANT_TEXT_SIZE];

	instant_write(said->made_at_ms, made);
	fprintf(to, "%s: the register of %s with %lld bonds and %lld inspections, %lld bytes.\n", what,
		made, (long long)said->bonds, (long long)said->inspections, (long long)bytes_of(said));
}

static bool remove_old(const struct backup_args *a, int64_t now_ms, struct problem *why)
{
	size_t removed;

	if (a->keep < 0 && a->keep_days < 0) {
		return true;
	}
	if (!backup_keep(a->to, a->keep, a->keep_days > 0 ? a->keep_days : 0, now_ms, &removed, why)) {
		return false;
	}
	if (removed > 0) {
		printf("%zu older removed.\n", removed);
	}
	return true;
}

static bool into_folder(const struct backup_args *a, int64_t now_ms, struct form_memory *memory,
	struct problem *why)
{
	char name[BACKUP_NAME_SIZE], path[BACKUP_PATH_SIZE];
	struct progress progress = { 0 };
	struct backup_said said;

	backup_name(now_ms, name);
	if (mkdir(a->to, 0700) != 0 && errno != EEXIST) {
		return backup_failed(a->to, why);
	}
	if (!backup_path(path, a->to, name, why) ||
		!backup_make(a->data, path, &progress, &said, memory, why) ||
		!backup_note(a->data, &said, why)) {
		return false;
	}
	describe(stdout, path, &said);
	return remove_old(a, now_ms, why);
}

/* By way of a folder beside the register, where there must be room for it. */
static bool into_stream(const struct backup_args *a, int64_t now_ms, struct form_memory *memory,
	struct problem *why)
{
	char name[BACKUP_NAME_SIZE + 8], path[BACKUP_PATH_SIZE];
	struct progress progress = { 0 };
	struct backup_said said;
	bool ok;

	snprintf(name, sizeof name, "backup-");
	backup_name(now_ms, name + strlen(name));
	if (!backup_path(path, a->data, name, why) ||
		!backup_make(a->data, path, &progress, &said, memory, why)) {
		return false;
	}
	ok = backup_pack(path, &said, STDOUT_FILENO, why);
	backup_remove(path);
	if (!ok || !backup_note(a->data, &said, why)) {
		return false;
	}
	describe(stderr, "standard output", &said);
	return true;
}

int cli_backup(int argc, char **argv)
{
	struct backup_args a = read_args(argc, argv);
	struct form_memory memory = { 0 };
	struct problem why = { 0 };
	bool to_stream = a.to != NULL && strcmp(a.to, "-") == 0;
	bool ok;

	if (a.help) {
		fputs(backup_usage, stdout);
		return EXIT_SUCCESS;
	}
	if (a.wrong || a.data == NULL || a.to == NULL || a.from != NULL || a.prove ||
		(to_stream && (a.keep >= 0 || a.keep_days >= 0 || isatty(STDOUT_FILENO)))) {
		fputs(backup_usage, stderr);
		return CLI_USAGE;
	}
	ok = (to_stream ? into_stream : into_folder)(&a, clock_now_ms(), &memory, &why);
	form_memory_release(&memory);
	return ok ? EXIT_SUCCESS : tell(&why);
}

/* Where the files of an archive are while they are put in place; "" : `from` is a folder. */
static bool unpack(const struct backup_args *a, char unpacked[BACKUP_PATH_SIZE],
	struct problem *why)
{
	bool is_stream = strcmp(a->from, "-") == 0;
	struct stat is;
	bool ok;
	int fd;

	unpacked[0] = '\0';
	if (!is_stream && stat(a->from, &is) == 0 && S_ISDIR(is.st_mode)) {
		return true;
	}
	fd = is_stream ? STDIN_FILENO : open(a->from, O_RDONLY | O_CLOEXEC);
	if (fd < 0) {
		return problem_set(why, PROBLEM_NOT_FOUND, NULL, "%s cannot be read: %s.", a->from,
			strerror(errno));
	}
	ok = backup_path(unpacked, a->data, "unpacked.part", why) && backup_unpack(fd, unpacked, why);
	if (!is_stream) {
		close(fd);
	}
	return ok;
}

static bool put_in_place(const struct backup_args *a, struct backup_said *said,
	struct form_memory *memory, struct problem *why)
{
	char unpacked[BACKUP_PATH_SIZE];
	struct progress progress = { 0 };
	const char *folder;
	bool ok = unpack(a, unpacked, why);

	folder = unpacked[0] != '\0' ? unpacked : a->from;
	ok = ok && backup_read(folder, said, memory, why) &&
		backup_restore(folder, said, a->data, &progress, why);
	if (unpacked[0] != '\0') {
		backup_remove(unpacked);
	}
	return ok;
}

static int restore(const struct backup_args *a, struct form_memory *memory)
{
	struct problem why = { 0 };
	struct backup_said said;
	char path[4096];

	if (!cli_register(a->data, path, sizeof path)) {
		return CLI_USAGE;
	}
	if (!cli_place_is_free(path)) {
		return CLI_DATA;
	}
	if (mkdir(a->data, 0700) != 0 && errno != EEXIST) {
		return tell((backup_failed(a->data, &why), &why));
	}
	if (!put_in_place(a, &said, memory, &why)) {
		return tell(&why);
	}
	describe(stdout, a->data, &said);
	return cli_check_register(path);
}

static int prove(const struct backup_args *a, struct form_memory *memory)
{
	struct problem why = { 0 };
	struct progress progress = { 0 };
	struct backup_said said;

	if (!backup_read(a->from, &said, memory, &why) ||
		!backup_is_whole(a->from, &said, &progress, &why)) {
		return tell(&why);
	}
	describe(stdout, a->from, &said);
	puts("Every file is as it was when the backup was made.");
	return EXIT_SUCCESS;
}

int cli_restore(int argc, char **argv)
{
	struct backup_args a = read_args(argc, argv);
	struct form_memory memory = { 0 };
	int code;

	if (a.help) {
		fputs(restore_usage, stdout);
		return EXIT_SUCCESS;
	}
	if (a.wrong || a.from == NULL || (a.data == NULL) != a.prove || a.to != NULL || a.keep >= 0 ||
		a.keep_days >= 0) {
		fputs(restore_usage, stderr);
		return CLI_USAGE;
	}
	code = a.prove ? prove(&a, &memory) : restore(&a, &memory);
	form_memory_release(&memory);
	return code;
}
