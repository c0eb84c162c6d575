/* Signing in and out, and people. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "api/deed.h"
#include "api/json.h"
#include "api/rights.h"
#include "api/routes.h"
#include "api/views.h"
#include "base/log.h"
#include "service/access/person.h"

const struct cookie session_cookie = { "bondbook_session", "/" };
static const struct cookie device_cookie = { "bondbook_device", "/api/session" };

enum { DEVICE_DAYS = 180 };

/* What is found out before the writer begins the session. */
struct signing {
	void *decoded;
	struct sign_in_try try;
};

static void signing_free(void *signing)
{
	struct signing *s = signing;

	if (s != NULL) {
		deed_forget(s->decoded);
		free(s);
	}
}

static const struct sign_in *signing_form(const struct request *req)
{
	struct request plain = *req;

	plain.prepared = ((struct signing *)req->prepared)->decoded;
	return deed_form(&plain);
}

static bool look_up(const struct request *req, struct signing *s, struct problems *why)
{
	struct view view;
	struct problem one = { 0 };
	bool ok;

	if (!views_begin(req, &view, &one)) {
		return problems_take(why, &one);
	}
	ok = sign_in_look_up(view.store, signing_form(req)->login, &s->try, why);
	views_end(&view);
	return ok;
}

static void sign_in_prepare(struct request *req, struct reply *out)
{
	struct problems why = { 0 };
	struct signing *s = calloc(1, sizeof *s);
	char token[DEVICE_TOKEN_SIZE];

	if (s == NULL) {
		problems_add(&why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
		reply_problems(out, &why);
		return;
	}
	deed_prepare(req, out);
	if (req->prepared == NULL) {
		free(s);
		return;
	}
	s->decoded = req->prepared;
	req->prepared = s;
	if (!look_up(req, s, &why)) {
		reply_problems(out, &why);
		return;
	}
	req->known_device = request_cookie(req, &device_cookie, token, sizeof token) &&
		device_is_known(&s->try.person, token);
}

static void sign_in_hash(struct request *req, struct reply *out)
{
	const struct signing *s = req->prepared;
	struct problems why = { 0 };

	if (!sign_in_check(&s->try, signing_form(req)->password, &why)) {
		/* (a name that nobody has may be a password in the wrong field) */
		log_line(LOG_WARNING, "sign-in refused", "login", s->try.person.login, "peer", req->peer,
			"why", why.item[0].detail, NULL);
		reply_problems(out, &why);
	}
}

static void add_person(const struct person *p, unsigned rights, struct text *body)
{
	struct json all = json_begin(body), j;
	const char *joint = "";

	json_name(&all, "person");
	j = json_begin(body);
	json_integer(&j, "id", p->id);
	json_text(&j, "name", p->name);
	json_text(&j, "login", p->login);
	json_word(&j, "role", &role_words, (int)p->role);
	json_name(&j, "rights");
	text_add_char(body, '[');
	for (int i = 0; right_words[i] != NULL; i++) {
		if ((rights & 1u << (i + 1)) != 0) {
			text_addf(body, "%s\"%s\"", joint, right_words[i]);
			joint = ",";
		}
	}
	text_add_char(body, ']');
	json_end(&j);
	json_end(&all);
}

/* The cookie's own life is the session's. */
static void set_cookie(const struct request *req, struct reply *out, const char *token, int hours)
{
	reply_cookie(req, out->set_cookie, sizeof out->set_cookie, &session_cookie, token,
		hours * 3600);
}

/* For the next sign-in there, and for nothing else. */
static void set_device(const struct request *req, struct reply *out, const struct person *person)
{
	char token[DEVICE_TOKEN_SIZE];

	device_token(person, token);
	reply_cookie(req, out->set_cookie_too, sizeof out->set_cookie_too, &device_cookie, token,
		DEVICE_DAYS * 24 * 3600);
}

static void session_post(const struct request *req, struct reply *out)
{
	const struct signing *s = req->prepared;
	struct act act = { 0 };
	struct problems why = { 0 };
	struct text body = { 0 };
	char token[SESSION_TOKEN_SIZE];
	bool ok = deed_act(req, &act, &why) && session_begin(&act, &s->try.person, token, &why);

	act_release(&act);
	if (!ok) {
		reply_problems(out, &why);
		return;
	}
	add_person(&s->try.person, rights_of_role(s->try.person.role), &body);
	reply_json(out, 200, &body);
	log_line(LOG_INFO, "signed in", "login", s->try.person.login, "peer", req->peer, NULL);
	set_cookie(req, out, token, SESSION_HOURS);
	set_device(req, out, &s->try.person);
}

static void session_get(const struct request *req, struct reply *out)
{
	const struct view *view = view_of(req);
	struct person person;
	struct problem why = { 0 };
	struct text body = { 0 };

	if (!store_person_get(view->store, view->reader.person_id, &person, &why)) {
		reply_problem(out, &why);
		return;
	}
	add_person(&person, view->reader.rights, &body);
	reply_json(out, 200, &body);
}

static void session_delete(const struct request *req, struct reply *out)
{
	struct act act = { 0 };
	struct problems why = { 0 };
	bool ok = deed_act(req, &act, &why) && session_end(&act, req->who.session, &why);

	act_release(&act);
	if (!ok) {
		reply_problems(out, &why);
		return;
	}
	out->status = 204;
	set_cookie(req, out, "", 0);
}

/* Somebody's own password: the body, the person as it was read, the new one's hash. */
struct renewing {
	void *decoded;
	struct sign_in_try try;
	char hash[PERSON_HASH_SIZE];
};

static void renewing_free(void *renewing)
{
	struct renewing *r = renewing;

	if (r != NULL) {
		deed_forget(r->decoded);
		free(r);
	}
}

static bool look_up_own(const struct request *req, struct renewing *r, struct problem *why)
{
	struct view view;
	bool ok;

	if (!views_begin(req, &view, why)) {
		return false;
	}
	ok = store_person_get(view.store, req->who.person_id, &r->try.person, why);
	r->try.may = ok && r->try.person.password_hash[0] != '\0';
	views_end(&view);
	return ok;
}

static void password_prepare(struct request *req, struct reply *out)
{
	struct renewing *r = calloc(1, sizeof *r);
	struct problem why = { 0 };

	if (r == NULL) {
		problem_set(&why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
		reply_problem(out, &why);
		return;
	}
	deed_prepare(req, out);
	if (req->prepared == NULL) {
		free(r);
		return;
	}
	r->decoded = req->prepared;
	req->prepared = r;
	req->known_device = true;   /* only somebody signed in comes this far */
	if (!look_up_own(req, r, &why)) {
		reply_problem(out, &why);
	}
}

/* (who sits down at a tablet that was left open does not take it over) */
static void password_renew(struct request *req, struct reply *out)
{
	struct renewing *r = req->prepared;
	struct request plain = *req;
	const struct password_new *form;
	struct problems why = { 0 };

	plain.prepared = r->decoded;
	form = deed_form(&plain);
	if (!password_fits(form->new_password, r->try.person.login, r->try.person.name,
		"new_password", &why)) {
		reply_problems(out, &why);
		return;
	}
	if (!sign_in_check(&r->try, form->password, &why) && why.item[0].code == PROBLEM_SIGN_IN) {
		why = (struct problems){ 0 };
		problems_add(&why, PROBLEM_VALUE, "password", "That is not your password now.");
	}
	if (why.count > 0) {
		log_line(LOG_WARNING, "a change of password was refused", "login", r->try.person.login,
			"peer", req->peer, "why", why.item[0].detail, NULL);
	}
	if (why.count > 0 || !password_hash(form->new_password, r->hash, &why)) {
		reply_problems(out, &why);
	}
}

static void password_put(const struct request *req, struct reply *out)
{
	struct renewing *r = req->prepared;
	struct person person = r->try.person;
	struct act act = { 0 };
	struct problems why = { 0 };
	char token[SESSION_TOKEN_SIZE];
	bool ok = deed_act(req, &act, &why) && person_password(&act, &person, r->hash, &why) &&
		session_begin(&act, &person, token, &why) && derived_end(&act, &why);

	act_release(&act);
	if (!ok) {
		reply_problems(out, &why);
		return;
	}
	out->status = 204;
	log_line(LOG_INFO, "a password was changed", "login", person.login, "peer", req->peer, NULL);
	set_cookie(req, out, token, SESSION_HOURS);
	set_device(req, out, &person);
}

const struct route session_routes[] = {
	{ METHOD_POST, "/api/session", ROUTE_WRITE, RIGHT_ANYONE, session_post, "Signs in.",
	  &sign_in_form, .prepare = sign_in_prepare, .hash = sign_in_hash, .forget = signing_free },
	{ METHOD_GET, "/api/session", ROUTE_READ, CAN_READ, session_get, "Who is signed in." },
	{ METHOD_DELETE, "/api/session", ROUTE_WRITE, CAN_READ, session_delete, "Signs out." },
	{ METHOD_PUT, "/api/session/password", ROUTE_WRITE, CAN_READ, password_put,
	  "Changes one's own password, and ends one's sessions elsewhere.", &password_form,
	  .prepare = password_prepare, .hash = password_renew, .forget = renewing_free },
	{ 0 }
};
