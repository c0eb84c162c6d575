/* Renewals of rails, with every bond that they ask about. */
#include <stdlib.h>

#include "api/deed.h"
#include "api/json.h"
#include "api/rights.h"
#include "api/routes.h"
#include "api/rows.h"
#include "api/views.h"
#include "service/record/renewal.h"
#include "store/record/renewal.h"
#include "store/record/sent.h"

static bool add_end(struct store *store, const struct renewal_end *e, struct text *to,
	struct problem *why)
{
	char chainage[CHAINAGE_SIZE];
	struct json j;

	if (!store_chainage(store, e->line_id, e->track_id, e->distance_mm, chainage, why)) {
		return false;
	}
	j = json_begin(to);
	json_integer(&j, "bond_id", e->bond_id);
	json_text(&j, "label", e->label);
	json_word(&j, "kind", &bond_kind_words, (int)e->kind);
	json_word(&j, "end", &bond_end_words, e->bond_end);
	json_text(&j, "chainage", chainage);
	json_word(&j, "answer", &renewal_answer_words, (int)e->answer);
	json_day(&j, "answer_day", e->answer_day);
	json_flag(&j, "is_open", renewal_is_open(e->answer));
	json_end(&j);
	return true;
}

/* The members "open" and "ends", with the comma before them. */
static bool add_ends(struct store *store, int64_t id, struct text *to, struct problem *why)
{
	struct renewal_end *all = NULL;
	size_t count = 0;
	int64_t open = 0;
	bool ok = store_renewal_ends(store, id, &all, &count, why);

	for (size_t i = 0; ok && i < count; i++) {
		open += renewal_is_open(all[i].answer);
	}
	text_addf(to, ",\"open\":%lld,\"ends\":[", (long long)open);
	for (size_t i = 0; ok && i < count; i++) {
		text_add_z(to, i > 0 ? "," : "");
		ok = add_end(store, &all[i], to, why);
	}
	text_add_char(to, ']');
	free(all);
	return ok;
}

static bool renew(struct act *act, void *form, struct recorded *recorded, struct problems *why)
{
	return renewal_record(act, form, recorded, why);
}

static void add_asked(struct view *view, int64_t id, int64_t bond_id, struct text *to)
{
	struct problem why = { 0 };
	size_t from = to->len;

	(void)bond_id;
	if (!add_ends(view->store, id, to, &why)) {
		to->len = from;
	}
}

static void renewal_put(const struct request *req, struct reply *out)
{
	deed_do_sent(req, out, renew, add_asked);
}

static void renewal_get(const struct request *req, struct reply *out)
{
	struct text body = { 0 };
	struct problem why = { 0 };
	struct sent kept = { 0 };
	bool ok = store_sent_find(view_of(req)->store, SENT_RENEWAL, req->params[0], &kept, &why) &&
		rows_open(view_of(req), &renewal_list, req->params[0], &body, &why) &&
		add_ends(view_of(req)->store, kept.id, &body, &why);

	text_add_char(&body, '}');
	if (!ok) {
		text_release(&body);
		reply_problem(out, &why);
		return;
	}
	reply_json(out, 200, &body);
}

const struct route renewal_routes[] = {
	{ METHOD_GET, "/api/renewals/{uuid}", ROUTE_READ, CAN_READ, renewal_get,
	  "A renewal of rails, with every end of a bond that it asks about and the answer." },
	{ METHOD_PUT, "/api/renewals/{uuid}", ROUTE_WRITE, CAN_PLAN, renewal_put,
	  "Records the renewal of rails over a stretch: what was attached there has ended, and every bond "
	  "with an end there needs an answer.", DEED_BODY(&renewal_form) },
	{ 0 }
};
