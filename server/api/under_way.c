#include "api/under_way.h"

#include <pthread.h>
#include <stdlib.h>
#include <string.h>

#include "api/json.h"
#include "api/program.h"
#include "api/rights.h"
#include "api/routes.h"
#include "base/uuid.h"

enum { UNDER_WAY_MOST = 64 };

struct entry {
	struct progress progress;    /* the first: an entry is found by it */
	char id[UUID_TEXT_SIZE];
	bool taken;
};

struct under_way {
	pthread_mutex_t lock;
	struct entry entries[UNDER_WAY_MOST];
};

struct under_way *under_way_new(void)
{
	struct under_way *all = calloc(1, sizeof *all);

	if (all != NULL) {
		pthread_mutex_init(&all->lock, NULL);
	}
	return all;
}

void under_way_free(struct under_way *all)
{
	if (all != NULL) {
		pthread_mutex_destroy(&all->lock);
		free(all);
	}
}

/* The lock is held. */
static struct entry *find(struct under_way *all, const char *id)
{
	for (size_t i = 0; i < UNDER_WAY_MOST; i++) {
		if (all->entries[i].taken && strcmp(all->entries[i].id, id) == 0) {
			return &all->entries[i];
		}
	}
	return NULL;
}

/* The lock is held. */
static struct entry *enter(struct under_way *all, const char *id, struct problem *why)
{
	if (id[0] != '\0' && find(all, id) != NULL) {
		problem_set(why, PROBLEM_CONFLICT, "progress", "Another request under this id is under way.");
		return NULL;
	}
	for (size_t i = 0; i < UNDER_WAY_MOST; i++) {
		struct entry *e = &all->entries[i];

		if (!e->taken) {
			atomic_store(&e->progress.done, 0);
			atomic_store(&e->progress.of, 0);
			atomic_store(&e->progress.stop, false);
			memcpy(e->id, id, sizeof e->id);
			e->taken = true;
			return e;
		}
	}
	problem_set(why, PROBLEM_TOO_MANY, NULL, "Too much long work is under way: try again later.");
	return NULL;
}

struct progress *under_way_begin(struct under_way *all, const struct request *req,
	struct problem *why)
{
	const char *given = request_query(req, "progress");
	char id[UUID_TEXT_SIZE] = "";
	struct entry *e;

	if (given != NULL && !uuid_read(given, strlen(given), id)) {
		problem_set(why, PROBLEM_VALUE, "progress", "progress must be a UUID made by the sender, like "
			"0190c2a4-7f3e-7a61-9b1e-3f5d2c8a4b70.");
		return NULL;
	}
	pthread_mutex_lock(&all->lock);
	e = enter(all, id, why);
	pthread_mutex_unlock(&all->lock);
	return e != NULL ? &e->progress : NULL;
}

void under_way_end(struct under_way *all, struct progress *progress)
{
	if (progress != NULL) {
		pthread_mutex_lock(&all->lock);
		((struct entry *)progress)->taken = false;
		pthread_mutex_unlock(&all->lock);
	}
}

void under_way_stop(struct under_way *all)
{
	for (size_t i = 0; all != NULL && i < UNDER_WAY_MOST; i++) {
		atomic_store(&all->entries[i].progress.stop, true);
	}
}

/* What is asked for, while it is under way; with the lock. */
static bool ask(const struct request *req, bool stop, int64_t *done, int64_t *of,
	struct problem *why)
{
	struct under_way *all = program_of(req)->under_way;
	struct entry *e;

	pthread_mutex_lock(&all->lock);
	e = find(all, req->params[0]);
	if (e != NULL) {
		*done = atomic_load(&e->progress.done);
		*of = atomic_load(&e->progress.of);
		if (stop) {
			atomic_store(&e->progress.stop, true);
		}
	}
	pthread_mutex_unlock(&all->lock);
	return e != NULL || problem_set(why, PROBLEM_NOT_FOUND, NULL,
		"Nothing is under way under this id: it has not begun, or it has ended.");
}

static void progress_get(const struct request *req, struct reply *out)
{
	struct problem why = { 0 };
	struct text body = { 0 };
	int64_t done, of;
	struct json j;

	if (!ask(req, false, &done, &of, &why)) {
		reply_problem(out, &why);
		return;
	}
	j = json_begin(&body);
	json_integer(&j, "done", done);
	json_integer(&j, "of", of);
	json_end(&j);
	reply_json(out, 200, &body);
}

static void progress_delete(const struct request *req, struct reply *out)
{
	struct problem why = { 0 };
	int64_t done, of;

	if (ask(req, true, &done, &of, &why)) {
		out->status = 204;
	} else {
		reply_problem(out, &why);
	}
}

const struct route progress_routes[] = {
	{ METHOD_GET, "/api/progress/{id}", ROUTE_READ, CAN_READ, progress_get,
	  "How far a long request is that was sent with ?progress= and this id." },
	{ METHOD_DELETE, "/api/progress/{id}", ROUTE_READ, CAN_MANAGE, progress_delete,
	  "Ends a long request that was sent with ?progress= and this id." },
	{ 0 }
};
