/*
 * The running program: the writer, the readers, the job threads, the pages, joined to the HTTP
 * server by its hooks.
 */
#ifndef API_APP_H
#define API_APP_H

#include "api/spool.h"
#include "api/under_way.h"
#include "http/server.h"
#include "http/static.h"
#include "store/writer.h"

struct app;

struct app_options {
	const char *register_path;
	const char *static_folder;      /* the bundled pages; NULL: none are served */
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
/* Ends long work, answers what was accepted, commits it, closes: within 5 s. */
void app_stop(struct app *app);

/* For handlers: req->app. */
struct writer *app_writer(struct app *app);
const char *app_register_path(const struct app *app);
struct under_way *app_under_way(struct app *app);
struct spools *app_spools(struct app *app);
const struct static_files *app_pages(struct app *app);
/* What is derived may no longer be made under the rulebook in force. */
void app_follow_rulebook(struct app *app);
void app_http_counts(struct app *app, struct http_counts *to);
bool app_stopping(const struct app *app);

/* All routes: NULL-terminated list of tables. Made from the lists on first use. */
const struct route *const *app_routes(void);

/* The hooks, for tests that call handlers without a socket. */
bool app_identify(const struct request *req, struct identity *who, struct problem *why);

#endif
