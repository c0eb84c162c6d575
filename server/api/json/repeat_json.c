#include "api/json/repeat_json.h"

/* The shares of one factor; they come with the most frequent first but telling ones before. */
static void add_involved(const struct explained *e, enum factor factor, struct json *j)
{
	const char *joint = "";

	text_add_char(j->to, '[');
	for (int64_t here = INT64_MAX, next; here > 0; here = next) {
		next = 0;
		for (size_t i = 0; i < e->n_shares; i++) {
			const struct explained_share *s = &e->shares[i];
			struct json row;

			if (s->factor != factor) {
				continue;
			}
			if (s->share.here < here) {
				next = s->share.here > next ? s->share.here : next;
			} else if (s->share.here == here) {
				text_add_z(j->to, joint);
				joint = ",";
				row = json_begin(j->to);
				json_text(&row, "what", s->what);
				json_integer(&row, "count", s->share.here);
				json_end(&row);
			}
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
	json_integer(&t, "counted", (int64_t)e->trend.counted);
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

static void add_scan(const struct explained *e, struct json *j)
{
	struct json s;

	json_name(j, "scan");
	s = json_begin(j->to);
	json_real(&s, "probability", e->scan_chance);
	json_integer(&s, "length_mm", e->scan_length_mm);
	json_integer(&s, "days", e->scan_days);
	json_integer(&s, "failures", e->scan_failures);
	json_text(&s, "words", e->scan_words);
	json_end(&s);
}

/* In common is what at least two failures here had. */
static void add_common(const struct explained *e, struct json *j)
{
	const char *joint = "";

	json_name(j, "common");
	text_add_char(j->to, '[');
	for (size_t i = 0; i < e->n_shares; i++) {
		const struct explained_share *s = &e->shares[i];
		struct json row;

		if (s->share.here < 2) {
			continue;
		}
		text_add_z(j->to, joint);
		joint = ",";
		row = json_begin(j->to);
		json_word(&row, "factor", &factor_words, (int)s->factor);
		json_text(&row, "title", factor_words.title[s->factor]);
		json_text(&row, "what", s->what);
		json_integer(&row, "here", s->share.here);
		json_integer(&row, "of_here", s->share.of_here);
		json_integer(&row, "elsewhere", s->share.elsewhere);
		json_integer(&row, "of_elsewhere", s->share.of_elsewhere);
		json_real(&row, "p", s->p);
		json_word(&row, "meaning", &share_meaning_words, (int)s->meaning);
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
	add_scan(e, &x);
	add_common(e, &x);
	add_spots(e, &x);
	json_integer(&x, "clearance_mm", e->clearance_mm);
	json_text(&x, "too_few", e->too_few);
	json_end(&x);
}
