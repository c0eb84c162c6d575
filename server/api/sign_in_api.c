/* Signing in, and one's own password. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "api/deed.h"
#include "api/program.h"
#include "api/rights.h"
#include "api/routes.h"
#include "api/signed_in.h"
#include "api/views.h"
#include "base/clock.h"
#include "base/log.h"
#include "service/access/person.h"
#include "service/access/session.h"
#include "service/access/sign_in.h"

/* What is found out before the writer does its part: of who signs in, or chooses a password. */
struct signing {
	void *decoded;
	struct sign_in_try try;
	struct throttle *throttle;
	struct throttle_try counted;
	struct password_names names;
	char hash[PERSON_HASH_SIZE];   /* of the new password */
};

static void signing_free(void *signing)
{
	struct signing *s = signing;

	if (s != NULL) {
		throttle_back(s->throttle, &s->counted);   /* nobody came to look at it */
		password_names_release(&s->names);
		deed_forget(s->decoded);
		free(s);
	}
}

/* Decodes the body; NULL: it is answered. */
static struct signing *signing_new(struct request *req, struct reply *out)
{
	struct signing *s = calloc(1, sizeof *s);
	struct problem why = { 0 };

	if (s == NULL) {
		problem_set(&why, PROBLEM_NO_MEMORY, NULL, "Out of memory.");
		reply_problem(out, &why);
		return NULL;
	}
	s->throttle = program_of(req)->throttle;
	deed_prepare(req, out);
	if (req->prepared == NULL) {
		free(s);
		return NULL;
	}
	s->decoded = req->prepared;
	req->prepared = s;
	return s;
}

static void *form_of(const struct request *req)
{
	struct request plain = *req;

	plain.prepared = ((struct signing *)req->prepared)->decoded;
	return deed_form(&plain);
}

/* Is another try looked at now? Answered where not, with the same words whoever has the name. */
static void take_try(struct request *req, struct signing *s, const char *key, const char *login,
	struct reply *out)
{
	struct problem why = { 0 };
	unsigned wait_s = 0;

	if (!throttle_take(s->throttle, THROTTLE_PASSWORD, key, clock_monotonic_ms(), &s->counted,
		&wait_s)) {
		problem_set(&why, PROBLEM_TOO_MANY, NULL, "There were too many wrong tries under this "
			"name: the next one is looked at in %u s. From a device on which you signed in before "
			"you do not wait for others.", wait_s);
		reply_problem(out, &why);
		out->retry_after_s = wait_s;
		log_line(LOG_WARNING, "sign-in put off", "login", login, "peer", req->peer, NULL);
	}
}

/* ---- signing in ---- */

static bool look_up(const struct request *req, const char *login, struct signing *s,
	struct problems *why)
{
	struct view view;
	struct problem one = { 0 };
	bool ok;

	if (!views_begin(req, &view, &one)) {
		return problems_take(why, &one);
	}
	ok = sign_in_look_up(view.store, login, &s->try, why);
	views_end(&view);
	return ok;
}

static void sign_in_prepare(struct request *req, struct reply *out)
{
	struct signing *s = signing_new(req, out);
	char token[DEVICE_TOKEN_SIZE], key[PERSON_LOGIN_SIZE + DEVICE_TOKEN_SIZE];
	struct problems why = { 0 };
	const struct sign_in *form;

	if (s == NULL) {
		return;
	}
	form = form_of(req);
	if (!look_up(req, form->login, s, &why)) {
		reply_problems(out, &why);
		return;
	}
	key[0] = ' ';
	person_login_small(form->login, key + 1, sizeof key - 1);
	if (device_cookie_of(req, token, sizeof token) && device_is_known(&s->try.person, token)) {
		req->known_device = true;
		memcpy(key, token, sizeof token);
	}
	take_try(req, s, key, s->try.person.login, out);
}

static void sign_in_hash(struct request *req, struct reply *out)
{
	struct signing *s = req->prepared;
	const struct sign_in *form = form_of(req);
	struct problems why = { 0 };

	if (sign_in_check(&s->try, form->password, &why)) {
		throttle_right(s->throttle, &s->counted);
		return;
	}
	if (problems_code(&why) == PROBLEM_SIGN_IN) {
		s->counted = (struct throttle_try){ 0 };
	}
	/* (a name that nobody has may be a password in the wrong field) */
	log_line(LOG_WARNING, "sign-in refused", "login", s->try.person.login, "peer", req->peer,
		"why", why.item[0].detail, NULL);
	reply_problems(out, &why);
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
	signed_in_person(&s->try.person, rights_of_role(s->try.person.role), &body);
	reply_json(out, 200, &body);
	log_line(LOG_INFO, "signed in", "login", s->try.person.login, "peer", req->peer, NULL);
	signed_in_cookies(req, out, &s->try.person, token);
}

/* ---- one's own password ---- */

static bool look_up_own(const struct request *req, struct signing *s, struct problem *why)
{
	struct person *p = &s->try.person;
	struct view view;
	bool ok;

	if (!views_begin(req, &view, why)) {
		return false;
	}
	ok = store_person_get(view.store, req->who.person_id, p, why) &&
		password_names_read(view.store, p->login, p->name, &s->names, why);
	s->try.may = ok && p->password_hash[0] != '\0';
	views_end(&view);
	return ok;
}

static void password_prepare(struct request *req, struct reply *out)
{
	struct signing *s = signing_new(req, out);
	struct problem why = { 0 };
	char key[32];

	if (s == NULL) {
		return;
	}
	req->known_device = true;   /* only somebody signed in comes this far */
	if (!look_up_own(req, s, &why)) {
		reply_problem(out, &why);
		return;
	}
	snprintf(key, sizeof key, "own %lld", (long long)s->try.person.id);
	take_try(req, s, key, s->try.person.login, out);
}

/* (who sits down at a tablet that was left open does not take it over) */
static void password_renew(struct request *req, struct reply *out)
{
	struct signing *s = req->prepared;
	const struct password_new *form = form_of(req);
	struct problems why = { 0 };

	if (!password_fits(form->new_password, &s->names, "new_password", &why)) {
		reply_problems(out, &why);
		return;
	}
	if (sign_in_check(&s->try, form->password, &why)) {
		throttle_right(s->throttle, &s->counted);
	} else if (problems_code(&why) == PROBLEM_SIGN_IN) {
		s->counted = (struct throttle_try){ 0 };
		why = (struct problems){ 0 };
		problems_add(&why, PROBLEM_VALUE, "password", "That is not your password now.");
	}
	if (why.count > 0) {
		log_line(LOG_WARNING, "a change of password was refused", "login", s->try.person.login,
			"peer", req->peer, "why", why.item[0].detail, NULL);
	}
	if (why.count > 0 || !password_hash(form->new_password, s->hash, &why)) {
		reply_problems(out, &why);
	}
}

static void password_put(const struct request *req, struct reply *out)
{
	struct signing *s = req->prepared;
	struct person person = s->try.person;
	struct act act = { 0 };
	struct problems why = { 0 };
	char token[SESSION_TOKEN_SIZE];
	bool ok = deed_act(req, &act, &why) && person_password(&act, &person, s->hash, &why) &&
		session_begin(&act, &person, token, &why) && derived_end(&act, &why);

	act_release(&act);
	if (!ok) {
		reply_problems(out, &why);
		return;
	}
	out->status = 204;
	log_line(LOG_INFO, "a password was changed", "login", person.login, "peer", req->peer, NULL);
	signed_in_cookies(req, out, &person, token);
}

const struct route sign_in_routes[] = {
	{ METHOD_POST, "/api/session", ROUTE_WRITE, RIGHT_ANYONE, session_post, "Signs in.",
	  &sign_in_form, .prepare = sign_in_prepare, .hash = sign_in_hash, .forget = signing_free },
	{ METHOD_PUT, "/api/session/password", ROUTE_WRITE, CAN_READ, password_put,
	  "Changes one's own password, and ends one's sessions elsewhere.", &password_form,
	  .prepare = password_prepare, .hash = password_renew, .forget = signing_free },
	{ 0 }
};
