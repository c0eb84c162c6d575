#include "cli/cli.h"

#include <stdio.h>

#include "base/clock.h"
#include "derived/derived.h"
#include "service/access/register.h"

bool cli_register(const char *folder, char *path, size_t size)
{
	int len;

	if (folder == NULL) {
		fputs("bondbook: say where the register is: --data DIR\n", stderr);
		return false;
	}
	len = snprintf(path, size, "%s/register.db", folder);
	if (len < 0 || (size_t)len >= size) {
		fputs("bondbook: the path of the register is too long\n", stderr);
		return false;
	}
	return true;
}

struct store *cli_open(const char *path)
{
	struct problem why = { 0 };
	struct store *store = store_open(path, STORE_READ, &why);

	if (store != NULL && !register_clock(store, &why)) {
		store_close(store);
		store = NULL;
	}
	if (store == NULL) {
		fprintf(stderr, "bondbook: %s\n", why.detail);
	}
	return store;
}

void cli_tell(const struct problems *why)
{
	for (size_t i = 0; i < why->count && i < PROBLEMS_SHOWN; i++) {
		fprintf(stderr, "bondbook: %s%s%s\n", why->item[i].field,
			why->item[i].field[0] != '\0' ? ": " : "", why->item[i].detail);
	}
}

struct cli_job {
	struct job job;
	cli_deed *run;
	void *arg;
	struct problems why;
};

static bool run_job(struct job *job, void *store)
{
	struct cli_job *c = (struct cli_job *)job;
	const struct origin origin = { .now_ms = clock_now_ms() };
	struct view view = { .store = store };
	struct act act = { 0 };
	struct problem one = { 0 };
	bool ok = register_clock(store, &one) || act_refuse(&c->why, &one, NULL);

	view.today = clock_today();
	ok = ok && act_begin(&act, &view, &origin, &c->why) && c->run(&act, c->arg, &c->why) &&
		derived_end(&act, &c->why);
	act_release(&act);
	view_release(&view);
	return ok;
}

static int act_on(const char *path, bool make, cli_deed *run, void *arg)
{
	const struct writer_options options = { .make = make };
	struct cli_job c = { .job = { .run = run_job }, .run = run, .arg = arg };
	struct problem why = { 0 };
	struct writer *writer = writer_start(path, &options, &why);
	bool committed;

	if (writer == NULL) {
		fprintf(stderr, "bondbook: %s\n", why.detail);
		return CLI_UNAVAILABLE;
	}
	committed = writer_do(writer, &c.job);
	writer_stop(writer);
	if (!committed) {
		fputs("bondbook: the register could not be written\n", stderr);
		return CLI_IO;
	}
	if (!c.job.ok) {
		cli_tell(&c.why);
		return CLI_DATA;
	}
	return 0;
}

int cli_act(const char *folder, cli_deed *run, void *arg)
{
	char path[4096];

	return cli_register(folder, path, sizeof path) ? act_on(path, false, run, arg) : CLI_USAGE;
}

int cli_act_on_new(const char *path, cli_deed *run, void *arg)
{
	return act_on(path, true, run, arg);
}
