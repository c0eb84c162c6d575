#include "http/connection.h"

#include <errno.h>
#include <fcntl.h>
#include <linux/tcp.h>
#include <malloc.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

#include "base/clock.h"
#include "http/exchange.h"
#include "http/hear.h"

enum { TICK_MS = 100, LINGER_MS = 20000, DRAIN_BYTES = 1 << 20 };

/* How long a stranger may take to show a session, before it counts as one. */
enum { GRACE_MS = 1000 };

/* Memory is given back when there was this much more, not oftener than so. */
enum { TRIM_EVERY_MS = 2000, TRIM_CONNECTIONS = 64, TRIM_BODIES = 4 << 20 };

/* ---- strangers ---- */

/* IPv4 as it is mapped into IPv6; of IPv6 the network, since its owner has all addresses of it. */
static struct in6_addr address_of(const struct sockaddr *from)
{
	struct in6_addr to = { 0 };

	if (from != NULL && from->sa_family == AF_INET) {
		to.s6_addr[10] = to.s6_addr[11] = 0xFF;
		memcpy(to.s6_addr + 12, &((const struct sockaddr_in *)(const void *)from)->sin_addr, 4);
	} else if (from != NULL && from->sa_family == AF_INET6) {
		to = ((const struct sockaddr_in6 *)(const void *)from)->sin6_addr;
		if (!IN6_IS_ADDR_V4MAPPED(&to)) {
			memset(to.s6_addr + 8, 0, 8);
		}
	}
	return to;
}

static unsigned unreserved(const struct connections *all)
{
	return all->most - all->most / 8;
}

bool connections_room(struct connections *all)
{
	unsigned count = atomic_load(&all->count), known;

	if (count < unreserved(all)) {
		return true;
	}
	pthread_mutex_lock(&all->lock);
	known = all->known;
	pthread_mutex_unlock(&all->lock);
	return known == count && count < all->most;
}

bool connection_may(struct connections *all, const struct sockaddr *from)
{
	struct in6_addr address = address_of(from);
	unsigned there = 0;

	if (atomic_load(&all->count) < unreserved(all)) {
		atomic_fetch_add(&all->count, 1);
		return true;
	}
	pthread_mutex_lock(&all->lock);
	for (const struct connection *c = all->first; c != NULL; c = c->next) {
		there += !atomic_load(&c->has_session) && memcmp(&c->from, &address, sizeof address) == 0;
	}
	pthread_mutex_unlock(&all->lock);
	if (there >= all->per_address_most) {
		return false;
	}
	atomic_fetch_add(&all->count, 1);
	return true;
}

static int by_age(const void *a, const void *b)
{
	int64_t x = atomic_load(&(*(struct connection *const *)a)->since_ms);
	int64_t y = atomic_load(&(*(struct connection *const *)b)->since_ms);

	return (x > y) - (x < y);
}

static int by_address(const void *a, const void *b)
{
	const struct connection *x = *(struct connection *const *)a;
	const struct connection *y = *(struct connection *const *)b;
	int differ = memcmp(&x->from, &y->from, sizeof x->from);

	return differ != 0 ? differ : by_age(b, a);
}

/* What it has sent and nobody has read yet may show a session. */
static bool end_stranger(struct connection *c)
{
	int unread = 0;

	if (!c->ended && ioctl(c->fd, FIONREAD, &unread) == 0 && unread == 0) {
		shutdown(c->fd, SHUT_RDWR);
		c->ended = true;
		return true;
	}
	return false;
}

/* Those on which a handler is at work are left alone. *staying: connections, without those
 * ended. */
static unsigned find_strangers(struct connections *all, int64_t now_ms, unsigned *staying)
{
	unsigned n = 0;

	*staying = 0;
	for (struct connection *c = all->first; c != NULL && n < all->most; c = c->next) {
		*staying += !c->ended;
		if (!c->ended && !atomic_load(&c->has_session) && c->suspended == NULL &&
			atomic_load(&c->since_ms) + GRACE_MS <= now_ms) {
			all->order[n++] = c;
		}
	}
	return n;
}

/* The oldest first, of each address and of all. */
static void end_strangers(struct connections *all, int64_t now_ms)
{
	unsigned staying, more, of_address = 0;
	unsigned n = find_strangers(all, now_ms, &staying);

	if (n > all->per_address_most) {
		qsort(all->order, n, sizeof all->order[0], by_address);
		for (unsigned i = 0; i < n; i++) {
			bool same = i > 0 && memcmp(&all->order[i]->from, &all->order[i - 1]->from,
				sizeof all->order[i]->from) == 0;

			of_address = same ? of_address + 1 : 1;
			if (of_address > all->per_address_most) {
				staying -= end_stranger(all->order[i]);
			}
		}
	}
	more = staying > unreserved(all) ? staying - unreserved(all) : 0;
	if (more > 0) {
		qsort(all->order, n, sizeof all->order[0], by_age);
	}
	for (unsigned i = 0; i < n && more > 0; i++) {
		more -= end_stranger(all->order[i]);
	}
}

/* What a crowd or large bodies needed goes back to the machine when they are gone. */
static void give_memory_back(struct connections *all, int64_t now_ms)
{
	unsigned count = atomic_load(&all->count);
	int64_t bodies = atomic_load(&all->server->bodies_bytes);

	all->high_count = count > all->high_count ? count : all->high_count;
	all->high_bodies = bodies > all->high_bodies ? bodies : all->high_bodies;
	if (now_ms >= all->trim_ms && (count + TRIM_CONNECTIONS <= all->high_count / 2 ||
		bodies + TRIM_BODIES <= all->high_bodies / 2)) {
		malloc_trim(0);
		all->high_count = count;
		all->high_bodies = bodies;
		all->trim_ms = now_ms + TRIM_EVERY_MS;
	}
}

/* ---- the reaper ---- */

/* A client that takes a long answer too slowly keeps it on our disk or in our memory. */
static void end_slow(struct connection *c, int64_t now_ms)
{
	unsigned window_s = c->all->server->options.pace_s;
	int64_t due_ms = atomic_load(&c->pace_ms);
	struct tcp_info info = { 0 };
	socklen_t size = sizeof info;
	uint64_t taken;

	if (due_ms == 0 || due_ms > now_ms ||
		getsockopt(c->fd, IPPROTO_TCP, TCP_INFO, &info, &size) != 0) {
		return;
	}
	taken = info.tcpi_bytes_acked - c->acknowledged;
	c->acknowledged = info.tcpi_bytes_acked;
	/* the worker may have begun another answer at this very moment */
	if (atomic_compare_exchange_strong(&c->pace_ms, &due_ms, now_ms + window_s * INT64_C(1000)) &&
		taken < (uint64_t)window_s * SLOWEST_BYTES_PER_S) {
		/* what it did not take is not kept for it by the system either */
		setsockopt(c->fd, SOL_SOCKET, SO_LINGER, &(struct linger){ 1, 0 }, sizeof (struct linger));
		shutdown(c->fd, SHUT_RDWR);
	}
}

static void end_overdue(struct connections *all, int64_t now_ms)
{
	for (struct connection *c = all->first; c != NULL; c = c->next) {
		int64_t due_ms = atomic_load(&c->due_ms);

		/* the worker may move the deadline at this very moment: then it is not ended */
		if (due_ms != 0 && due_ms <= now_ms &&
			atomic_compare_exchange_strong(&c->due_ms, &due_ms, 0)) {
			shutdown(c->fd, SHUT_RDWR);
		}
		if (c->suspended != NULL) {
			exchange_look_after(c->suspended);
		}
		end_slow(c, now_ms);
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
		end_strangers(all, now_ms);
		end_lingering(all, now_ms);
		give_memory_back(all, now_ms);
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
	all->linger_most = all->most / 4 < LINGER_SOCKETS ? all->most / 4 : LINGER_SOCKETS;
	all->order = calloc(all->most, sizeof all->order[0]);
	all->running = all->order != NULL && pthread_create(&all->reaper, NULL, reap, all) == 0;
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
	free(all->order);
	pthread_cond_destroy(&all->wake);
	pthread_mutex_destroy(&all->lock);
}

struct connection *connection_add(struct connections *all, int fd, void *session,
	const struct sockaddr *from, int64_t due_ms)
{
	struct connection *c = calloc(1, sizeof *c);

	if (c == NULL) {
		atomic_fetch_sub(&all->count, 1);
		return NULL;
	}
	c->all = all;
	c->fd = fd;
	c->from = address_of(from);
	atomic_init(&c->since_ms, clock_monotonic_ms());
	if (!hear_begin(c, session)) {
		atomic_fetch_sub(&all->count, 1);
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
	all->known++;
	pthread_mutex_unlock(&all->lock);
	return c;
}

static void linger(struct connections *all, int fd)
{
	for (unsigned i = 0; i < all->linger_most; i++) {
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
	all->known--;
	if (c->linger) {
		linger(all, c->fd);
	}
	pthread_mutex_unlock(&all->lock);
	atomic_fetch_sub(&all->count, 1);
	free(c);
}
