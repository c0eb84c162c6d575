/*
 * What a handler has of the running program (req->app) beside its view. It is made and owned by
 * run/, which stands to the right of all resources; where it has to do something for one of them,
 * that is a function in here.
 */
#ifndef API_PROGRAM_H
#define API_PROGRAM_H

#include <stdatomic.h>

#include "api/photo_room.h"
#include "api/spool.h"
#include "api/under_way.h"
#include "http/server.h"
#include "http/static.h"
#include "service/access/throttle.h"
#include "store/writer.h"

struct program {
	const char *register_path;
	struct writer *writer;
	struct under_way *under_way;
	struct spools *spools;
	struct throttle *throttle;      /* of those who guess */
	struct photo_room *photo_room;
	struct static_files *pages;     /* NULL: none are served */
	char *authority;                /* PEM text: who vouches for the server's certificate; NULL */
	atomic_bool stopping;
	/* The import that is being taken, and how many rows of how many were read; id 0: none. */
	struct {
		_Atomic int64_t id, done, of;
	} importing;
	/* There is one more that is to be taken. */
	void (*take_imports)(struct program *program);
	/* What is derived may no longer be made under the rulebook in force: it is looked at. */
	void (*follow_rulebook)(struct program *program);
	void (*http_counts)(const struct program *program, struct http_counts *to);
};

/* Of the request, inside a handler. */
struct program *program_of(const struct request *req);

/* Tells the program of the request that something was registered which judgements stand on. */
void program_follow_rulebook(const struct request *req);

#endif
