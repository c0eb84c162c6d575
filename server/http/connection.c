#include "http/connection.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

#include "base/clock.h"
#include "http/hear.h"

enum { TICK_MS = 100, LINGER_MS = 20000, DRAIN_BYTES = 1 << 20 };

static void end_overdue(struct connections *all, int64_t now_ms)
{
	for (struct connection *c = all->first; c != NULL; c = c->next) {
		int64_t due_ms = atomic_load(&c->due_ms);

		/* the worker may move the deadline at this very moment: then it is not ended */
		if (due_ms != 0 && due_ms <= now_ms &&
			atomic_compare_exchange_strong(&c->due_ms, &due_ms, 0)) {
			shutdown(c->fd, SHUT_RDWR);
		}
	}
}

/* True when the other side is done, or has sent more than a mistake explains. */
static bool drained(int fd)
{
	char waste[16384];
	size_t total = 0;

	while (total < DRAIN_BYTES) {
		ssize_t got = recv(fd, waste, sizeof waste, MSG_DONTWAIT);

		if (got < 0) {
			return errno != EAGAIN && errno != EINTR;
		}
		if (got == 0) {
			return true;
		}
		total += (size_t)got;
	}
	return false;
}

static void end_lingering(struct connections *all, int64_t now_ms)
{
	for (int i = 0; i < LINGER_SOCKETS; i++) {
		struct lingering *l = &all->lingering[i];

		if (l->fd > 0 && (drained(l->fd) || l->until_ms <= now_ms)) {
			close(l->fd);
			l->fd = 0;
		}
	}
}

static void *reap(void *arg)
{
	struct connections *all = arg;

	pthread_mutex_lock(&all->lock);
	while (!all->stopping) {
		int64_t now_ms = clock_monotonic_ms();
		int64_t next_ms = now_ms + TICK_MS;
		struct timespec until = { next_ms / 1000, next_ms % 1000 * 1000000 };

		end_overdue(all, now_ms);
		end_lingering(all, now_ms);
		pthread_cond_timedwait(&all->wake, &all->lock, &until);
	}
	pthread_mutex_unlock(&all->lock);
	return NULL;
}

bool connections_start(struct connections *all)
{
	pthread_condattr_t attr;

	pthread_mutex_init(&all->lock, NULL);
	pthread_condattr_init(&attr);
	pthread_condattr_setclock(&attr, CLOCK_MONOTONIC);
	pthread_cond_init(&all->wake, &attr);
	pthread_condattr_destroy(&attr);
	all->running = pthread_create(&all->reaper, NULL, reap, all) == 0;
	return all->running;
}

void connections_stop(struct connections *all)
{
	if (all->running) {
		pthread_mutex_lock(&all->lock);
		all->stopping = true;
		pthread_cond_signal(&all->wake);
		pthread_mutex_unlock(&all->lock);
		pthread_join(all->reaper, NULL);
	}
	for (int i = 0; i < LINGER_SOCKETS; i++) {
		if (all->lingering[i].fd > 0) {
			close(all->lingering[i].fd);
		}
	}
	pthread_cond_destroy(&all->wake);
	pthread_mutex_destroy(&all->lock);
}

struct connection *connection_add(struct connections *all, int fd, void *session, int64_t due_ms)
{
	struct connection *c = calloc(1, sizeof *c);

	if (c == NULL) {
		return NULL;
	}
	c->all = all;
	c->fd = fd;
	if (!hear_begin(c, session)) {
		free(c);
		return NULL;
	}
	atomic_init(&c->due_ms, due_ms);
	pthread_mutex_lock(&all->lock);
	c->next = all->first;
	if (c->next != NULL) {
		c->next->prev = c;
	}
	all->first = c;
	pthread_mutex_unlock(&all->lock);
	atomic_fetch_add(&all->count, 1);
	return c;
}

static void linger(struct connections *all, int fd)
{
	for (int i = 0; i < LINGER_SOCKETS; i++) {
		struct lingering *l = &all->lingering[i];

		if (l->fd <= 0) {
			l->fd = fcntl(fd, F_DUPFD_CLOEXEC, 3);
			l->until_ms = clock_monotonic_ms() + LINGER_MS;
			if (l->fd > 0) {
				shutdown(l->fd, SHUT_WR);
			}
			return;
		}
	}
}

void connection_remove(struct connection *c)
{
	struct connections *all = c->all;

	hear_end(c);
	pthread_mutex_lock(&all->lock);
	if (c->prev != NULL) {
		c->prev->next = c->next;
	} else {
		all->first = c->next;
	}
	if (c->next != NULL) {
		c->next->prev = c->prev;
	}
	if (c->linger) {
		linger(all, c->fd);
	}
	pthread_mutex_unlock(&all->lock);
	atomic_fetch_sub(&all->count, 1);
	free(c);
}
