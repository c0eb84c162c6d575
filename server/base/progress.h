/* How far a long piece of work is, for whoever waits for it: written by those who do it, read by
 * another thread. Zeroed at first. */
#ifndef BASE_PROGRESS_H
#define BASE_PROGRESS_H

#include <stdatomic.h>
#include <stdint.h>

struct progress {
	_Atomic int64_t done, of;    /* of 0: not known yet */
	atomic_bool stop;            /* nobody waits for it any more: end it */
};

#endif
