/*
 * The rulebook's versions as the register keeps them: each a JSON document of rulebook_form, with
 * the reasons of single values beside it. A version is never changed; one that was wrong is
 * withdrawn, and then counts for nothing.
 *
 * A value that a version does not have, because the program that wrote it knew none, is computed
 * with as the edition of the rules has it (rules/edition.h). It is told as such, and never written
 * into the version.
 */
#ifndef STORE_RECORD_RULEBOOK_H
#define STORE_RECORD_RULEBOOK_H

#include "rules/in_force.h"
#include "store/record/line.h"

/* The railway's own reason for one value: a path of rulebook_walk. */
struct value_reason {
	const char *path;
	const char *reason;
};
extern const struct form value_reason_form;
enum { VALUE_REASONS_MOST = 200 };

/* The content of a version. */
struct rulebook_kept {
	struct rulebook rulebook;        /* complete; its version is set by who reads it from a row */
	struct form_list reasons;        /* struct value_reason, of the values that have one */
	int64_t edition;                 /* of the rules, when it was written */
	int32_t adopted_day;             /* the railway's day; DAY_NONE: an older program wrote it */
	struct form_list from_edition;   /* const char *: paths of the values that it does not have */
};
void rulebook_kept_write(const struct rulebook_kept *kept, struct text *to);
bool rulebook_kept_read(const char *body, struct rulebook_kept *to, struct form_memory *memory,
	struct problem *why);

/* One version, with its texts: release it. PROBLEM_NOT_FOUND when there is none. */
struct rulebook_row {
	int32_t from_day;
	char *body, *reason;
	char *person;                    /* who adopted it; NULL: nobody known, the program */
	int64_t recorded_at_ms;
	bool withdrawn;
	char *withdrawn_reason, *withdrawn_person;
	int64_t withdrawn_at_ms;
};
bool store_rulebook_version(struct store *store, int64_t version, struct rulebook_row *to,
	struct problem *why);
void store_rulebook_row_release(struct rulebook_row *row);

/* The greatest version there is. */
bool store_rulebook_last(struct store *store, int64_t *version, struct problem *why);

bool store_rulebook_insert(struct store *store, int64_t version, int32_t from_day,
	const char *body, const char *reason, const struct origin *origin, struct problem *why);

/* What was made while it counted is marked to be made again when it has begun by `today`. */
bool store_rulebook_withdraw(struct store *store, int64_t version, const char *reason,
	int32_t today, const struct origin *origin, struct problem *why);

/*
 * All versions, read, and when each was in force: read once, and kept by the connection until one
 * is adopted or withdrawn, by whomever. Each asking is matched by a release; what is held stays as
 * it is.
 */
struct rulebooks {
	struct rulebook_dated *dated;    /* by version */
	struct rulebook *rulebook;
	size_t n;
	struct rulebook_span *spans;     /* oldest first, future ones too */
	size_t n_spans;
};
const struct rulebooks *store_rulebooks(struct store *store, struct problem *why);
void store_rulebooks_release(const struct rulebooks *rulebooks);

extern const struct list rulebook_list;

#endif
