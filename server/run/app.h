/*
 * The running program: the writer, the readers, the job threads, the pages, joined to the HTTP
 * server by its hooks. Handlers see of it what stands in api/program.h.
 */
#ifndef RUN_APP_H
#define RUN_APP_H

#include "http/server.h"

struct app;

struct app_options {
	const char *register_path;
	const char *static_folder;      /* the bundled pages; NULL: none are served */
	const char *authority;          /* PEM text, given to whoever asks at /authority.crt; NULL */
	unsigned job_threads;           /* for exports and reports; 0: 3 */
	uint64_t spool_most;            /* bytes: see api/spool.h; 0: its own */
	size_t batch_most;              /* of the writer; 0: its own */
	void (*broken)(void *arg);      /* the writer cannot go on: end the program */
	void *arg;
	struct http_options http;
};

/* Opens the register, starts everything. NULL: *why. */
struct app *app_start(const struct app_options *options, struct problem *why);
unsigned app_port(const struct app *app);
/* http_server_certificate. */
bool app_certificate(struct app *app, const char *chain_pem, const char *key_pem,
	struct problem *why);
/* Ends long work, answers what was accepted, commits it, closes: within 5 s. */
void app_stop(struct app *app);

#endif
