#include <stdlib.h>
#include <string.h>

#include "api/deed.h"
#include "api/rights.h"
#include "api/routes.h"
#include "api/views.h"
#include "service/access/person.h"
#include "service/access/sign_in.h"

/* The body and the hash of its password. */
struct hashed {
	void *decoded;
	struct password_names names;
	char hash[PERSON_HASH_SIZE];
};

static void forget(void *prepared)
{
	struct hashed *h = prepared;

	if (h != NULL) {
		password_names_release(&h->names);
		deed_forget(h->decoded);
		free(h);
	}
}

static const struct person_new *form_of(const struct request *req)
{
	struct request plain = *req;

	plain.prepared = ((struct hashed *)req->prepared)->decoded;
	return deed_form(&plain);
}

static bool read_names(const struct request *req, struct hashed *h, struct problem *why)
{
	const struct person_new *form = form_of(req);
	struct view view;
	bool ok;

	if (!views_begin(req, &view, why)) {
		return false;
	}
	ok = password_names_read(view.store, form->login, form->name, &h->names, why);
	views_end(&view);
	return ok;
}

static void prepare(struct request *req, struct reply *out)
{
	struct hashed *h = calloc(1, sizeof *h);
	struct problems why = { 0 };
	struct problem one = { 0 };

	if (h == NULL) {
		problems_add(&why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
		reply_problems(out, &why);
		return;
	}
	deed_prepare(req, out);
	if (req->prepared == NULL) {
		free(h);
		return;
	}
	h->decoded = req->prepared;
	req->prepared = h;
	req->known_device = true;   /* only somebody signed in comes this far */
	if (!read_names(req, h, &one)) {
		reply_problem(out, &one);
	}
}

static void hash(struct request *req, struct reply *out)
{
	struct hashed *h = req->prepared;
	const struct person_new *form = form_of(req);
	struct problems why = { 0 };

	if (form->password != NULL &&
		(!password_fits(form->password, &h->names, "password", &why) ||
		!password_hash(form->password, h->hash, &why))) {
		reply_problems(out, &why);
	}
}

/* Runs a service function with the decoded form of the hashed request. */
static bool run(const struct request *req, int64_t id, struct recorded *recorded,
	struct problems *why)
{
	const struct hashed *h = req->prepared;
	struct act act = { 0 };
	bool ok = deed_act(req, &act, why) && (id == 0 ?
		person_register(&act, form_of(req), h->hash, recorded, why) :
		person_change(&act, id, form_of(req), h->hash, why)) && derived_end(&act, why);
	act_release(&act);
	return ok;
}

static void person_post(const struct request *req, struct reply *out)
{
	struct recorded recorded = { 0 };
	struct problems why = { 0 };
	struct text body = { 0 };

	if (!run(req, 0, &recorded, &why)) {
		reply_problems(out, &why);
		return;
	}
	text_addf(&body, "{\"id\":%lld}", (long long)recorded.id);
	reply_json(out, 201, &body);
}

static void person_put(const struct request *req, struct reply *out)
{
	struct recorded recorded = { 0 };
	struct problems why = { 0 };
	struct problem one = { 0 };
	int64_t id;

	if (!request_id(req, 0, &id, &one)) {
		reply_problem(out, &one);
	} else if (!run(req, id, &recorded, &why)) {
		reply_problems(out, &why);
	} else {
		out->status = 204;
	}
}

const struct route person_routes[] = {
	{ METHOD_POST, "/api/people", ROUTE_WRITE, CAN_ADMINISTER, person_post,
	  "Adds a person who may sign in.", &person_form, .prepare = prepare, .hash = hash, .forget = forget },
	{ METHOD_PUT, "/api/people/{id}", ROUTE_WRITE, CAN_ADMINISTER, person_put,
	  "Changes a person's name, role or password; ends their sessions.", &person_form,
	  .prepare = prepare, .hash = hash, .forget = forget },
	{ 0 }
};
