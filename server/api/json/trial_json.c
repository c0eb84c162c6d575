#include "api/json/trial_json.h"

#include "api/json/end_json.h"
#include "service/record/ends.h"

/* What moved from one word to another, both told: [{"before":"later","after":"soon","count":12}] */
static void add_moves(struct json *j, const char *name, const struct words *words,
	const int64_t *counts, int n)
{
	const char *joint = "";

	json_name(j, name);
	text_add_char(j->to, '[');
	for (int before = 0; before < n; before++) {
		for (int after = 0; after < n; after++) {
			struct json move;

			if (counts[before * n + after] == 0) {
				continue;
			}
			text_add_z(j->to, joint);
			joint = ",";
			move = json_begin(j->to);
			json_word(&move, "before", words, before);
			json_word(&move, "after", words, after);
			json_integer(&move, "count", counts[before * n + after]);
			json_end(&move);
		}
	}
	text_add_char(j->to, ']');
}

static void add_steps(struct json *j, const struct trial_count *count)
{
	json_name(j, "due_moved");
	text_add_char(j->to, '[');
	for (int i = 0; i < TRIAL_STEPS; i++) {
		struct json step;

		text_add_z(j->to, i > 0 ? "," : "");
		step = json_begin(j->to);
		json_integer(&step, "from_days", i > 0 ? trial_step_days[i - 1] + 1 : 1);
		if (i < TRIAL_STEPS - 1) {
			json_integer(&step, "to_days", trial_step_days[i]);
		} else {
			json_text(&step, "to_days", NULL);
		}
		json_integer(&step, "earlier", count->earlier[i]);
		json_integer(&step, "later", count->later[i]);
		json_end(&step);
	}
	text_add_char(j->to, ']');
}

static void add_lines(struct json *j, const struct trial_count *count)
{
	const char *joint = "";

	json_name(j, "lines");
	text_add_char(j->to, '[');
	for (size_t i = 0; i < count->n_lines; i++) {
		const struct trial_line *l = &count->lines[i];
		struct json line;

		if (l->overdue_before == l->overdue_after && l->grades == 0 && l->verdicts == 0) {
			continue;
		}
		text_add_z(j->to, joint);
		joint = ",";
		line = json_begin(j->to);
		json_integer(&line, "line_id", (int64_t)i);
		json_integer(&line, "bonds", l->bonds);
		json_integer(&line, "overdue_before", l->overdue_before);
		json_integer(&line, "overdue_after", l->overdue_after);
		json_integer(&line, "grades", l->grades);
		json_integer(&line, "verdicts", l->verdicts);
		json_end(&line);
	}
	text_add_char(j->to, ']');
}

static void add_side(struct json *j, const char *name, const struct trial_side *side)
{
	struct json s;

	json_name(j, name);
	s = json_begin(j->to);
	json_word(&s, "state", &due_state_words, (int)side->state);
	json_day(&s, "due_day", side->due_day);
	json_word(&s, "grade", &grade_words, side->grade == GRADE_NONE ? -1 : (int)side->grade);
	json_name(&s, "verdicts");
	text_add_char(j->to, '{');
	for (int q = 0, n = 0; q < GRADE_QUANTITIES; q++) {
		if (side->verdict[q] >= 0) {
			text_addf(j->to, "%s\"%s\":\"%s\"", n++ > 0 ? "," : "", quantity_words.code[q],
				verdict_words.code[side->verdict[q]]);
		}
	}
	text_add_char(j->to, '}');
	json_end(&s);
}

static bool add_list(struct json *j, const char *name, const struct trial_list *list,
	struct store *store, struct problem *why)
{
	struct json all;

	json_name(j, name);
	all = json_begin(j->to);
	json_integer(&all, "count", list->all);
	json_name(&all, "bonds");
	text_add_char(j->to, '[');
	for (size_t i = 0; i < list->count; i++) {
		const struct trial_bond *b = &list->bonds[i];
		struct bond bond;
		struct end_words ends;
		struct json one;

		if (!store_bond_get(store, b->bond_id, &bond, why) ||
			!ends_of_bond(store, &bond, &ends, why)) {
			return false;
		}
		text_add_z(j->to, i > 0 ? "," : "");
		one = json_begin(j->to);
		json_integer(&one, "bond_id", b->bond_id);
		json_text(&one, "label", bond.label);
		json_integer(&one, "line_id", b->line_id);
		add_side(&one, "before", &b->before);
		add_side(&one, "after", &b->after);
		json_quantities_words(&one, &ends);
		json_end(&one);
	}
	text_add_char(j->to, ']');
	json_end(&all);
	return true;
}

bool trial_json(struct store *store, const struct trial_outcome *outcome, struct text *to,
	struct problem *why)
{
	const struct trial_count *count = outcome->count;
	struct json j = json_begin(to);
	bool ok;

	json_integer(&j, "against_version", outcome->trial->now.version);
	json_day(&j, "day", outcome->trial->today);
	json_integer(&j, "bonds", count->bonds);
	json_integer(&j, "ms", outcome->ms);
	/* false: both judge alike, so that no verdict was asked for */
	json_flag(&j, "judged", !outcome->trial->alike);
	add_moves(&j, "states", &due_state_words, count->due[0], TRIAL_STATES);
	add_moves(&j, "inspections", &due_state_words, count->due_of[DUE_INSPECTION][0], TRIAL_STATES);
	add_moves(&j, "mendings", &due_state_words, count->due_of[DUE_MENDING][0], TRIAL_STATES);
	add_moves(&j, "grades", &grade_words, count->grade[0], TRIAL_GRADES);
	add_moves(&j, "verdicts", &verdict_words, count->verdict[0], TRIAL_VERDICTS);
	add_steps(&j, count);
	if (outcome->places_before >= 0) {
		json_integer(&j, "places_before", outcome->places_before);
		json_integer(&j, "places_after", outcome->places_after);
	}
	add_lines(&j, count);
	ok = add_list(&j, "newly_overdue", &count->overdue, store, why) &&
		add_list(&j, "other_grade", &count->grades, store, why) &&
		add_list(&j, "other_verdict", &count->verdicts, store, why);
	json_end(&j);
	return ok;
}
