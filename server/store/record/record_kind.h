/*
 * A kind of record that people send under an id of their own, as a table of data: what it is
 * called, what may be sent of it, and which column keeps which member. From it come decoding, the
 * problems of a bad body and the API description (base/form.h), the INSERT, the columns of its list
 * (list_column.of), and the test that the register has those columns.
 *
 * How such a record is kept is one function, service/record/record_sent.h; a kind adds what its
 * form cannot say. DEVELOPERS.md has the way from a table to a page.
 */
#ifndef STORE_RECORD_RECORD_KIND_H
#define STORE_RECORD_RECORD_KIND_H

#include "base/form.h"
#include "store/record/line.h"
#include "store/record/sent.h"

struct record_kind {
	enum sent_noun noun;
	const char *table;         /* id, uuid, content_hash, recorded_at_ms, recorded_by; and: */
	bool has_bond;             /* bond_id */
	bool has_replaces;         /* replaces_id, of what the form's member "corrects" names */
	bool has_import;           /* import_id */
	/* bonds are judged by it: a correction that makes one better is listed, needs the member
	 * "reason", and may wait for an engineer (service/record/correction.h) */
	bool is_judged_by;
	const struct form *form;   /* its struct begins with char uuid[UUID_TEXT_SIZE], from the address */
	/* columns that are worked out of what was sent, ended by NULL */
	const char *const *worked_out;
};

enum { RECORD_WORKED_OUT = 12 };

/* A row to be kept, beside what was sent. Zeroed at first. */
struct record_row {
	int64_t id;                              /* set when it is kept */
	int64_t bond_id, replaces_id;            /* 0: none */
	struct worked_out {
		const char *column;
		int64_t integer;                     /* a number, word, flag or day; of a text 0 */
		const char *text;                    /* borrowed; NULL: the integer */
	} more[RECORD_WORKED_OUT];
	size_t n_more;
};

/* Sets a column that is worked out; what is not set is NULL. */
void record_row_integer(struct record_row *row, const char *column, int64_t integer);
void record_row_text(struct record_row *row, const char *column, const char *text);
/* Who is said to have done it: columns person_id, or person_name of somebody not signed up. */
void record_row_doer(struct record_row *row, int64_t person_id, const char *person_name);

/* Keeps what was sent (the struct of the kind's form). A broken UNIQUE is PROBLEM_CONFLICT. */
bool store_record_insert(struct store *store, const struct record_kind *kind, const void *sent,
	const char *hash, struct record_row *row, const struct origin *origin, struct problem *why);

/* Whether the register's table has every column that the kind needs: *missing is one that it has
 * not, NULL when it has all. */
bool store_record_columns(struct store *store, const struct record_kind *kind,
	const char **missing, struct problem *why);

#endif
