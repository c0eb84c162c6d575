/*
 * The connections of a server: who is there, until when, and the last moments of those that were
 * refused with half a body unread.
 *
 * The HTTP library knows idle time only, so that a byte now and then keeps a request alive for
 * ever: a thread of ours ends what is over its deadline by shutting the socket down; the library
 * then sees the end of the stream and clears up. It also ends the strangers' connections that are
 * too many: those on which nobody who is signed in has asked anything yet.
 */
#ifndef HTTP_CONNECTION_H
#define HTTP_CONNECTION_H

#include <netinet/in.h>
#include <pthread.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stdint.h>

#include "http/framing.h"

struct exchange;
struct connections;
struct http_server;

struct connection {
	struct connections *all;
	struct connection *prev, *next;   /* under the lock of all */
	int fd;
	_Atomic int64_t due_ms;           /* monotonic; 0: no deadline now */
	_Atomic int64_t pace_ms;          /* when it is looked at how much was taken; 0: not now */
	uint64_t acknowledged;            /* the reaper's: bytes, when that was done last */
	_Atomic int64_t since_ms;         /* it was taken, or a request of it began or ended */
	atomic_bool has_session;          /* somebody signed in has asked on it */
	struct in6_addr from;
	bool ended;                       /* the reaper's: a stranger's, and the library clears up */
	bool linger;                      /* closed early: see connection_remove */
	struct exchange *exchange;        /* its worker's, as all to the next line: the request under way */
	struct framing framing;           /* of what its client said: see hear.h */
	uint64_t heads_taken;             /* of framing.heads */
	bool refused;                     /* what its client said last is not passed on */
	void *session;                    /* of TLS */
	struct exchange *suspended;       /* under the lock of all: waits for another thread */
};

enum { LINGER_SOCKETS = 64 };

/* A client must take an answer at this rate at least. */
enum { SLOWEST_BYTES_PER_S = 8192 };

struct connections {
	struct http_server *server;
	unsigned most;                    /* connections */
	unsigned per_address_most;        /* of strangers */
	pthread_mutex_t lock;
	pthread_cond_t wake;
	pthread_t reaper;
	bool running, stopping;
	struct connection *first;
	unsigned known;                   /* so many */
	atomic_uint count;                /* with those taken that the library has not told of yet */
	struct connection **order;        /* the reaper's: room for most */
	unsigned linger_most;
	unsigned high_count;              /* since memory was given back */
	int64_t high_bodies, trim_ms;
	struct lingering { int fd; int64_t until_ms; } lingering[LINGER_SOCKETS]; /* fd 0: free */
};

/* Starts the thread, with server, most, per_address_most set; false when the machine gives none. */
bool connections_start(struct connections *all);

/* Ends the thread. No connection is left by then. */
void connections_stop(struct connections *all);

/* Is there room for one more? For the last places it must be known where all others are from. */
bool connections_room(struct connections *all);

/*
 * May one more from there be taken? Then it counts from now on, until connection_remove, or until
 * connection_add fails. Only for few there is always room: an eighth of all is kept for
 * addresses that have fewer strangers than they may.
 */
bool connection_may(struct connections *all, const struct sockaddr *from);

/* session: of TLS, or NULL. NULL when memory ran out. */
struct connection *connection_add(struct connections *all, int fd, void *session,
	const struct sockaddr *from, int64_t due_ms);

/*
 * Forgets it; the socket is closed by the HTTP library after this. With linger set, a duplicate
 * is kept and read empty for a while: closing with unread bytes would send a reset, and the
 * client would lose the reply that says why it was refused.
 */
void connection_remove(struct connection *c);

#endif
