#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/day.h"
#include "demo.h"

enum { PATH_ROOM = 1024 };

/* The register and what SQLite keeps beside it. */
static void remove_register(const char *path)
{
	static const char *const ends[] = { "", "-wal", "-shm" };
	char name[PATH_ROOM + 16];

	for (size_t i = 0; i < sizeof ends / sizeof ends[0]; i++) {
		snprintf(name, sizeof name, "%s%s", path, ends[i]);
		unlink(name);
	}
}

static void release(struct demo *demo)
{
	free(demo->bonds);
	free(demo->rounds);
	free(demo->failures);
	free(demo->events);
}

static bool make(struct demo *demo)
{
	if (demo_make_bonds(demo) && demo_make_rounds(demo) && demo_make_failures(demo) &&
		demo_make_history(demo)) {
		return true;
	}
	fprintf(stderr, "bondbook-demo: out of memory\n");
	return false;
}

static int32_t first_day(int32_t today)
{
	return day_add_months(today, -12 * PLAN_YEARS);
}

void demo_tell_init(int32_t today, FILE *out)
{
	char day[DAY_TEXT_SIZE];

	day_write(first_day(today), day);
	fprintf(out, "--zone %s --began %s\n", PLAN_ZONE, day);
}

static bool prepare(const struct demo_options *options, char *path, char *part)
{
	if (strlen(options->folder) > PATH_ROOM - 32) {
		fprintf(stderr, "bondbook-demo: the name of the folder is too long\n");
		return false;
	}
	snprintf(path, PATH_ROOM, "%s/register.db", options->folder);
	snprintf(part, PATH_ROOM, "%s/register.db.part", options->folder);
	if (mkdir(options->folder, 0700) != 0 && errno != EEXIST) {
		fprintf(stderr, "bondbook-demo: %s: %s\n", options->folder, strerror(errno));
		return false;
	}
	remove_register(part);
	return true;
}

static void tell_people(FILE *out)
{
	fprintf(out, "\n%-15s %-10s %s\n", "role", "sign in as", "password");
	for (size_t i = 0; i < PLAN_PEOPLE; i++) {
		if (plan_people[i].password != NULL) {
			fprintf(out, "%-15s %-10s %s\n", role_words.code[plan_people[i].role],
				plan_people[i].login, plan_people[i].password);
		}
	}
}

bool demo_build(const struct demo_options *options)
{
	char path[PATH_ROOM], part[PATH_ROOM];
	const char *at;
	struct demo demo = { .today = options->today,
		.first_day = first_day(options->today),
		.last_day = options->today - 1 };
	bool ok;

	if (!prepare(options, path, part)) {
		return false;
	}
	/* renamed when whole: what is made here is never half a railway */
	demo.is_begun = access(path, F_OK) == 0;
	at = demo.is_begun ? path : part;
	ok = make(&demo) && demo_record(&demo, at, options->people) &&
		(options->out == NULL || demo_count(at, options->today, options->out));
	release(&demo);
	if (ok && !demo.is_begun && rename(part, path) != 0) {
		fprintf(stderr, "bondbook-demo: %s: %s\n", path, strerror(errno));
		ok = false;
	}
	remove_register(part);
	if (ok && options->out != NULL && options->people) {
		tell_people(options->out);
	}
	return ok;
}
