/* bondbook import: a file into the register, or what would come of it. */
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "api/rights.h"
#include "base/clock.h"
#include "cli/cli.h"
#include "cli/import_args.h"
#include "service/access/person.h"
#include "service/import/file.h"
#include "service/import/propose.h"
#include "service/import/wrong.h"

static const char usage[] =
	"usage: bondbook import KIND FILE --data DIR [options]\n"
	"       bondbook import KIND FILE --propose [options]\n\n"
	"KIND: lines, tracks, maps, bonds, inspections, failures. The first row of FILE names the\n"
	"columns, or is data (--set first_row=data). FILE is CSV, or a workbook, .xlsx or .ods.\n"
	"A file goes in as a whole or not at all: one wrong row stops it.\n\n"
	"  --propose             print how the file could be read: settings on standard output, the\n"
	"                        reasons on standard error; nothing is imported\n"
	"  --settings FILE.json  how to read it (what --propose printed, corrected)\n"
	"  --mapping NAME        the same, as saved in the register\n"
	"  --set NAME=VALUE      sheet (of a workbook), separator, encoding, decimal, day_order,\n"
	"                        first_row, begins_row, ends_row, tolerance_m\n"
	"  --column FIELD=HEADING | FIELD='{HEADING} {HEADING:rest}'\n"
	"  --constant FIELD=VALUE\n"
	"  --word FIELD:FROM=TO  another word for a value; FROM * is every other one\n"
	"  --unit FIELD=UNIT     of a column's numbers: mohm, km, f ...; cell: each cell says\n"
	"  --left-out HEADING    a column of numbers that is not wanted\n"
	"  --take FIELD          of known bonds, take what the file says otherwise of this field; --set\n"
	"                        known=stays leaves them all as they are. Else such a row is wrong\n"
	"  --only HEADING=BEGINNING*   leave out the rows that do not begin so (also =VALUE, =*)\n"
	"  --stated-by LOGIN     the engineer whose word row_meant, meter_percent, meter_uohm and\n"
	"                        stated_reason are, with --set, of inspections of an old log\n"
	"  --save-mapping NAME   keep the settings under a name\n"
	"  --dry-run             tell what would happen, and change nothing\n"
	"  --wrong FILE.csv      write the wrong rows there, each with what is wrong\n"
	"  --leave-wrong-out     import the right rows although others are wrong\n\n"
	"Exit codes: 0 done, 64 wrong command, 65 wrong rows or settings, 69 the register is in use,\n"
	"74 a file cannot be read or written.\n";

enum { SHOWN_WRONG = 10, BAR_WIDTH = 30, BAR_EVERY_MS = 100, LINE_EVERY_MS = 5000 };

struct importer {
	struct import_args args;
	struct import_request request;
	struct import_result result;
	struct wrong_rows wrong;
	struct import_opened opened;
	bool ran;
	bool terminal;
	int64_t told_ms;
};

/* A bar on a terminal, a line now and then elsewhere. */
static void show_progress(void *app, size_t done, size_t all)
{
	struct importer *im = app;
	int64_t now_ms = clock_monotonic_ms();
	int percent = all > 0 ? (int)((double)done * 100 / (double)all) : 100;

	if (now_ms - im->told_ms < (im->terminal ? BAR_EVERY_MS : LINE_EVERY_MS) &&
		!(im->terminal && done >= all)) {
		return;
	}
	im->told_ms = now_ms;
	if (im->terminal) {
		int full = percent * BAR_WIDTH / 100;

		fprintf(stderr, "\r[%.*s%*s] %3d %%%s", full, "##############################",
			BAR_WIDTH - full, "", percent, done >= all ? "\n" : "");
	} else {
		fprintf(stderr, "%d %%\n", percent);
	}
}

static void take_wrong(void *app, const struct import_wrong *one)
{
	wrong_rows_take(&((struct importer *)app)->wrong, one);
}

/* Whose word it is what the settings state of an old log: an engineer's, by the login. */
static bool find_engineer(struct act *act, const char *login, int64_t *id, struct problems *why)
{
	struct person person = { 0 };
	struct problem trouble = { 0 };

	if (!person_of_login(act->store, login, id, &trouble) ||
		(*id != 0 && !store_person_get(act->store, *id, &person, &trouble))) {
		return act_refuse(why, &trouble, NULL);
	}
	return (*id != 0 && person.active && (rights_of_role(person.role) & CAN_MANAGE) != 0) ||
		problems_add(why, PROBLEM_RIGHT, "stated-by", "Nobody who signs in as %.60s may state what "
			"a log was measured with: name an engineer, who may adopt a rulebook.", login);
}

static bool run(struct act *act, void *arg, struct problems *why)
{
	struct importer *im = arg;

	if (im->args.stated_by != NULL && !find_engineer(act, im->args.stated_by,
		&im->request.stated_by, why)) {
		return false;
	}
	im->ran = import_run(act, &im->request, &im->result, why);
	return im->ran && import_keeps(&im->request, &im->result);
}

static bool save(struct act *act, void *arg, struct problems *why)
{
	const struct import_args *args = &((struct importer *)arg)->args;

	return import_settings_check(args->kind, &args->settings, why) &&
		import_mapping_save(act, args->save_as, args->kind, &args->settings, why);
}

static void print_counts(const struct importer *im)
{
	const struct import_result *r = &im->result;

	printf("%9zu rows in %s\n%9zu %s\n%9zu there already", r->rows, im->request.file_name, r->added,
		im->request.dry_run ? "would be new" : "new", r->already);
	if (r->repeated > 0) {
		printf(", %zu of them repeat an earlier row", r->repeated);
	}
	if (r->changed > 0) {
		printf(", %zu of them %s", r->changed,
			im->request.dry_run ? "would be changed" : "changed");
	}
	printf("\n%9zu left out by the mapping\n%9zu wrong\n", r->left_out, r->wrong);
}

static void print_findings(const struct import_result *r)
{
	for (size_t i = 0; i < r->n_findings; i++) {
		printf("  %s\n", r->findings[i].sentence);
	}
}

/* What the file says otherwise of known bonds. */
static void print_differences(const struct import_result *r)
{
	for (size_t i = 0; i < r->n_differing; i++) {
		printf("%9zu known bond%s with another %s (%s)\n", r->differing[i].count,
			r->differing[i].count == 1 ? "" : "s", r->differing[i].title, r->differing[i].field);
	}
	for (size_t i = 0; i < r->n_differences && i < SHOWN_WRONG; i++) {
		const struct import_difference *d = &r->differences[i];

		printf("  row %zu, %s, %s: %s; in the file %s%s\n", d->row, d->what, d->title, d->known,
			d->said, d->taken ? ", taken" : "");
	}
}

static void print_wrong(const struct importer *im)
{
	const struct import_result *r = &im->result;

	for (size_t i = 0; i < r->n_reasons; i++) {
		printf("%9zu with %s%s wrong, as: %s\n", r->reasons[i].count,
			r->reasons[i].column[0] != '\0' ? "the column " : "the row",
			r->reasons[i].column, r->reasons[i].example);
	}
	puts("First wrong rows:");
	for (size_t i = 0; i < r->n_wrongs && i < SHOWN_WRONG; i++) {
		const struct import_wrong *w = &r->wrongs[i];

		printf("  row %zu (line %zu)", w->row, w->line);
		if (w->column[0] != '\0') {
			printf(", %s \"%s\"", w->column, w->value);
		}
		printf(": %s\n", w->reason);
	}
}

static bool put_bytes(void *app, const char *bytes, size_t len)
{
	return fwrite(bytes, 1, len, app) == len;
}

/* False: told on stderr. */
static bool write_wrong(struct importer *im)
{
	const char *path = im->args.wrong_path;
	FILE *file = fopen(path, "w");
	bool ok = file != NULL && wrong_rows_write(&im->wrong, &im->request, put_bytes, file);

	if (file != NULL) {
		ok = fclose(file) == 0 && ok;
	}
	if (!ok) {
		fprintf(stderr, "bondbook: %s could not be written: %s\n", path, strerror(errno));
	}
	return ok;
}

/* What came of it, in words and as the exit code. */
static int finish(struct importer *im, int code)
{
	const struct import_result *r = &im->result;

	if (!im->ran) {
		return code;
	}
	print_counts(im);
	print_findings(r);
	print_differences(r);
	if (r->wrong > 0) {
		print_wrong(im);
	}
	if (im->args.wrong_path != NULL && r->wrong > 0) {
		if (!write_wrong(im)) {
			return CLI_IO;
		}
		printf("All wrong rows are in %s.\n", im->args.wrong_path);
	}
	if (code == CLI_DATA && im->request.dry_run) {
		puts("Nothing was changed: this was a trial.");
		return r->wrong > 0 && im->args.settings.leave_wrong_out != 1 ? CLI_DATA : 0;
	}
	if (code == CLI_DATA) {
		puts("Nothing was imported: correct the rows or the settings, or leave the wrong rows out "
			"with --leave-wrong-out.");
	} else if (code == 0 && r->import_id != 0) {
		printf("Import %lld is kept.\n", (long long)r->import_id);
	}
	return code;
}

static int import_it(struct importer *im)
{
	struct problems why = { 0 };
	int code = 0;

	if (!import_open(im->request.bytes, im->request.len, false, &im->args.settings, &im->opened,
		&why)) {
		cli_tell(&why);
		return CLI_DATA;
	}
	im->request.bytes = im->opened.bytes;
	im->request.len = im->opened.len;
	code = im->args.save_as != NULL ? cli_act(im->args.data, save, im) : 0;
	if (code != 0) {
		return code;
	}
	wrong_rows_start(&im->wrong, &im->args.settings);
	im->terminal = isatty(STDERR_FILENO);
	im->told_ms = clock_monotonic_ms();
	im->request.watch = (struct import_watch){ show_progress,
		im->args.wrong_path != NULL ? take_wrong : NULL, im };
	code = finish(im, cli_act(im->args.data, run, im));
	import_result_release(&im->result);
	wrong_rows_release(&im->wrong);
	return code;
}

static void print_reasons(const struct import_proposal *p)
{
	const struct { const char *name, *value, *why; } all[] = {
		{ "separator", separator_words.code[p->settings.separator], p->separator_why },
		{ "encoding", charset_words.code[p->settings.encoding], p->encoding_why },
		{ "decimal", decimal_words.code[p->settings.decimal], p->decimal_why },
		{ "day_order", p->settings.day_order < 0 ? "?" :
		  day_order_words.code[p->settings.day_order], p->day_order_why },
		{ "first_row", p->settings.first_row < 0 ? "?" :
		  first_row_words.code[p->settings.first_row], p->first_row_why },
		{ "begins_row", p->shape.begins_row > 0 ? "below" : "1", p->shape.begins_why },
		{ "ends_row", p->shape.ends_row > 0 ? "before" : "last", p->shape.ends_why } };
	struct problems missing = { 0 };

	if (p->settings.sheet != NULL) {
		fprintf(stderr, "%-10s %-12s %s\n", "sheet", p->settings.sheet, p->sheet_why);
	}
	for (size_t i = 0; i < sizeof all / sizeof all[0]; i++) {
		fprintf(stderr, "%-10s %-12s %s\n", all[i].name, all[i].value, all[i].why);
	}
	fputs("columns   ", stderr);
	for (size_t i = 0; i < p->n_columns; i++) {
		fprintf(stderr, "%s%.*s", i > 0 ? " | " : " ", (int)p->headings->name[i].len,
			p->headings->name[i].text);
	}
	fputs("\n", stderr);
	import_proposal_missing(p, &missing);
	for (size_t i = 0; i < missing.count && i < PROBLEMS_SHOWN; i++) {
		fprintf(stderr, "missing    %s\n", missing.item[i].detail);
	}
}

static int propose(struct importer *im)
{
	struct import_proposal *p = malloc(sizeof *p);
	struct problems why = { 0 };
	struct text json = { 0 };
	bool ok = p != NULL && import_propose(im->args.kind, &im->args.settings, im->request.bytes,
		im->request.len, p, &why);

	if (ok) {
		print_reasons(p);
		form_write(&import_settings_form, &p->settings, &json);
		puts(json.failed ? "{}" : json.data);
	}
	cli_tell(&why);
	text_release(&json);
	if (p != NULL) {
		import_proposal_release(p);
	}
	free(p);
	return ok ? 0 : CLI_DATA;
}

int cli_import(int argc, char **argv)
{
	struct importer *im = calloc(1, sizeof *im);
	struct problem why = { 0 };
	char *bytes = NULL;
	int code = im != NULL ? import_args_read(argc, argv, &im->args) : CLI_SOFTWARE;

	if (code == 0 && im->args.help) {
		fputs(usage, stdout);
	} else if (code == 0) {
		const char *slash = strrchr(im->args.path, '/');

		im->request = (struct import_request){ .kind = im->args.kind,
			.settings = &im->args.settings, .dry_run = im->args.dry_run,
			.file_name = slash != NULL ? slash + 1 : im->args.path };
		if (!import_file_read(im->args.path, IMPORT_FILE_BYTES, &bytes, &im->request.len, &why)) {
			fprintf(stderr, "bondbook: %s\n", why.detail);
			code = why.code == PROBLEM_TOO_LARGE ? CLI_DATA : CLI_IO;
		} else {
			im->request.bytes = bytes;
			code = im->args.propose ? propose(im) : import_it(im);
		}
	}
	free(bytes);
	if (im != NULL) {
		import_opened_release(&im->opened);
		import_args_release(&im->args);
	}
	free(im);
	return code;
}
