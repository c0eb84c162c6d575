#include "service/access/throttle.h"

#include <pthread.h>
#include <sodium.h>
#include <stdlib.h>
#include <string.h>

enum { SETS = 1024, WAYS = 4, FREE_TRIES = 2, KEPT_MS = 60 * 60 * 1000 };

struct account {
	uint64_t key;                 /* 0: free */
	unsigned wrong;
	int64_t free_ms, before_ms;   /* when the next try may be; and what that was before the last */
};

struct throttle {
	pthread_mutex_t lock;
	unsigned char secret[crypto_shorthash_KEYBYTES];   /* nobody can aim at another's place */
	struct account accounts[SETS][WAYS];
};

struct throttle *throttle_new(void)
{
	struct throttle *t = calloc(1, sizeof *t);

	if (t != NULL) {
		pthread_mutex_init(&t->lock, NULL);
		randombytes_buf(t->secret, sizeof t->secret);
	}
	return t;
}

void throttle_free(struct throttle *t)
{
	if (t != NULL) {
		pthread_mutex_destroy(&t->lock);
		free(t);
	}
}

unsigned throttle_delay_s(enum throttled what, unsigned wrong)
{
	const unsigned most = what == THROTTLE_PASSWORD ? 30 : 900;
	unsigned delay = 1;

	if (wrong <= FREE_TRIES) {
		return 0;
	}
	for (unsigned i = FREE_TRIES + 1; i < wrong && delay < most; i++) {
		delay *= 2;
	}
	return delay < most ? delay : most;
}

static uint64_t key_of(const struct throttle *t, enum throttled what, const char *key)
{
	unsigned char secret[crypto_shorthash_KEYBYTES];
	uint64_t hash;

	_Static_assert(sizeof hash == crypto_shorthash_BYTES, "a short hash is a number");
	memcpy(secret, t->secret, sizeof secret);
	secret[0] ^= (unsigned char)what;
	crypto_shorthash((unsigned char *)&hash, (const unsigned char *)key, strlen(key), secret);
	return hash != 0 ? hash : 1;
}

static struct account *find(struct throttle *t, uint64_t key)
{
	struct account *set = t->accounts[key % SETS];

	for (int i = 0; i < WAYS; i++) {
		if (set[i].key == key) {
			return &set[i];
		}
	}
	return NULL;
}

/* A free place, else that of who was tried least, and of these the longest ago. */
static struct account *take_place(struct throttle *t, uint64_t key)
{
	struct account *set = t->accounts[key % SETS], *least = &set[0];

	for (int i = 0; i < WAYS && least->key != 0; i++) {
		if (set[i].key == 0 || set[i].wrong < least->wrong ||
			(set[i].wrong == least->wrong && set[i].free_ms < least->free_ms)) {
			least = &set[i];
		}
	}
	*least = (struct account){ .key = key };
	return least;
}

bool throttle_take(struct throttle *t, enum throttled what, const char *key, int64_t now_ms,
	struct throttle_try *try, unsigned *wait_s)
{
	uint64_t hash = key_of(t, what, key);
	struct account *a;
	bool may;

	*try = (struct throttle_try){ 0 };
	pthread_mutex_lock(&t->lock);
	a = find(t, hash);
	if (a == NULL || now_ms - a->free_ms > KEPT_MS) {
		a = a != NULL ? a : take_place(t, hash);
		*a = (struct account){ .key = hash, .free_ms = now_ms };
	}
	may = now_ms >= a->free_ms;
	if (may) {
		*try = (struct throttle_try){ hash, what };
		a->wrong++;
		a->before_ms = a->free_ms;
		a->free_ms = now_ms + throttle_delay_s(what, a->wrong) * INT64_C(1000);
	} else {
		*wait_s = (unsigned)((a->free_ms - now_ms + 999) / 1000);
	}
	pthread_mutex_unlock(&t->lock);
	return may;
}

static void settle(struct throttle *t, struct throttle_try *try, bool right)
{
	struct account *a;

	if (try->key == 0) {
		return;
	}
	pthread_mutex_lock(&t->lock);
	a = find(t, try->key);
	if (a != NULL && right) {
		*a = (struct account){ 0 };
	} else if (a != NULL && a->wrong > 0) {
		a->wrong--;
		a->free_ms = a->before_ms;
	}
	pthread_mutex_unlock(&t->lock);
	*try = (struct throttle_try){ 0 };
}

void throttle_right(struct throttle *t, struct throttle_try *try)
{
	settle(t, try, true);
}

void throttle_back(struct throttle *t, struct throttle_try *try)
{
	settle(t, try, false);
}
