#include <getopt.h>
#include <libgen.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#include "base/log.h"
#include "cli/cli.h"
#include "run/app.h"

struct serve_options {
	const char *data;
	char address[64];
	unsigned port;
	const char *pages;
	char found_pages[4096];
	size_t batch_most;
	unsigned threads;
	unsigned per_address_most;
	uint64_t spool_most;
	bool behind_proxy;
};

static const char usage[] =
	"usage: bondbook serve --data DIR [--listen ADDRESS:PORT] [--static DIR]\n\n"
	"  --data DIR             where the register is, which bondbook init made\n"
	"  --listen ADDRESS:PORT  default 127.0.0.1:8080; [::1]:8080 for IPv6; port 0: any free one\n"
	"  --static DIR           the bundled pages; default: beside the program\n"
	"  --batch N              writes in one transaction at most (1: no batching)\n"
	"  --threads N            threads that answer reading requests; default: one a core\n"
	"  --spool MB             room for files that are being fetched, on disk, of which one person has\n"
	"                         half; default: 8192\n"
	"  --strangers N          connections of one address on which nobody is signed in; default: 64\n"
	"  --behind-proxy         a proxy of yours is in front, which says whom it has a request from\n"
	"                         (X-Forwarded-For); each answer ends its connection\n";

static bool read_listen(const char *text, struct serve_options *o)
{
	const char *colon = strrchr(text, ':');
	const char *from = text;
	size_t len;
	char *end;
	long port;

	if (colon == NULL) {
		return false;
	}
	len = (size_t)(colon - text);
	if (len >= 2 && text[0] == '[' && colon[-1] == ']') {
		from++;
		len -= 2;
	}
	port = strtol(colon + 1, &end, 10);
	if (len == 0 || len >= sizeof o->address || colon[1] == '\0' || *end != '\0' || port < 0 ||
		port > 65535) {
		return false;
	}
	memcpy(o->address, from, len);
	o->address[len] = '\0';
	o->port = (unsigned)port;
	return true;
}

/* The pages stand beside the program when it was built, or in share/ when it was installed. */
static const char *find_pages(struct serve_options *o)
{
	static const char *const places[] = { "static", "../static", "../share/bondbook/static" };
	char program[2048];
	ssize_t len = readlink("/proc/self/exe", program, sizeof program - 1);
	struct stat st;

	if (len <= 0) {
		return NULL;
	}
	program[len] = '\0';
	dirname(program);
	for (size_t i = 0; i < sizeof places / sizeof places[0]; i++) {
		snprintf(o->found_pages, sizeof o->found_pages, "%s/%s/due.html", program, places[i]);
		if (stat(o->found_pages, &st) == 0) {
			snprintf(o->found_pages, sizeof o->found_pages, "%s/%s", program, places[i]);
			return o->found_pages;
		}
	}
	return NULL;
}

/* 0: go on; otherwise the exit code plus one. */
static int read_options(int argc, char **argv, struct serve_options *o)
{
	static const struct option options[] = { { "data", required_argument, NULL, 'd' },
		{ "listen", required_argument, NULL, 'l' }, { "static", required_argument, NULL, 's' },
		{ "batch", required_argument, NULL, 'b' }, { "threads", required_argument, NULL, 't' },
		{ "spool", required_argument, NULL, 'f' }, { "strangers", required_argument, NULL, 'n' }, { "behind-proxy", no_argument, NULL, 'p' },
		{ "help", no_argument, NULL, 'h' }, { 0 } };
	int c;

	read_listen("127.0.0.1:8080", o);
	while ((c = getopt_long(argc, argv, "", options, NULL)) != -1) {
		if (c == 'd') {
			o->data = optarg;
		} else if (c == 's') {
			o->pages = optarg;
		} else if (c == 'b') {
			o->batch_most = (size_t)strtoul(optarg, NULL, 10);
		} else if (c == 't') {
			o->threads = (unsigned)strtoul(optarg, NULL, 10);
		} else if (c == 'f') {
			o->spool_most = (uint64_t)strtoull(optarg, NULL, 10) << 20;
		} else if (c == 'n') {
			o->per_address_most = (unsigned)strtoul(optarg, NULL, 10);
		} else if (c == 'p') {
			o->behind_proxy = true;
		} else if (c == 'l' && !read_listen(optarg, o)) {
			fprintf(stderr, "bondbook: --listen takes ADDRESS:PORT, like 127.0.0.1:8080\n");
			return CLI_USAGE + 1;
		} else if (c == 'h') {
			fputs(usage, stdout);
			return EXIT_SUCCESS + 1;
		} else if (c == '?') {
			fputs(usage, stderr);
			return CLI_USAGE + 1;
		}
	}
	return 0;
}

/* The writer cannot go on: what is on disk is safe, and opening anew recovers. Nothing is closed,
 * because that would fold and remove files that may not be ours any more. Those who waited have
 * just been told "send it again": a moment, so that it reaches them. */
static void broken(void *arg)
{
	const struct timespec moment = { .tv_nsec = 200000000 };

	(void)arg;
	nanosleep(&moment, NULL);
	_exit(CLI_IO);
}

static int serve_until_told(struct app *app, const struct serve_options *o, const sigset_t *ends)
{
	int got;

	printf("bondbook serves http://%s%s%s:%u/\n", strchr(o->address, ':') != NULL ? "[" : "",
		o->address, strchr(o->address, ':') != NULL ? "]" : "", app_port(app));
	fflush(stdout);
	sigwait(ends, &got);
	log_line(LOG_INFO, "stopping", "signal", strsignal(got), NULL);
	app_stop(app);
	return EXIT_SUCCESS;
}

int cli_serve(int argc, char **argv)
{
	struct serve_options o = { 0 };
	struct app_options options = { .broken = broken };
	struct problem why = { 0 };
	struct app *app;
	char path[4096];
	sigset_t ends;
	int told = read_options(argc, argv, &o);

	if (told != 0) {
		return told - 1;
	}
	if (!cli_register(o.data, path, sizeof path)) {
		return CLI_USAGE;
	}
	/* before any thread starts, so that all of them leave the signals to sigwait */
	sigemptyset(&ends);
	sigaddset(&ends, SIGINT);
	sigaddset(&ends, SIGTERM);
	pthread_sigmask(SIG_BLOCK, &ends, NULL);
	signal(SIGPIPE, SIG_IGN);
	options.register_path = path;
	options.static_folder = o.pages != NULL ? o.pages : find_pages(&o);
	options.batch_most = o.batch_most;
	options.spool_most = o.spool_most;
	options.http.threads = o.threads;
	options.http.per_address_most = o.per_address_most;
	options.http.behind_proxy = o.behind_proxy;
	options.http.address = o.address;
	options.http.port = o.port;
	if (options.static_folder == NULL) {
		log_line(LOG_WARNING, "no pages found: only the API is served", NULL);
	}
	app = app_start(&options, &why);
	if (app == NULL) {
		fprintf(stderr, "bondbook: %s\n", why.detail);
		return CLI_UNAVAILABLE;
	}
	return serve_until_told(app, &o, &ends);
}
