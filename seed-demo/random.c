#include "random.h"

enum { SEED = 3 };

uint64_t random_next(struct random *r)
{
	uint64_t z = r->state += UINT64_C(0x9e3779b97f4a7c15);

	z = (z ^ (z >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
	z = (z ^ (z >> 27)) * UINT64_C(0x94d049bb133111eb);
	return z ^ (z >> 31);
}

struct random random_stream(uint64_t sort, uint64_t thing)
{
	struct random r = { SEED };

	r.state = random_next(&r) ^ (sort + 1) * UINT64_C(0xd1342543de82ef95);
	r.state = random_next(&r) ^ (thing + 1) * UINT64_C(0xaf251af3b0f025b5);
	return r;
}

double random_unit(struct random *r)
{
	return (double)(random_next(r) >> 11) / 9007199254740992.0;
}

int random_int(struct random *r, int least, int most)
{
	return least + (int)(random_next(r) % (uint64_t)(most - least + 1));
}

double random_between(struct random *r, double least, double most)
{
	return least + (most - least) * random_unit(r);
}

bool random_chance(struct random *r, double p)
{
	return random_unit(r) < p;
}

double random_normal(struct random *r, double mean, double sd)
{
	double sum = 0;

	for (int i = 0; i < 12; i++) {
		sum += random_unit(r);
	}
	return mean + sd * (sum - 6);
}

int random_poisson(struct random *r, double mean)
{
	double u = random_unit(r);
	double p = 1 - mean + mean * mean / 2 - mean * mean * mean / 6;   /* exp(-mean) */
	int n = 0;

	while (n < 3 && u >= p) {
		u -= p;
		n++;
		p *= mean / n;
	}
	return n;
}

int random_pick(struct random *r, const int *weights, int n)
{
	int all = 0, at;

	for (int i = 0; i < n; i++) {
		all += weights[i];
	}
	at = random_int(r, 0, all - 1);
	for (int i = 0; i < n - 1; i++) {
		if (at < weights[i]) {
			return i;
		}
		at -= weights[i];
	}
	return n - 1;
}
