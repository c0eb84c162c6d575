#include "rules/judge/acceptance.h"
#include "rules/tablet/tablet_member.h"

struct question {
	int method, ground_bright, battery_charged, gun_flush, hammer_passed, solder_all_round;
	double arc_s, hold_s, stub_mm;
	int reading, spot_taken;
};

struct check {
	int check, is;
	const char *sentence;
	char sentence_text[ACCEPTANCE_SENTENCE_SIZE];
};

struct answer {
	int accepted, spoils_spot;
	const char *asked;            /* what is to be done now; absent: nothing */
	struct form_list checks;      /* those that apply */
	struct check check[ACCEPTANCE_CHECKS];
	char asked_text[ACCEPTANCE_ASKED_SIZE];
};

static const struct member question_members[] = {
	{ TABLET_MEMBER(question, method, "Method", MEMBER_WORD), .words = &attach_method_words,
		.required = true },
	TABLET_FLAG(question, ground_bright, "Both surfaces ground to bright steel"),
	TABLET_FLAG(question, battery_charged, "Battery charged"),
	TABLET_FLAG(question, gun_flush, "Gun set flush"),
	TABLET_REAL(question, arc_s, "Arc", "s"),
	TABLET_REAL(question, hold_s, "Held still", "s"),
	TABLET_FLAG(question, hammer_passed, "Hammer test passed"),
	TABLET_FLAG(question, solder_all_round, "Solder even all round"),
	TABLET_REAL(question, stub_mm, "Stub left on the lug", "mm"),
	TABLET_WORD(question, reading, "Verdict of the commissioning reading", verdict_words),
	TABLET_FLAG(question, spot_taken, "On a spoilt spot, or inside a clearance"),
	{ 0 }
};
static const struct form question_form = { "TabletAcceptance", question_members,
	sizeof(struct question) };

static const char *const is_code[] = { "good", "bad", "not_recorded", "does_not_apply" };
static const char *const is_title[] = { "good", "not good", "not recorded", "does not apply" };
static const struct words is_words = { "check_result", is_code, is_title, 4 };

static const struct member check_members[] = {
	TABLET_WORD(check, check, "Check", acceptance_check_words),
	TABLET_WORD(check, is, "Result", is_words),
	TABLET_TEXT(check, sentence, "In words"),
	{ 0 }
};
static const struct form check_form = { "TabletCheck", check_members, sizeof(struct check) };

static const struct member answer_members[] = {
	TABLET_WORD(answer, accepted, "Accepted", accepted_words),
	TABLET_FLAG(answer, spoils_spot, "Cannot be mended at this spot"),
	TABLET_TEXT(answer, asked, "What is to be done now"),
	TABLET_LIST(answer, checks, "Checks", check_form),
	{ 0 }
};
static const struct form answer_form = { "TabletAcceptanceAnswer", answer_members,
	sizeof(struct answer) };

static void answer(const struct rulebook *rulebook, const void *in, void *out)
{
	const struct question *q = in;
	const struct acceptance_facts facts = { (enum attach_method)q->method, q->ground_bright,
		q->battery_charged, q->gun_flush, q->hammer_passed, q->solder_all_round, q->arc_s,
		q->hold_s, q->stub_mm, q->reading < 0 ? VERDICT_NONE : (enum verdict)q->reading,
		q->spot_taken };
	struct answer *to = out;
	struct acceptance made;

	acceptance_compute(rulebook, &facts, &made);
	to->accepted = (int)made.accepted;
	to->spoils_spot = acceptance_spoils_spot(&made);
	acceptance_asked(rulebook, &made, to->asked_text, sizeof to->asked_text);
	to->asked = to->asked_text[0] != '\0' ? to->asked_text : NULL;
	to->checks.items = to->check;
	for (int check = 0; check < ACCEPTANCE_CHECKS; check++) {
		struct check *one = &to->check[to->checks.count];

		if (made.is[check] == CHECK_DOES_NOT_APPLY) {
			continue;
		}
		one->check = check;
		one->is = (int)made.is[check];
		acceptance_sentence(rulebook, &facts, &made, (enum acceptance_check)check,
			one->sentence_text, sizeof one->sentence_text);
		one->sentence = one->sentence_text;
		to->checks.count++;
	}
}

const struct tablet_rule tablet_acceptance = { "acceptance", &question_form, &answer_form, answer };
