"""Who may do what: every route of the API description, asked by a stranger and by each role."""
import json
import sqlite3
import time
import unittest
import urllib.parse

import program

# the roles of the register, from the least to the most; each may do what the one before may
MAY = {
    "viewer": {"read", "own"},
    "crew": {"read", "own", "inspect"},
    "planner": {"read", "own", "inspect", "plan"},
    "manager": {"read", "own", "inspect", "plan", "manage", "meter"},
    "administrator": {"read", "own", "inspect", "plan", "manage", "meter", "administer"},
}
# what a stranger may ask for
OPEN = {("get", "/api"), ("get", "/livez"), ("get", "/readyz"), ("post", "/api/session"),
        ("post", "/api/session/reset")}

# which right each changing route needs: written down here a second time on purpose
NEEDS = {
    ("delete", "/api/session"): "own", ("put", "/api/session/password"): "own",
    ("delete", "/api/sessions/{id}"): "own", ("post", "/api/session/second-factor"): "own",
    ("put", "/api/session/second-factor"): "own", ("delete", "/api/session/second-factor"): "own",
    ("post", "/api/people/{id}/reset"): "administer",
    ("delete", "/api/people/{id}/sessions"): "administer",
    ("delete", "/api/people/{id}/second-factor"): "administer",
    ("put", "/api/register/second-factor"): "administer", ("post", "/api/tokens"): "administer",
    ("delete", "/api/tokens/{id}"): "administer",
    ("put", "/api/inspections/{uuid}"): "inspect", ("put", "/api/failures/{uuid}"): "inspect",
    ("put", "/api/repairs/{uuid}"): "inspect", ("put", "/api/attachments/{uuid}"): "inspect",
    ("put", "/api/withdrawals/{uuid}"): "inspect",
    ("put", "/api/deferrals/{uuid}"): "plan", ("post", "/api/bonds"): "plan",
    ("put", "/api/bonds/{id}"): "plan",
    ("post", "/api/lines"): "manage", ("post", "/api/tracks"): "manage",
    ("post", "/api/maps"): "manage", ("post", "/api/instruments"): "manage",
    ("post", "/api/kits"): "manage", ("post", "/api/rulebooks"): "manage",
    ("put", "/api/rulings/{uuid}"): "manage",
    ("post", "/api/rulebook/trial"): "manage", ("delete", "/api/progress/{id}"): "manage",
    ("post", "/api/people"): "administer", ("put", "/api/people/{id}"): "administer",
    ("put", "/api/register/zone"): "administer",
}


class Rights(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.register = program.Register()
        cls.server = program.Server(cls.register)
        cls.stranger = program.Client(cls.server)
        cls.people = {role: program.Client(cls.server, role) for role in program.ROLES}
        description = cls.stranger.get("/api").json
        cls.routes = [(method, path, operation) for path, methods in description["paths"].items()
                      for method, operation in methods.items()]

    @classmethod
    def tearDownClass(cls):
        for client in [cls.stranger, *cls.people.values()]:
            client.close()
        code = cls.server.stop()
        cls.register.remove()
        assert code == 0, code

    def ask(self, client, method, path):
        where = path.replace("{id}", "999999").replace("{uuid}", program.new_id())
        return client.ask(method.upper(), where, {} if method in ("post", "put") else None)

    def test_every_route_that_is_not_open_names_a_right(self):
        for method, path, operation in self.routes:
            with self.subTest(method=method, path=path):
                self.assertEqual("x-right" not in operation, (method, path) in OPEN)

    def test_what_changes_something_needs_the_right_that_is_written_down_here(self):
        described = {(m, p): o["x-right"] for m, p, o in self.routes
                     if m != "get" and "x-right" in o}
        for route, right in NEEDS.items():
            self.assertEqual(described.get(route), right, route)
        for route, right in described.items():
            if route not in NEEDS:
                self.assertNotIn(right, ("read", "own", "meter"), route)

    def test_a_stranger_is_asked_to_sign_in(self):
        for method, path, operation in self.routes:
            if "x-right" in operation:
                with self.subTest(method=method, path=path):
                    answer = self.ask(self.stranger, method, path)
                    self.assertEqual(answer.status, 401, answer)
                    self.assertEqual(answer.json["type"], "/problems/sign-in")

    def test_each_role_may_do_what_its_rights_say_and_nothing_else(self):
        for method, path, operation in self.routes:
            if (method, path) == ("delete", "/api/session"):
                continue
            for role, client in self.people.items():
                with self.subTest(method=method, path=path, role=role):
                    answer = self.ask(client, method, path)
                    right = operation.get("x-right")
                    if right is None or right in MAY[role]:
                        self.assertNotIn(answer.status, (401, 403), answer)
                    else:
                        self.assertEqual(answer.status, 403, answer)
                        self.assertEqual(answer.json["type"], "/problems/right")
                    self.assertLess(answer.status, 500, answer)

    def test_a_file_opens_no_door_that_is_closed_to_one_row(self):
        doors = {"lines": ("/api/lines", "code,name,notation\nZ1,Z,km\n"),
                 "tracks": ("/api/tracks", "line,name\nZ1,Up\n"),
                 "maps": ("/api/maps", "line,from,to,length_m\nZ1,0,1,1000\n"),
                 "bonds": ("/api/bonds", "line,label,kind,a_chainage\nZ1,B,rail_joint,1\n")}
        for kind, (door, csv) in doors.items():
            columns = csv.split("\n", 1)[0].split(",")
            settings = {"separator": "comma", "encoding": "utf_8", "decimal": "point",
                        "tolerance_m": 1, "columns": [{"field": f, "column": f} for f in columns]}
            query = urllib.parse.urlencode({"kind": kind, "dry_run": 1,
                                            "settings": json.dumps(settings)})
            for role in ("planner", "manager"):
                with self.subTest(kind=kind, role=role):
                    client = self.people[role]
                    answer = client.ask("POST", f"/api/imports?{query}", csv.encode(),
                                        {"Content-Type": "text/csv"})
                    self.assertEqual(answer.status == 403,
                                     client.ask("POST", door, {}).status == 403, answer)

    def test_who_has_signed_out_is_a_stranger(self):
        client = program.Client(self.server, "crew")
        self.assertEqual(client.get("/api/session").json["person"]["role"], "crew")
        self.assertEqual(client.get("/api/session").json["person"]["rights"],
                         ["read", "inspect", "own"])
        self.assertEqual(client.ask("DELETE", "/api/session").status, 204)
        self.assertEqual(client.get("/api/session").status, 401)
        self.assertEqual(client.get("/api/due").status, 401)
        client.close()

    def test_a_wrong_password_and_an_unknown_name_are_told_alike(self):
        wrong = self.stranger.ask("POST", "/api/session",
                                  {"login": "crew", "password": "not this one"})
        unknown = self.stranger.ask("POST", "/api/session",
                                    {"login": "nobody", "password": program.PASSWORD})
        self.assertEqual(wrong.status, 401)
        self.assertEqual(wrong.json, unknown.json)
        self.assertIsNone(wrong.headers["Set-Cookie"])

    def test_a_made_up_session_is_a_stranger(self):
        for cookie in ("bondbook_session=" + "A" * 43, "bondbook_session=", "bondbook_session=x",
                       "bondbook_session=" + "A" * 4000, "other=1"):
            client = program.Client(self.server, cookie=cookie)
            self.assertEqual(client.get("/api/due").status, 401, cookie[:40])
            client.close()

    def test_another_site_cannot_make_a_browser_change_anything(self):
        crew = self.people["crew"]
        for headers in ({"Sec-Fetch-Site": "cross-site"}, {"Origin": "http://elsewhere.example"}):
            answer = crew.ask("PUT", "/api/inspections/" + program.new_id(), {}, headers)
            self.assertEqual(answer.status, 403)
            self.assertEqual(answer.json["type"], "/problems/cross-site")
        crew.ask("POST", "/api/people", {})
        logged = self.server.logged()
        for said in ('route="/api/inspections/{uuid}" who="" ', 'route="/api/people" who="The crew"'):
            self.assertIn('"refused"', logged)
            self.assertIn(said, logged)

    def test_a_person_who_may_no_longer_sign_in_is_out_at_once(self):
        boss = self.people["administrator"]
        made = program.person(boss, "leaver", "A Leaver", "planner")
        leaver = program.Client(self.server, "leaver")
        self.assertEqual(leaver.get("/api/due").status, 200)
        boss.must("PUT", f"/api/people/{made}", {"login": "leaver", "name": "A Leaver",
                  "role": "planner", "active": False}, 204, {"If-Match": '"2"'})
        self.assertEqual(leaver.get("/api/due").status, 401)
        answer = leaver.ask("POST", "/api/session", {"login": "leaver",
                                                     "password": program.PASSWORD})
        self.assertEqual(answer.status, 401)
        leaver.close()

    def queued(self, deactivate, name):
        """The statuses of three writes that wait for the writer together: anybody's, what
        deactivates a person, and that person's."""
        boss = self.people["administrator"]
        made = program.person(boss, name, "A Leaver", "manager")
        leaver = program.Client(self.server, name)
        others = program.Client(self.server, cookie=boss.cookie)
        lock = sqlite3.connect(f"{self.register.data}/register.db", timeout=30, isolation_level=None)
        lock.execute("BEGIN IMMEDIATE")             # the writer waits, and two come behind it
        others.send("POST", "/api/kits", {"code": name + " first", "name": "A kit"})
        time.sleep(0.3)
        boss.send("PUT", f"/api/people/{made}", {"login": name, "name": "A Leaver",
                  "role": "manager", "active": not deactivate}, {"If-Match": '"2"'})
        time.sleep(0.3)
        leaver.send("POST", "/api/kits", {"code": name + " last", "name": "A kit"})
        time.sleep(0.3)
        lock.execute("ROLLBACK")
        lock.close()
        answers = [client.hear() for client in (others, boss, leaver)]
        others.close()
        leaver.close()
        return [answer.status for answer in answers]

    def test_what_a_person_who_was_deactivated_had_sent_is_refused(self):
        self.assertEqual(self.queued(False, "stayer"), [201, 204, 201])
        self.assertEqual(self.queued(True, "goer"), [201, 204, 401])
        kept = [code for code, in self.register.query("SELECT code FROM kit")]
        self.assertIn("stayer last", kept)
        self.assertNotIn("goer last", kept)


if __name__ == "__main__":
    unittest.main(verbosity=2)
