/* Signing in, one's own password, and one chosen by a code. */
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
#include "service/access/factor.h"
#include "service/access/person.h"
#include "service/access/reset.h"

/* What is found out before the writer does its part: of who signs in, or chooses a password. */
struct signing {
	void *decoded;
	struct sign_in_try try;
	struct throttle *throttle;
	struct throttle_try counted, counted_code;   /* the password, the second factor */
	struct reset_code reset;
	struct password_names names;
	char hash[PERSON_HASH_SIZE];   /* of the new password */
};

static void signing_free(void *signing)
{
	struct signing *s = signing;

	if (s != NULL) {
		throttle_back(s->throttle, &s->counted);   /* nobody came to look at it */
		throttle_back(s->throttle, &s->counted_code);
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
static void take_try(struct request *req, struct signing *s, enum throttled what, const char *key,
	struct reply *out)
{
	struct throttle_try *counted = what == THROTTLE_CODE ? &s->counted_code : &s->counted;
	struct problem why = { 0 };
	unsigned wait_s = 0;

	if (!throttle_take(s->throttle, what, key, clock_monotonic_ms(), counted, &wait_s)) {
		problem_set(&why, PROBLEM_TOO_MANY, NULL, "There were too many wrong tries under this "
			"name: the next one is looked at in %u s. From a device on which you signed in before "
			"you do not wait for others.", wait_s);
		reply_problem(out, &why);
		out->retry_after_s = wait_s;
		log_line(LOG_WARNING, "sign-in put off", "login", s->try.person.login, "peer",
			req->peer, NULL);
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
	take_try(req, s, THROTTLE_PASSWORD, key, out);
	if (out->status == 0 && form->code != NULL) {
		take_try(req, s, THROTTLE_CODE, key, out);
	}
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

/* Begins the session of who showed what was asked. */
static bool begin_here(const struct request *req, struct act *act, const struct person *person,
	struct reply *out, struct problems *why)
{
	struct signed_in_place from;
	struct session session;
	struct text body = { 0 };
	char token[SESSION_TOKEN_SIZE];

	signed_in_place(req, person, &from);
	if (!session_begin(act, person, &from.place, token, &session, why)) {
		return false;
	}
	signed_in_person(person, session.lacks_factor ? RIGHTS_LACKING : rights_of_role(person->role),
		&body);
	reply_json(out, 200, &body);
	signed_in_cookies(req, out, person, &from, token);
	return true;
}

static void session_post(const struct request *req, struct reply *out)
{
	struct signing *s = req->prepared;
	const struct sign_in *form = form_of(req);
	struct act act = { 0 };
	struct problems why = { 0 };
	bool ok = deed_act(req, &act, &why);

	act.origin.person_id = s->try.person.id;
	ok = ok && factor_check(&act, &s->try.person, form->code, "code", &why);
	if (ok) {
		throttle_right(s->throttle, &s->counted_code);
	} else if (problems_code(&why) == PROBLEM_SIGN_IN) {
		s->counted_code = (struct throttle_try){ 0 };
	}
	ok = ok && begin_here(req, &act, &s->try.person, out, &why);
	act_release(&act);
	log_line(ok ? LOG_INFO : LOG_WARNING, ok ? "signed in" : "sign-in refused", "login",
		s->try.person.login, "peer", req->peer, "why", ok ? "" : why.item[0].detail, NULL);
	if (!ok) {
		reply_problems(out, &why);
	}
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
	take_try(req, s, THROTTLE_PASSWORD, key, out);
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
	bool ok = deed_act(req, &act, &why) && person_password(&act, &person, s->hash, &why) &&
		begin_here(req, &act, &person, out, &why) && derived_end(&act, &why);

	act_release(&act);
	if (!ok) {
		reply_problems(out, &why);
		return;
	}
	text_release(&out->body);
	out->status = 204;
	log_line(LOG_INFO, "a password was changed", "login", person.login, "peer", req->peer, NULL);
}

/* ---- one's own second factor: its first figures ---- */

static void own_check(struct request *req, struct reply *out)
{
	struct signing *s = req->prepared;
	const struct factor_first *form = form_of(req);
	struct problems why = { 0 };

	if (sign_in_check(&s->try, form->password, &why)) {
		throttle_right(s->throttle, &s->counted);
		return;
	}
	if (problems_code(&why) == PROBLEM_SIGN_IN) {
		s->counted = (struct throttle_try){ 0 };
		why = (struct problems){ 0 };
		problems_add(&why, PROBLEM_VALUE, "password", "That is not your password.");
	}
	reply_problems(out, &why);
}

static void factor_put(const struct request *req, struct reply *out)
{
	const struct factor_first *form = form_of(req);
	struct act act = { 0 };
	struct problems why = { 0 };
	struct text body = { 0 };
	char codes[RECOVERY_CODES][CODE_SIZE];
	bool ok = deed_act(req, &act, &why) &&
		factor_set(&act, req->who.person_id, form->code, codes, &why) &&
		session_complete(&act, req->who.session, &why);

	act_release(&act);
	if (!ok) {
		reply_problems(out, &why);
		return;
	}
	text_add_z(&body, "{\"recovery_codes\":[");
	for (int i = 0; i < RECOVERY_CODES; i++) {
		text_addf(&body, "%s\"%s\"", i > 0 ? "," : "", codes[i]);
	}
	text_add_z(&body, "]}");
	reply_json(out, 200, &body);
}

/* ---- a new password by a code ---- */

/* Who handed the code out does not use it: neither signed in, nor where he signed in before. */
static bool is_giver(const struct request *req, struct store *store, int64_t giver_id)
{
	struct person giver;
	struct problem why = { 0 };
	char token[DEVICE_TOKEN_SIZE];

	return req->who.person_id == giver_id || (device_cookie_of(req, token, sizeof token) &&
		store_person_get(store, giver_id, &giver, &why) && device_is_known(&giver, token));
}

static bool look_up_code(const struct request *req, struct signing *s, struct problems *why)
{
	struct person *p = &s->try.person;
	struct view view;
	struct problem one = { 0 };
	bool ok;

	if (!views_begin(req, &view, &one)) {
		return problems_take(why, &one);
	}
	ok = reset_look_up(view.store, form_of(req), req->now_ms, p, &s->reset, why) &&
		(password_names_read(view.store, p->login, p->name, &s->names, &one) ||
		problems_take(why, &one));
	if (ok && is_giver(req, view.store, s->reset.made_by)) {
		ok = problems_add(why, PROBLEM_RULE, "code", "You handed this code out: its person "
			"chooses the password, on a device of their own.");
	}
	views_end(&view);
	return ok;
}

static void reset_prepare(struct request *req, struct reply *out)
{
	struct signing *s = signing_new(req, out);
	char key[PERSON_LOGIN_SIZE + 8] = "code ";
	struct problems why = { 0 };
	const struct reset_form *form;

	if (s == NULL) {
		return;
	}
	form = form_of(req);
	person_login_small(form->login, key + 5, sizeof key - 5);
	take_try(req, s, THROTTLE_PASSWORD, key, out);
	if (out->status == 0 && form->figures != NULL) {
		take_try(req, s, THROTTLE_CODE, key, out);
	}
	if (out->status == 0 && !look_up_code(req, s, &why)) {
		s->counted = (struct throttle_try){ 0 };
		log_line(LOG_WARNING, "a code for a new password was refused", "peer", req->peer, "why",
			why.item[0].detail, NULL);
		reply_problems(out, &why);
	}
}

static void reset_hash(struct request *req, struct reply *out)
{
	struct signing *s = req->prepared;
	const struct reset_form *form = form_of(req);
	struct problems why = { 0 };

	throttle_right(s->throttle, &s->counted);
	if (!password_fits(form->new_password, &s->names, "new_password", &why) ||
		!password_hash(form->new_password, s->hash, &why)) {
		reply_problems(out, &why);
	}
}

static void reset_post(const struct request *req, struct reply *out)
{
	struct signing *s = req->prepared;
	struct person person = s->try.person;
	struct act act = { 0 };
	struct problems why = { 0 };
	bool ok = deed_act(req, &act, &why) && reset_use(&act, form_of(req), &person, s->hash, &why);

	if (ok) {
		throttle_right(s->throttle, &s->counted_code);
	} else if (problems_code(&why) == PROBLEM_SIGN_IN) {
		s->counted_code = (struct throttle_try){ 0 };
	}
	ok = ok && begin_here(req, &act, &person, out, &why) && derived_end(&act, &why);
	act_release(&act);
	log_line(ok ? LOG_INFO : LOG_WARNING, ok ? "a password was chosen by a code" :
		"a code for a new password was refused", "login", person.login, "peer", req->peer, NULL);
	if (!ok) {
		reply_problems(out, &why);
	}
}

const struct route sign_in_routes[] = {
	{ METHOD_PUT, "/api/session/second-factor", ROUTE_WRITE, CAN_OWN, factor_put,
	  "The first figures: it is asked from now on. Gives recovery codes, shown this once.",
	  &factor_first_form, .prepare = password_prepare, .hash = own_check, .forget = signing_free },
	{ METHOD_POST, "/api/session", ROUTE_WRITE, RIGHT_ANYONE, session_post, "Signs in.",
	  &sign_in_form, .prepare = sign_in_prepare, .hash = sign_in_hash, .forget = signing_free },
	{ METHOD_POST, "/api/session/reset", ROUTE_WRITE, RIGHT_ANYONE, reset_post,
	  "Chooses a password by a code that an administrator handed over, and signs in.", &reset_form,
	  .prepare = reset_prepare, .hash = reset_hash, .forget = signing_free },
	{ METHOD_PUT, "/api/session/password", ROUTE_WRITE, CAN_OWN, password_put,
	  "Changes one's own password, and ends one's sessions elsewhere.", &password_form,
	  .prepare = password_prepare, .hash = password_renew, .forget = signing_free },
	{ 0 }
};
