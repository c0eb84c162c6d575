#include "api/deed.h"

#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "api/json/bond_json.h"
#include "api/views.h"

struct decoded {
	struct form_memory memory;
	/* the struct follows, aligned */
	max_align_t form[];
};

void deed_prepare(struct request *req, struct reply *out)
{
	const struct form *form = req->route->body;
	struct decoded *d = calloc(1, sizeof *d + form->size);
	struct problems why = { 0 };

	if (d == NULL) {
		problems_add(&why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
	} else if (form_from_json(form, req->body, req->body_len, d->form, &d->memory, &why)) {
		req->prepared = d;
		return;
	}
	reply_problems(out, &why);
	deed_forget(d);
}

void deed_forget(void *prepared)
{
	struct decoded *d = prepared;

	if (d != NULL) {
		form_memory_release(&d->memory);
		free(d);
	}
}

void *deed_form(const struct request *req)
{
	return ((struct decoded *)req->prepared)->form;
}

bool deed_act(const struct request *req, struct act *act, struct problems *why)
{
	struct view *view = view_of(req);
	const struct origin origin = { .person_id = view->reader.person_id, .now_ms = req->now_ms };
	bool ok = act_begin(act, view, &origin, why);

	act->is_live = true;
	return ok;
}

/* The act is the caller's to release, also after a refusal. */
static bool run_act(const struct request *req, deed *run, struct act *act,
	struct recorded *recorded, struct problems *why)
{
	return deed_act(req, act, why) && run(act, deed_form(req), recorded, why) &&
		derived_end(act, why);
}

void deed_do(const struct request *req, struct reply *out, deed *run, const char *place)
{
	struct recorded recorded = { 0 };
	struct problems why = { 0 };
	struct text body = { 0 };
	struct act act = { 0 };
	bool ok = run_act(req, run, &act, &recorded, &why);

	act_release(&act);
	if (!ok) {
		reply_problems(out, &why);
		return;
	}
	text_addf(&body, "{\"id\":%lld,\"already\":%s}", (long long)recorded.id,
		recorded.already ? "true" : "false");
	snprintf(out->location, sizeof out->location, "%s/%lld", place, (long long)recorded.id);
	reply_json(out, recorded.already ? 200 : 201, &body);
}

/* The bond's members come from the act, which has just judged it. */
static void add_recorded(const struct request *req, struct act *act,
	const struct recorded *recorded, deed_more *more, struct text *body)
{
	struct json j = json_begin(body);

	json_text(&j, "id", deed_form(req));
	json_integer(&j, "number", recorded->id);
	json_flag(&j, "already", recorded->already);
	if (recorded->bond_id != 0) {
		json_state_of(act->view, recorded->bond_id, &j);
	}
	if (more != NULL) {
		more(act->view, recorded->id, recorded->bond_id, body);
	}
	json_end(&j);
}

void deed_do_sent(const struct request *req, struct reply *out, deed *run, deed_more *more)
{
	struct recorded recorded = { 0 };
	struct problems why = { 0 };
	struct text body = { 0 };
	struct act act = { 0 };
	const char *uuid = req->params[0];

	if (!uuid_read(uuid, strlen(uuid), deed_form(req))) {
		problems_add(&why, PROBLEM_VALUE, "id", "The address ends in a UUID made by the sender, like "
			"0190c2a4-7f3e-7a61-9b1e-3f5d2c8a4b70.");
	}
	if (why.count > 0 || !run_act(req, run, &act, &recorded, &why)) {
		reply_problems(out, &why);
	} else {
		add_recorded(req, &act, &recorded, more, &body);
		snprintf(out->location, sizeof out->location, "%.150s", req->path);
		reply_json(out, recorded.already ? 200 : 201, &body);
	}
	act_release(&act);
}
