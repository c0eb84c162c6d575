#include "api/json/judgement_json.h"

#include "api/json/end_json.h"
#include "derived/derive.h"
#include "store/record/end_words.h"

void json_reading_asked(struct json *j, const struct judge_reading *r)
{
	const char *joint = "";

	json_word(j, "status", &judge_status_words, (int)r->status);
	json_name(j, "asked");
	text_add_char(j->to, '[');
	for (int question = 0; question < ASKEDS; question++) {
		if ((r->asked >> question & 1) != 0) {
			struct json one;

			text_add_z(j->to, joint);
			joint = ",";
			one = json_begin(j->to);
			json_word(&one, "question", &asked_words, question);
			json_text(&one, "sentence", asked_words.title[question]);
			json_end(&one);
		}
	}
	text_add_char(j->to, ']');
	json_flag(j, "parallel", r->parallel);
	json_flag(j, "only_over", r->only_over);
	json_word(j, "would", &verdict_words, r->status == STATUS_OPEN ? (int)r->would : -1);
	json_word(j, "told", &verdict_words, (int)r->told);
	json_integer(j, "told_version", r->told_version);
}

/* ends: NULL where they could not be read */
static void add_reading(const struct judge_reading *r, int64_t n, const struct end_words *ends,
	struct text *to)
{
	enum quantity quantity = r->values.quantity;
	struct json j = json_begin(to);

	json_integer(&j, "n", n);
	json_word(&j, "quantity", &quantity_words, (int)quantity);
	if (ends != NULL) {
		json_quantity_words(&j, "quantity_words", ends, quantity);
	}
	json_text(&j, "unit", json_unit_of(quantity));
	json_real(&j, "value", r->value);
	json_real(&j, "u95", r->uncertainty.u95_uohm);
	json_real(&j, "limit", r->limits.limit);
	json_word(&j, "limit_kind", &limit_kind_words, r->limits.lowest);
	json_word(&j, "verdict", &verdict_words, (int)r->verdict);
	json_real(&j, "p_within", r->p_within);
	json_flag(&j, "evidence", judge_is_evidence(r));
	json_word(&j, "remark", &reading_remark_words, (int)r->reading.remark);
	json_word(&j, "meter", &meter_standing_words, (int)r->meter.standing);
	json_reading_asked(&j, r);
	json_end(&j);
}

/* (answers to what crews send come from the writer: the ends' words are asked for once, only where
 * an end is named, and of its short names no chainage is asked) */
void json_judged_inspection(struct view *view, int64_t inspection_id, int64_t bond_id,
	struct text *to)
{
	const struct judging *judging;
	struct end_words ends;
	struct problem why = { 0 };
	const char *joint = "";
	bool there = false;

	if (!judging_for_answer(view, bond_id, &judging, &why)) {
		return;
	}
	text_add_z(to, ",\"readings\":[");
	for (size_t i = 0; i < judging->facts.n_readings; i++) {
		const struct record_reading *key = &judging->records.reading_keys[i];
		const struct judge_reading *r = &judging->facts.readings[i];
		const struct bond *bond = &judging->records.bonds[0].bond;

		if (key->inspection_id == inspection_id) {
			bool of_end = quantity_is_of_end(r->values.quantity);

			there = there || (of_end && store_end_words(view->store, bond->id, bond->version,
				bond->kind, NULL, NULL, &ends, &why));
			text_add_z(to, joint);
			joint = ",";
			add_reading(r, key->n, of_end && !there ? NULL : &ends, to);
		}
	}
	text_add_char(to, ']');
}
