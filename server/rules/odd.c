#include "rules/odd.h"

#include <math.h>
#include <stdlib.h>

static const char *const odd_code[] = {
	"no_rail", "same_place", "reading_far_off", "reading_no_evidence", "no_installation_day",
	"ends_alike"
};
static const char *const odd_title[] = {
	"no track or rail stated", "two bonds of a kind at one place", "reading far from the others",
	"reading that is no evidence", "no installation day", "ends not told apart"
};
const struct words odd_words = { "odd", odd_code, odd_title, ODDS };

static int ascending(const void *a, const void *b)
{
	double one = *(const double *)a, two = *(const double *)b;

	return one < two ? -1 : one > two;
}

double odd_median(double *values, size_t count)
{
	if (count == 0) {
		return NAN;
	}
	qsort(values, count, sizeof *values, ascending);
	return count % 2 == 1 ? values[count / 2] : (values[count / 2 - 1] + values[count / 2]) / 2;
}

bool odd_reading_is_far_off(double r20_uohm, double median_uohm, size_t count)
{
	return count >= ODD_READINGS_LEAST && isfinite(r20_uohm) && median_uohm > 0 &&
		(r20_uohm > median_uohm * ODD_FACTOR || r20_uohm < median_uohm / ODD_FACTOR);
}

int64_t odd_pack(const int64_t rows[ODDS])
{
	int64_t packed = 0;

	_Static_assert(ODDS * ODD_BITS < 63, "they have room in one number");
	for (int what = 0; what < ODDS; what++) {
		if (rows[what] < 0 || rows[what] > ODD_MOST) {
			return -1;
		}
		packed |= rows[what] << ODD_BITS * what;
	}
	return packed;
}

void odd_unpack(int64_t packed, int64_t rows[ODDS])
{
	for (int what = 0; what < ODDS; what++) {
		rows[what] = packed >> ODD_BITS * what & ODD_MOST;
	}
}

bool odd_reading_is_no_evidence(enum reading_remark remark)
{
	enum reading_standing standing = reading_standing_of(remark);

	return standing == READING_NOT_EVIDENCE || standing == READING_NO_RESULT;
}
