"""Sessions, second factors, codes for a new password, tokens of machines: who is let in, and who
can shut whom out."""
import base64
import datetime
import hashlib
import hmac
import time
import unittest

import program

OTHER = "forty grey wagtails"
THIRD = "eleven slow herons at dusk"
DAY = datetime.date.today()


def figures(key, at=None):
    """RFC 6238 by other hands than the program's."""
    secret = base64.b32decode(key.replace(" ", ""))
    step = int((at if at is not None else time.time()) // 30)
    mac = hmac.new(secret, step.to_bytes(8, "big"), hashlib.sha1).digest()
    where = mac[19] & 15
    return f"{(int.from_bytes(mac[where:where + 4], 'big') & 0x7fffffff) % 10 ** 6:06}"


class Access(unittest.TestCase):
    def setUp(self):
        self.register = program.Register()
        self.addCleanup(self.register.remove)
        self.server = program.Server(self.register)
        self.clients = []

    def tearDown(self):
        for client in self.clients:
            client.close()
        self.assertEqual(self.server.stop(), 0)

    def client(self, role=None, cookie=None):
        self.clients.append(program.Client(self.server, role, cookie))
        return self.clients[-1]

    def sign_in(self, login, password=program.PASSWORD, cookie=None, **more):
        client = self.client(cookie=cookie)
        answer = client.ask("POST", "/api/session", {"login": login, "password": password, **more})
        cookies = [c.split(";")[0] for c in answer.headers.get_all("Set-Cookie") or []]
        client.cookie = "; ".join(cookies) or cookie
        return client, answer

    def person(self, boss, login):
        return next(p for p in boss.rows("people") if p["login"] == login)

    def change(self, boss, login, **more):
        who = self.person(boss, login)
        answer = boss.must("GET", f"/api/people/{who['id']}")
        body = {**{k: answer.json[k] for k in ("login", "name", "role", "active")}, **more}
        return boss.ask("PUT", f"/api/people/{who['id']}", body,
                        {"If-Match": answer.headers["ETag"]})

    # ---- sessions ----

    def test_somebody_sees_their_sessions_and_ends_one(self):
        here, _ = self.sign_in("crew")
        there, _ = self.sign_in("crew")
        self.sign_in("planner")
        rows = here.must("GET", "/api/sessions").json["rows"]
        self.assertEqual([row["here"] for row in rows], [True, False])
        self.assertTrue(all(row["began_at"] and row["seen_at"] and row["ends_at"] for row in rows))
        here.must("DELETE", f"/api/sessions/{rows[1]['id']}", status=204)
        self.assertEqual(there.get("/api/due").status, 401)
        here.must("GET", "/api/due")

    def test_nobody_ends_another_s_session(self):
        crew, _ = self.sign_in("crew")
        number = crew.must("GET", "/api/sessions").json["rows"][0]["id"]
        boss = self.client("administrator")
        self.assertEqual(boss.ask("DELETE", f"/api/sessions/{number}").status, 404)
        crew.must("GET", "/api/due")
        # but an administrator ends all of somebody, which stands on record
        who = self.person(boss, "crew")["id"]
        boss.must("DELETE", f"/api/people/{who}/sessions", status=204)
        self.assertEqual(crew.get("/api/due").status, 401)
        self.assertEqual(boss.rows("access-acts")[0]["what"], "sessions_ended")

    def test_signing_in_again_on_a_device_ends_the_session_that_was_there(self):
        first, _ = self.sign_in("crew")
        cookies = first.cookie
        second, _ = self.sign_in("crew", cookie=cookies)
        self.assertEqual(first.get("/api/due").status, 401)
        second.must("GET", "/api/due")
        # the session's cookie is gone (it ended by itself), the device's is there; another person
        device = second.cookie.split("; ")[1]
        third, _ = self.sign_in("planner", cookie=device)
        self.assertEqual(second.get("/api/due").status, 401)
        third.must("GET", "/api/due")

    # ---- people ----

    def test_a_person_is_changed_by_who_read_them_last(self):
        boss = self.client("administrator")
        who = self.person(boss, "crew")["id"]
        answer = boss.must("GET", f"/api/people/{who}")
        body = {"login": "crew", "name": "A Crew", "role": "crew"}
        self.assertEqual(boss.ask("PUT", f"/api/people/{who}", body).status, 428)
        tag = {"If-Match": answer.headers["ETag"]}
        boss.must("PUT", f"/api/people/{who}", body, 204, tag)
        self.assertEqual(boss.ask("PUT", f"/api/people/{who}", body, tag).status, 412)

    def test_the_last_administrator_cannot_be_shut_out(self):
        boss = self.client("administrator")
        for more in ({"active": False}, {"role": "manager"}):
            answer = self.change(boss, "administrator", **more)
            self.assertEqual(answer.status, 422, answer)
            self.assertIn("Nobody else can sign in as an administrator", answer.body.decode())
        # one who has no password yet is nobody who can let others in
        boss.must("POST", "/api/people", {"login": "second", "name": "S", "role": "administrator"},
                  201)
        self.assertEqual(self.change(boss, "administrator", active=False).status, 422)
        self.choose(boss, "second", OTHER)
        self.assertEqual(self.change(boss, "administrator", active=False).status, 204)

    def test_no_administrator_gives_anybody_a_password(self):
        boss = self.client("administrator")
        answer = boss.ask("POST", "/api/people", {"login": "new", "name": "N", "role": "crew",
                                                  "password": program.PASSWORD})
        self.assertEqual((answer.status, answer.fields()), (422, ["password"]))

    # ---- a new password by a code ----

    def code(self, boss, login):
        who = self.person(boss, login)["id"]
        return boss.must("POST", f"/api/people/{who}/reset", status=201).json["code"]

    def use(self, login, code, password=OTHER, client=None, **more):
        client = client or self.client()
        return client, client.ask("POST", "/api/session/reset", {
            "login": login, "code": code, "new_password": password, **more})

    def choose(self, boss, login, password):
        client, answer = self.use(login, self.code(boss, login), password)
        self.assertEqual(answer.status, 200, answer)
        client.cookie = answer.headers["Set-Cookie"].split(";")[0]
        return client

    def test_somebody_chooses_a_password_by_a_code_once(self):
        boss, crew = self.client("administrator"), self.client("crew")
        code = self.code(boss, "crew")
        crew.must("GET", "/api/due")                 # nothing changes before it is used
        self.assertEqual(self.use("planner", code)[1].status, 401)
        near = code[:-1] + ("B" if code[-1] == "A" else "A")
        self.assertEqual(self.use("crew", near)[1].status, 401)
        answer = self.use("crew", code, "password1234")[1]
        self.assertEqual((answer.status, answer.fields()), (422, ["new_password"]))
        _, answer = self.use("crew", code.lower().replace("-", " "))
        self.assertEqual(answer.status, 200, answer)
        self.assertEqual(crew.get("/api/due").status, 401)
        self.assertEqual(self.use("crew", code)[1].status, 401)
        self.assertEqual(self.sign_in("crew")[1].status, 401)
        self.assertEqual(self.sign_in("crew", OTHER)[1].status, 200)
        self.assertEqual([row["what"] for row in boss.rows("access-acts")],
                         ["reset_used", "reset_started"])
        self.assertNotIn(code, self.server.logged())
        self.assertNotIn(code, str(self.register.query("SELECT * FROM reset_code")))

    def test_who_hands_out_a_code_does_not_use_it(self):
        boss, _ = self.sign_in("administrator")
        code = self.code(boss, "crew")
        self.assertEqual(self.use("crew", code, client=boss)[1].status, 422)
        signed_out = self.client(cookie=boss.cookie.split("; ")[1])       # his device
        self.assertEqual(self.use("crew", code, client=signed_out)[1].status, 422)
        self.assertEqual(self.use("crew", code)[1].status, 200)
        who = self.person(boss, "administrator")["id"]
        self.assertEqual(boss.ask("POST", f"/api/people/{who}/reset").status, 422)   # his own

    def test_a_new_code_ends_the_one_before_and_unknown_names_are_told_alike(self):
        boss = self.client("administrator")
        first, second = self.code(boss, "crew"), self.code(boss, "crew")
        wrong = self.use("crew", first)[1]
        self.assertEqual(wrong.status, 401)
        self.assertEqual(wrong.json, self.use("nobody", first)[1].json)
        self.assertEqual(wrong.json, self.use("planner", second)[1].json)
        self.assertEqual(self.use("crew", second)[1].status, 200)

    def test_codes_are_not_guessed_at_without_a_pause(self):
        tried = [self.use("crew", "AAAA-AAAA-AAAA-AAAA-AAAA-AAAA")[1].status for _ in range(8)]
        self.assertIn(429, tried)

    # ---- the second factor ----

    def set_factor(self, client):
        key = client.must("POST", "/api/session/second-factor", status=201).json["key"]
        codes = client.must("PUT", "/api/session/second-factor",
                            {"password": program.PASSWORD, "code": figures(key)}).json
        return key, codes["recovery_codes"]

    def test_figures_are_asked_for_once_they_were_shown(self):
        crew, _ = self.sign_in("crew")
        answer = crew.must("POST", "/api/session/second-factor", status=201).json
        self.assertTrue(answer["link"].startswith("otpauth://totp/bondbook:crew?secret="))
        self.assertEqual(self.sign_in("crew")[1].status, 200)          # not yet
        for body, field in (({"password": OTHER, "code": figures(answer["key"])}, "password"),
                            ({"password": program.PASSWORD, "code": "no code"}, "code")):
            refused = crew.ask("PUT", "/api/session/second-factor", body)
            self.assertEqual((refused.status, refused.fields()), (422, [field]))
        codes = crew.must("PUT", "/api/session/second-factor", {
            "password": program.PASSWORD, "code": figures(answer["key"])}).json["recovery_codes"]
        self.assertEqual(len(set(codes)), 10)
        refused = self.sign_in("crew")[1]
        self.assertEqual((refused.status, refused.fields()), (401, ["code"]))
        # those that set it are used up, the ones to come are good once
        self.assertEqual(self.sign_in("crew", code=figures(answer["key"]))[1].status, 401)
        coming = figures(answer["key"], time.time() + 30)
        self.assertEqual(self.sign_in("crew", code=coming)[1].status, 200)
        self.assertEqual(self.sign_in("crew", code=coming)[1].status, 401)
        # a wrong password with right figures says nothing of the figures
        self.assertEqual(self.sign_in("crew", OTHER, code=coming)[1].json["detail"],
                         self.sign_in("nobody", OTHER)[1].json["detail"])

    def test_a_recovery_code_is_good_once(self):
        crew, _ = self.sign_in("crew")
        _, codes = self.set_factor(crew)
        self.assertEqual(self.sign_in("crew", code=codes[3].lower())[1].status, 200)
        self.assertEqual(self.sign_in("crew", code=codes[3])[1].status, 401)
        self.assertEqual(self.sign_in("planner", code=codes[4])[1].status, 200)   # asked of none
        self.assertEqual(crew.must("GET", "/api/session/second-factor").json,
                         {"set": True, "recovery_codes_left": 9})
        kept = str(self.register.query("SELECT * FROM recovery_code"))
        self.assertNotIn(codes[4], kept)

    def test_figures_are_guessed_at_more_and_more_slowly(self):
        crew, _ = self.sign_in("crew")
        self.set_factor(crew)
        tried = [self.sign_in("crew", code=f"{n:06}")[1].status for n in range(8)]
        self.assertIn(429, tried)
        self.assertNotIn(200, tried)

    def test_one_that_is_required_is_set_before_anything_else(self):
        boss, old = self.client("administrator"), self.client("crew")
        roles = boss.must("GET", "/api/register/second-factor").json
        self.assertEqual(set(roles.values()), {False})
        boss.must("PUT", "/api/register/second-factor", {**roles, "crew": True})
        old.must("GET", "/api/due")                  # a shift that has begun goes on
        crew, answer = self.sign_in("crew")
        self.assertTrue(answer.json["person"]["lacks_second_factor"])
        for method, path in (("GET", "/api/due"), ("GET", "/api/bonds/1"), ("GET", "/metrics"),
                             ("PUT", "/api/inspections/" + program.new_id())):
            answer = crew.ask(method, path, {} if method == "PUT" else None)
            self.assertEqual(answer.status, 401)     # a tablet keeps what it has, and sends it later
            self.assertIn("second factor", answer.json["detail"])
        key, _ = self.set_factor(crew)
        crew.must("GET", "/api/due")
        self.assertFalse(crew.must("GET", "/api/session").json["person"]["lacks_second_factor"])
        answer = crew.ask("DELETE", "/api/session/second-factor",
                          {"code": figures(key, time.time() + 30)})
        self.assertEqual(answer.status, 422)         # nor is it taken away
        self.assertIn("required of your role", answer.body.decode())
        planner, answer = self.sign_in("planner")
        self.assertFalse(answer.json["person"]["lacks_second_factor"])

    def test_the_administrators_can_all_be_required_to_have_one(self):
        boss = self.client("administrator")
        roles = boss.must("GET", "/api/register/second-factor").json
        boss.must("PUT", "/api/register/second-factor", {**roles, "administrator": True})
        boss.must("DELETE", "/api/session", status=204)
        again, _ = self.sign_in("administrator")
        self.assertEqual(again.get("/api/people/1").status, 401)
        self.set_factor(again)
        again.must("GET", "/api/people/1")

    def test_it_is_taken_away_by_its_person_with_figures_of_it(self):
        crew, _ = self.sign_in("crew")
        key, codes = self.set_factor(crew)
        self.assertEqual(crew.ask("POST", "/api/session/second-factor").status, 409)
        self.assertEqual(crew.ask("DELETE", "/api/session/second-factor",
                                  {"code": "AAAA-AAAA-AAAA-AAAA-AAAA-AAAA"}).status, 422)
        crew.must("DELETE", "/api/session/second-factor", {"code": codes[0]}, 204)
        self.assertEqual(self.sign_in("crew")[1].status, 200)

    def test_a_code_for_a_new_password_does_not_stand_for_the_second_factor(self):
        boss, (crew, _) = self.client("administrator"), self.sign_in("crew")
        key, codes = self.set_factor(crew)
        code = self.code(boss, "crew")
        answer = self.use("crew", code)[1]
        self.assertEqual((answer.status, answer.fields()), (401, ["figures"]))
        crew.must("GET", "/api/due")                 # nothing was changed
        self.assertEqual(self.use("crew", code, figures=codes[0])[1].status, 200)

    def test_no_administrator_comes_in_as_somebody_else_by_himself(self):
        boss, (crew, _) = self.client("administrator"), self.sign_in("crew")
        self.set_factor(crew)
        who = self.person(boss, "crew")["id"]
        boss.must("POST", "/api/people", {"login": "second", "name": "S", "role": "administrator"},
                  201)
        second = self.choose(boss, "second", THIRD)
        code = self.code(boss, "crew")
        self.assertEqual(boss.ask("DELETE", f"/api/people/{who}/second-factor").status, 422)
        second.must("DELETE", f"/api/people/{who}/second-factor", status=204)
        self.assertEqual(crew.get("/api/due").status, 401)
        self.assertEqual(self.use("crew", code)[1].status, 200)
        # nor the other way about
        self.assertEqual(second.ask("POST", f"/api/people/{who}/reset").status, 422)
        self.assertEqual(boss.ask("POST", f"/api/people/{who}/reset").status, 201)

    # ---- machines ----

    def machine(self, token):
        client = self.client()
        return lambda method, path, body=None: client.ask(
            method, path, body, {"Authorization": f"Bearer {token}"}).status

    def test_a_token_does_what_its_scope_says_until_it_ends(self):
        boss = self.client("administrator")
        made = {}
        for scope in ("read", "metrics"):
            made[scope] = boss.must("POST", "/api/tokens", {
                "name": f"Screen {scope}", "scope": scope, "ends_day": str(DAY)}, 201).json
        read, metrics = (self.machine(made[scope]["token"]) for scope in ("read", "metrics"))
        for path, by_read, by_metrics in (
                ("/api/due", 200, 403), ("/api/due.csv", 200, 403), ("/metrics", 403, 200),
                ("/api/people", 403, 403), ("/api/tokens", 403, 403), ("/api/session", 403, 403),
                ("/api/sessions", 403, 403), ("/api/bonds/1", 404, 403)):
            self.assertEqual((read("GET", path), metrics("GET", path)), (by_read, by_metrics), path)
        for method, path in (("PUT", "/api/inspections/" + program.new_id()),
                             ("DELETE", "/api/session"), ("POST", "/api/bonds"),
                             ("POST", "/api/tokens")):
            body = {} if method != "DELETE" else None
            self.assertEqual((read(method, path, body), metrics(method, path, body)), (403, 403))
        rows = boss.rows("tokens")
        self.assertEqual([row["good"] for row in rows], [True, True])
        self.assertNotIn(made["read"]["token"], str(rows))
        self.assertNotIn(made["read"]["token"],
                         str(self.register.query("SELECT * FROM machine_token")))
        boss.must("DELETE", f"/api/tokens/{made['read']['id']}", status=204)
        self.assertEqual((read("GET", "/api/due"), metrics("GET", "/metrics")), (401, 200))
        self.assertEqual([row["what"] for row in boss.rows("access-acts")],
                         ["token_ended", "token_made", "token_made"])

    def test_a_token_has_an_end_and_a_made_up_one_is_nobody_s(self):
        boss = self.client("administrator")
        for day in (DAY - datetime.timedelta(2), DAY + datetime.timedelta(735)):
            answer = boss.ask("POST", "/api/tokens", {"name": "x", "scope": "read",
                                                      "ends_day": str(day)})
            self.assertEqual((answer.status, answer.fields()), (422, ["ends_day"]))
        for token in ("", "x", "bondbook_" + "A" * 43, "A" * 5000):
            self.assertEqual(self.machine(token)("GET", "/api/due"), 401)
        # a cookie is no token, and a token no cookie
        crew, _ = self.sign_in("crew")
        value = crew.cookie.split("; ")[0].split("=")[1]
        self.assertEqual(self.machine(value)("GET", "/api/due"), 401)


if __name__ == "__main__":
    unittest.main()
