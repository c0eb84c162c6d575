/* How the verdict of one reading was made, and the verdicts that it had before. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "api/json/end_json.h"
#include "api/json/rulebook_json.h"
#include "api/rights.h"
#include "api/routes.h"
#include "api/views.h"
#include "derived/judged.h"
#include "rules/edition.h"
#include "rules/judge/working.h"
#include "service/record/ends.h"
#include "store/kept/judgement.h"

static void add_steps(const struct view *view, const struct judging *j, size_t i, struct json *to)
{
	struct working working;

	working_write(view->rulebook, &j->facts, i, &working);
	json_name(to, "steps");
	text_add_char(to->to, '[');
	for (int step = 0; step < WORKING_STEPS; step++) {
		struct json one;

		text_add_z(to->to, step > 0 ? "," : "");
		one = json_begin(to->to);
		json_word(&one, "step", &working_step_words, step);
		json_text(&one, "sentence", working.step[step]);
		json_end(&one);
	}
	text_add_char(to->to, ']');
}

static bool add_former(struct view *view, int64_t inspection_id, int64_t n,
	struct json *to, struct problem *why)
{
	struct verdict_former *all;
	size_t count;
	bool ok = true;

	if (!store_verdicts_former(view->store, inspection_id, n, &all, &count, why)) {
		return false;
	}
	json_name(to, "former");
	text_add_char(to->to, '[');
	for (size_t i = 0; ok && i < count; i++) {
		struct json one;

		text_add_z(to->to, i > 0 ? "," : "");
		one = json_begin(to->to);
		ok = json_version_of(&one, view->store, all[i].rulebook_version, why);
		json_integer(&one, "edition", all[i].edition);
		json_word(&one, "verdict", &verdict_words, all[i].verdict);
		json_word(&one, "limit_kind", &limit_kind_words, all[i].limit_kind);
		json_real(&one, "limit", all[i].limit);
		json_real(&one, "value", all[i].value);
		json_real(&one, "u95", all[i].u95);
		json_instant(&one, "replaced_at", all[i].replaced_at_ms);
		json_end(&one);
	}
	text_add_char(to->to, ']');
	free(all);
	return ok;
}

/* The place of the reading in the judgement; SIZE_MAX: a correction replaced its inspection, or
 * there is none. */
static size_t place_of(const struct judging *j, int64_t inspection_id, int64_t n)
{
	for (size_t i = 0; i < j->facts.n_readings; i++) {
		if (j->records.reading_keys[i].inspection_id == inspection_id &&
			j->records.reading_keys[i].n == n) {
			return i;
		}
	}
	return SIZE_MAX;
}

static bool add_working(struct view *view, struct judging *j, int64_t inspection_id, int64_t n,
	struct text *body, struct problem *why)
{
	size_t i = place_of(j, inspection_id, n);
	struct reading_state state;
	struct end_words ends;
	const struct judge_reading *lead;
	struct json to;

	if (i == SIZE_MAX) {
		return problem_set(why, PROBLEM_NOT_FOUND, NULL, "That inspection has no reading %lld, or a "
			"later entry corrects it.", (long long)n);
	}
	if (!ends_of_bond(view->store, &j->records.bonds[0].bond, &ends, why)) {
		return false;
	}
	judging_reading_state(view, j, 0, i, &state);
	lead = &j->facts.readings[j->facts.readings[i].leads];
	to = json_begin(body);
	json_word(&to, "quantity", &quantity_words, (int)j->facts.readings[i].values.quantity);
	json_quantity_words(&to, "quantity_words", &ends, j->facts.readings[i].values.quantity);
	json_word(&to, "verdict", &verdict_words, state.verdict);
	json_real(&to, "judged", lead->judged);   /* for all of its visit */
	json_real(&to, "judged_u95", lead->judged_u95);
	json_integer(&to, "rulebook_version", view->rulebook->version);
	json_integer(&to, "first_under", state.rulebook_version);
	json_integer(&to, "edition", RULES_EDITION);
	add_steps(view, j, i, &to);
	if (!add_former(view, inspection_id, n, &to, why)) {
		return false;
	}
	json_end(&to);
	return true;
}

static bool find(const struct request *req, int64_t *inspection_id, int64_t *bond_id, int64_t *n,
	struct problem *why)
{
	const char *number = req->params[1];
	struct sent sent;
	char *end;

	*n = strtol(number, &end, 10);
	if (*end != '\0' || *n < 0 || strlen(number) > 4) {
		return problem_set(why, PROBLEM_NOT_FOUND, NULL, "Readings are numbered from 0.");
	}
	if (!store_sent_find(view_of(req)->store, SENT_INSPECTION, req->params[0], &sent, why)) {
		return false;
	}
	if (sent.id == 0) {
		return problem_set(why, PROBLEM_NOT_FOUND, NULL, "Nothing is kept under the id %.36s.",
			req->params[0]);
	}
	*inspection_id = sent.id;
	*bond_id = sent.bond_id;
	return true;
}

static void working_get(const struct request *req, struct reply *out)
{
	struct judging j = { 0 };
	struct problem why = { 0 };
	struct text body = { 0 };
	int64_t inspection_id = 0, bond_id = 0, n = 0;

	if (find(req, &inspection_id, &bond_id, &n, &why) &&
		judging_one(view_of(req), &j, bond_id, &why) &&
		add_working(view_of(req), &j, inspection_id, n, &body, &why)) {
		reply_json(out, 200, &body);
	} else {
		text_release(&body);
		reply_problem(out, &why);
	}
	judging_release(&j);
}

const struct route working_routes[] = {
	{ METHOD_GET, "/api/inspections/{uuid}/readings/{id}/working", ROUTE_READ, CAN_READ, working_get,
	  "How the verdict of a reading is made, step by step, and the verdicts that it had before." },
	{ 0 }
};
