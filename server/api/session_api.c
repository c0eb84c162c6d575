/* Who is signed in, and where; signing out. */
#include <string.h>

#include "api/deed.h"
#include "api/json.h"
#include "api/rights.h"
#include "api/routes.h"
#include "api/signed_in.h"
#include "api/views.h"

const struct cookie session_cookie = { "bondbook_session", "/" };
static const struct cookie device_cookie = { "bondbook_device", "/api/session" };

enum { DEVICE_DAYS = 180 };

void signed_in_person(const struct person *p, unsigned rights, struct text *body)
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
	json_flag(&j, "lacks_second_factor", (rights & CAN_READ) == 0);
	json_end(&j);
	json_end(&all);
}

void signed_in_place(const struct request *req, const struct person *person,
	struct signed_in_place *to)
{
	char sent[DEVICE_TOKEN_SIZE];

	*to = (struct signed_in_place){ 0 };
	if (!device_cookie_of(req, sent, sizeof sent)) {
		sent[0] = '\0';
	}
	device_token(person, sent, to->token);
	memcpy(to->device, to->token, DEVICE_NUMBER);
	if (!request_cookie(req, &session_cookie, to->former, sizeof to->former)) {
		to->former[0] = '\0';
	}
	to->place = (struct session_place){ .device = to->device, .agent = req->user_agent,
		.former = to->former };
}

void signed_in_cookies(const struct request *req, struct reply *out, const struct person *person,
	const struct signed_in_place *from, const char *token)
{
	reply_cookie(req, out->set_cookie, sizeof out->set_cookie, &session_cookie, token,
		session_limits(person->role).most_h * 3600);
	reply_cookie(req, out->set_cookie_too, sizeof out->set_cookie_too, &device_cookie, from->token,
		DEVICE_DAYS * 24 * 3600);
}

void signed_out_cookie(const struct request *req, struct reply *out)
{
	reply_cookie(req, out->set_cookie, sizeof out->set_cookie, &session_cookie, "", 0);
}

bool device_cookie_of(const struct request *req, char *to, size_t size)
{
	return request_cookie(req, &device_cookie, to, size);
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
	signed_in_person(&person, view->reader.rights, &body);
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
	signed_out_cookie(req, out);
}

static void add_session(const struct session *s, bool is_here, struct text *to)
{
	struct json j = json_begin(to);

	json_integer(&j, "id", s->id);
	json_text(&j, "agent", s->agent);
	json_instant(&j, "began_at", s->began_at_ms);
	json_instant(&j, "seen_at", s->seen_at_ms);
	json_instant(&j, "ends_at", s->seen_at_ms + s->idle_ms < s->ends_at_ms ?
		s->seen_at_ms + s->idle_ms : s->ends_at_ms);
	json_flag(&j, "here", is_here);
	json_end(&j);
}

/* (none of another's) */
static void sessions_get(const struct request *req, struct reply *out)
{
	struct store *store = view_of(req)->store;
	struct session here, one = { 0 };
	struct person person;
	struct problem why = { 0 };
	struct text body = { 0 };
	bool ok = session_of(store, req->who.session, req->now_ms, &here, &person, &why);

	text_add_z(&body, "{\"rows\":[");
	for (const char *joint = ""; ok; joint = ",") {
		ok = store_session_next(store, req->who.person_id, one.id, req->now_ms, &one, &why);
		if (!ok || one.id == 0) {
			break;
		}
		text_add_z(&body, joint);
		add_session(&one, one.id == here.id, &body);
	}
	text_add_z(&body, "]}");
	if (ok) {
		reply_json(out, 200, &body);
	} else {
		text_release(&body);
		reply_problem(out, &why);
	}
}

static void session_of_id_delete(const struct request *req, struct reply *out)
{
	struct problems why = { 0 };
	struct problem one = { 0 };
	struct act act = { 0 };
	int64_t id;
	bool ok;

	if (!request_id(req, 0, &id, &one)) {
		reply_problem(out, &one);
		return;
	}
	ok = deed_act(req, &act, &why) && session_end_own(&act, id, &why);
	act_release(&act);
	if (!ok) {
		reply_problems(out, &why);
		return;
	}
	out->status = 204;
}

const struct route session_routes[] = {
	{ METHOD_GET, "/api/session", ROUTE_READ, CAN_OWN, session_get, "Who is signed in." },
	{ METHOD_DELETE, "/api/session", ROUTE_WRITE, CAN_OWN, session_delete, "Signs out." },
	{ METHOD_GET, "/api/sessions", ROUTE_READ, CAN_OWN, sessions_get,
	  "Where one is signed in: device, since when, last seen, until when at the latest." },
	{ METHOD_DELETE, "/api/sessions/{id}", ROUTE_WRITE, CAN_OWN, session_of_id_delete,
	  "Ends one of one's own sessions." },
	{ 0 }
};
