#include "api/json/judgement_json.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "api/json/end_json.h"
#include "api/json/rulebook_json.h"
#include "api/views.h"
#include "derived/derive.h"
#include "rules/edition.h"
#include "service/record/ends.h"
#include "service/record/rulebook.h"
#include "service/record/spot.h"
#include "store/kept/judgement.h"
#include "store/record/end_words.h"

static void add_reasons(struct json *j, unsigned reasons)
{
	const char *joint = "";
	char because[GRADE_REASONS_SIZE];

	json_name(j, "reasons");
	text_add_char(j->to, '[');
	for (int n = 0; n < REASONS; n++) {
		enum grade_reason reason = grade_reason_at(n);

		if ((reasons >> reason & 1) != 0) {
			text_add_z(j->to, joint);
			text_add_char(j->to, '"');
			text_add_z(j->to, grade_reason_words.code[reason]);
			text_add_char(j->to, '"');
			joint = ",";
		}
	}
	text_add_char(j->to, ']');
	grade_sentence(reasons, because, sizeof because);
	json_text(j, "because", because);
}

void json_grade(struct json *bond, const struct bond_state *s, int32_t today)
{
	enum grade now = grade_on(s->grade.grade, s->grade.evidence_until_day, today);
	unsigned reasons = s->grade.reasons;
	struct json j;

	if (now != s->grade.grade) {
		reasons |= 1u << REASON_EVIDENCE_OLD;
	}
	json_name(bond, "grade");
	j = json_begin(bond->to);
	json_word(&j, "grade", &grade_words, (int)now);
	add_reasons(&j, reasons);
	json_day(&j, "evidence_until_day", s->grade.evidence_until_day);
	json_day(&j, "act_since_day", s->act_since_day);
	json_word(&j, "worst_quantity", &quantity_words, s->worst_quantity);
	json_word(&j, "verdict", &verdict_words, s->worst_verdict);
	json_real(&j, "limit_percent", s->limit_ppm < 0 || s->limit_ppm == LIMIT_PPM_MOST ? NAN :
		(double)s->limit_ppm / 10000);
	json_day(&j, "crosses_day", s->crosses_day);
	json_day(&j, "early_day", s->early_day);
	json_integer(&j, "asked", s->asked);
	json_end(&j);
}

const char *json_unit_of(enum quantity quantity)
{
	return quantity == QUANTITY_RAIL_DROP ? "m" : "µΩ";
}

static void add_limits(struct json *quantity, const struct limits *limits)
{
	json_name(quantity, "limits");
	text_add_char(quantity->to, '[');
	for (int kind = 0; kind < LIMITS; kind++) {
		struct json j;

		if (kind > 0) {
			text_add_char(quantity->to, ',');
		}
		j = json_begin(quantity->to);
		json_word(&j, "kind", &limit_kind_words, kind);
		json_real(&j, "value", limits->of[kind]);
		json_flag(&j, "lowest", kind == limits->lowest);
		json_word(&j, "absence", &limit_absence_words, limits->absence[kind] == LIMIT_FORMED ? -1 :
			(int)limits->absence[kind]);
		json_text(&j, "absent_because", limits->absence[kind] == LIMIT_FORMED ? NULL :
			limit_absence_words.title[limits->absence[kind]]);
		json_end(&j);
	}
	text_add_char(quantity->to, ']');
}

/* value(day) = level + slope (day - mean_day); half the band of a further reading, 95 %: 1.96
 * sqrt(var_level + 2 cov x + var_slope x^2 + sigma_next^2), x = day - mean_day; days since
 * 1970-01-01. */
static void add_line(const struct trend_line *line, int of, struct text *to)
{
	struct json j = json_begin(to);

	json_word(&j, "of", &trend_line_words, of);
	json_integer(&j, "readings", (int64_t)line->n);
	json_day(&j, "first_day", line->first_day);
	/* what lies behind it is farther than can be told with reason */
	json_day(&j, "far_after_day", trend_far_after(line));
	json_word(&j, "rise", &trend_rise_words, (int)trend_rise_of(line));
	json_real(&j, "slope_per_year", line->slope_per_day * 365.25);
	json_real(&j, "slope_se_per_year", sqrt(line->var_slope) * 365.25);
	json_real(&j, "mean_day", line->mean_day);
	json_real(&j, "level", line->level);
	json_real(&j, "slope_per_day", line->slope_per_day);
	json_real(&j, "var_level", line->var_level);
	json_real(&j, "cov", line->cov);
	json_real(&j, "var_slope", line->var_slope);
	json_end(&j);
}

static void add_lines(struct json *trend, const struct trend *t)
{
	json_name(trend, "lines");
	text_add_char(trend->to, '[');
	for (int i = 0; i < t->lines; i++) {
		text_add_z(trend->to, i > 0 ? "," : "");
		add_line(&t->line[i], i, trend->to);
	}
	text_add_char(trend->to, ']');
}

static void add_trend(struct json *quantity, const struct trend *t)
{
	struct json j;

	json_name(quantity, "trend");
	j = json_begin(quantity->to);
	json_integer(&j, "readings", (int64_t)t->n);
	json_day(&j, "first_day", t->first_day);
	json_day(&j, "last_day", t->last_day);
	json_word(&j, "rise", &trend_rise_words, t->fitted ? (int)t->rise : -1);
	add_lines(&j, t);
	json_real(&j, "sigma_next", t->sigma_next);
	json_real(&j, "theil_sen_per_year", t->theil_sen_per_day * 365.25);
	json_day(&j, "crosses_day", t->crosses_day);
	json_word(&j, "crosses_line", &trend_line_words, t->crosses_day == DAY_NONE ? -1 :
		(int)t->crosses_line);
	json_flag(&j, "crosses_is_far", t->crosses_is_far);
	json_day(&j, "crosses_low_day", t->crosses_low_day);
	json_day(&j, "crosses_high_day", t->crosses_high_day);
	json_day(&j, "early_day", t->early_day);
	json_word(&j, "early_line", &trend_line_words, t->early_day == DAY_NONE ? -1 :
		(int)t->early_line);
	json_flag(&j, "early_is_far", t->early_is_far);
	json_word(&j, "lack", &trend_lack_words, t->lack == TREND_COMPLETE ? -1 : (int)t->lack);
	json_text(&j, "no_forecast_because", t->lack == TREND_COMPLETE ? NULL :
		trend_lack_words.title[t->lack]);
	json_end(&j);
}

static void add_last(struct json *quantity, const struct grade_reading *last)
{
	struct json j;

	json_name(quantity, "last");
	if (!last->there) {
		text_add_z(quantity->to, "null");
		return;
	}
	j = json_begin(quantity->to);
	json_day(&j, "day", last->day);
	json_real(&j, "value", last->value);
	json_real(&j, "u95", last->u95);
	json_real(&j, "limit", last->limit);
	json_word(&j, "verdict", &verdict_words, (int)last->verdict);
	json_flag(&j, "open_circuit", last->open_circuit);
	json_end(&j);
}

static void add_points(const struct judging *judging, enum quantity quantity, struct json *to)
{
	const struct judge_facts *f = &judging->facts;
	const char *joint = "";

	json_name(to, "points");
	text_add_char(to->to, '[');
	for (size_t i = 0; i < f->n_readings; i++) {
		const struct judge_reading *r = &f->readings[i];
		struct json j;

		if (r->values.quantity != quantity) {
			continue;
		}
		text_add_z(to->to, joint);
		joint = ",";
		j = json_begin(to->to);
		json_integer(&j, "inspection", judging->records.reading_keys[i].inspection_id);
		json_integer(&j, "n", judging->records.reading_keys[i].n);
		json_day(&j, "day", f->visits[r->visit].day);
		json_real(&j, "value", r->value);
		json_real(&j, "u95", r->uncertainty.u95_uohm);
		json_real(&j, "limit", r->limits.limit);
		json_flag(&j, "evidence", judge_is_evidence(r));
		json_word(&j, "verdict", &verdict_words, (int)r->verdict);
		json_reading_asked(&j, r);
		json_end(&j);
	}
	text_add_char(to->to, ']');
}

/* What the next reading of what is live now will be held to. */
static void limits_of(const struct view *view, const struct judging *judging, enum quantity quantity,
	struct limits *to)
{
	struct limit_facts facts = judging->facts.limit;

	facts.quantity = quantity;
	facts.baseline = judging->judgement.baseline[quantity];
	limit_form(view->rulebook, &facts, to);
}

/* The newest of its end stands last in its run. */
static bool is_live(const struct judging *judging, size_t i)
{
	const struct records *r = &judging->records;

	return i + 1 == r->n_attachments || r->attachments[i + 1].end != r->attachments[i].end;
}

/* The day of the newest attachment that a reading of a quantity contains. */
static int32_t live_since(const struct judging *judging, enum quantity quantity)
{
	int32_t day = DAY_NONE;

	for (size_t i = 0; i < judging->records.n_attachments; i++) {
		const struct record_attachment *a = &judging->records.attachments[i];
		bool other = quantity == (a->end == END_A ? QUANTITY_CONTACT_B : QUANTITY_CONTACT_A);

		day = !other && a->made_day > day ? a->made_day : day;
	}
	return day;
}

static void add_quantity(const struct view *view, const struct judging *judging,
	const struct end_words *ends, enum quantity quantity, struct text *to)
{
	const struct judgement *m = &judging->judgement;
	struct limits limits;
	struct json j = json_begin(to);

	limits_of(view, judging, quantity, &limits);
	json_word(&j, "quantity", &quantity_words, (int)quantity);
	json_quantity_words(&j, "quantity_words", ends, quantity);
	json_text(&j, "unit", json_unit_of(quantity));
	json_day(&j, "live_since_day", live_since(judging, quantity));
	add_last(&j, &m->last[quantity]);
	json_real(&j, "limit", limits.limit);
	json_word(&j, "limit_kind", &limit_kind_words, limits.lowest);
	json_real(&j, "baseline", m->baseline[quantity]);   /* at commissioning */
	add_limits(&j, &limits);
	add_trend(&j, &m->trend[quantity]);
	add_points(judging, quantity, &j);
	json_end(&j);
}

/* The newest verdict of a commissioning reading on or after the attachment, that over its end. */
static enum verdict commissioned(const struct judging *judging, const struct record_attachment *a)
{
	const struct judge_facts *f = &judging->facts;
	enum verdict verdict = VERDICT_NONE;

	for (size_t i = 0; i < f->n_readings; i++) {
		const struct judge_reading *r = &f->readings[i];
		const struct judge_visit *v = &f->visits[r->visit];

		if (v->purpose == PURPOSE_COMMISSIONING && v->day >= a->made_day &&
			r->values.quantity != (a->end == END_A ? QUANTITY_CONTACT_B : QUANTITY_CONTACT_A) &&
			r->verdict != VERDICT_NONE) {
			verdict = r->verdict;
		}
	}
	return verdict;
}

static void add_acceptance(const struct view *view, struct acceptance_facts *facts, struct text *to)
{
	static const char *const results[] = { [CHECK_GOOD] = "good", [CHECK_BAD] = "bad",
		[CHECK_NOT_RECORDED] = "not_recorded" };
	struct acceptance acceptance;
	struct json j;
	char asked[ACCEPTANCE_ASKED_SIZE];
	const char *joint = "";

	acceptance_compute(view->rulebook, facts, &acceptance);
	text_add_z(to, ",\"acceptance\":");
	j = json_begin(to);
	json_word(&j, "accepted", &accepted_words, (int)acceptance.accepted);
	json_flag(&j, "spoils_spot", acceptance_spoils_spot(&acceptance));
	acceptance_asked(view->rulebook, &acceptance, asked, sizeof asked);
	json_text(&j, "asked", asked);
	json_name(&j, "checks");
	text_add_char(to, '[');
	for (int check = 0; check < ACCEPTANCE_CHECKS; check++) {
		char sentence[ACCEPTANCE_SENTENCE_SIZE];
		struct json c;

		if (acceptance.is[check] == CHECK_DOES_NOT_APPLY) {
			continue;
		}
		acceptance_sentence(view->rulebook, facts, &acceptance, (enum acceptance_check)check,
			sentence, sizeof sentence);
		text_add_z(to, joint);
		joint = ",";
		c = json_begin(to);
		json_word(&c, "check", &acceptance_check_words, check);
		json_text(&c, "is", results[acceptance.is[check]]);
		json_text(&c, "sentence", sentence);
		json_end(&c);
	}
	text_add_char(to, ']');
	json_end(&j);
}

/* Which spot an attachment is too near to; null: none, or not known. */
static void add_spot(const struct view *view, const struct judging *judging,
	const struct record_attachment *a, struct text *to)
{
	char words[SPOT_TAKEN_SIZE] = "";
	struct problem why = { 0 };
	struct json j = { to, "," };
	int taken;

	if (a->facts.spot_taken > 0 && !spot_taken(view->store, view->rulebook,
		&judging->records.bonds[0].bond, (int)a->end, a->offset_mm, a->made_day, a->id, &taken,
		words, &why)) {
		words[0] = '\0';
	}
	json_text(&j, "spot", words);
}

/* What holds at each end now, by the checks that were recorded. */
static void add_attachments(const struct view *view, const struct judging *judging,
	const struct end_words *ends, struct json *to)
{
	const char *joint = "";

	json_name(to, "attachments");
	text_add_char(to->to, '[');
	for (size_t i = 0; i < judging->records.n_attachments; i++) {
		struct record_attachment a = judging->records.attachments[i];
		struct json j;

		if (!is_live(judging, i) || a.ended_day != DAY_NONE) {
			continue;
		}
		text_add_z(to->to, joint);
		joint = ",";
		j = json_begin(to->to);
		json_end_words(&j, ends, (int)a.end);
		json_day(&j, "made_day", a.made_day);
		a.facts.reading = commissioned(judging, &a);
		add_acceptance(view, &a.facts, to->to);
		add_spot(view, judging, &a, to->to);
		json_end(&j);
	}
	text_add_char(to->to, ']');
}

/* What makes it view, each by a key that a deferral names. */
static void add_items(const struct judgement *m, const struct end_words *ends, struct json *to)
{
	const char *joint = "";

	json_name(to, "to_mend");
	text_add_char(to->to, '[');
	for (size_t i = 0; i < m->n_items; i++) {
		char words[ACT_WORDS_SIZE];
		struct json j;

		text_add_z(to->to, joint);
		joint = ",";
		j = json_begin(to->to);
		json_integer(&j, "key", m->items[i].key);
		json_word(&j, "quantity", &quantity_words, act_key_quantity(m->items[i].key));
		act_key_words(m->items[i].key, ends, words, sizeof words);
		json_text(&j, "words", words);
		json_day(&j, "since_day", m->items[i].since_day);
		json_end(&j);
	}
	text_add_char(to->to, ']');
}

/* The grades that it had by other rules, oldest first. */
static bool add_formerly(const struct view *view, int64_t bond_id, struct json *to,
	struct problem *why)
{
	struct grade_former *all;
	size_t count;
	bool ok = store_grades_former(view->store, bond_id, &all, &count, why);

	json_name(to, "formerly");
	text_add_char(to->to, '[');
	for (size_t i = 0; ok && i < count; i++) {
		struct json one;

		text_add_z(to->to, i > 0 ? "," : "");
		one = json_begin(to->to);
		json_word(&one, "grade", &grade_words, (int)all[i].grade);
		add_reasons(&one, all[i].reasons);
		ok = json_version_of(&one, view->store, all[i].rulebook_version, why);
		json_integer(&one, "edition", all[i].edition);
		json_instant(&one, "until", all[i].replaced_at_ms);
		json_end(&one);
	}
	text_add_char(to->to, ']');
	free(all);
	return ok;
}

static bool add_judgement(const struct view *view, const struct judging *judging,
	const struct bond_state *state, const struct end_words *ends, struct text *to,
	struct problem *why)
{
	int64_t bond_id = judging->records.bonds[0].bond.id;
	struct json j = json_begin(to);

	json_integer(&j, "bond_id", bond_id);
	json_integer(&j, "rulebook_version", view->rulebook->version);
	json_integer(&j, "edition", RULES_EDITION);
	json_grade(&j, state, view->today);
	json_name(&j, "quantities");
	text_add_char(to, '[');
	for (int quantity = 0; quantity < GRADE_QUANTITIES; quantity++) {
		if (quantity > 0) {
			text_add_char(to, ',');
		}
		add_quantity(view, judging, ends, (enum quantity)quantity, to);
	}
	text_add_char(to, ']');
	add_attachments(view, judging, ends, &j);
	add_items(&judging->judgement, ends, &j);
	if (!add_formerly(view, bond_id, &j, why)) {
		return false;
	}
	json_end(&j);
	return true;
}

bool json_judgement(struct view *view, int64_t bond_id, struct text *to,
	struct problem *why)
{
	struct judging judging = { 0 };
	struct bond_state state;
	struct end_words ends;
	bool ok = judging_one(view, &judging, bond_id, why) &&
		judging_state(view, &judging, 0, &state, why) &&
		ends_of_bond(view->store, &judging.records.bonds[0].bond, &ends, why);

	ok = ok && add_judgement(view, &judging, &state, &ends, to, why);
	judging_release(&judging);
	return ok;
}

void json_judged_attachment(struct view *view, int64_t attachment_id, int64_t bond_id,
	struct text *to)
{
	const struct judging *judging;
	struct problem why = { 0 };

	if (!judging_for_answer(view, bond_id, &judging, &why)) {
		return;
	}
	for (size_t i = 0; i < judging->records.n_attachments; i++) {
		struct record_attachment a = judging->records.attachments[i];

		if (a.id == attachment_id) {
			a.facts.reading = commissioned(judging, &a);
			add_acceptance(view, &a.facts, to);
			add_spot(view, judging, &a, to);
		}
	}
}
