#include "rules/judge/verdict.h"

#include <math.h>

static const char *const verdict_code[] = { "none", "within", "unproven", "over" };
static const char *const verdict_title[] = {
	"no verdict", "within the limit", "unproven, measure again", "over the limit"
};
const struct words verdict_words = { "verdict", verdict_code, verdict_title, 4 };

static bool can_judge(double value, double u95, double limit)
{
	return isfinite(value) && isfinite(u95) && u95 >= 0 && isfinite(limit);
}

enum verdict verdict_of(double value, double u95, double limit)
{
	if (!can_judge(value, u95, limit)) {
		return VERDICT_NONE;
	}
	if (value + u95 <= limit) {
		return VERDICT_WITHIN;
	}
	return value - u95 > limit ? VERDICT_OVER : VERDICT_UNPROVEN;
}

double verdict_p_within(double value, double u95, double limit)
{
	double distance;

	if (!can_judge(value, u95, limit)) {
		return NAN;
	}
	if (u95 == 0) {
		return value <= limit ? 1 : 0;
	}
	distance = (limit - value) / (u95 / 2);
	return erfc(-distance / sqrt(2)) / 2;
}
