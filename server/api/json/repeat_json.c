#include "api/json/repeat_json.h"

#include <math.h>

static void add_involved(const struct explained *e, enum factor factor, struct json *j)
{
	const char *joint = "";

	text_add_char(j->to, '[');
	for (size_t i = 0; i < e->n_involved; i++) {
		struct json row;

		if (e->involved[i].factor == factor) {
			text_add_z(j->to, joint);
			joint = ",";
			row = json_begin(j->to);
			json_text(&row, "what", e->involved[i].what);
			json_integer(&row, "count", e->involved[i].count);
			json_end(&row);
		}
	}
	text_add_char(j->to, ']');
}

void repeat_json_involved(const struct explained *e, struct json *j)
{
	static const char *const names[] = { [FACTOR_MODE] = "modes", [FACTOR_METHOD] = "methods",
		[FACTOR_KIT] = "kits", [FACTOR_BATCH] = "batches", [FACTOR_PERSON] = "people" };

	for (int factor = FACTOR_MODE; factor <= FACTOR_PERSON; factor++) {
		json_name(j, names[factor]);
		add_involved(e, (enum factor)factor, j);
	}
}

static void add_trend(const struct explained *e, struct json *j)
{
	struct json t;

	json_name(j, "laplace");
	t = json_begin(j->to);
	json_real(&t, "u", e->trend.u);
	json_real(&t, "p", e->trend.p);
	json_integer(&t, "events", (int64_t)e->trend.events);
	json_integer(&t, "days", e->record_days);
	json_word(&t, "meaning", &trend_meaning_words, (int)e->trend.meaning);
	json_text(&t, "words", e->trend_words);
	json_end(&t);
}

static void add_mean(const struct explained *e, struct json *j)
{
	struct json m;

	json_name(j, "mean_days_between");
	m = json_begin(j->to);
	if (e->has_mean) {
		json_real(&m, "mean", e->mean_days.mean);
		json_real(&m, "lower", e->mean_days.lower);
		json_real(&m, "upper", e->mean_days.upper);
		json_real(&m, "confidence", 0.95);
	}
	json_text(&m, "words", e->mean_words);
	json_end(&m);
}

static void add_chance(const struct explained_chance *c, struct json *j)
{
	struct json s;

	json_name(j, "chance");
	s = json_begin(j->to);
	json_flag(&s, "told", c->is_told);
	json_flag(&s, "more", c->is_more);
	json_real(&s, "p", c->p);
	json_real(&s, "p_rail", c->rail.p);
	json_flag(&s, "bound", c->is_told && c->rail.is_bound);
	json_real(&s, "standard_error", c->is_told ? c->rail.error : NAN);
	json_integer(&s, "events_here", (int64_t)c->here);
	json_integer(&s, "events", (int64_t)c->events);
	json_integer(&s, "ends", (int64_t)c->ends);
	json_integer(&s, "rails", (int64_t)c->rails);
	json_text(&s, "words", c->words);
	json_end(&s);
}

static void add_common(const struct explained *e, struct json *j)
{
	json_integer(j, "asked", (int64_t)e->n_asked);
	json_name(j, "common");
	text_add_char(j->to, '[');
	for (size_t i = 0; i < e->n_shares; i++) {
		const struct explained_share *s = &e->shares[i];
		struct json row;

		text_add_z(j->to, i > 0 ? "," : "");
		row = json_begin(j->to);
		json_word(&row, "factor", &factor_words, (int)s->factor);
		json_text(&row, "title", factor_words.title[s->factor]);
		json_text(&row, "what", s->what);
		json_integer(&row, "here", s->share.here);
		json_integer(&row, "of_here", s->share.of_here);
		json_integer(&row, "line", s->share.line);
		json_integer(&row, "of_line", s->share.of_line);
		json_real(&row, "p", s->share.p);
		json_real(&row, "q", s->share.q);
		json_word(&row, "meaning", &share_meaning_words, (int)s->share.meaning);
		json_text(&row, "words", s->words);
		json_end(&row);
	}
	text_add_char(j->to, ']');
}

static void add_spots(const struct explained *e, struct json *j)
{
	json_name(j, "reattached");
	text_add_char(j->to, '[');
	for (size_t i = 0; i < e->n_spots; i++) {
		const struct explained_spot *s = &e->spots[i];
		struct json row;

		text_add_z(j->to, i > 0 ? "," : "");
		row = json_begin(j->to);
		json_id(&row, "bond_id", s->bond_id);
		json_text(&row, "label", s->label);
		json_word(&row, "end", &bond_end_words, s->bond_end);
		json_text(&row, "end_short", s->end_brief);
		json_text(&row, "end_words", s->end_words);
		json_day(&row, "made_day", s->made_day);
		json_integer(&row, "offset_mm", s->offset_mm);
		json_day(&row, "spoilt_day", s->spoilt_day);
		json_integer(&row, "spoilt_offset_mm", s->spoilt_mm);
		json_text(&row, "words", s->words);
		json_end(&row);
	}
	text_add_char(j->to, ']');
}

void repeat_json_explained(const struct explained *e, struct json *j)
{
	struct json x;

	json_name(j, "explained");
	x = json_begin(j->to);
	add_trend(e, &x);
	add_mean(e, &x);
	add_chance(&e->chance, &x);
	add_common(e, &x);
	add_spots(e, &x);
	json_integer(&x, "clearance_mm", e->clearance_mm);
	json_end(&x);
}
