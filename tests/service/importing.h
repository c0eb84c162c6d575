/* Importing texts into the tests' railway. */
#ifndef TESTS_SERVICE_IMPORTING_H
#define TESTS_SERVICE_IMPORTING_H

#include "derived/rebuild.h"
#include "service/import/import.h"
#include "service/railway.h"
#include "store/kept/judgement.h"
#include "store/sql.h"

struct importing {
	struct import_settings settings;
	struct form_memory memory;
	struct import_result result;
	struct problems why;
	int64_t stated_by;              /* who may state what the settings state; 0: nobody */
};

/* Settings from JSON in which ' stands for ". */
static inline void importing_settings(struct importing *i, const char *json)
{
	char text[4096];
	struct problems why = { 0 };

	memset(i, 0, sizeof *i);
	ck_assert_uint_lt(strlen(json), sizeof text);
	snprintf(text, sizeof text, "%s", json);
	for (char *c = text; *c != '\0'; c++) {
		*c = *c == '\'' ? '"' : *c;
	}
	railway_must(form_from_json(&import_settings_form, text, strlen(text), &i->settings, &i->memory,
		&why), &why);
}

/* One import in a transaction of its own, kept or rolled back as it says. False: it could not be
 * run, and i->why says why. */
static inline bool importing_bytes(struct railway *r, struct importing *i, const char *kind,
	const char *bytes, size_t len, bool dry_run)
{
	const struct import_request request = { import_kind_find(kind), &i->settings, "file.csv", bytes,
		len, dry_run, { 0 }, i->stated_by };
	bool ok;

	i->why = (struct problems){ 0 };
	import_result_release(&i->result);
	railway_begin(r, "2024-05-01");
	ok = import_run(&r->act, &request, &i->result, &i->why);
	if (ok && import_keeps(&request, &i->result)) {
		railway_end(r);
	} else {
		railway_undo(r);
	}
	return ok;
}

static inline bool importing(struct railway *r, struct importing *i, const char *kind,
	const char *text, bool dry_run)
{
	return importing_bytes(r, i, kind, text, strlen(text), dry_run);
}

/* Imports, and expects these counts. */
static inline void importing_expect(struct railway *r, struct importing *i, const char *kind,
	const char *text, size_t added, size_t already, size_t left_out, size_t wrong)
{
	const struct import_result *got = &i->result;

	railway_must(importing(r, i, kind, text, false), &i->why);
	ck_assert_msg(got->added == added && got->already == already && got->left_out == left_out &&
		got->wrong == wrong, "%zu added, %zu already, %zu left out, %zu wrong: %s", got->added,
		got->already, got->left_out, got->wrong, got->n_wrongs > 0 ? got->wrongs[0].reason : "");
	ck_assert_uint_eq(got->rows, added + already + left_out + wrong);
}

/* The n-th wrong row: where, and a part of its reason. */
static inline void importing_wrong(const struct importing *i, size_t n, size_t row,
	const char *column, const char *value, const char *reason)
{
	const struct import_wrong *w;

	ck_assert_uint_lt(n, i->result.n_wrongs);
	w = &i->result.wrongs[n];
	ck_assert_msg(w->row == row && strcmp(w->column, column) == 0 &&
		strcmp(w->value, value) == 0 && strstr(w->reason, reason) != NULL,
		"row %zu, column %s, value %s: %s", w->row, w->column, w->value, w->reason);
}

static inline void importing_release(struct importing *i)
{
	import_result_release(&i->result);
	form_memory_release(&i->memory);
}

/* How many rows a list has. */
static inline size_t importing_count(struct railway *r, const struct list *list)
{
	struct list_query query;
	struct problems why = { 0 };
	struct problem one = { 0 };
	struct table table;
	struct list_run *run;
	struct cell cells[64];
	bool failed = false;
	size_t n = 0;

	railway_must(list_query_read(list, NULL, 0, 0, &query, &why), &why);
	query.limit = 0;
	run = list_open(r->store, &query, &table, &one);
	ck_assert_msg(run != NULL, "%s", one.detail);
	while (table.next(table.source, cells, &failed)) {
		n++;
	}
	ck_assert(!failed);
	list_close(run);
	return n;
}

/* What is derived of all bonds, and of the readings that count, without the numbers of entries. */
static inline char *importing_derived(struct railway *r)
{
	static const char *const sql[] = { ("SELECT bond_id, last_inspection_day, due_day, "
		"overdue_from_day, due_basis, failures_open, grade, reasons, evidence_until_day, "
		"act_since_day, worst_verdict, limit_ppm, asked, inspect_day, mend_day FROM bond_state "
		"ORDER BY bond_id"), ("SELECT i.bond_id, i.day, s.verdict, "
		FIGURE("r20_uohm") ", " FIGURE("limit_value") ", " FIGURE("u95") " "
		"FROM inspection i JOIN reading_state s ON s.inspection_id = i.id WHERE "
		SQL_COUNTS("inspection", NOUN_INSPECTION, "i.id") " ORDER BY 1, 2, 3"),
		("SELECT line_id, due_day, alike, deferred_to_day, evidence_until_day, bonds FROM due_cell "
		"ORDER BY 1, 2, 3, 4, 5") };
	struct text all = { 0 };
	struct problem why = { 0 };

	for (size_t i = 0; i < 3; i++) {
		sqlite3_stmt *row = sql_select(r->store, sql[i], NULL, 0, &why);

		while (sql_row(r->store, row, &why)) {
			for (int c = 0; c < sqlite3_column_count(row); c++) {
				const char *text = (const char *)sqlite3_column_text(row, c);

				text_addf(&all, "%s|", text != NULL ? text : "-");
			}
			text_add_z(&all, "\n");
		}
	}
	ck_assert_msg(why.code == PROBLEM_NONE && !all.failed, "%s", why.detail);
	return all.data;
}

static inline void importing_content(struct railway *r)
{
	static struct check_result result;
	struct problems why = { 0 };

	railway_begin(r, "2024-05-02");
	railway_must(check_all(&r->act, &result, &why), &why);
	ck_assert_msg(result.differences == 0, "%s", result.shown[0]);
	railway_end(r);
}

#endif
