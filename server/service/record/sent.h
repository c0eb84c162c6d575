/* What was sent under the sender's own id: kept once, whatever the number of tries. */
#ifndef SERVICE_RECORD_SENT_H
#define SERVICE_RECORD_SENT_H

#include "base/form.h"
#include "derived/act.h"
#include "rules/plausible.h"

/* The member `sent_from` of what crews send: it is said of the sending, and no part of the content
 * that is kept. */
#define SENT_FROM_MEMBER(of) { .name = "sent_from", .title = "Sent from", .type = MEMBER_WORD, \
	.offset = offsetof(of, sent_from), .words = &sent_from_words, .help = "A tablet keeps what was " \
	"done without coverage: it is taken whatever its clock said. A desk when it is left out." }

/* The member `at`: when it was done. */
#define SENT_AT_MEMBER(of) { .name = "at", .title = "When", .type = MEMBER_INSTANT, \
	.column = "done_at_ms", .offset = offsetof(of, at_ms), .help = "What was attached when " \
	"something was read goes by this; without it by the day, attachments before commissioning." }

/* It is of the shift's day or the day after; FORM_NO_INTEGER: not said. Field "at". */
bool sent_at_of_shift(int64_t at_ms, int32_t day, struct problems *why);

/* A file is always read at a desk. word: of the member, -1 when it was left out. */
enum sent_from sent_from(const struct act *act, int word);

/* The hash of the content, whatever it was sent from, as hexadecimal text: equal for equal
 * forms. */
bool sent_hash(const struct form *form, const void *from, char hash[SENT_HASH_SIZE],
	struct problems *why);

/*
 * Looks whether this was kept before. True and recorded->already: the same content is kept under
 * this id. True otherwise: the id is new. False: the id is kept with other content
 * (PROBLEM_CONFLICT), or the store failed.
 */
bool sent_before(struct act *act, enum sent_noun noun, const char *uuid, const char *hash,
	struct recorded *recorded, struct problems *why);

/* The record that `corrects` names: *id 0 when it is empty. Refused when there is none, or when
 * it was corrected before (the correction must then be corrected). */
bool sent_corrects(struct act *act, enum sent_noun noun, const char *corrects, int64_t *id,
	struct problems *why);

#endif
