/* Who is signed in; signing out. */
#include "api/deed.h"
#include "api/json.h"
#include "api/rights.h"
#include "api/routes.h"
#include "api/signed_in.h"
#include "api/views.h"
#include "service/access/session.h"
#include "service/access/sign_in.h"

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
	json_end(&j);
	json_end(&all);
}

void signed_in_cookies(const struct request *req, struct reply *out, const struct person *person,
	const char *token)
{
	char device[DEVICE_TOKEN_SIZE];

	reply_cookie(req, out->set_cookie, sizeof out->set_cookie, &session_cookie, token,
		SESSION_HOURS * 3600);
	device_token(person, device);
	reply_cookie(req, out->set_cookie_too, sizeof out->set_cookie_too, &device_cookie, device,
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

const struct route session_routes[] = {
	{ METHOD_GET, "/api/session", ROUTE_READ, CAN_READ, session_get, "Who is signed in." },
	{ METHOD_DELETE, "/api/session", ROUTE_WRITE, CAN_READ, session_delete, "Signs out." },
	{ 0 }
};
