/*
 * A client that keeps connections open and always has one request under way on each.
 *
 * usage: bench-client --port PORT --requests FILE [--connections N] [--seconds S] [--from N]
 *            [--group N] [--pause MS] [--cookie COOKIE] [--save FILE] [--tls]
 *
 * FILE has a request a line: METHOD, a blank, the target, and for what has a body a blank and the
 * body. They are sent in order from number --from, over and over. {uuid} becomes a new id.
 * Prints one line of JSON; with one connection and --group N the times are those of N requests
 * together, as a page makes them. --pause waits before each further request. --save keeps the body
 * of the first answer. --tls goes over https, to whoever answers.
 */
#include <arpa/inet.h>
#include <errno.h>
#include <getopt.h>
#include <gnutls/gnutls.h>
#include <netinet/in.h>
#include <netinet/tcp.h>
#include <poll.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/random.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

enum { CONNECTIONS_MOST = 512, ANSWER_MOST = 1 << 20, REQUEST_MOST = 1 << 14 };

struct connection {
	int fd;
	gnutls_session_t tls;       /* NULL: none */
	double sent_at;             /* the first of its group */
	int in_group;
	size_t len;
	char answer[ANSWER_MOST];
};

static struct options {
	int port, connections, group;
	long pause_ms;
	double seconds;
	size_t from;
	bool tls;
	const char *requests, *cookie, *save;
} options = { .connections = 1, .group = 1, .seconds = 1, .cookie = "" };

static char **lines;
static size_t n_lines, next_line;
static float *took_us;
static size_t n_answers, n_took, room, wrong;
static double bytes;
static char first_wrong[200];

static void die(const char *what)
{
	fprintf(stderr, "bench-client: %s: %s\n", what, strerror(errno));
	exit(EXIT_FAILURE);
}

static double now(void)
{
	struct timespec t;

	clock_gettime(CLOCK_MONOTONIC, &t);
	return (double)t.tv_sec + (double)t.tv_nsec / 1e9;
}

static void read_requests(void)
{
	FILE *file = fopen(options.requests, "r");
	char *line = NULL;
	size_t size = 0, held = 0;
	ssize_t len;

	if (file == NULL) {
		die(options.requests);
	}
	while ((len = getline(&line, &size, file)) > 0) {
		if (n_lines == held) {
			held = held > 0 ? held * 2 : 1024;
			lines = realloc(lines, held * sizeof *lines);
		}
		line[len - 1] = '\0';
		if (lines == NULL || (lines[n_lines++] = strdup(line)) == NULL) {
			die("memory");
		}
	}
	free(line);
	fclose(file);
	if (n_lines == 0) {
		die("no requests");
	}
	next_line = options.from % n_lines;
}

static void shake_hands(struct connection *c)
{
	static gnutls_certificate_credentials_t anybody;

	if ((anybody == NULL && gnutls_certificate_allocate_credentials(&anybody) < 0) ||
		gnutls_init(&c->tls, GNUTLS_CLIENT) < 0 || gnutls_set_default_priority(c->tls) < 0 ||
		gnutls_credentials_set(c->tls, GNUTLS_CRD_CERTIFICATE, anybody) < 0) {
		die("TLS");
	}
	gnutls_transport_set_int(c->tls, c->fd);
	if (gnutls_handshake(c->tls) < 0) {
		die("no TLS connection");
	}
}

static ssize_t send_some(const struct connection *c, const char *from, size_t len)
{
	return c->tls != NULL ? gnutls_record_send(c->tls, from, len) :
		send(c->fd, from, len, MSG_NOSIGNAL);
}

static ssize_t receive_some(const struct connection *c, char *to, size_t len)
{
	return c->tls != NULL ? gnutls_record_recv(c->tls, to, len) : recv(c->fd, to, len, 0);
}

/* What the library holds already is not seen by poll. */
static bool holds_more(const struct connection *c)
{
	return c->tls != NULL && gnutls_record_check_pending(c->tls) > 0;
}

static void connect_to(struct connection *c)
{
	struct sockaddr_in to = { .sin_family = AF_INET, .sin_port = htons((uint16_t)options.port),
		.sin_addr.s_addr = htonl(INADDR_LOOPBACK) };
	int on = 1;

	c->fd = socket(AF_INET, SOCK_STREAM, 0);
	if (c->fd < 0 || connect(c->fd, (struct sockaddr *)&to, sizeof to) != 0) {
		die("connect");
	}
	setsockopt(c->fd, IPPROTO_TCP, TCP_NODELAY, &on, sizeof on);
	if (options.tls) {
		shake_hands(c);
	}
}

/* An id as tablets make them (version 7, RFC 9562): milliseconds, then chance. */
static void new_uuid(char to[37])
{
	unsigned char b[16];
	struct timespec now;
	uint64_t ms;

	if (getrandom(b, sizeof b, 0) != sizeof b) {
		die("getrandom");
	}
	clock_gettime(CLOCK_REALTIME, &now);
	ms = (uint64_t)now.tv_sec * 1000 + (uint64_t)now.tv_nsec / 1000000;
	for (int i = 0; i < 6; i++) {
		b[i] = (unsigned char)(ms >> (40 - 8 * i));
	}
	b[6] = (unsigned char)((b[6] & 0x0F) | 0x70);
	b[8] = (unsigned char)((b[8] & 0x3F) | 0x80);
	snprintf(to, 37, "%02x%02x%02x%02x-%02x%02x-%02x%02x-%02x%02x-%02x%02x%02x%02x%02x%02x", b[0],
		b[1], b[2], b[3], b[4], b[5], b[6], b[7], b[8], b[9], b[10], b[11], b[12], b[13], b[14],
		b[15]);
}

static void send_next(struct connection *c)
{
	static char line[REQUEST_MOST], request[REQUEST_MOST + 512];
	char *place, *target, *body;
	size_t done = 0, len;

	snprintf(line, sizeof line, "%s", lines[next_line]);
	next_line = (next_line + 1) % n_lines;
	while ((place = strstr(line, "{uuid}")) != NULL) {
		char id[37];

		new_uuid(id);
		memmove(place + 36, place + 6, strlen(place + 6) + 1);
		memcpy(place, id, 36);
	}
	target = strchr(line, ' ');
	if (target == NULL) {
		die("a request has no target");
	}
	*target++ = '\0';
	body = strchr(target, ' ');
	if (body != NULL) {
		*body++ = '\0';
		len = (size_t)snprintf(request, sizeof request, "%s %s HTTP/1.1\r\nHost: 127.0.0.1\r\n"
			"Cookie: %s\r\nContent-Type: application/json\r\nContent-Length: %zu\r\n\r\n%s", line,
			target, options.cookie, strlen(body), body);
	} else {
		len = (size_t)snprintf(request, sizeof request, "%s %s HTTP/1.1\r\nHost: 127.0.0.1\r\n"
			"Cookie: %s\r\n\r\n", line, target, options.cookie);
	}
	c->len = 0;
	if (c->in_group++ % options.group == 0) {
		c->sent_at = now();
	}
	while (done < len) {
		ssize_t n = send_some(c, request + done, len - done);

		if (n < 0) {
			die("send");
		}
		done += (size_t)n;
	}
}

static void save(const char *body, size_t len)
{
	FILE *file = fopen(options.save, "w");

	if (file == NULL || fwrite(body, 1, len, file) != len || fclose(file) != 0) {
		die(options.save);
	}
	options.save = NULL;
}

static void keep_time(const struct connection *c)
{
	if (n_took == room) {
		room = room > 0 ? room * 2 : 1 << 16;
		took_us = realloc(took_us, room * sizeof *took_us);
		if (took_us == NULL) {
			die("memory");
		}
	}
	took_us[n_took++] = (float)((now() - c->sent_at) * 1e6);
}

static void note(const struct connection *c, const char *body, size_t len)
{
	if (c->in_group % options.group == 0) {
		keep_time(c);
	}
	n_answers++;
	bytes += (double)len;
	if (c->answer[9] != '2') {
		if (wrong++ == 0) {
			snprintf(first_wrong, sizeof first_wrong, "%.4s%.190s", c->answer + 9, body);
		}
	}
	if (options.save != NULL) {
		save(body, len);
	}
}

/* True when the answer is whole. */
static bool receive(struct connection *c)
{
	ssize_t n = receive_some(c, c->answer + c->len, sizeof c->answer - c->len - 1);
	const char *end, *head;
	size_t body, want = 0;

	if (n <= 0) {
		die("the server hung up");
	}
	c->len += (size_t)n;
	c->answer[c->len] = '\0';
	end = strstr(c->answer, "\r\n\r\n");
	if (end == NULL) {
		return holds_more(c) && receive(c);
	}
	body = (size_t)(end - c->answer) + 4;
	for (head = c->answer; head < end; head = strstr(head, "\r\n") + 2) {
		if (strncasecmp(head, "Content-Length:", 15) == 0) {
			want = strtoul(head + 15, NULL, 10);
		}
	}
	if (body + want >= sizeof c->answer) {
		die("the answer is too long");
	}
	if (c->len < body + want) {
		return holds_more(c) && receive(c);
	}
	note(c, c->answer + body, want);
	return true;
}

static int by_size(const void *a, const void *b)
{
	const float *x = a, *y = b;

	return (*x > *y) - (*x < *y);
}

static double part(double of)
{
	return n_took > 0 ? (double)took_us[(size_t)(of * (double)(n_took - 1))] : 0;
}

static void tell(double seconds)
{
	qsort(took_us, n_took, sizeof *took_us, by_size);
	for (char *c = first_wrong; *c != '\0'; c++) {
		*c = *c == '"' ? '\'' : *c == '\\' || (unsigned char)*c < ' ' ? ' ' : *c;
	}
	printf("{\"requests\": %zu, \"wrong\": %zu, \"first_wrong\": \"%s\", \"seconds\": %.6f, "
		"\"bytes\": %.0f, \"median_us\": %.1f, \"p99_us\": %.1f, \"worst_us\": %.1f}\n", n_answers,
		wrong, first_wrong, seconds, bytes, part(0.5), part(0.99), part(1));
}

static void pause_a_moment(void)
{
	if (options.pause_ms > 0) {
		nanosleep(&(struct timespec){ options.pause_ms / 1000, options.pause_ms % 1000 * 1000000 }, NULL);
	}
}

static void run(void)
{
	struct connection *all = calloc((size_t)options.connections, sizeof *all);
	struct pollfd polled[CONNECTIONS_MOST];
	double begun, ends;

	if (all == NULL) {
		die("memory");
	}
	begun = now();
	ends = begun + options.seconds;
	for (int i = 0; i < options.connections; i++) {
		connect_to(&all[i]);
		polled[i] = (struct pollfd){ all[i].fd, POLLIN, 0 };
		send_next(&all[i]);      /* (who connects and asks nothing is soon taken for a stranger) */
	}
	for (int under_way = options.connections; under_way > 0;) {
		if (poll(polled, (nfds_t)options.connections, 60000) <= 0) {
			die("no answer for a minute");
		}
		for (int i = 0; i < options.connections; i++) {
			if (polled[i].revents == 0 || !receive(&all[i])) {
				continue;
			}
			if (now() < ends) {
				pause_a_moment();
				send_next(&all[i]);
			} else {
				under_way--;
				polled[i].fd = -1;
			}
		}
	}
	tell(now() - begun);
}

int main(int argc, char **argv)
{
	static const struct option known[] = { { "port", required_argument, NULL, 'p' },
		{ "requests", required_argument, NULL, 'r' },
		{ "connections", required_argument, NULL, 'n' },
		{ "seconds", required_argument, NULL, 's' }, { "from", required_argument, NULL, 'f' },
		{ "group", required_argument, NULL, 'g' }, { "pause", required_argument, NULL, 'w' },
		{ "cookie", required_argument, NULL, 'c' }, { "save", required_argument, NULL, 'k' },
		{ "tls", no_argument, NULL, 't' },
		{ 0 } };
	int c;

	while ((c = getopt_long(argc, argv, "", known, NULL)) != -1) {
		switch (c) {
		case 'p': options.port = (int)strtol(optarg, NULL, 10); break;
		case 'r': options.requests = optarg; break;
		case 'n': options.connections = (int)strtol(optarg, NULL, 10); break;
		case 's': options.seconds = strtod(optarg, NULL); break;
		case 'f': options.from = strtoul(optarg, NULL, 10); break;
		case 'w': options.pause_ms = strtol(optarg, NULL, 10); break;
		case 'g': options.group = (int)strtol(optarg, NULL, 10); break;
		case 'c': options.cookie = optarg; break;
		case 'k': options.save = optarg; break;
		case 't': options.tls = true; break;
		default: return EXIT_FAILURE;
		}
	}
	if (options.port == 0 || options.requests == NULL || options.connections < 1 || options.group < 1 ||
		options.connections > CONNECTIONS_MOST) {
		fputs("usage: bench-client --port PORT --requests FILE ...\n", stderr);
		return EXIT_FAILURE;
	}
	read_requests();
	run();
	return EXIT_SUCCESS;
}
