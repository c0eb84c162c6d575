#include "rules/judge/acceptance.h"

#include "rules/sentence.h"

static const char *const check_code[] = {
	"ground_bright", "battery_charged", "gun_flush", "arc", "hold", "hammer", "solder_all_round",
	"stub", "reading", "spot"
};
static const char *const check_title[] = {
	"both surfaces ground to bright steel", "battery charged", "gun set flush", "arc", "held still",
	"hammer test", "solder even all round", "stub left on the lug", "commissioning reading",
	"spot on the rail"
};
const struct words acceptance_check_words = {
	"acceptance_check", check_code, check_title, ACCEPTANCE_CHECKS
};

static const char *const accepted_code[] = { "not_accepted", "accepted", "open" };
static const char *const accepted_title[] = {
	"not accepted", "accepted", "open: a check is not recorded"
};
const struct words accepted_words = { "accepted", accepted_code, accepted_title, 3 };

#define BIT(check) (1u << (check))

static const unsigned of_every = BIT(CHECK_GROUND_BRIGHT) | BIT(CHECK_READING);
static const unsigned of_thermal = BIT(CHECK_HAMMER) | BIT(CHECK_SOLDER_ALL_ROUND);
static const unsigned of_gun = BIT(CHECK_BATTERY_CHARGED) | BIT(CHECK_GUN_FLUSH) | BIT(CHECK_ARC) |
	BIT(CHECK_HOLD);

static unsigned applying(enum attach_method method)
{
	switch (method) {
	case ATTACH_BRAZED_PIN:
		return of_every | of_thermal | of_gun | BIT(CHECK_STUB);
	case ATTACH_DIRECT_BRAZE:
		return of_every | of_thermal | of_gun;
	case ATTACH_EXOTHERMIC_WELD:
		return of_every | of_thermal;
	case ATTACH_BOLTED:
	case ATTACH_CLAMP:
		return of_every;
	default:
		return BIT(CHECK_SPOT) - 1;
	}
}

/* What is known to be bad counts whatever the method. */
static unsigned applying_to(const struct acceptance_facts *facts)
{
	return applying(facts->method) | (facts->hammer_passed == 0 ? BIT(CHECK_HAMMER) : 0) |
		(facts->spot_taken >= 0 ? BIT(CHECK_SPOT) : 0);
}

static enum check_result_is of_flag(int flag)
{
	return flag < 0 ? CHECK_NOT_RECORDED : flag > 0 ? CHECK_GOOD : CHECK_BAD;
}

/* Both limits inclusive. Only NAN is not equal to itself. */
static enum check_result_is of_value(double value, double least, double most)
{
	return value != value ? CHECK_NOT_RECORDED :
		value >= least && value <= most ? CHECK_GOOD : CHECK_BAD;
}

static enum check_result_is of_reading(enum verdict verdict)
{
	return verdict == VERDICT_WITHIN ? CHECK_GOOD : verdict == VERDICT_OVER ? CHECK_BAD :
		CHECK_NOT_RECORDED;
}

void acceptance_compute(const struct rulebook *rulebook, const struct acceptance_facts *facts,
	struct acceptance *to)
{
	const double no_least = -1e9, no_most = 1e9;
	const enum check_result_is is[ACCEPTANCE_CHECKS] = {
		[CHECK_GROUND_BRIGHT] = of_flag(facts->ground_bright),
		[CHECK_BATTERY_CHARGED] = of_flag(facts->battery_charged),
		[CHECK_GUN_FLUSH] = of_flag(facts->gun_flush),
		[CHECK_ARC] = of_value(facts->arc_s, rulebook->arc_least_s, rulebook->arc_most_s),
		[CHECK_HOLD] = of_value(facts->hold_s, rulebook->hold_least_s, no_most),
		[CHECK_HAMMER] = of_flag(facts->hammer_passed),
		[CHECK_SOLDER_ALL_ROUND] = of_flag(facts->solder_all_round),
		[CHECK_STUB] = of_value(facts->stub_mm, no_least, rulebook->stub_most_mm),
		[CHECK_READING] = of_reading(facts->reading),
		[CHECK_SPOT] = facts->spot_taken > 0 ? CHECK_BAD : CHECK_GOOD,
	};
	unsigned apply = applying_to(facts);
	bool bad = false, missing = false;

	for (int check = 0; check < ACCEPTANCE_CHECKS; check++) {
		to->is[check] = (apply & BIT(check)) != 0 ? is[check] : CHECK_DOES_NOT_APPLY;
		bad = bad || to->is[check] == CHECK_BAD;
		missing = missing || to->is[check] == CHECK_NOT_RECORDED;
	}
	to->accepted = bad ? NOT_ACCEPTED : missing ? ACCEPTANCE_OPEN : ACCEPTED;
}

bool acceptance_spoils_spot(const struct acceptance *acceptance)
{
	return acceptance->is[CHECK_HAMMER] == CHECK_BAD ||
		acceptance->is[CHECK_SOLDER_ALL_ROUND] == CHECK_BAD ||
		acceptance->is[CHECK_SPOT] == CHECK_BAD;
}

void acceptance_asked(const struct rulebook *rulebook, const struct acceptance *acceptance,
	char *to, size_t size)
{
	struct sentence s;

	sentence_begin(&s, to, size);
	if (acceptance->accepted != NOT_ACCEPTED) {
		return;
	}
	if (acceptance_spoils_spot(acceptance)) {
		sentence_add(&s, "This cannot be mended here: make another attachment, clear of this spot.");
		return;
	}
	if (acceptance->is[CHECK_STUB] == CHECK_BAD) {
		sentence_add(&s, "Grind the stub to at most ");
		sentence_add_real(&s, rulebook->stub_most_mm, 3);
		sentence_add(&s, " mm, then record it again.");
	}
	for (int check = 0; check < ACCEPTANCE_CHECKS; check++) {
		if (acceptance->is[check] == CHECK_BAD && check != CHECK_STUB) {
			sentence_add(&s, s.len > 0 ? " " : "");
			sentence_add(&s, "What was not done, or not as asked, is made good or checked again here, "
				"then recorded again; what cannot be is for the engineer to decide.");
			return;
		}
	}
}

/* Checks that were measured have no sentence here for good and bad. */
static const struct { const char *subject, *good, *bad; } said[ACCEPTANCE_CHECKS] = {
	[CHECK_GROUND_BRIGHT] = { "grinding of both surfaces",
		"Both surfaces were ground to bright steel.",
		"The surfaces were not both ground to bright steel." },
	[CHECK_BATTERY_CHARGED] = { "charge of the battery", "The battery was charged.",
		"The battery was not charged." },
	[CHECK_GUN_FLUSH] = { "seat of the gun", "The gun was set flush.",
		"The gun was not set flush." },
	[CHECK_ARC] = { "time of the arc", NULL, NULL },
	[CHECK_HOLD] = { "time for which the gun was held still", NULL, NULL },
	[CHECK_HAMMER] = { "hammer test", "The hammer test was passed.",
		"The hammer test was not passed." },
	[CHECK_SOLDER_ALL_ROUND] = { "solder all round", "The solder is even all round.",
		"The solder is not even all round." },
	[CHECK_STUB] = { "height of the stub", NULL, NULL },
	[CHECK_READING] = { "commissioning reading", "The commissioning reading is within its limit.",
		"The commissioning reading is over its limit." },
	[CHECK_SPOT] = { "spot on the rail", "The spot was free when it was recorded.",
		"It is on a spoilt spot, or inside a clearance." },
};

static void add_measured(struct sentence *s, const struct rulebook *rulebook,
	const struct acceptance_facts *facts, enum acceptance_check check)
{
	bool arc = check == CHECK_ARC, hold = check == CHECK_HOLD;
	const char *unit = check == CHECK_STUB ? " mm" : " s";

	sentence_add(s, arc ? "The arc burned " : hold ? "The gun was held still for " :
		"The stub stands ");
	sentence_add_real(s, arc ? facts->arc_s : hold ? facts->hold_s : facts->stub_mm, 3);
	sentence_add(s, unit);
	sentence_add(s, arc ? ": from " : hold ? ": at least " : " proud: at most ");
	sentence_add_real(s, arc ? rulebook->arc_least_s : hold ? rulebook->hold_least_s :
		rulebook->stub_most_mm, 3);
	if (arc) {
		sentence_add(s, " to ");
		sentence_add_real(s, rulebook->arc_most_s, 3);
	}
	sentence_add(s, unit);
	sentence_add(s, " is asked for.");
}

void acceptance_sentence(const struct rulebook *rulebook, const struct acceptance_facts *facts,
	const struct acceptance *acceptance, enum acceptance_check check, char *to, size_t size)
{
	enum check_result_is is = acceptance->is[check];
	struct sentence s;

	sentence_begin(&s, to, size);
	if (check == CHECK_READING && is == CHECK_NOT_RECORDED && facts->reading == VERDICT_UNPROVEN) {
		sentence_add(&s, "The commissioning reading proves neither within nor over its limit: "
			"measure again.");
	} else if (is == CHECK_NOT_RECORDED || is == CHECK_DOES_NOT_APPLY) {
		sentence_add(&s, is == CHECK_NOT_RECORDED ? "Not recorded: " : "Does not apply here: ");
		sentence_add(&s, said[check].subject);
		sentence_add(&s, ".");
	} else if (said[check].good == NULL) {
		add_measured(&s, rulebook, facts, check);
	} else {
		sentence_add(&s, is == CHECK_GOOD ? said[check].good : said[check].bad);
	}
}
