#include "http/hear.h"

#include <dlfcn.h>
#include <gnutls/gnutls.h>
#include <pthread.h>
#include <sys/socket.h>

#include "http/exchange.h"

enum { FILES_MOST = 1 << 16 };

static struct connection *_Atomic by_file[FILES_MOST];

bool hear_begin(struct connection *c, void *session)
{
	if (c->fd < 0 || c->fd >= FILES_MOST) {
		return false;
	}
	c->session = session;
	atomic_store(&by_file[c->fd], c);
	return true;
}

void hear_end(struct connection *c)
{
	if (c->fd >= 0 && c->fd < FILES_MOST) {
		atomic_store(&by_file[c->fd], NULL);
	}
}

static struct connection *connection_of(int fd)
{
	return fd >= 0 && fd < FILES_MOST ? atomic_load(&by_file[fd]) : NULL;
}

/* How many of the bytes the library may have; 0, the end, when nothing of them. */
static ssize_t pass_on(struct connection *c, const char *bytes, size_t len)
{
	struct problem why = { 0 };
	size_t whole;

	if (c->refused) {
		return 0;
	}
	if (framing_read(&c->framing, bytes, len, &whole, &why)) {
		return (ssize_t)len;
	}
	c->refused = true;
	if (whole == 0) {
		exchange_refuse_framing(c, &why);
	}
	/* otherwise the requests before it are answered, and then the connection ends */
	return (ssize_t)whole;
}

ssize_t recv(int fd, void *to, size_t size, int flags)
{
	struct connection *c = connection_of(fd);
	ssize_t got = recvfrom(fd, to, size, flags, NULL, NULL);

	return got > 0 && c != NULL && c->session == NULL && (flags & MSG_PEEK) == 0 ?
		pass_on(c, to, (size_t)got) : got;
}

static ssize_t (*record_recv)(gnutls_session_t session, void *to, size_t size);

static void find_record_recv(void)
{
	*(void **)&record_recv = dlsym(RTLD_NEXT, "gnutls_record_recv");
}

ssize_t gnutls_record_recv(gnutls_session_t session, void *to, size_t size)
{
	static pthread_once_t once = PTHREAD_ONCE_INIT;
	struct connection *c = connection_of(gnutls_transport_get_int(session));
	ssize_t got;

	pthread_once(&once, find_record_recv);
	got = record_recv(session, to, size);
	return got > 0 && c != NULL && c->session == session ? pass_on(c, to, (size_t)got) : got;
}
