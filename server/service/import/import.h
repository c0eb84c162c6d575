/*
 * Import of a file: every row through the same service function as the API, in a savepoint of its
 * own, so that one pass finds every wrong row and nothing that is wrong is kept.
 *
 * All or nothing is the caller's: it gives a transaction, and rolls it back unless import_keeps.
 *
 *     struct import_result result;
 *     bool ok = act_begin(...) && import_run(&act, &request, &result, why) && derived_end(&act,
 * why); keep = ok && import_keeps(&request, &result); import_result_release(&result);
 *
 * The same file twice adds nothing. Lines, tracks and bonds are known by their code, name and
 * label. A failure is known by its line, its bond or chainage, its day and its reference; by all
 * that its row says when it has no reference. An inspection is known by its bond, day, purpose,
 * inspector and reference. Rows of a file that say the same as an earlier one count as already
 * there; what says something else under the same identity is wrong.
 *
 * A visit counts as complete by service/import/stated.h; one that came in before that was asked
 * stays as it is, and is the same when its file comes again.
 */
#ifndef SERVICE_IMPORT_IMPORT_H
#define SERVICE_IMPORT_IMPORT_H

#include "service/import/settings.h"

enum { IMPORT_WRONG_KEPT = 1000, IMPORT_REASONS = 40, IMPORT_COLUMN_SIZE = 64,
	IMPORT_VALUE_SIZE = 100 };

/* A wrong row. It may have several problems: column and value are the first one's. */
struct import_wrong {
	size_t row;                     /* as a spreadsheet counts: the heading is 1 */
	size_t line;                    /* of the file, as a text editor counts */
	char column[IMPORT_COLUMN_SIZE];   /* its heading, or the template; "" for the whole row */
	char value[IMPORT_VALUE_SIZE];
	char reason[PROBLEM_DETAIL_SIZE];
};

/* Wrong rows of a kind: the same column and the same sort of problem. */
struct import_reason {
	enum problem_code code;
	char column[IMPORT_COLUMN_SIZE];
	size_t count;
	char example[PROBLEM_DETAIL_SIZE]; /* the first one's */
};

/* What is to be told of what came in, or would. */
enum { IMPORT_FINDINGS = 8 };
struct import_finding {
	const char *what;               /* far_below, asked, no_meter, partly, beyond, to_come */
	size_t count;
	char sentence[PROBLEM_DETAIL_SIZE];
};

/* A field of what is known that the file says otherwise. */
struct import_difference {
	size_t row;
	char what[IMPORT_COLUMN_SIZE];  /* the bond, line, or whose visit or failure on which day */
	const char *field;
	char title[IMPORT_VALUE_SIZE];
	char known[IMPORT_VALUE_SIZE], said[IMPORT_VALUE_SIZE];
	bool taken;                     /* by the settings' choice */
};
struct import_differing {
	const char *field, *title;
	size_t count;
};

struct import_result {
	size_t rows;                    /* without the heading and rows without any value */
	size_t added, already, left_out, wrong;   /* together: rows */
	size_t repeated;                /* of already: rows that repeat an earlier one of the file */
	struct import_wrong *wrongs;    /* owned; the first IMPORT_WRONG_KEPT, in the order found */
	size_t n_wrongs;
	struct import_reason reasons[IMPORT_REASONS];  /* most first */
	size_t n_reasons;
	struct import_finding findings[IMPORT_FINDINGS];
	size_t n_findings;
	size_t changed;                 /* of already: known ones of which something was taken */
	struct import_difference *differences;   /* owned; the first IMPORT_WRONG_KEPT */
	size_t n_differences;
	struct import_differing differing[IMPORT_FIELDS];   /* how often, by field */
	size_t n_differing;
	size_t bonds_made;              /* of failures: bonds that were not known, at their places */
	int64_t import_id;              /* 0: nothing was added */
	int64_t number;                 /* that it has, or would have if it came next */
	int64_t waits_for;              /* refused, because that import is under way; 0: it was not */
};

/* Told while an import runs; any may be NULL. */
struct import_watch {
	void (*progress)(void *app, size_t done, size_t all);   /* bytes */
	void (*wrong)(void *app, const struct import_wrong *one);   /* each, also those not kept */
	void *app;
};

/*
 * What a server cannot take in pieces (service/import/pieces.h) it takes at once, while no crew can
 * save: so many rows of a file and no more (a known one takes 4 us, a track or piece of line 8, a
 * new line 18), and of what changes known entries so many new or changed ones, since each is judged
 * before and after. A railway has a thousand lines, and makes them once; and the command line takes
 * any number, with nobody beside it.
 */
enum { IMPORT_AT_ONCE_MOST = 5000, IMPORT_LINES_MOST = 2500, IMPORT_CHANGED_MOST = 500 };

struct import_request {
	const struct import_kind *kind;
	const struct import_settings *settings;
	const char *file_name;          /* without its folder; "" when it is not known */
	const char *bytes;              /* as in the file */
	size_t len;
	bool dry_run;
	struct import_watch watch;
	int64_t stated_by;              /* the person who has the right to state what the settings state
	                                 * of an old log (service/import/stated.h); 0: nobody */
};

/*
 * True: the file was read to its end, and *result says what came of it. False: it could not be
 * (*why: incomplete settings, a heading that is not there, an encoding that does not fit, the store
 * failed). Release *result in both cases. act->origin.import_id is set by it.
 */
bool import_run(struct act *act, const struct import_request *request,
	struct import_result *result, struct problems *why);

/* Whether what import_run wrote is to be committed. */
bool import_keeps(const struct import_request *request, const struct import_result *result);

void import_result_release(struct import_result *result);

/* As JSON: {"dry_run", "rows", "added", "already", "repeated", "left_out", "wrong", "wrong_rows":
 * [{"row", "line", "column", "value", "reason"}], "wrong_rows_left_out", "reasons": [{"column",
 * "count", "example"}], "findings": [{"what", "count", "sentence"}], "import_id"}. */
void import_result_write(const struct import_request *request, const struct import_result *result,
	struct text *to);

/* Settings under a name: the newest version. The texts of *settings are the memory's.
 * PROBLEM_NOT_FOUND when there is none of that name. */
bool import_mapping_load(struct store *store, const char *name, const struct import_kind **kind,
	struct import_settings *settings, struct form_memory *memory, struct problems *why);

/* Keeps a further version, none when the newest says the same. */
bool import_mapping_save(struct act *act, const char *name, const struct import_kind *kind,
	const struct import_settings *settings, struct problems *why);

#endif
