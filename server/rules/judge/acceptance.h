/*
 * Whether a new attachment is accepted (common practice; the values are the rulebook's): both
 * surfaces ground to bright steel, battery charged, gun set flush, arc about 2 s and held still
 * about 2 s more, hammer test passed, solder even all round, the stub at most 2 mm proud,
 * commissioning reading within. Which checks apply depends on the method: arc, gun, hold and
 * battery are of brazing with a pin or directly; the hammer test and the solder or weld all round
 * of every thermal method; the stub of a brazed pin with its lug; grinding and the reading of every
 * method. Where the method is not known every check applies: record the method, too.
 *
 * Accepted: every check that applies is recorded and good. Not accepted: one is bad. Open: none is
 * bad, some are not recorded; so is a reading that is unproven: it is measured again, and spoils
 * nothing. What was not accepted spoils its spot.
 */
#ifndef RULES_JUDGE_ACCEPTANCE_H
#define RULES_JUDGE_ACCEPTANCE_H

#include <stdbool.h>

#include "rules/judge/verdict.h"
#include "rules/rulebook.h"

/* The numbers are stored: only add at the end. */
enum acceptance_check {
	CHECK_GROUND_BRIGHT, CHECK_BATTERY_CHARGED, CHECK_GUN_FLUSH, CHECK_ARC, CHECK_HOLD,
	CHECK_HAMMER, CHECK_SOLDER_ALL_ROUND, CHECK_STUB, CHECK_READING, CHECK_SPOT, ACCEPTANCE_CHECKS
};
extern const struct words acceptance_check_words;

enum check_result_is { CHECK_GOOD, CHECK_BAD, CHECK_NOT_RECORDED, CHECK_DOES_NOT_APPLY };

/* Flags: 1 done or passed, 0 not, -1 not recorded. NAN: not measured. */
struct acceptance_facts {
	enum attach_method method;
	int ground_bright, battery_charged, gun_flush, hammer_passed, solder_all_round;
	double arc_s, hold_s, stub_mm;
	enum verdict reading;         /* of the commissioning reading; VERDICT_NONE: not recorded */
	int spot_taken;               /* 1: inside a clearance when it was recorded; -1: not known */
};

enum accepted { NOT_ACCEPTED, ACCEPTED, ACCEPTANCE_OPEN };
extern const struct words accepted_words;

struct acceptance {
	enum check_result_is is[ACCEPTANCE_CHECKS];
	enum accepted accepted;
};

void acceptance_compute(const struct rulebook *rulebook, const struct acceptance_facts *facts,
	struct acceptance *to);

/* True where it cannot be mended at this spot: another one is asked for. */
bool acceptance_spoils_spot(const struct acceptance *acceptance);

/* What is to be done now, as a sentence or two: "Grind it to at most 2 mm, then record it again.";
 * "" where nothing was not good. */
enum { ACCEPTANCE_ASKED_SIZE = 240 };
void acceptance_asked(const struct rulebook *rulebook, const struct acceptance *acceptance,
	char *to, size_t size);

/* One check in words: "The arc burned 1.2 s: from 1.5 to 2.5 s is asked for." */
enum { ACCEPTANCE_SENTENCE_SIZE = 160 };
void acceptance_sentence(const struct rulebook *rulebook, const struct acceptance_facts *facts,
	const struct acceptance *acceptance, enum acceptance_check check, char *to, size_t size);

#endif
