#include "http/listen.h"

#include <arpa/inet.h>
#include <errno.h>
#include <netinet/in.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

enum { BACKLOG = 1024 };

union any_address {
	struct sockaddr any;
	struct sockaddr_in v4;
	struct sockaddr_in6 v6;
};

static bool address_read(const char *text, unsigned port, union any_address *to, socklen_t *len)
{
	*to = (union any_address){ 0 };
	if (inet_pton(AF_INET, text, &to->v4.sin_addr) == 1) {
		to->v4.sin_family = AF_INET;
		to->v4.sin_port = htons((uint16_t)port);
		*len = sizeof to->v4;
		return true;
	}
	if (inet_pton(AF_INET6, text, &to->v6.sin6_addr) == 1) {
		to->v6.sin6_family = AF_INET6;
		to->v6.sin6_port = htons((uint16_t)port);
		*len = sizeof to->v6;
		return true;
	}
	return false;
}

int listen_open(const char *address, unsigned *port, struct problem *why)
{
	union any_address at;
	socklen_t len;
	int one = 1;
	int fd;

	if (*port > 65535 || !address_read(address, *port, &at, &len)) {
		problem_set(why, PROBLEM_VALUE, "listen", "%s port %u cannot be listened on: give an "
			"IPv4 or IPv6 address in numbers and a port up to 65535.", address, *port);
		return -1;
	}
	fd = socket(at.any.sa_family, SOCK_STREAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0);
	if (fd < 0 || setsockopt(fd, SOL_SOCKET, SO_REUSEADDR, &one, sizeof one) != 0 ||
		bind(fd, &at.any, len) != 0 || listen(fd, BACKLOG) != 0 ||
		getsockname(fd, &at.any, &len) != 0) {
		problem_set(why, PROBLEM_VALUE, "listen", "%s port %u cannot be listened on: %s.",
			address, *port, strerror(errno));
		if (fd >= 0) {
			close(fd);
		}
		return -1;
	}
	*port = ntohs(at.any.sa_family == AF_INET ? at.v4.sin_port : at.v6.sin6_port);
	return fd;
}
