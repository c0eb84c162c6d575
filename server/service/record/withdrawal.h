/*
 * An entry is taken back: it stays readable, and counts for nothing from then on. What it replaced
 * counts again. For what should never have been said; what is wrong in part is corrected instead.
 *
 * Where that makes the bond's grade better and somebody else made the entry, it waits for an
 * engineer's word like a correction (service/record/correction.h). An import is withdrawn by an
 * engineer, with all entries that it brought: they count for nothing at once, and what follows for
 * their bonds is made again by the keeper.
 *
 * A bond, line, track or chainage map is withdrawn by an engineer while nothing stands on it, and
 * so is a file of them as a whole; it is in no list, total, report or proposal then, its rows stay
 * readable, and its label or code may be given again.
 *
 * What many bonds are judged by (a calibration, a conductor, a rail profile, an engineer's word on
 * the meter of an import) is withdrawn by an engineer, and counts for nothing at once; its bonds
 * are made again by the keeper, and each that comes out better is listed then.
 *
 * Other kinds have their own way back, and are refused here: a renewal is corrected by one that
 * says it never was, a rulebook's version is withdrawn where versions are kept, a mark on the rail
 * is said to be not there, what is said of a bond, a track's rails or a setting has a further
 * version. A withdrawal stands: what it took back is entered again.
 */
#ifndef SERVICE_RECORD_WITHDRAWAL_H
#define SERVICE_RECORD_WITHDRAWAL_H

#include "base/form.h"
#include "derived/act.h"
#include "store/record/withdrawal.h"

struct withdrawal_new {
	char uuid[UUID_TEXT_SIZE];       /* from the address */
	int entry;                       /* enum sent_noun; not a renewal or a withdrawal */
	char entry_id[UUID_TEXT_SIZE];
	int64_t entry_number;            /* of what has no id of a sender's */
	int64_t import_id;               /* of an import, as a whole */
	const char *reason;
};
extern const struct form withdrawal_form;

bool withdrawal_record(struct act *act, const struct withdrawal_new *form,
	struct recorded *recorded, struct problems *why);

/* The same once an engineer has confirmed one that waited, by its number. */
bool withdrawal_confirmed(struct act *act, int64_t id, struct problems *why);

#endif
