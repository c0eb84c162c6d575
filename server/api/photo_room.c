#include "api/photo_room.h"

#include <pthread.h>
#include <stdlib.h>

enum { PERSONS = 1024, DAY_MS = 86400000 };

static const int64_t MEGABYTE = 1000000;

struct photo_room {
	pthread_mutex_t lock;
	int64_t day, all;
	struct { int64_t person_id, bytes; } of[PERSONS];   /* person_id 0: free */
};

struct photo_room *photo_room_new(void)
{
	struct photo_room *room = calloc(1, sizeof *room);

	if (room != NULL) {
		pthread_mutex_init(&room->lock, NULL);
	}
	return room;
}

void photo_room_free(struct photo_room *room)
{
	if (room != NULL) {
		pthread_mutex_destroy(&room->lock);
		free(room);
	}
}

static void begin_day(struct photo_room *room, int64_t day)
{
	if (room->day != day) {
		room->day = day;
		room->all = 0;
		for (int i = 0; i < PERSONS; i++) {
			room->of[i].person_id = room->of[i].bytes = 0;
		}
	}
}

/* NULL: so many people sent photos today that there is no place for one more. */
static int64_t *bytes_of(struct photo_room *room, int64_t person_id)
{
	for (int i = 0; i < PERSONS; i++) {
		if (room->of[i].person_id == person_id || room->of[i].person_id == 0) {
			room->of[i].person_id = person_id;
			return &room->of[i].bytes;
		}
	}
	return NULL;
}

bool photo_room_take(struct photo_room *room, int64_t person_id, int64_t bytes, int64_t now_ms,
	struct problem *why)
{
	int64_t *mine;
	bool fits;

	pthread_mutex_lock(&room->lock);
	begin_day(room, now_ms / DAY_MS);
	mine = bytes_of(room, person_id);
	fits = mine != NULL && *mine + bytes <= PHOTO_ROOM_PERSON_MB * MEGABYTE &&
		room->all + bytes <= PHOTO_ROOM_ALL_MB * MEGABYTE;
	if (fits) {
		*mine += bytes;
		room->all += bytes;
	}
	pthread_mutex_unlock(&room->lock);
	return fits || problem_set(why, PROBLEM_TOO_MANY, NULL, "More photos came today than are taken "
		"in a day, %d MB of one person and %d MB of all: they can be sent tomorrow.",
		PHOTO_ROOM_PERSON_MB, PHOTO_ROOM_ALL_MB);
}
