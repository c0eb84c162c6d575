#include <errno.h>
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
	bool behind_proxy, proxy_https, hsts;
	const char *certificate, *key, *authority;       /* files */
};

static const char usage[] =
	"usage: bondbook serve --data DIR [--listen ADDRESS:PORT] [--static DIR]\n\n"
	"  --data DIR             where the register is, which bondbook init made\n"
	"  --listen ADDRESS:PORT  default 127.0.0.1:8080; [::1]:8080 for IPv6; port 0: any free one\n"
	"  --static DIR           the bundled pages; default: beside the program\n"
	"  --batch N              writes in one transaction at most (1: no batching)\n"
	"  --threads N            threads that answer reading requests; default: one a core\n"
	"  --spool MB             room for files that are being fetched, on disk, of which one person\n"
	"                         has half; default: 8192\n"
	"  --strangers N          connections of one address without anybody signed in; default: 64\n"
	"  --behind-proxy         a proxy of yours is in front, which says whom it has a request from\n"
	"                         (X-Forwarded-For); each answer ends its connection\n"
	"  --proxy-https          that proxy is reached over https: cookies go over https alone\n"
	"  --certificate FILE     serves https, TLS 1.2 and 1.3: the certificate and its chain, PEM\n"
	"  --key FILE             its key, PEM without a password; both are read again on SIGHUP\n"
	"  --authority FILE       who vouches for it, PEM, for tablets to trust: given to whoever asks\n"
	"                         for /authority.crt\n"
	"  --hsts                 browsers ask this host over https alone from then on, for a year,\n"
	"                         at every port: only where nothing else is served by its name\n";

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

static bool read_option(int c, struct serve_options *o)
{
	const struct { int c; const char **to; } texts[] = { { 'd', &o->data }, { 's', &o->pages },
		{ 'c', &o->certificate }, { 'k', &o->key },
		{ 'a', &o->authority } };
	const struct { int c; bool *to; } flags[] = { { 'p', &o->behind_proxy },
		{ 'q', &o->proxy_https }, { 'r', &o->hsts } };

	for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
		*texts[i].to = texts[i].c == c ? optarg : *texts[i].to;
	}
	for (size_t i = 0; i < sizeof flags / sizeof flags[0]; i++) {
		*flags[i].to = flags[i].c == c || *flags[i].to;
	}
	if (c == 'b') {
		o->batch_most = (size_t)strtoul(optarg, NULL, 10);
	} else if (c == 't') {
		o->threads = (unsigned)strtoul(optarg, NULL, 10);
	} else if (c == 'f') {
		o->spool_most = (uint64_t)strtoull(optarg, NULL, 10) << 20;
	} else if (c == 'n') {
		o->per_address_most = (unsigned)strtoul(optarg, NULL, 10);
	} else if (c == 'l' && !read_listen(optarg, o)) {
		fprintf(stderr, "bondbook: --listen takes ADDRESS:PORT, like 127.0.0.1:8080\n");
		return false;
	}
	return true;
}

static bool options_fit(const struct serve_options *o)
{
	const char *wrong = (o->certificate == NULL) != (o->key == NULL) ?
		"--certificate and --key belong together" :
		o->authority != NULL && o->certificate == NULL ? "--authority goes with a --certificate" :
		o->proxy_https && !o->behind_proxy ? "--proxy-https goes with --behind-proxy" :
		o->hsts && o->certificate == NULL && !o->proxy_https ?
		"--hsts goes with a --certificate, or with --proxy-https" : NULL;

	if (wrong != NULL) {
		fprintf(stderr, "bondbook: %s\n", wrong);
	}
	return wrong == NULL;
}

/* 0: go on; otherwise the exit code plus one. */
static int read_options(int argc, char **argv, struct serve_options *o)
{
	static const struct option options[] = { { "data", required_argument, NULL, 'd' },
		{ "listen", required_argument, NULL, 'l' }, { "static", required_argument, NULL, 's' },
		{ "batch", required_argument, NULL, 'b' }, { "threads", required_argument, NULL, 't' },
		{ "spool", required_argument, NULL, 'f' }, { "strangers", required_argument, NULL, 'n' },
		{ "behind-proxy", no_argument, NULL, 'p' },
		{ "proxy-https", no_argument, NULL, 'q' }, { "hsts", no_argument, NULL, 'r' },
		{ "authority", required_argument, NULL, 'a' },
		{ "certificate", required_argument, NULL, 'c' }, { "key", required_argument, NULL, 'k' },
		{ "help", no_argument, NULL, 'h' }, { 0 } };
	int c;

	read_listen("127.0.0.1:8080", o);
	while ((c = getopt_long(argc, argv, "", options, NULL)) != -1) {
		if (c == 'h') {
			fputs(usage, stdout);
			return EXIT_SUCCESS + 1;
		}
		if (c == '?') {
			fputs(usage, stderr);
			return CLI_USAGE + 1;
		}
		if (!read_option(c, o)) {
			return CLI_USAGE + 1;
		}
	}
	return options_fit(o) ? 0 : CLI_USAGE + 1;
}

/* The texts of the certificate's files. They hold a key: small, and wiped before they are freed. */
struct certificate_text {
	char chain[1 << 16], key[1 << 16], authority[1 << 16];
};

static bool read_pem(const char *path, const char *what, char *to, size_t size, struct problem *why)
{
	FILE *file = fopen(path, "re");
	size_t len = file != NULL ? fread(to, 1, size, file) : 0;
	bool ok = file != NULL && ferror(file) == 0 && len < size;

	if (!ok) {
		problem_set(why, PROBLEM_VALUE, what, "%s cannot be read: %s.", path,
			len == size ? "it is too large for a certificate" : strerror(errno));
	}
	to[ok ? len : 0] = '\0';
	if (file != NULL) {
		fclose(file);
	}
	return ok;
}

/* NULL: *why. */
static struct certificate_text *read_certificate(const struct serve_options *o, struct problem *why)
{
	struct certificate_text *text = calloc(1, sizeof *text);

	if (text == NULL) {
		problem_set(why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	} else if (!read_pem(o->certificate, "certificate", text->chain, sizeof text->chain, why) ||
		!read_pem(o->key, "key", text->key, sizeof text->key, why) || (o->authority != NULL &&
		!read_pem(o->authority, "authority", text->authority, sizeof text->authority, why))) {
		free(text);
		text = NULL;
	}
	return text;
}

static void forget_certificate(struct certificate_text *text)
{
	if (text != NULL) {
		explicit_bzero(text, sizeof *text);
		free(text);
	}
}

static void show_certificate_again(struct app *app, const struct serve_options *o)
{
	struct problem why = { 0 };
	struct certificate_text *text;

	if (o->certificate == NULL) {
		return;
	}
	text = read_certificate(o, &why);
	if (text != NULL && app_certificate(app, text->chain, text->key, &why)) {
		log_line(LOG_INFO, "the certificate was read again", NULL);
	} else {
		log_line(LOG_ERROR, "the certificate was not read again: the former is shown still", "why",
			why.detail, NULL);
	}
	forget_certificate(text);
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

static int serve_until_told(struct app *app, const struct serve_options *o, const sigset_t *signals)
{
	int got;
	bool is_v6 = strchr(o->address, ':') != NULL;

	printf("bondbook serves http%s://%s%s%s:%u/\n", o->certificate != NULL ? "s" : "",
		is_v6 ? "[" : "", o->address, is_v6 ? "]" : "", app_port(app));
	fflush(stdout);
	while (sigwait(signals, &got) == 0 && got == SIGHUP) {
		show_certificate_again(app, o);
	}
	log_line(LOG_INFO, "stopping", "signal", strsignal(got), NULL);
	app_stop(app);
	return EXIT_SUCCESS;
}

static void fill(struct app_options *options, struct serve_options *o, const char *path)
{
	options->register_path = path;
	options->static_folder = o->pages != NULL ? o->pages : find_pages(o);
	options->batch_most = o->batch_most;
	options->spool_most = o->spool_most;
	options->http = (struct http_options){ .address = o->address, .port = o->port,
		.threads = o->threads, .per_address_most = o->per_address_most,
		.behind_proxy = o->behind_proxy, .proxy_https = o->proxy_https, .hsts = o->hsts };
}

/* Before any thread starts, so that all of them leave the signals to sigwait. */
static void block_signals(sigset_t *signals)
{
	sigemptyset(signals);
	sigaddset(signals, SIGINT);
	sigaddset(signals, SIGTERM);
	sigaddset(signals, SIGHUP);
	pthread_sigmask(SIG_BLOCK, signals, NULL);
	signal(SIGPIPE, SIG_IGN);
}

int cli_serve(int argc, char **argv)
{
	struct serve_options o = { 0 };
	struct app_options options = { .broken = broken };
	struct problem why = { 0 };
	struct app *app;
	char path[4096];
	sigset_t signals;
	struct certificate_text *certificate = NULL;
	int told = read_options(argc, argv, &o);

	if (told != 0) {
		return told - 1;
	}
	if (!cli_register(o.data, path, sizeof path)) {
		return CLI_USAGE;
	}
	block_signals(&signals);
	fill(&options, &o, path);
	if (options.static_folder == NULL) {
		log_line(LOG_WARNING, "no pages found: only the API is served", NULL);
	}
	if (o.certificate != NULL) {
		certificate = read_certificate(&o, &why);
	}
	options.http.tls_certificate = certificate != NULL ? certificate->chain : NULL;
	options.http.tls_key = certificate != NULL ? certificate->key : NULL;
	options.authority = certificate != NULL && o.authority != NULL ? certificate->authority : NULL;
	app = why.code == PROBLEM_NONE ? app_start(&options, &why) : NULL;
	forget_certificate(certificate);
	if (app == NULL) {
		fprintf(stderr, "bondbook: %s\n", why.detail);
		return CLI_UNAVAILABLE;
	}
	return serve_until_told(app, &o, &signals);
}
