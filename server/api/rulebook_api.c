/* The railway's rulebook: what its values are, the versions, adopting another. */
#include <math.h>
#include <string.h>

#include "api/deed.h"
#include "api/json.h"
#include "api/json/rulebook_json.h"
#include "api/program.h"
#include "api/rights.h"
#include "api/routes.h"
#include "api/views.h"
#include "derived/recompute.h"
#include "derived/scatter.h"
#include "rules/edition.h"
#include "rules/rulebook_walk.h"
#include "service/record/rulebook.h"

static void add_reasons(const struct form_list *reasons, struct text *to)
{
	const struct value_reason *given = reasons->items;

	text_add_char(to, '[');
	for (size_t i = 0; i < reasons->count; i++) {
		struct json j;

		text_add_z(to, i > 0 ? "," : "");
		j = json_begin(to);
		json_text(&j, "path", given[i].path);
		json_text(&j, "reason", given[i].reason);
		json_end(&j);
	}
	text_add_char(to, ']');
}

/* What this version does not have: it is computed with, and is of the program. */
static void add_lacks(const struct rulebook_kept *kept, struct json *j)
{
	const char *const *paths = kept->from_edition.items;

	json_integer(j, "edition", RULES_EDITION);
	json_name(j, "from_edition");
	text_add_char(j->to, '[');
	for (size_t i = 0; i < kept->from_edition.count; i++) {
		text_add_z(j->to, i > 0 ? "," : "");
		text_add_json(j->to, paths[i], strlen(paths[i]));
	}
	text_add_char(j->to, ']');
}

/* The members of a version; the object stays open. */
static struct json version_begin(const struct rulebook_version *version, struct text *to)
{
	struct json j = json_begin(to);

	json_integer(&j, "version", version->kept.rulebook.version);
	json_text(&j, "reason", version->row.reason);
	json_text(&j, "person", version->row.person);
	json_instant(&j, "recorded_at", version->row.recorded_at_ms);
	json_withdrawn(&j, &version->row);
	json_name(&j, "rulebook");
	form_write(&rulebook_form, &version->kept.rulebook, to);
	json_name(&j, "reasons");
	add_reasons(&version->kept.reasons, to);
	add_lacks(&version->kept, &j);
	return j;
}

/* followed: false while what is derived is still being made again under the version in force, or by
 * this edition of the rules; import: whose bonds are being made again */
static void add_followed(const struct recompute_progress *progress, struct json *j)
{
	json_flag(j, "followed", progress->is_followed);
	json_flag(j, "new_edition", progress->is_new_edition);
	json_integer(j, "followed_bonds", progress->bonds);
	json_integer(j, "of_bonds", progress->of);
	json_id(j, "import", progress->import_id);
}

static void following_get(const struct request *req, struct reply *out)
{
	struct view *view = view_of(req);
	struct problem why = { 0 };
	struct text body = { 0 };
	struct recompute_progress progress;
	struct json j;

	if (!view_rules(view, &why) ||
		!recompute_progress(view->store, view->rulebook, &progress, &why)) {
		reply_problem(out, &why);
		return;
	}
	j = json_begin(&body);
	json_integer(&j, "version", view->rulebook->version);
	json_integer(&j, "edition", RULES_EDITION);
	add_followed(&progress, &j);
	json_end(&j);
	reply_json(out, 200, &body);
}

static void in_force_get(const struct request *req, struct reply *out)
{
	struct view *view = view_of(req);
	struct rulebook_version version = { 0 };
	struct problem why = { 0 };
	struct text body = { 0 };
	struct recompute_progress progress;

	if (view_rules(view, &why) &&
		rulebook_version_get(view->store, view->rulebook->version, &version, &why) &&
		recompute_progress(view->store, view->rulebook, &progress, &why)) {
		struct json j = version_begin(&version, &body);

		add_followed(&progress, &j);
		json_end(&j);
		reply_json(out, 200, &body);
	} else {
		reply_problem(out, &why);
	}
	rulebook_version_release(&version);
}

static void version_get(const struct request *req, struct reply *out)
{
	struct rulebook_version version = { 0 };
	struct problem why = { 0 };
	struct text body = { 0 };
	int64_t number;

	if (request_id(req, 0, &number, &why) &&
		rulebook_version_get(view_of(req)->store, number, &version, &why)) {
		struct json j = version_begin(&version, &body);

		json_end(&j);
		reply_json(out, 200, &body);
	} else {
		reply_problem(out, &why);
	}
	rulebook_version_release(&version);
}

static void add_default(struct json *j, const struct member *m, const char *at)
{
	int64_t integer;
	double real;
	int word;

	if (m->type == MEMBER_INTEGER) {
		memcpy(&integer, at, sizeof integer);
		json_integer(j, "default", integer);
	} else if (m->type == MEMBER_REAL) {
		memcpy(&real, at, sizeof real);
		json_real(j, "default", real);
	} else if (m->type == MEMBER_WORD) {
		memcpy(&word, at, sizeof word);
		json_word(j, "default", m->words, word);
	}
}

/* From the table down to the value; each level stands at its next member. */
static void add_titles(const struct rulebook_walk *walk, struct text *to)
{
	text_add_char(to, '[');
	for (int i = 0; i <= walk->depth; i++) {
		const char *title = walk->at[i].m[-1].title;

		text_add_z(to, i > 0 ? "," : "");
		text_add_json(to, title, strlen(title));
	}
	text_add_char(to, ']');
}

static void add_value(const struct rulebook_walk *walk, const struct rulebook *given,
	struct text *to)
{
	const struct member *m = walk->member;
	struct json j = json_begin(to);

	json_text(&j, "path", walk->path);
	json_name(&j, "titles");
	add_titles(walk, to);
	json_text(&j, "unit", m->unit);
	json_text(&j, "type", m->type == MEMBER_INTEGER ? "whole" : m->type == MEMBER_REAL ? "number" :
		"word");
	json_flag(&j, "required", m->required);
	if (m->type == MEMBER_WORD) {
		json_text(&j, "words", m->words->name);
	} else {
		json_real(&j, "least", m->least);
		json_real(&j, "most", m->most);
	}
	json_text(&j, "help", m->help);
	add_default(&j, m, (const char *)given + walk->offset);
	json_word(&j, "basis", &rulebook_basis_words, (int)walk->basis->basis);
	json_text(&j, "source", walk->basis->source);
	json_end(&j);
}

static void values_get(const struct request *req, struct reply *out)
{
	const struct rulebook given = rulebook_default();
	struct rulebook_walk walk = rulebook_walk_begin();
	struct text body = { 0 };
	const char *joint = "{\"values\":[";

	(void)req;
	while (rulebook_walk_next(&walk)) {
		if (walk.basis != NULL) {   /* not the day from which it holds */
			text_add_z(&body, joint);
			add_value(&walk, &given, &body);
			joint = ",";
		}
	}
	text_add_z(&body, "]}");
	reply_json(out, 200, &body);
}

static void add_scatter(const struct rulebook_walk *walk, const struct scatter *s,
	const struct rulebook *now, struct text *to)
{
	struct json j = json_begin(to);
	double is;

	memcpy(&is, (const char *)now + walk->offset, sizeof is);
	json_text(&j, "path", walk->path);
	json_integer(&j, "series", (int64_t)s->bonds);
	json_integer(&j, "freedom", (int64_t)s->freedom);
	json_real(&j, "proposed", s->share > 0 ? 100 * s->share : NAN);
	json_real(&j, "now", is);
	json_real(&j, "lag_one", s->lag_one);
	json_real(&j, "lag_one_independent", s->lag_one_independent);
	json_end(&j);
}

/* Each value of the table, as the walk comes to it: by kind, then by quantity. */
static void scatter_get(const struct request *req, struct reply *out)
{
	struct view *view = view_of(req);
	struct rulebook_walk walk = rulebook_walk_begin();
	struct scatter_found found;
	struct problem why = { 0 };
	struct text body = { 0 };
	size_t n = 0;
	bool ok = view_rules(view, &why) && scatter_find(view, &found, &why);

	text_add_z(&body, "{\"values\":[");
	while (ok && rulebook_walk_next(&walk)) {
		if (strncmp(walk.path, "scatter_percent.", 16) == 0) {
			text_add_z(&body, n > 0 ? "," : "");
			add_scatter(&walk, &found.of[n / RULEBOOK_SCATTERS][n % RULEBOOK_SCATTERS],
				view->rulebook, &body);
			n++;
		}
	}
	text_add_z(&body, "]}");
	if (ok) {
		reply_json(out, 200, &body);
	} else {
		text_release(&body);
		reply_problem(out, &why);
	}
}

static bool adopt(struct act *act, void *form, struct recorded *recorded, struct problems *why)
{
	return rulebook_adopt(act, form, recorded, why);
}

/* The keeper's job comes after this one's commit, or with it. */
static void rulebook_post(const struct request *req, struct reply *out)
{
	deed_do(req, out, adopt, "/api/rulebooks");
	program_follow_rulebook(req);
}

static bool withdraw(struct act *act, void *form, struct recorded *recorded, struct problems *why)
{
	return rulebook_withdraw(act, form, recorded, why);
}

static void withdrawal_put(const struct request *req, struct reply *out)
{
	struct rulebook_withdrawal *form = deed_form(req);
	struct problem why = { 0 };

	if (!request_id(req, 0, &form->version, &why)) {
		reply_problem(out, &why);
		return;
	}
	deed_do(req, out, withdraw, "/api/rulebooks");
	program_follow_rulebook(req);
}

const struct route rulebook_routes[] = {
	{ METHOD_GET, "/api/rulebook", ROUTE_READ, CAN_READ, in_force_get,
	  "The rulebook in force, and whether all that is derived was made under it." },
	{ METHOD_GET, "/api/rulebook/following", ROUTE_READ, CAN_READ, following_get,
	  "How many bonds are as the rulebook in force and this edition of the rules have them." },
	{ METHOD_GET, "/api/rulebook/values", ROUTE_READ, CAN_READ, values_get,
	  "Each value of a rulebook: title, unit, bounds, default, and what the default rests on." },
	{ METHOD_GET, "/api/rulebook/scatter", ROUTE_LONG, CAN_READ, scatter_get,
	  "What the register proposes for scatter_percent, from all bonds' readings: of how many series and "
	  "degrees of freedom (fewer than 30: nothing), and the correlation of neighbouring residuals "
	  "beside what independent errors would show: if it is much higher, the proposal is too small." },
	{ METHOD_GET, "/api/rulebooks/{version}", ROUTE_READ, CAN_READ, version_get,
	  "One version: its values, why, by whom and when it was adopted, whether it was withdrawn; and "
	  "which values it does not have and the edition of the rules has." },
	{ METHOD_POST, "/api/rulebooks", ROUTE_WRITE, CAN_MANAGE, rulebook_post,
	  "Adopts a rulebook; due days and repeat places are made again in the background.",
	  DEED_BODY(&rulebook_new_form) },
	{ METHOD_PUT, "/api/rulebooks/{version}/withdrawal", ROUTE_WRITE, CAN_MANAGE, withdrawal_put,
	  "Withdraws a version as wrong: it counts for nothing any more, on no day. What was said under "
	  "it stays readable; all that is derived is made again in the background.",
	  DEED_BODY(&rulebook_withdrawal_form) },
	{ 0 }
};
