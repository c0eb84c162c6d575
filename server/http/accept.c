#define _GNU_SOURCE   /* accept4 */

#include "http/accept.h"

#include <errno.h>
#include <poll.h>
#include <sys/socket.h>

/* How long is waited for a place, or for a descriptor. */
enum { FULL_WAITS_MS = 20 };

/* All that wait, while there is room. False: there is none, or the machine gives no more. */
static bool take_all(struct acceptor *a)
{
	while (connections_room(a->connections)) {
		struct sockaddr_storage from;
		socklen_t len = sizeof from;
		struct sockaddr *address = (struct sockaddr *)(void *)&from;
		int fd = accept4(a->listener, address, &len, SOCK_CLOEXEC | SOCK_NONBLOCK);

		if (fd >= 0) {
			MHD_add_connection(a->daemon, fd, address, len);   /* (or closes it) */
		} else if (errno != EINTR && errno != ECONNABORTED) {
			return errno == EAGAIN;
		}
	}
	return false;
}

static void *take(void *arg)
{
	struct acceptor *a = arg;
	struct pollfd listener = { .fd = a->listener, .events = POLLIN };

	while (!atomic_load(&a->stopping)) {
		if (!take_all(a)) {
			poll(NULL, 0, FULL_WAITS_MS);
		} else {
			poll(&listener, 1, -1);
		}
	}
	return NULL;
}

bool accept_start(struct acceptor *a)
{
	a->running = pthread_create(&a->thread, NULL, take, a) == 0;
	return a->running;
}

void accept_stop(struct acceptor *a)
{
	if (a->running) {
		atomic_store(&a->stopping, true);
		shutdown(a->listener, SHUT_RDWR);   /* wakes it */
		pthread_join(a->thread, NULL);
		a->running = false;
	}
}
