/* How many bytes of pictures may come in a day: of one person, and of all. */
#ifndef API_PHOTO_ROOM_H
#define API_PHOTO_ROOM_H

#include <stdint.h>

#include "base/problem.h"

/* (a shift of 60 bonds with five photos each of half a megabyte is 150 MB) */
enum { PHOTO_ROOM_PERSON_MB = 400, PHOTO_ROOM_ALL_MB = 20000 };

struct photo_room;
struct photo_room *photo_room_new(void);   /* NULL: out of memory */
void photo_room_free(struct photo_room *room);

/* False: *why is PROBLEM_TOO_MANY, and nothing was taken. Kept in memory alone: it is there against
 * a program gone wild, and counts from the server's start. */
bool photo_room_take(struct photo_room *room, int64_t person_id, int64_t bytes, int64_t now_ms,
	struct problem *why);

#endif
