/*
 * What follows from an act: what it touched (derived/act.h) is derived anew, each thing once. The
 * answer to a person comes from that: the bond derived last stays judged in the act's view.
 */
#ifndef DERIVED_DERIVED_H
#define DERIVED_DERIVED_H

#include "derived/act.h"

/*
 * The bonds that were touched until now. Between the rows of a file, so that each row finds what
 * those before it have made: bonds are found by what is derived of them. And where the act has to
 * know what came of what it wrote (service/record/correction.h).
 */
bool derived_bonds(struct act *act, struct problems *why);

/* All that was touched: ends the act. A group's repeat places are found once, so that a file of
 * many failures does not find them each time. */
bool derived_end(struct act *act, struct problems *why);

#endif
