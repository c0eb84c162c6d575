/* People: who may sign in, in which role; what an administrator does for them. */
#include <stdio.h>

#include "api/deed.h"
#include "api/json.h"
#include "api/rights.h"
#include "api/routes.h"
#include "api/views.h"
#include "base/log.h"
#include "service/access/factor.h"
#include "service/access/person.h"
#include "service/access/reset.h"
#include "service/access/session.h"

static void etag_of(const struct person *p, char *to, size_t size)
{
	snprintf(to, size, "\"%lld\"", (long long)p->version);
}

static bool read_person(const struct request *req, struct person *to, struct problem *why)
{
	int64_t id;

	return request_id(req, 0, &id, why) && store_person_get(view_of(req)->store, id, to, why);
}

static void person_get(const struct request *req, struct reply *out)
{
	struct person p;
	struct problem why = { 0 };
	struct text body = { 0 };
	struct json j;

	if (!read_person(req, &p, &why)) {
		reply_problem(out, &why);
		return;
	}
	j = json_begin(&body);
	json_integer(&j, "id", p.id);
	json_text(&j, "login", p.login);
	json_text(&j, "name", p.name);
	json_word(&j, "role", &role_words, (int)p.role);
	json_flag(&j, "active", p.active);
	json_integer(&j, "version", p.version);
	json_end(&j);
	etag_of(&p, out->etag, sizeof out->etag);
	reply_json(out, 200, &body);
}

static bool add_person(struct act *act, void *form, struct recorded *recorded,
	struct problems *why)
{
	return person_register(act, form, "", recorded, why);
}

static void person_post(const struct request *req, struct reply *out)
{
	deed_do(req, out, add_person, "/api/people");
}

/* What an administrator does to a person, who is named in the address. */
typedef bool person_deed(const struct request *req, struct act *act, int64_t id,
	struct reply *out, struct problems *why);

static void do_to_person(const struct request *req, struct reply *out, person_deed *run)
{
	struct act act = { 0 };
	struct person p;
	struct problems why = { 0 };
	struct problem one = { 0 };
	bool ok;

	if (!read_person(req, &p, &one)) {
		reply_problem(out, &one);
		return;
	}
	ok = deed_act(req, &act, &why) && run(req, &act, p.id, out, &why) && derived_end(&act, &why);
	act_release(&act);
	if (!ok) {
		reply_problems(out, &why);
		return;
	}
	log_line(LOG_INFO, req->route->summary, "of", p.login, "by", req->who.name, "peer", req->peer,
		NULL);
}

static bool change(const struct request *req, struct act *act, int64_t id, struct reply *out,
	struct problems *why)
{
	struct person p;
	struct problem one = { 0 };
	char etag[32];

	if (!store_person_get(act->store, id, &p, &one)) {
		return problems_take(why, &one);
	}
	etag_of(&p, etag, sizeof etag);
	if (!request_if_match(req, etag, &one)) {
		return problems_take(why, &one);
	}
	out->status = 204;
	return person_change(act, id, deed_form(req), "", why);
}

static bool start_reset(const struct request *req, struct act *act, int64_t id, struct reply *out,
	struct problems *why)
{
	char code[CODE_SIZE];
	int64_t ends_at_ms;
	struct text body = { 0 };
	struct json j;

	(void)req;
	if (!reset_start(act, id, code, &ends_at_ms, why)) {
		return false;
	}
	j = json_begin(&body);
	json_text(&j, "code", code);
	json_instant(&j, "ends_at", ends_at_ms);
	json_end(&j);
	reply_json(out, 201, &body);
	return true;
}

static bool end_sessions(const struct request *req, struct act *act, int64_t id, struct reply *out,
	struct problems *why)
{
	(void)req;
	out->status = 204;
	return session_end_all(act, id, why);
}

static bool take_factor(const struct request *req, struct act *act, int64_t id, struct reply *out,
	struct problems *why)
{
	(void)req;
	out->status = 204;
	return factor_take(act, id, why);
}

static void person_put(const struct request *req, struct reply *out)
{
	do_to_person(req, out, change);
}

static void reset_post(const struct request *req, struct reply *out)
{
	do_to_person(req, out, start_reset);
}

static void sessions_delete(const struct request *req, struct reply *out)
{
	do_to_person(req, out, end_sessions);
}

static void factor_delete(const struct request *req, struct reply *out)
{
	do_to_person(req, out, take_factor);
}

const struct route person_routes[] = {
	{ METHOD_GET, "/api/people/{id}", ROUTE_READ, CAN_ADMINISTER, person_get,
	  "A person who may sign in, with the version to change." },
	{ METHOD_POST, "/api/people", ROUTE_WRITE, CAN_ADMINISTER, person_post,
	  "Adds a person; they choose a password by a code.", DEED_BODY(&person_form) },
	{ METHOD_PUT, "/api/people/{id}", ROUTE_WRITE, CAN_ADMINISTER, person_put,
	  "Changes a person's name, role, or whether they may sign in; ends their sessions.",
	  DEED_BODY(&person_form) },
	{ METHOD_POST, "/api/people/{id}/reset", ROUTE_WRITE, CAN_ADMINISTER, reset_post,
	  "Makes a code, shown this once, by which its person chooses a new password." },
	{ METHOD_DELETE, "/api/people/{id}/sessions", ROUTE_WRITE, CAN_ADMINISTER, sessions_delete,
	  "Ends all of a person's sessions." },
	{ METHOD_DELETE, "/api/people/{id}/second-factor", ROUTE_WRITE, CAN_ADMINISTER, factor_delete,
	  "Takes away the second factor of somebody who lost it." },
	{ 0 }
};
