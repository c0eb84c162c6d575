/*
 * Takes the connections that come and hands them to the HTTP library, on a thread of its own. The
 * library's threads take one each between two rounds through all that they have: of a thousand that
 * came together the last waited until nearly all the others were done.
 */
#ifndef HTTP_ACCEPT_H
#define HTTP_ACCEPT_H

#include <microhttpd.h>
#include <pthread.h>
#include <stdatomic.h>
#include <stdbool.h>

#include "http/connection.h"

struct acceptor {
	struct MHD_Daemon *daemon;       /* takes none by itself: it was told to be quiet */
	struct connections *connections; /* no more than these may be are taken; the others wait */
	int listener;
	atomic_bool stopping;
	pthread_t thread;
	bool running;
};

/* Starts the thread, with all above it set; false when the machine gives none. */
bool accept_start(struct acceptor *a);

/* Takes none from now on; who comes later is refused by the system. */
void accept_stop(struct acceptor *a);

#endif
