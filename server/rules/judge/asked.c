#include "rules/judge/asked.h"

#include <math.h>

static const char *const asked_code[] = {
	"far_below", "far_above", "away", "directions", "same_sign", "thermal", "method",
	"temperature", "meter", "twice"
};
static const char *const asked_title[] = {
	"far below what it can be: look at the unit and the decimal point, or at another path in "
	"parallel",
	"far above the limit: look at the unit and the decimal point, the clips, and whether the bond "
		"failed",
	"far from the last reading of the same attachments: look at the unit and the digits, then "
	"read it "
		"a second time",
	"forward and reversed differ too much: look at both figures, then read it a second time",
	"with the current reversed the voltage has the same sign: was a minus left out?",
	"a thermal voltage that a bond only has while it is hot: wait until it is cold",
	"this instrument cannot measure by this method: look at both",
	"the temperature is far from that of the other bonds of this round: look at it, or say that "
	"it is "
		"another place (tunnel, open line)",
	"the instrument is not to be believed on this day, and the value may be over its limit: "
	"read it "
		"with another instrument",
	"two readings of this visit do not agree: the worse one stands until it is known which is right"
};
const struct words asked_words = { "asked", asked_code, asked_title, ASKEDS };

#define BIT(question) (1u << (question))

static bool is_contact(enum quantity quantity)
{
	return quantity == QUANTITY_CONTACT_A || quantity == QUANTITY_CONTACT_B;
}

/* Comparisons with what is not known are false. */
static unsigned of_size(const struct rulebook_asked *rule, const struct asked_facts *f)
{
	enum quantity quantity = f->values->quantity;
	double least = quantity == QUANTITY_END_TO_END ?
		(f->is_joint ? rule->least_share_joint : rule->least_share) * f->conductor_uohm :
		is_contact(quantity) ? rule->least_share_contact * f->limit : NAN;

	return (f->value < least ? BIT(ASKED_FAR_BELOW) : 0) |
		(f->value > rule->most_times * f->limit ? BIT(ASKED_FAR_ABOVE) : 0);
}

/* (a joint may add a little less than no rail: then no factor follows) */
static unsigned away_from_last(const struct rulebook_asked *rule, const struct asked_facts *f)
{
	bool joint = f->is_joint && !is_contact(f->values->quantity);
	double times = joint ? rule->away_times_joint : rule->away_times;
	double high = fmax(f->value, f->last_value), low = fmin(f->value, f->last_value);

	if (isnan(f->value) || isnan(f->last_value) || !(low > 0) || !(high > times * low)) {
		return 0;
	}
	/* without a limit the factor alone counts */
	if (is_contact(f->values->quantity) && high - low <= rule->away_contact_share * f->limit) {
		return 0;
	}
	return BIT(ASKED_AWAY);
}

static unsigned of_directions(const struct rulebook_asked *rule, const struct asked_facts *f)
{
	double forward = fabs(f->values->forward_uv), reverse = fabs(f->values->reverse_uv);
	double mean = (forward + reverse) / 2, thermal_uv = fabs(f->reading->thermal_uv);

	if ((f->reading->remarks >> REMARK_SAME_SIGN & 1) != 0) {
		return BIT(ASKED_SAME_SIGN);
	}
	return (fabs(forward - reverse) > rule->direction_percent / 100 * mean &&
		thermal_uv > rule->direction_uv ? BIT(ASKED_DIRECTIONS) : 0) |
		(thermal_uv > rule->thermal_uv ? BIT(ASKED_THERMAL) : 0);
}

unsigned asked_of(const struct rulebook *rulebook, const struct asked_facts *f)
{
	const struct rulebook_asked *rule = &rulebook->asked;
	bool corrected = f->values->quantity == QUANTITY_END_TO_END && !f->values->is_climate;

	return of_size(rule, f) | away_from_last(rule, f) | of_directions(rule, f) |
		(f->meter_cannot ? BIT(ASKED_METHOD) : 0) |
		(corrected && fabs(f->values->temp_c - f->round_temp_c) > rule->away_temp_k ?
		BIT(ASKED_TEMPERATURE) : 0);
}

bool asked_answers(unsigned asked, unsigned other)
{
	const unsigned of_size = BIT(ASKED_FAR_BELOW) | BIT(ASKED_FAR_ABOVE) | BIT(ASKED_AWAY) |
		BIT(ASKED_TWICE);

	return (asked & other & ~of_size) == 0;
}

static double square_without_meter(const struct uncertainty *u, bool same_meter)
{
	double meter = same_meter ? 0 : u->meter_uohm;

	return meter * meter + u->temp_uohm * u->temp_uohm + u->repeat_uohm * u->repeat_uohm;
}

bool asked_agree(double a, const struct uncertainty *ua, double b, const struct uncertainty *ub,
	bool same_meter)
{
	return fabs(a - b) <= sqrt(square_without_meter(ua, same_meter) +
		square_without_meter(ub, same_meter));
}
