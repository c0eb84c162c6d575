"""Who is said to have done something stands beside who entered it, in every kind of entry."""
import datetime
import json
import unittest
import urllib.parse

import program
from program import bond, inspection, new_id, reading


class Doers(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.register = program.Register()
        cls.server = program.Server(cls.register)
        cls.boss = program.Client(cls.server, "administrator")
        cls.crew = program.Client(cls.server, "crew")
        cls.planner = program.Client(cls.server, "planner")
        program.railway(cls.boss)
        cls.id = cls.planner.must("POST", "/api/bonds", bond("B", "1+000")).json["id"]

    @classmethod
    def tearDownClass(cls):
        for client in (cls.boss, cls.crew, cls.planner):
            client.close()
        code = cls.server.stop()
        cls.register.remove()
        assert code == 0, code

    def row(self, name, uuid):
        row = self.boss.must("GET", f"/api/{name}/{uuid}").json
        at = datetime.datetime.fromisoformat(row["entered_at"].replace("Z", "+00:00"))
        age = datetime.datetime.now(datetime.timezone.utc) - at
        self.assertLess(abs(age.total_seconds()), 120)
        return row

    def who(self, row):
        return row["done_by"], row["entered_by"]

    def put(self, client, name, body, uuid=None):
        uuid = uuid or new_id()
        client.must("PUT", f"/api/{name}/{uuid}", body)
        return uuid

    def test_who_sends_it_did_it_unless_somebody_else_is_named(self):
        bodies = {"inspections": (inspection(self.id), "inspector"),
                  "attachments": ({"bond_id": self.id, "end": "a", "made_day": "2026-03-01",
                                   "method": "clamp"}, "person"),
                  "failures": ({"bond_id": self.id, "found_day": "2026-03-02", "mode": "burnt"},
                               "found_by")}
        for name, (body, member) in bodies.items():
            own = self.row(name, self.put(self.crew, name, body))
            self.assertEqual(self.who(own), ("The crew", "The crew"), name)
            other = self.row(name, self.put(self.crew, name, {**body, member: "The administrator"}))
            self.assertEqual(self.who(other), ("The administrator", "The crew"), name)
            named = self.row(name, self.put(self.crew, name, {**body, member: "J. Pell"}))
            self.assertEqual(self.who(named), ("J. Pell", "The crew"), name)

    def test_a_repair_and_what_came_with_the_failure(self):
        failure = {"bond_id": self.id, "found_day": "2026-03-02", "mode": "burnt"}
        first, second = (self.put(self.crew, "failures", failure) for _ in range(2))
        own = self.put(self.crew, "repairs", {"failure": first, "day": "2026-03-03", "how": "x"})
        self.assertEqual(self.who(self.row("repairs", own)), ("The crew", "The crew"))
        other = self.put(self.planner, "repairs", {"failure": second, "day": "2026-03-03",
                         "how": "x", "made_good_by": "J. Pell"})
        self.assertEqual(self.who(self.row("repairs", other)), ("J. Pell", "The planner"))
        row = self.row("failures", second)
        self.assertEqual((row["made_good_by"], row["made_good_entered_by"]),
                         ("J. Pell", "The planner"))
        at_once = self.put(self.crew, "failures", {**failure, "found_by": "A. Wick",
                           "made_good_day": "2026-03-04", "made_good_by": "J. Pell"})
        row = self.row("failures", at_once)
        self.assertEqual((row["done_by"], row["made_good_by"], row["made_good_entered_by"]),
                         ("A. Wick", "J. Pell", "The crew"))

    def test_a_correction_keeps_who_made_it_good(self):
        failure = {"bond_id": self.id, "found_day": "2026-03-02", "mode": "burnt"}
        wrong = self.put(self.crew, "failures", {**failure, "made_good_day": "2026-03-04",
                         "made_good_by": "J. Pell"})
        right = self.put(self.planner, "failures", {**failure, "mode": "detached",
                         "corrects": wrong})
        row = self.row("failures", right)
        self.assertEqual((row["made_good_by"], row["made_good_entered_by"]),
                         ("J. Pell", "The planner"))

    def test_what_a_visit_found_was_found_by_who_inspected(self):
        failure = new_id()
        self.put(self.crew, "inspections", inspection(self.id, "2026-03-05", inspector="J. Pell",
                 readings=[reading()], failure={"uuid": failure, "mode": "burnt"}))
        self.assertEqual(self.who(self.row("failures", failure)), ("J. Pell", "The crew"))
        measured = self.boss.rows("readings", f"bond={self.id}&from=2026-03-05&to=2026-03-05")
        self.assertEqual([self.who(r) for r in measured], [("J. Pell", "The crew")])

    def test_other_entries_say_who_entered_them(self):
        made = self.planner.must("POST", "/api/bonds", bond("C", "2+000")).json["id"]
        self.boss.must("PUT", f"/api/bonds/{made}", bond("C", "2+001", reason="Measured anew."),
                       headers={"If-Match": '"1"'})
        self.assertEqual([(r["version"], r["reason"], r["entered_by"])
                          for r in self.boss.rows("bond-changes", f"bond={made}")],
                         [(1, None, "The planner"), (2, "Measured anew.", "The administrator")])
        self.crew.must("POST", "/api/rail-marks", {"bond_id": made, "end": "a", "kind": "weld",
                                                   "offset_mm": 700})
        self.assertEqual([r["entered_by"] for r in self.boss.rows("rail-marks", f"bond={made}")],
                         ["The crew"])
        put_off = self.put(self.planner, "deferrals", {"bond_id": made, "reason": "No possession.",
            "until_day": (datetime.date.today() + datetime.timedelta(400)).isoformat()})
        self.assertEqual(self.who(self.row("deferrals", put_off)), ("The planner", "The planner"))
        book = self.boss.must("GET", "/api/rulebook").json["rulebook"]
        book["grace_days"] = 13
        book["from_day"] = datetime.date.today().isoformat()
        self.boss.must("POST", "/api/rulebooks", {"rulebook": book, "reason": "Shorter."})
        self.assertEqual(self.boss.rows("rulebooks")[0]["person"], "The administrator")
        self.crew.must("PUT", f"/api/attachments/{new_id()}", {"bond_id": made, "end": "b",
                       "made_day": "2026-03-01", "method": "clamp", "person": "J. Pell"})
        live = self.boss.must("GET", f"/api/bonds/{made}").json["ends"][1]["attachment"]
        self.assertEqual(self.who(live), ("J. Pell", "The crew"))

    def test_who_takes_in_a_file_is_not_said_to_have_done_what_it_tells(self):
        settings = json.dumps({"separator": "comma", "encoding": "utf_8", "decimal": "point", "day_order": "ymd",
            "columns": [{"field": "line", "constant": "VAL"}, {"field": "bond", "column": "bond"},
                        {"field": "found_day", "column": "day"},
                        {"field": "mode", "constant": "burnt"},
                        {"field": "reference", "column": "ref"},
                        {"field": "found_by", "column": "by"}]})
        log = "bond,day,ref,by\nB,2025-01-01,R1,\nB,2025-01-02,R2,J. Pell\n"
        self.planner.must("POST", "/api/imports?kind=failures&file_name=log.csv&settings=" +
                          urllib.parse.quote(settings), log.encode(),
                          headers={"Content-Type": "text/csv"})
        got = {r["reference"]: self.who(r) for r in self.boss.rows("failures", f"bond={self.id}")
               if r["reference"]}
        self.assertEqual(got, {"R1": (None, "The planner"), "R2": ("J. Pell", "The planner")})
        self.assertEqual(self.boss.rows("imports")[0]["entered_by"], "The planner")


if __name__ == "__main__":
    unittest.main()
