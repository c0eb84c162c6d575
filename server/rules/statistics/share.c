#include "rules/statistics/share.h"

#include <gsl/gsl_cdf.h>
#include <math.h>

static const double TELLING_P = 0.01;

static const char *const code[] = { "too_few", "chance", "telling" };
static const char *const title[] = { "too few to compare", "no more than chance would bring",
	"more than chance would bring" };
const struct words share_meaning_words = { "share_meaning", code, title, 3 };

enum share_meaning share_judge(const struct share *s, double *p)
{
	unsigned with = (unsigned)(s->here + s->elsewhere);
	unsigned without = (unsigned)(s->of_here + s->of_elsewhere) - with;

	if (s->of_here < SHARE_LEAST_HERE || s->of_elsewhere < SHARE_LEAST_ELSEWHERE) {
		*p = NAN;
		return SHARE_TOO_FEW;
	}
	*p = s->here > 0 ? gsl_cdf_hypergeometric_Q((unsigned)s->here - 1, with, without,
		(unsigned)s->of_here) : 1;
	return *p <= TELLING_P ? SHARE_TELLING : SHARE_CHANCE;
}
