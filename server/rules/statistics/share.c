#include "rules/statistics/share.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdlib.h>

static const double TELLING_Q = 0.05;

static const char *const code[] = { "chance", "telling" };
static const char *const title[] = { "no more than chance would bring",
	"more than chance would bring" };
const struct words share_meaning_words = { "share_meaning", code, title, 2 };

double share_chance(int64_t x, int64_t n, int64_t v, int64_t all)
{
	return x > 0 ? gsl_cdf_hypergeometric_Q((unsigned)x - 1, (unsigned)v, (unsigned)(all - v),
		(unsigned)n) : 1;
}

struct ranked {
	double p;
	size_t at;
};

static int by_p(const void *left, const void *right)
{
	const struct ranked *a = left, *b = right;

	return (a->p > b->p) - (a->p < b->p);
}

bool false_discovery(const double *p, size_t n, double *q)
{
	struct ranked *ranked = calloc(n + 1, sizeof *ranked);
	double least = 1;

	if (ranked == NULL) {
		return false;
	}
	for (size_t i = 0; i < n; i++) {
		ranked[i] = (struct ranked){ p[i], i };
	}
	qsort(ranked, n, sizeof *ranked, by_p);
	for (size_t i = n; i-- > 0;) {
		least = fmin(least, ranked[i].p * (double)n / (double)(i + 1));
		q[ranked[i].at] = least;
	}
	free(ranked);
	return true;
}

bool shares_judge(struct share *shares, size_t n)
{
	double *p = calloc(2 * n + 1, sizeof *p);
	bool ok;

	if (p == NULL) {
		return false;
	}
	for (size_t i = 0; i < n; i++) {
		const struct share *s = &shares[i];

		p[i] = share_chance(s->here, s->of_here, s->line, s->of_line);
	}
	ok = false_discovery(p, n, p + n);
	for (size_t i = 0; i < n && ok; i++) {
		shares[i].p = p[i];
		shares[i].q = p[n + i];
		shares[i].meaning = p[n + i] <= TELLING_Q ? SHARE_TELLING : SHARE_CHANCE;
	}
	free(p);
	return ok;
}
