#include "rules/statistics/mean_time.h"

#include <gsl/gsl_cdf.h>
#include <math.h>

bool mean_time_between(size_t failures, double total, enum truncation truncation,
	double confidence, struct mean_time *to)
{
	double r = (double)failures;
	double more = truncation == TRUNCATED_BY_TIME ? 2 : 0;

	if (!(total > 0) || (failures == 0 && truncation == TRUNCATED_BY_FAILURE)) {
		return false;
	}
	to->mean = failures > 0 ? total / r : INFINITY;
	to->lower = 2 * total / gsl_cdf_chisq_Pinv((1 + confidence) / 2, 2 * r + more);
	to->upper = failures > 0 ?
		2 * total / gsl_cdf_chisq_Pinv((1 - confidence) / 2, 2 * r) : INFINITY;
	return true;
}
