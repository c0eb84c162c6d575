/* bondbook export: a list as a file, or the figures of a report, for a job of the night. */
#include <errno.h>
#include <fcntl.h>
#include <getopt.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "api/json/report_json.h"
#include "api/routes.h"
#include "base/clock.h"
#include "cli/cli.h"
#include "encode/encode.h"

static const char usage[] =
	"usage: bondbook export LIST --data DIR [--format csv|xlsx|geojson|json] [options]\n"
	"       bondbook export report --data DIR [--day YYYY-MM-DD] [--lines CODE,CODE] [options]\n\n"
	"A list in full, as its page gives it (\"export --help\" names the lists), or the figures "
	"of a\n"
	"report as JSON. It only reads: a server may use the register meanwhile.\n\n"
	"  --format FORMAT       csv when not given; the ending of FILE decides where it has one\n"
	"  --filter NAME=VALUE   as the list takes it in its address; may be given again\n"
	"  --out FILE            written under another name first, and renamed when it is whole;\n"
	"                        standard output when not given\n\n"
	"Exit codes: 0 done, 64 wrong command, 65 wrong filter or format, 69 there is no such "
	"register,\n"
	"74 the list or the file could not be read or written to its end.\n\nLists:";

struct export {
	const char *name, *data, *format, *out;
	struct query_pair pairs[LIST_FILTERS + 4];
	size_t n_pairs;
	const struct list *list;         /* NULL: a report */
	const struct encoder *encoder;
};

static int tell(const struct problem *why, int code)
{
	fprintf(stderr, "bondbook: %s%s%s\n", why->field, why->field[0] != '\0' ? ": " : "",
		why->detail);
	return code;
}

static int help(FILE *to, int code)
{
	fputs(usage, to);
	for (const struct listed *l = all_lists; l->list != NULL; l++) {
		fprintf(to, " %s", l->list->name);
	}
	fputs("\n", to);
	return code;
}

static bool add_pair(struct export *e, const char *name, const char *value)
{
	if (e->n_pairs == sizeof e->pairs / sizeof e->pairs[0]) {
		return false;
	}
	e->pairs[e->n_pairs++] = (struct query_pair){ name, value };
	return true;
}

static bool add_filter(struct export *e, char *text)
{
	char *equals = strchr(text, '=');

	if (equals == NULL) {
		return false;
	}
	*equals = '\0';
	return add_pair(e, text, equals + 1);
}

static bool choose(struct export *e)
{
	const char *dot = e->out != NULL ? strrchr(e->out, '.') : NULL;

	for (const struct listed *l = all_lists; l->list != NULL; l++) {
		e->list = strcmp(l->list->name, e->name) == 0 ? l->list : e->list;
	}
	if (e->list == NULL) {
		bool is_report = strcmp(e->name, "report") == 0;

		e->format = e->format != NULL ? e->format : "json";
		return is_report && strcmp(e->format, "json") == 0;
	}
	e->encoder = encoder_find(e->format != NULL ? e->format : "csv");
	for (const struct encoder *x = encoders; x->name != NULL; x++) {
		if (e->format == NULL && dot != NULL && strcmp(dot + 1, x->extension) == 0) {
			e->encoder = x;
		}
	}
	return e->encoder != NULL;
}

/* Returns 0, or the exit code + 1. */
static int read_arguments(int argc, char **argv, struct export *e)
{
	static const struct option options[] = { { "data", required_argument, NULL, 'd' },
		{ "format", required_argument, NULL, 'f' }, { "filter", required_argument, NULL, 'w' },
		{ "out", required_argument, NULL, 'o' }, { "day", required_argument, NULL, 'y' },
		{ "lines", required_argument, NULL, 'l' }, { "help", no_argument, NULL, 'h' }, { 0 } };
	bool ok = true;
	int c;

	while ((c = getopt_long(argc, argv, "", options, NULL)) != -1) {
		switch (c) {
		case 'h':
			return help(stdout, EXIT_SUCCESS) + 1;
		case 'd':
			e->data = optarg;
			break;
		case 'f':
			e->format = optarg;
			break;
		case 'o':
			e->out = optarg;
			break;
		case 'w':
			ok = add_filter(e, optarg) && ok;
			break;
		case 'y':
		case 'l':
			ok = add_pair(e, c == 'y' ? "day" : "lines", optarg) && ok;
			break;
		default:
			ok = false;
		}
	}
	e->name = optind == argc - 1 ? argv[optind] : NULL;
	return ok && e->name != NULL && e->data != NULL && choose(e) ? 0 : help(stderr, CLI_USAGE) + 1;
}

static int write_list(const struct export *e, struct view *view, int fd)
{
	const struct encode_options options = { .title = e->list->title, .byte_order_mark = true };
	struct list_query q;
	struct problems wrong = { 0 };
	struct problem why = { 0 };
	struct table table;
	struct list_run *run;
	size_t rows = 0;
	bool ok;

	if (!view_list_query(view, e->list, e->pairs, e->n_pairs, &q, &wrong)) {
		cli_tell(&wrong);
		return CLI_DATA;
	}
	q.limit = 0;
	run = list_open(view->store, &q, &table, &why);
	ok = run != NULL && e->encoder->encode(&table, &options, fd, &rows, &why);
	list_close(run);
	return ok ? 0 : tell(&why, why.code == PROBLEM_VALUE ? CLI_DATA : CLI_IO);
}

static bool write_all(int fd, const struct text *text)
{
	size_t done = 0;

	while (done < text->len) {
		ssize_t n = write(fd, text->data + done, text->len - done);

		if (n < 0 && errno != EINTR) {
			return false;
		}
		done += n > 0 ? (size_t)n : 0;
	}
	return true;
}

static int write_report(const struct export *e, struct view *view, int fd)
{
	struct problems wrong = { 0 };
	struct text text = { 0 };
	int code = 0;

	if (!report_json(view, e->pairs, e->n_pairs, NULL, &text, &wrong)) {
		cli_tell(&wrong);
		code = wrong.item[0].code == PROBLEM_VALUE ? CLI_DATA : CLI_IO;
	} else if (text_add_char(&text, '\n'), text.failed || !write_all(fd, &text)) {
		fprintf(stderr, "bondbook: the report could not be written: %s\n", strerror(errno));
		code = CLI_IO;
	}
	text_release(&text);
	return code;
}

/* All of it is of one state of the register. */
static int write_to(const struct export *e, struct store *store, int fd)
{
	struct view view = { .store = store, .today = clock_today() };
	struct problem why = { 0 };
	int code;

	if (!store_read_begin(store, &why)) {
		return tell(&why, CLI_IO);
	}
	code = e->list != NULL ? write_list(e, &view, fd) : write_report(e, &view, fd);
	store_read_end(store);
	view_release(&view);
	return code;
}

/* Whole under its name, or not there: whoever reads FILE never meets half of one. */
static int write_file(const struct export *e, struct store *store)
{
	char part[4096];
	int len = snprintf(part, sizeof part, "%s.XXXXXX", e->out);
	int fd = len > 0 && (size_t)len < sizeof part ? mkstemp(part) : -1;
	int code;

	if (fd < 0) {
		fprintf(stderr, "bondbook: %s: %s\n", e->out, strerror(errno));
		return CLI_IO;
	}
	code = write_to(e, store, fd);
	if (code == 0 && (fchmod(fd, 0640) != 0 || fsync(fd) != 0 || rename(part, e->out) != 0)) {
		fprintf(stderr, "bondbook: %s: %s\n", e->out, strerror(errno));
		code = CLI_IO;
	}
	close(fd);
	if (code != 0) {
		unlink(part);
	}
	return code;
}

int cli_export(int argc, char **argv)
{
	struct export e = { 0 };
	struct store *store;
	char path[4096];
	int code = read_arguments(argc, argv, &e);

	if (code != 0) {
		return code - 1;
	}
	if (!cli_register(e.data, path, sizeof path)) {
		return CLI_USAGE;
	}
	store = cli_open(path);
	if (store == NULL) {
		return CLI_UNAVAILABLE;
	}
	code = e.out != NULL ? write_file(&e, store) : write_to(&e, store, STDOUT_FILENO);
	store_close(store);
	return code;
}
