#include <math.h>

#include "rules/limit.h"
#include "rules/tablet_member.h"
#include "rules/uncertainty.h"

enum { SENTENCE_SIZE = 320 };

struct question {
	int quantity, method, material;
	double forward_uv, reverse_uv, current_a, shown_uohm, lead_uohm, rail_uv, rail_m, joint_m;
	double temp_c;
	struct tablet_meter_facts meter;
	struct tablet_limit_facts limit;
};

struct limit_answer {
	int kind, absence;
	double limit;
	const char *working;
	char working_text[LIMIT_WORKING_SIZE];
};

struct answer {
	double r_uohm, r20_uohm, thermal_uv, equivalent_m, added_m;
	int remark, standing, meter, evidence;
	double value, u95, limit, p_within;
	int limit_kind, verdict, near_limit;
	struct form_list limits;
	struct limit_answer limit_of[LIMITS];
	const char *limit_title, *verdict_title, *sentence, *unit_question;
	char sentence_text[SENTENCE_SIZE];
};

static const struct member question_members[] = {
	{ TABLET_MEMBER(question, quantity, "What was measured", MEMBER_WORD), .required = true,
		.words = &quantity_words },
	{ TABLET_MEMBER(question, method, "Leads", MEMBER_WORD), .required = true,
		.words = &reading_method_words },
	TABLET_WORD(question, material, "Material of the cable", material_words),
	TABLET_REAL(question, forward_uv, "Forward", "µV"),
	TABLET_REAL(question, reverse_uv, "Reversed", "µV"),
	TABLET_REAL(question, current_a, "Test current", "A"),
	TABLET_REAL(question, shown_uohm, "Shown", "µΩ"),
	TABLET_REAL(question, lead_uohm, "Leads alone", "µΩ"),
	TABLET_REAL(question, rail_uv, "Over the rail", "µV"),
	TABLET_REAL(question, rail_m, "Length of that rail", "m"),
	TABLET_REAL(question, joint_m, "Rail between the clips", "m"),
	TABLET_REAL(question, temp_c, "Cable temperature", "°C"),
	TABLET_OBJECT(question, meter, "Meter", tablet_meter_form),
	TABLET_OBJECT(question, limit, "What the limit rests on", tablet_limit_form),
	{ 0 }
};
static const struct form question_form = { "TabletReading", question_members,
	sizeof(struct question) };

static const struct member limit_answer_members[] = {
	TABLET_WORD(limit_answer, kind, "Limit", limit_kind_words),
	TABLET_REAL(limit_answer, limit, "Figure", "µΩ, m of rail"),
	TABLET_WORD(limit_answer, absence, "Why it is not there", limit_absence_words),
	TABLET_TEXT(limit_answer, working, "How it was made"),
	{ 0 }
};
static const struct form limit_answer_form = { "TabletLimitAnswer", limit_answer_members,
	sizeof(struct limit_answer) };

static const struct member answer_members[] = {
	TABLET_REAL(answer, r_uohm, "Resistance", "µΩ"),
	TABLET_REAL(answer, r20_uohm, "Resistance at 20 °C", "µΩ"),
	TABLET_REAL(answer, thermal_uv, "Thermal voltage", "µV"),
	TABLET_REAL(answer, equivalent_m, "Equal length of rail", "m"),
	TABLET_REAL(answer, added_m, "Length that the joint adds", "m"),
	TABLET_WORD(answer, remark, "Remark", reading_remark_words),
	TABLET_WORD(answer, standing, "Standing", reading_standing_words),
	TABLET_WORD(answer, meter, "Standing of the meter", meter_standing_words),
	TABLET_FLAG(answer, evidence, "Evidence"),
	TABLET_REAL(answer, value, "Value that is judged", "µΩ, m of rail"),
	TABLET_REAL(answer, u95, "Uncertainty, k = 2", "µΩ, m of rail"),
	TABLET_LIST(answer, limits, "Limits", limit_answer_form),
	TABLET_REAL(answer, limit, "The lowest", "µΩ, m of rail"),
	TABLET_WORD(answer, limit_kind, "Which it is", limit_kind_words),
	TABLET_TEXT(answer, limit_title, "Which it is, in words"),
	TABLET_WORD(answer, verdict, "Verdict", verdict_words),
	TABLET_TEXT(answer, verdict_title, "Verdict, in words"),
	TABLET_REAL(answer, p_within, "Chance that it is within", NULL),
	TABLET_FLAG(answer, near_limit, "Close to the limit"),
	TABLET_TEXT(answer, sentence, "What it means"),
	TABLET_TEXT(answer, unit_question, "What to ask of a value far from what bonds have"),
	{ 0 }
};
static const struct form answer_form = { "TabletReadingAnswer", answer_members,
	sizeof(struct answer) };

static struct reading_values values_of(const struct question *q)
{
	return (struct reading_values){ .quantity = (enum quantity)q->quantity,
		.method = (enum reading_method)q->method, .material = q->material,
		.forward_uv = q->forward_uv, .reverse_uv = q->reverse_uv, .current_a = q->current_a,
		.shown_uohm = q->shown_uohm, .lead_uohm = q->lead_uohm, .rail_uv = q->rail_uv,
		.rail_m = q->rail_m, .joint_m = q->joint_m, .temp_c = q->temp_c };
}

static struct limit_facts limit_facts_of(const struct question *q)
{
	const struct tablet_limit_facts *l = &q->limit;

	return (struct limit_facts){
		.kind = l->kind < 0 ? BOND_KIND_NOT_KNOWN : (enum bond_kind)l->kind,
		.criticality = l->criticality < 0 ? CRITICALITY_SAFETY : (enum criticality)l->criticality,
		.quantity = (enum quantity)q->quantity, .cable_uohm_per_m = l->cable_uohm_per_m,
		.length_m = l->length_m, .cables = l->cables == FORM_NO_INTEGER ? 0 : l->cables,
		.ends = 2, .baseline = l->baseline, .rail_uohm_per_m = l->rail_uohm_per_m,
		.rail_between_joints_m = l->rail_between_joints_m };
}

static void limits_to(const struct rulebook *rulebook, const struct limit_facts *facts,
	const struct limits *limits, struct answer *to)
{
	to->limits.items = to->limit_of;
	for (int kind = 0; kind < LIMITS; kind++) {
		struct limit_answer *one = &to->limit_of[to->limits.count];
		struct sentence s;

		if (limits->absence[kind] == LIMIT_NOT_FOR_QUANTITY ||
			limits->absence[kind] == LIMIT_NOT_USED) {
			continue;
		}
		*one = (struct limit_answer){ kind, (int)limits->absence[kind], limits->of[kind],
			one->working_text, { 0 } };
		sentence_begin(&s, one->working_text, sizeof one->working_text);
		limit_working(rulebook, facts, limits, (enum limit_kind)kind, &s);
		to->limits.count++;
	}
	to->limit = limits->limit;
	to->limit_kind = limits->lowest;
	to->limit_title = limits->lowest < 0 ? NULL : limit_kind_words.title[limits->lowest];
}

/* A title begins without a capital, and has no stop. */
static void add_title(struct sentence *s, const char *title)
{
	char first[2] = { title[0] >= 'a' && title[0] <= 'z' ? (char)(title[0] - 'a' + 'A') : title[0] };

	sentence_add(s, first);
	sentence_add(s, title + 1);
	sentence_add(s, ".");
}

static void add_no_verdict(struct sentence *s, const struct answer *a)
{
	const char *joint = "No verdict, because no limit can be formed: ";

	if (a->standing >= READING_NOT_EVIDENCE) {
		add_title(s, reading_remark_words.title[a->remark]);
		return;
	}
	if (!meter_believed((enum meter_standing)a->meter)) {
		add_title(s, meter_standing_words.title[a->meter]);
		return;
	}
	if (isnan(a->u95)) {
		sentence_add(s, "No verdict: the uncertainty of the instrument is not on record.");
		return;
	}
	if (a->limits.count == 0) {
		sentence_add(s, "No verdict: the rulebook has no limit for this.");
		return;
	}
	for (size_t i = 0; i < a->limits.count; i++) {
		sentence_add(s, joint);
		sentence_add(s, limit_absence_words.title[a->limit_of[i].absence]);
		joint = "; ";
	}
	sentence_add(s, ".");
}

static void add_chance(struct sentence *s, double p_within)
{
	double percent = floor(p_within * 100 + 0.5);

	sentence_add(s, " Chance that it is within: ");
	sentence_add(s, percent < 1 ? "less than " : percent > 99 ? "more than " : "");
	sentence_add_integer(s, percent < 1 ? 1 : percent > 99 ? 99 : (int64_t)percent);
	sentence_add(s, " %.");
}

static void sentence_of(const struct rulebook *rulebook, struct answer *a)
{
	struct sentence s;

	sentence_begin(&s, a->sentence_text, sizeof a->sentence_text);
	a->sentence = a->sentence_text;
	switch ((enum verdict)a->verdict) {
	case VERDICT_NONE:
		add_no_verdict(&s, a);
		return;
	case VERDICT_WITHIN:
		sentence_add(&s, "Within the limit, its uncertainty counted.");
		break;
	case VERDICT_UNPROVEN:
		sentence_add(&s, "The limit is inside the uncertainty: measure again, with a better "
			"instrument or more current.");
		add_chance(&s, a->p_within);
		break;
	case VERDICT_OVER:
		sentence_add(&s, "Over the limit even with its uncertainty taken off.");
		break;
	}
	if (a->verdict == VERDICT_WITHIN && a->near_limit == 1) {
		sentence_add(&s, " It is above ");
		sentence_add_figures(&s, rulebook->watch_percent, 3);
		sentence_add(&s, " % of it: the bond is to be watched.");
	}
}

static void answer(const struct rulebook *rulebook, const void *in, void *out)
{
	const struct question *q = in;
	const struct reading_values values = values_of(q);
	const struct limit_facts facts = limit_facts_of(q);
	const struct meter meter = { q->meter.standing < 0 ? METER_NOT_RECORDED :
		(enum meter_standing)q->meter.standing, q->meter.percent, q->meter.uohm };
	struct answer *to = out;
	struct reading reading;
	struct uncertainty uncertainty;
	struct limits limits;

	reading_compute(&values, &reading);
	uncertainty_compute(rulebook, &reading, values.quantity, values.material, &meter, &uncertainty);
	limit_form(rulebook, &facts, &limits);
	to->r_uohm = reading.r_uohm;
	to->r20_uohm = reading.r20_uohm;
	to->thermal_uv = reading.thermal_uv;
	to->equivalent_m = reading.equivalent_m;
	to->added_m = reading.added_m;
	to->remark = (int)reading.remark;
	to->standing = (int)reading.standing;
	to->meter = (int)meter.standing;
	to->evidence = reading.standing <= READING_WEAKER && meter_believed(meter.standing);
	to->value = q->quantity == QUANTITY_RAIL_DROP ? reading.added_m : reading.r20_uohm;
	to->u95 = to->evidence == 1 ? uncertainty.u95_uohm : NAN;
	limits_to(rulebook, &facts, &limits, to);
	to->verdict = (int)verdict_of(to->value, to->u95, limits.limit);
	to->verdict_title = verdict_words.title[to->verdict];
	to->p_within = verdict_p_within(to->value, to->u95, limits.limit);
	to->near_limit = to->verdict == VERDICT_NONE ? -1 :
		to->value > limits.limit * (rulebook->watch_percent / 100);
	sentence_of(rulebook, to);
	to->unit_question = reading_unit_question(&values, &reading);
}

const struct tablet_rule tablet_reading = { "reading", &question_form, &answer_form, answer };
