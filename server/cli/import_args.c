#include "cli/import_args.h"

#include <getopt.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "cli/cli.h"
#include "service/import/file.h"

enum { SETTINGS_BYTES = 1 << 20 };

/* What was said of the settings, in its order; applied when all of it is read. */
struct said {
	int option;
	char *text;
};

struct reading {
	struct import_args *to;
	struct said said[256];
	size_t n_said;
	const char *settings_path, *mapping;
};

static bool refuse(const char *option, const char *text, const char *form)
{
	fprintf(stderr, "bondbook: --%s %s: write %s\n", option, text, form);
	return false;
}

/* A list with room for one more; a copy, so that what was loaded stays. */
static void *list_grow(struct import_args *to, struct form_list *list, size_t size)
{
	char *more = form_alloc(&to->memory, (list->count + 1) * size);

	if (more == NULL) {
		return NULL;
	}
	if (list->count > 0) {
		memcpy(more, list->items, list->count * size);
	}
	list->items = more;
	return more + size * list->count++;
}

/* Cuts "left=right" in two. */
static char *cut(char *text, char at)
{
	char *mark = strchr(text, at);

	if (mark != NULL) {
		*mark++ = '\0';
	}
	return mark;
}

static bool put_setting(struct import_args *to, char *text)
{
	char *value = cut(text, '=');
	const struct member *m = form_member(&import_settings_form, text);
	const struct form_reading plain = { DAY_YMD, '.' };
	struct problem why = { 0 };

	if (value == NULL || m == NULL) {
		return refuse("set", text, "NAME=VALUE, as separator=semicolon, encoding=cp850, "
			"decimal=comma, day_order=dmy, tolerance_m=10");
	}
	if (!form_from_cell(m, value, strlen(value), &plain, &to->settings, &to->memory, &why)) {
		fprintf(stderr, "bondbook: %s\n", why.detail);
		return false;
	}
	return true;
}

/* A field said twice is as it was said last. */
static bool put_column(struct import_args *to, bool constant, char *text)
{
	char *value = cut(text, '=');
	struct import_column *c;

	if (value == NULL || value[0] == '\0') {
		return refuse(constant ? "constant" : "column", text, constant ? "FIELD=VALUE" :
			"FIELD=HEADING, or FIELD=TEMPLATE with headings in braces");
	}
	c = (struct import_column *)import_settings_column(&to->settings, text);
	c = c != NULL ? c : list_grow(to, &to->settings.columns, sizeof *c);
	if (c == NULL) {
		return false;
	}
	*c = (struct import_column){ .field = text };
	*(constant ? &c->constant : strchr(value, '{') != NULL ? &c->template : &c->column) = value;
	return true;
}

static bool put_word(struct import_args *to, char *text)
{
	char *from = cut(text, ':'), *into = from != NULL ? cut(from, '=') : NULL;
	struct import_word *w;

	if (into == NULL) {
		return refuse("word", text, "FIELD:FROM=TO; FROM left out is the empty cell, * every other "
			"value, TO left out is nothing");
	}
	w = list_grow(to, &to->settings.words, sizeof *w);
	if (w == NULL) {
		return false;
	}
	*w = (struct import_word){ text, from[0] != '\0' ? from : NULL, into[0] != '\0' ? into : NULL };
	return true;
}

static bool put_only(struct import_args *to, char *text)
{
	char *value = cut(text, '=');
	size_t len = value != NULL ? strlen(value) : 0;
	struct import_only *o;

	if (len == 0) {
		return refuse("only", text, "HEADING=VALUE, HEADING=BEGINNING*, or HEADING=* for not empty");
	}
	o = list_grow(to, &to->settings.only, sizeof *o);
	if (o == NULL) {
		return false;
	}
	*o = (struct import_only){ .column = text, .not_empty = -1 };
	if (value[len - 1] != '*') {
		o->equals = value;
	} else if (len > 1) {
		value[len - 1] = '\0';
		o->begins_with = value;
	} else {
		o->not_empty = 1;
	}
	return true;
}

/* Of a column that was given, on the command line before it or in the settings. */
static bool put_unit(struct import_args *to, char *text)
{
	char *unit = cut(text, '=');
	struct import_column *c = (struct import_column *)import_settings_column(&to->settings, text);

	if (unit == NULL || unit[0] == '\0' || c == NULL) {
		return refuse("unit", text, "FIELD=UNIT, as shown_uohm=mohm, after the field's column");
	}
	c->unit = unit;
	return true;
}

static bool put_left_out(struct import_args *to, char *text)
{
	struct import_left_out *one = list_grow(to, &to->settings.left_out, sizeof *one);

	if (one != NULL) {
		one->column = text;
	}
	return one != NULL;
}

/* A field of which what the file says otherwise is taken of known bonds. */
static bool put_take(struct import_args *to, char *text)
{
	struct import_taken *one = list_grow(to, &to->settings.take, sizeof *one);

	if (one != NULL) {
		one->field = text;
		to->settings.known = KNOWN_TAKES;
	}
	return one != NULL;
}

static bool apply(struct import_args *to, const struct said *said)
{
	switch (said->option) {
	case 's':
		return put_setting(to, said->text);
	case 'c':
	case 'k':
		return put_column(to, said->option == 'k', said->text);
	case 'o':
		return put_word(to, said->text);
	case 'u':
		return put_unit(to, said->text);
	case 'x':
		return put_left_out(to, said->text);
	case 't':
		return put_take(to, said->text);
	default:
		return put_only(to, said->text);
	}
}

static int load_file(struct import_args *to, const char *path)
{
	struct problems why = { 0 };
	struct problem one = { 0 };
	char *json;
	size_t len;
	bool ok;

	if (!import_file_read(path, SETTINGS_BYTES, &json, &len, &one)) {
		fprintf(stderr, "bondbook: %s\n", one.detail);
		return CLI_IO;
	}
	ok = form_from_json(&import_settings_form, json, len, &to->settings, &to->memory, &why);
	free(json);
	if (!ok) {
		fprintf(stderr, "bondbook: the settings in %s:\n", path);
		cli_tell(&why);
	}
	return ok ? 0 : CLI_DATA;
}

static int load_mapping(struct import_args *to, const char *name)
{
	const struct import_kind *kind = NULL;
	struct problems why = { 0 };
	struct store *store;
	char path[4096];
	bool ok;

	if (!cli_register(to->data, path, sizeof path)) {
		return CLI_USAGE;
	}
	store = cli_open(path);
	if (store == NULL) {
		return CLI_UNAVAILABLE;
	}
	ok = import_mapping_load(store, name, &kind, &to->settings, &to->memory, &why);
	store_close(store);
	if (ok && kind != to->kind) {
		ok = problems_add(&why, PROBLEM_VALUE, "mapping", "The mapping %.60s is for %s, not for %s.",
			name, kind->name, to->kind->name);
	}
	cli_tell(&why);
	return ok ? 0 : CLI_DATA;
}

static bool read_options(int argc, char **argv, struct reading *r)
{
	static const struct option options[] = { { "data", required_argument, NULL, 'd' },
		{ "settings", required_argument, NULL, 'f' }, { "mapping", required_argument, NULL, 'm' },
		{ "set", required_argument, NULL, 's' }, { "column", required_argument, NULL, 'c' },
		{ "constant", required_argument, NULL, 'k' }, { "word", required_argument, NULL, 'o' },
		{ "only", required_argument, NULL, 'y' }, { "dry-run", no_argument, NULL, 'n' },
		{ "propose", no_argument, NULL, 'p' }, { "save-mapping", required_argument, NULL, 'v' },
		{ "wrong", required_argument, NULL, 'w' }, { "help", no_argument, NULL, 'h' },
		{ "left-out", required_argument, NULL, 'x' }, { "unit", required_argument, NULL, 'u' },
		{ "take", required_argument, NULL, 't' },
		{ "stated-by", required_argument, NULL, 'b' },
		{ "leave-wrong-out", no_argument, NULL, 'l' }, { 0 } };
	struct import_args *to = r->to;
	static char leave[] = "leave_wrong_out=yes";
	int c;

	while ((c = getopt_long(argc, argv, "", options, NULL)) != -1) {
		if (strchr("sckoylxut", c) != NULL) {
			if (r->n_said == sizeof r->said / sizeof r->said[0]) {
				fputs("bondbook: too many options: write the settings into a file\n", stderr);
				return false;
			}
			r->said[r->n_said++] = c == 'l' ? (struct said){ 's', leave } :
				(struct said){ c, optarg };
		}
		if (c == '?') {
			return false;
		}
		to->data = c == 'd' ? optarg : to->data;
		to->save_as = c == 'v' ? optarg : to->save_as;
		to->wrong_path = c == 'w' ? optarg : to->wrong_path;
		to->stated_by = c == 'b' ? optarg : to->stated_by;
		to->dry_run = to->dry_run || c == 'n';
		to->propose = to->propose || c == 'p';
		to->help = to->help || c == 'h';
		r->settings_path = c == 'f' ? optarg : r->settings_path;
		r->mapping = c == 'm' ? optarg : r->mapping;
	}
	return true;
}

static bool read_names(int argc, char **argv, struct import_args *to)
{
	if (argc - optind != 2) {
		fputs("bondbook: say what the rows are and which file: bondbook import KIND FILE ...\n",
			stderr);
		return false;
	}
	to->kind = import_kind_find(argv[optind]);
	to->path = argv[optind + 1];
	if (to->kind == NULL) {
		fprintf(stderr, "bondbook: %s cannot be imported; what can be is\n", argv[optind]);
		for (size_t i = 0; i < IMPORT_KINDS; i++) {
			fprintf(stderr, "  %-12s %s\n", import_kinds[i].name, import_kinds[i].help);
		}
		return false;
	}
	if (to->data == NULL && !to->propose) {
		fputs("bondbook: say where the register is: --data DIR\n", stderr);
		return false;
	}
	return true;
}

int import_args_read(int argc, char **argv, struct import_args *to)
{
	struct reading r = { .to = to };
	int code = 0;

	*to = (struct import_args){ 0 };
	form_clear(&import_settings_form, &to->settings);
	if (!read_options(argc, argv, &r)) {
		return CLI_USAGE;
	}
	if (to->help) {
		return 0;
	}
	if (!read_names(argc, argv, to)) {
		return CLI_USAGE;
	}
	if (r.settings_path != NULL && r.mapping != NULL) {
		fputs("bondbook: --settings or --mapping, not both\n", stderr);
		return CLI_USAGE;
	}
	code = r.settings_path != NULL ? load_file(to, r.settings_path) :
		r.mapping != NULL ? load_mapping(to, r.mapping) : 0;
	for (size_t i = 0; code == 0 && i < r.n_said; i++) {
		code = apply(to, &r.said[i]) ? 0 : CLI_USAGE;
	}
	return code;
}

void import_args_release(struct import_args *args)
{
	form_memory_release(&args->memory);
}
