#include "api/spool.h"

#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

struct spool {
	struct spools *all;
	struct spool *next;
	int64_t person_id;
	int file;
	uint64_t bytes;
};

struct spools {
	pthread_mutex_t lock;
	struct spool *first;
	uint64_t most;
};

struct spools *spools_new(uint64_t most)
{
	struct spools *all = calloc(1, sizeof *all);

	if (all != NULL) {
		pthread_mutex_init(&all->lock, NULL);
		all->most = most > 0 ? most : UINT64_C(8) << 30;
	}
	return all;
}

void spools_free(struct spools *all)
{
	if (all != NULL) {
		pthread_mutex_destroy(&all->lock);
		free(all);
	}
}

static int open_file(void)
{
	const char *folder = getenv("TMPDIR");
	char name[256];
	int fd;

	snprintf(name, sizeof name, "%s/bondbook-XXXXXX", folder != NULL && *folder != '\0' ? folder :
		"/var/tmp");
	fd = mkstemp(name);
	if (fd >= 0) {
		unlink(name);
	}
	return fd;
}

struct spool *spool_open(struct spools *all, int64_t person_id, struct problem *why)
{
	struct spool *s = calloc(1, sizeof *s);
	int fd = s != NULL ? open_file() : -1;

	if (fd < 0) {
		free(s);
		problem_set(why, PROBLEM_STORE, NULL, "There is no room for the file: please try again.");
		return NULL;
	}
	*s = (struct spool){ .all = all, .person_id = person_id, .file = fd };
	pthread_mutex_lock(&all->lock);
	s->next = all->first;
	all->first = s;
	pthread_mutex_unlock(&all->lock);
	return s;
}

int spool_file(const struct spool *s)
{
	return s->file;
}

static bool fits(const struct spool *s, uint64_t theirs, uint64_t total, struct problem *why)
{
	unsigned long long megabytes = s->all->most / 2 >> 20;

	if (s->bytes > s->all->most / 2) {
		return problem_set(why, PROBLEM_RULE, NULL, "This file has more than %llu MB, and no larger one "
			"is made: ask for less, a line or a year at a time.", megabytes);
	}
	if (theirs > s->all->most / 2) {
		return problem_set(why, PROBLEM_TOO_MANY, NULL, "The files that you are still fetching have more "
			"than %llu MB together: ask for this one when they are there.", megabytes);
	}
	return total <= s->all->most || problem_set(why, PROBLEM_BUSY, NULL,
		"Others are still fetching large files, and there is no room for one more: ask again later.");
}

bool spool_grown(struct spool *s, size_t *size, struct problem *why)
{
	uint64_t theirs = 0, total = 0;
	struct stat st;

	if (fstat(s->file, &st) != 0) {
		return problem_set(why, PROBLEM_STORE, NULL, "The file cannot be read: please try again.");
	}
	pthread_mutex_lock(&s->all->lock);
	s->bytes = (uint64_t)st.st_size;
	for (const struct spool *other = s->all->first; other != NULL; other = other->next) {
		total += other->bytes;
		theirs += other->person_id == s->person_id ? other->bytes : 0;
	}
	pthread_mutex_unlock(&s->all->lock);
	if (size != NULL) {
		*size = (size_t)st.st_size;
	}
	return fits(s, theirs, total, why);
}

void spool_end(void *spool)
{
	struct spool *s = spool;

	if (s != NULL) {
		pthread_mutex_lock(&s->all->lock);
		for (struct spool **at = &s->all->first; *at != NULL; at = &(*at)->next) {
			if (*at == s) {
				*at = s->next;
				break;
			}
		}
		pthread_mutex_unlock(&s->all->lock);
		free(s);
	}
}
