/* Corrections that made a grade better, and engineers' words on record. Texts are borrowed. */
#ifndef STORE_RECORD_CORRECTION_H
#define STORE_RECORD_CORRECTION_H

#include "rules/judge/grade.h"
#include "store/record/line.h"
#include "store/record/sent.h"

struct correction_better {
	enum sent_noun noun;
	int64_t row_id, bond_id;
	enum grade grade_before, grade_after;
	bool waits;                   /* for an engineer */
	const char *reason;
};
bool store_correction_better(struct store *store, const struct correction_better *better,
	const struct origin *origin, struct problem *why);

/* A bond that a withdrawal marked (store_stale_*) was judged again: lists what that made better,
 * each withdrawal with its own reason and person, and watches it no longer. */
bool store_better_told(struct store *store, int64_t bond_id, enum grade now, int64_t now_ms,
	struct problem *why);

/* The bond of a correction or withdrawal that waits; 0: none does under that id. */
bool store_correction_waiting(struct store *store, enum sent_noun noun, int64_t row_id,
	int64_t *bond_id, struct problem *why);
/* It waits no longer. */
bool store_correction_confirmed(struct store *store, enum sent_noun noun, int64_t row_id,
	struct problem *why);

/* The numbers are stored: only add at the end. */
enum ruling_kind {
	RULING_CLEARS_OVER,           /* what was over, with a later reading within */
	RULING_ACCEPTS,               /* an attachment that was not accepted */
	RULING_CONFIRMS,              /* a correction that made a grade better */
	RULING_STATES_METER,          /* of an import without instruments */
	RULING_STATES_ROWS            /* what a row of an import meant */
};
extern const struct words ruling_kind_words;

struct ruling {
	int64_t id;
	const char *uuid, *content_hash;
	enum ruling_kind kind;
	int64_t bond_id;              /* 0: none */
	int quantity;                 /* -1: none */
	int noun;                     /* enum sent_noun; -1 */
	int64_t row_id, import_id;    /* 0: none */
	double percent, uohm;         /* NAN: none */
	int row_meant;                /* -1: none */
	int32_t decided_day;
	int64_t person_id;
	const char *reason;
};
bool store_ruling_insert(struct store *store, struct ruling *ruling, const struct origin *origin,
	struct problem *why);

/* Its kind, bond and import. *id of it stays 0 when there is none. */
bool store_ruling_get(struct store *store, int64_t id, struct ruling *to, struct problem *why);

bool store_import_exists(struct store *store, int64_t import_id, bool *there,
	struct problem *why);

/* Whether an import is one of inspections, and whether its file had the outcome of each visit, so
 * that what was done in part for want of a word cannot be told from what the file said. */
bool store_import_outcomes(struct store *store, int64_t import_id, bool *of_inspections,
	bool *has_outcomes, struct problem *why);

extern const struct list ruling_list;
extern const struct list better_list;

#endif
