/* What the pieces of rules/judge/judge.h share. One pass judges the bond once: as it is, or without
 * the newest attachments, or with what is asked as if it counted. */
#ifndef RULES_JUDGE_JUDGE_PARTS_H
#define RULES_JUDGE_JUDGE_PARTS_H

#include "rules/judge/judge.h"

struct judge_pass {
	const struct rulebook *rulebook;
	struct judge_facts *facts;
	size_t n_attached[2];         /* of each end, how many attachments count: the oldest so many */
	bool count_open;              /* what is asked counts as what it would be, if that is worse */
	struct judgement *to;
	/* of the bond */
	double conductor_uohm;        /* all cables together, NAN: not known */
	int64_t cables;               /* at least 1 */
	unsigned quantities;          /* bits of enum quantity that were read at all */
	struct limits limits;         /* the last that were formed, of */
	double limits_baseline;       /* this, and */
	int limits_quantity;          /* this; -1: none yet */
	unsigned reasons;             /* bits found so far */
	bool proved;                  /* what is attached now, later than any failure and repair */
	bool shown_good;              /* and all that was read for it is within */
};

/* Before what, after what: the day, then the instant where both have one, else the rank. */
struct judge_when { int32_t day; int rank; int64_t at_ms; };
enum { RANK_FAILURE = 1, RANK_ATTACHMENT = 2 };
struct judge_when judge_when_of(const struct judge_visit *visit);
struct judge_when judge_made(const struct judge_attachment *attachment);
struct judge_when judge_repaired(const struct judge_failure *failure);
bool judge_is_before(struct judge_when a, struct judge_when b);

/* The attachment number n (oldest 0) of an end that counts in this pass; NULL. */
const struct judge_attachment *judge_attachment_of(const struct judge_pass *p, int end, int n);

/* The number of the attachment of an end that was the newest at a time; -1: none. */
int judge_attached_at(const struct judge_pass *p, int end, struct judge_when when);

/* What every reading contains, of the attachments that count in this pass. */
void judge_contained(struct judge_pass *p);
/* Whether it contains these, as far as its quantity tells of them. */
bool judge_contains(const struct judge_reading *r, int attached_a, int attached_b);
/* Whether two readings of one quantity contain the same. */
bool judge_same_attached(const struct judge_reading *a, const struct judge_reading *b);
/* Whether it contains what is attached now. */
bool judge_is_live(const struct judge_pass *p, const struct judge_reading *r);

/* What of the bond itself is the same in all passes. */
void judge_prepare(struct judge_pass *p);

/* judge_read.c: values once for all passes; then, for each pass, what each quantity's readings
 * are. */
void judge_values(const struct rulebook *rulebook, struct judge_facts *facts);
void judge_readings(struct judge_pass *p, enum quantity quantity);

/* judge_walk.c: the status of each reading of a quantity, what it is judged by and as. */
void judge_walk(struct judge_pass *p, enum quantity quantity);
/* May be evidence, of over at least, if nothing is asked of it. */
bool judge_can_prove(const struct judge_reading *r);
/* Whether it may be evidence of within, under a rulebook. */
bool judge_shows_good(const struct rulebook *rulebook, const struct judge_reading *r);

/* judge_over.c, after the readings of all quantities: what is over and not cleared, the last of
 * each quantity. */
void judge_over(struct judge_pass *p);

/* judge_proof.c: what the rulebook wants as proof of the kind, of what is attached as the numbers
 * say, by what was read and seen from a time on. */
enum { EVERY_VISIT = -1 };
struct judge_proof_of {
	int attached_a, attached_b;   /* -1: none on record */
	struct judge_when since;
	int64_t until_visit;          /* index of the last that counts; EVERY_VISIT */
};
struct judge_proof {
	int32_t day;                  /* of its oldest part; DAY_NONE: not proved */
	bool is_within;               /* and every part that was read is within its limit */
	unsigned lacks;               /* bits of the reasons why not */
};
struct judge_proof judge_prove(const struct judge_pass *p, const struct judge_proof_of *of);
/* Whether at any time after one the bond was proved as it was then attached. */
bool judge_proved_since(const struct judge_pass *p, struct judge_when since);
/* And all that was read for it was within its limit, which is what ends an act. */
bool judge_shown_good_since(const struct judge_pass *p, struct judge_when since);
bool judge_wants_reading(const struct judge_pass *p);
/* Of what is attached now, later than the last failure and its repair. */
void judge_proof_now(struct judge_pass *p);

/* judge_state.c: adds what is to be mended to p->to->items and p->reasons. */
void judge_state(struct judge_pass *p);

/* Adds a reason to act. A day that is not known is that since which the bond is known. */
void judge_add_item(struct judge_pass *p, enum grade_reason reason, enum act_key key,
	int32_t since_day, int64_t arrived_at_ms);

#endif
