#include <math.h>

#include "base/day.h"
#include "rules/judge/judge_parts.h"
#include "rules/tablet/tablet_member.h"

enum { SENTENCE_SIZE = 320 };

/* The figures of one reading, as they were written down. */
struct one {
	int quantity, method;
	double forward_uv, reverse_uv, current_a, shown_uohm, lead_uohm, rail_uv, rail_m, joint_m;
	double temp_c;
	int temp_carried, probed;
	int64_t instrument_id;
	struct tablet_meter_facts meter;
};

struct question {
	struct one one;               /* (first, so that its members are the question's own) */
	int material;
	int32_t day;
	int purpose, alone;
	double round_temp_c, compared;
	struct form_list others;      /* struct one, of the same visit */
	struct tablet_limit_facts limit;
};

enum { OTHERS_MOST = 8 };

struct limit_answer {
	int kind, absence;
	double limit;
	const char *working;
	char working_text[LIMIT_WORKING_SIZE];
};

struct asked_answer { int question; const char *sentence; };

struct answer {
	double r_uohm, r20_uohm, thermal_uv, equivalent_m, added_m;
	int remark, standing, meter, evidence;
	double value, u95, limit, p_within;
	int limit_kind, verdict, near_limit;
	struct form_list limits;
	struct limit_answer limit_of[LIMITS];
	const char *limit_title, *verdict_title, *sentence;
	char sentence_text[SENTENCE_SIZE];
	int status, would, in_circuit, parallel;
	struct form_list asked;
	struct asked_answer asked_of[ASKEDS];
};

#define ONE_MEMBERS \
	{ TABLET_MEMBER(one, quantity, "What was measured", MEMBER_WORD), .required = true, \
		.words = &quantity_words }, \
	{ TABLET_MEMBER(one, method, "Leads", MEMBER_WORD), .required = true, \
		.words = &reading_method_words }, \
	TABLET_REAL(one, forward_uv, "Forward", "µV"), \
	TABLET_REAL(one, reverse_uv, "Reversed", "µV"), \
	TABLET_REAL(one, current_a, "Test current", "A"), \
	TABLET_REAL(one, shown_uohm, "Shown", "µΩ"), \
	TABLET_REAL(one, lead_uohm, "Leads alone", "µΩ"), \
	TABLET_REAL(one, rail_uv, "Over the rail", "µV"), \
	TABLET_REAL(one, rail_m, "Length of that rail", "m"), \
	TABLET_REAL(one, joint_m, "Rail between the clips", "m"), \
	TABLET_REAL(one, temp_c, "Cable temperature", "°C"), \
	TABLET_FLAG(one, temp_carried, "Temperature carried from another bond"), \
	TABLET_WORD(one, probed, "Contact read to", probed_words), \
	TABLET_INTEGER(one, instrument_id, "Instrument", NULL), \
	TABLET_OBJECT(one, meter, "Meter", tablet_meter_form)

static const struct member one_members[] = { ONE_MEMBERS, { 0 } };
static const struct form one_form = { "TabletReadingBeside", one_members, sizeof(struct one) };

static const struct member question_members[] = {
	ONE_MEMBERS,
	TABLET_WORD(question, material, "Material of the cable", material_words),
	TABLET_DAY(question, day, "Day"),
	TABLET_WORD(question, purpose, "Purpose of the visit", purpose_words),
	TABLET_FLAG(question, alone, "What else joins the rails was opened"),
	TABLET_REAL(question, round_temp_c, "Median of the round's temperatures", "°C"),
	TABLET_REAL(question, compared, "Last evidence of what is attached", "µΩ, m of rail"),
	TABLET_LIST(question, others, "Other readings of the same quantity and visit", one_form),
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

static const struct member asked_members[] = {
	TABLET_WORD(asked_answer, question, "Question", asked_words),
	TABLET_TEXT(asked_answer, sentence, "In words"),
	{ 0 }
};
static const struct form asked_form = { "TabletAsked", asked_members,
	sizeof(struct asked_answer) };

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
	TABLET_WORD(answer, status, "What it is evidence of", judge_status_words),
	TABLET_LIST(answer, asked, "Asked before it is judged", asked_form),
	TABLET_WORD(answer, would, "Its verdict if it counted", verdict_words),
	TABLET_FLAG(answer, in_circuit, "Evidence of over alone"),
	TABLET_FLAG(answer, parallel, "It shows another path beside the bond"),
	{ 0 }
};
static const struct form answer_form = { "TabletReadingAnswer", answer_members,
	sizeof(struct answer) };

static struct judge_reading reading_of(const struct question *q, const struct one *o)
{
	return (struct judge_reading){ .values = { .quantity = (enum quantity)q->one.quantity,
		.method = (enum reading_method)o->method, .material = q->material,
		.forward_uv = o->forward_uv, .reverse_uv = o->reverse_uv, .current_a = o->current_a,
		.shown_uohm = o->shown_uohm, .lead_uohm = o->lead_uohm, .rail_uv = o->rail_uv,
		.rail_m = o->rail_m, .joint_m = o->joint_m, .temp_c = o->temp_c,
		.is_carried = o->temp_carried == 1, .is_lug_only = o->probed == PROBED_LUG },
		.meter = { o->meter.standing < 0 ? METER_NOT_RECORDED :
		(enum meter_standing)o->meter.standing, o->meter.percent, o->meter.uohm,
		o->meter.methods == FORM_NO_INTEGER ? 0 : o->meter.methods },
		.instrument_id = o->instrument_id == FORM_NO_INTEGER ? 0 : o->instrument_id,
		.round_temp_c = q->round_temp_c };
}

static struct limit_facts limit_facts_of(const struct question *q)
{
	const struct tablet_limit_facts *l = &q->limit;

	return (struct limit_facts){
		.kind = l->kind < 0 ? BOND_KIND_NOT_KNOWN : (enum bond_kind)l->kind,
		.criticality = l->criticality < 0 ? CRITICALITY_SAFETY : (enum criticality)l->criticality,
		.quantity = (enum quantity)q->one.quantity, .cable_uohm_per_m = l->cable_uohm_per_m,
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
	if (a->asked.count > 0) {
		sentence_add(s, "No verdict until this is answered. It is recorded all the same.");
		return;
	}
	if (a->parallel == 1) {
		sentence_add(s, "No verdict: so little shows another path beside the bond, and nothing of the "
			"bond itself.");
		return;
	}
	if (a->in_circuit == 1) {
		sentence_add(s, "No verdict: what lies beside it was read with it, so this proves nothing "
			"good. Read both contacts, and look at cable and lugs.");
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

static void asked_to(const struct judge_reading *r, struct answer *to)
{
	to->asked.items = to->asked_of;
	for (int question = 0; question < ASKEDS && r->status == STATUS_OPEN; question++) {
		if ((r->asked >> question & 1) != 0) {
			to->asked_of[to->asked.count++] = (struct asked_answer){ question,
				asked_words.title[question] };
		}
	}
}

static void judged_to(const struct rulebook *rulebook, const struct judge_reading *r,
	struct answer *to)
{
	to->r_uohm = r->reading.r_uohm;
	to->r20_uohm = r->reading.r20_uohm;
	to->thermal_uv = r->reading.thermal_uv;
	to->equivalent_m = r->reading.equivalent_m;
	to->added_m = r->reading.added_m;
	to->remark = (int)r->reading.remark;
	to->standing = (int)r->reading.standing;
	to->meter = (int)r->meter.standing;
	to->evidence = judge_is_evidence(r);
	to->value = r->value;
	to->u95 = to->evidence == 1 ? r->uncertainty.u95_uohm : NAN;
	to->status = (int)r->status;
	to->would = (int)r->would;
	to->in_circuit = r->only_over;
	to->parallel = r->parallel;
	to->verdict = (int)r->verdict;
	to->verdict_title = verdict_words.title[to->verdict];
	to->p_within = r->p_within;
	to->near_limit = r->verdict == VERDICT_NONE ? -1 :
		r->value > r->limits.limit * (rulebook->watch_percent / 100);
}

/* The very walk of the server over the readings of this visit, from what is known before it. */
static void answer(const struct rulebook *rulebook, const void *in, void *out)
{
	const struct question *q = in;
	const struct one *others = q->others.items;
	struct answer *to = out;
	struct judge_reading readings[1 + OTHERS_MOST];
	struct judge_visit visit = { .day = q->day, .counted_day = DAY_NONE, .alone = q->alone == 1,
		.purpose = q->purpose < 0 ? PURPOSE_ROUTINE : (enum purpose)q->purpose };
	struct judge_start start;
	struct judgement made;
	struct judge_facts facts = { .limit = limit_facts_of(q), .material = q->material,
		.visits = &visit, .n_visits = 1, .readings = readings, .start = &start };
	struct judge_pass pass = { .rulebook = rulebook, .facts = &facts, .to = &made,
		.limits_quantity = -1 };

	for (int i = 0; i < GRADE_QUANTITIES; i++) {
		start.baseline[i] = q->limit.baseline;
		start.compared[i] = q->compared;
	}
	readings[facts.n_readings++] = reading_of(q, &q->one);
	for (size_t i = 0; i < q->others.count && i < OTHERS_MOST; i++) {
		readings[facts.n_readings++] = reading_of(q, &others[i]);
	}
	judge_prepare(&pass);
	judge_values(rulebook, &facts);
	judge_readings(&pass, (enum quantity)q->one.quantity);
	judged_to(rulebook, &readings[0], to);
	asked_to(&readings[0], to);
	limits_to(rulebook, &facts.limit, &readings[0].limits, to);
	sentence_of(rulebook, to);
}

const struct tablet_rule tablet_reading = { "reading", &question_form, &answer_form, answer };
