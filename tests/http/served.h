/*
 * A real server for the socket tests: a small route table, a writer and a job thread of the
 * test's own, and a client that sends bytes as they are.
 */
#ifndef TESTS_HTTP_SERVED_H
#define TESTS_HTTP_SERVED_H

#include <pthread.h>
#include <stdatomic.h>

#include "http/server.h"

enum { RIGHT_INSPECT = 2, RIGHT_PLAN = 4 };

struct worker {
	pthread_t thread;
	pthread_mutex_t lock;
	pthread_cond_t wake;
	struct job *first, **last;
	bool stopping;
	bool held;             /* takes jobs and leaves them waiting */
	bool fail_commit;      /* says of each that it was not committed */
};

struct served {
	struct http_server *server;
	unsigned port;
	struct worker writer, jobs;
	atomic_bool unreadable;    /* the reader hook gives nothing */
	atomic_bool gate;          /* it waits until there is no gate, or it is let through */
	atomic_int let;            /* how many are */
	atomic_bool signed_out;    /* everybody who was identified */
	atomic_bool refuse_jobs;   /* the write and run_long hooks take nothing */
	atomic_int handled;        /* writing handlers run */
	atomic_int viewed[4];      /* handlers that were given a view, by enum route_kind */
	atomic_int rolled_back;
	atomic_int prepared;       /* made less forgotten */
};

/* Options left zero get the server's defaults; address is filled in, and an address may have
 * many strangers. */
void served_start(struct served *s, struct http_options options);

/* Stops the server first, then the threads. */
void served_stop(struct served *s, unsigned wait_s);

/* Holds or releases the writer, or the job thread; how many jobs wait whose client has gone. */
void served_hold(struct served *s, bool held);
void served_hold_jobs(struct served *s, bool held);
int served_jobs_gone(struct served *s);

struct answer {
	int status;
	char head[8192];
	char body[20000];
	size_t body_len;
	bool ended;            /* the server closed the connection */
};

int dial(const struct served *s);
int dial_from(const struct served *s, unsigned host);   /* 127.0.0.0 + host */
void say(int fd, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* Reads one answer; status 0 when the connection ended without one or nothing came for 10 s.
 * head_only: no body follows (HEAD). The answer stands until the next is read. */
struct answer *hear(int fd, bool head_only);

/* True when the server ends the connection within `ms`; bytes that come are dropped. */
bool ends_within(int fd, int ms);

/* dial, say, hear, and look whether the connection ends after it. */
struct answer *ask(const struct served *s, const char *format, ...)
	__attribute__((format(printf, 2, 3)));

/* Waits until a counter of the server has a value; false after 5 s. */
bool wait_suspended(const struct served *s, uint64_t count);
bool wait_connections(const struct served *s, uint64_t count);
bool wait_no_connections(const struct served *s);

#define HOST "Host: test\r\n"
#define JSON "Content-Type: application/json\r\n"
#define GET(path) "GET " path " HTTP/1.1\r\n" HOST "\r\n"
#define POST_BOND "POST /api/bonds HTTP/1.1\r\n" HOST JSON

#endif
