"""Adopting a rulebook: due days follow it in the background, while everything else is answered."""
import datetime
import hashlib
import pathlib
import sqlite3
import time
import unittest

import program
from program import bond, new_id, reading


class Rulebook(unittest.TestCase):
    def setUp(self):
        self.register = program.Register()
        self.server = program.Server(self.register)
        self.boss = program.Client(self.server, "administrator")
        program.railway(self.boss)
        self.today = datetime.date.today().isoformat()

    def tearDown(self):
        self.boss.close()
        code = self.server.stop()
        self.register.remove()
        self.assertEqual(code, 0)

    def followed(self):
        for _ in range(200):
            got = self.boss.must("GET", "/api/rulebook").json
            if got["followed"]:
                return got
            time.sleep(0.05)
        self.fail("the rulebook was not followed within ten seconds")

    def test_due_days_follow_and_the_list_says_why(self):
        self.boss.must("POST", "/api/bonds", bond("B1", "1+000", installed_day="2020-03-31"))
        book = self.followed()
        self.assertEqual(book["version"], 1)
        book["rulebook"]["from_day"] = self.today
        book["rulebook"]["interval_months"]["rail_joint"] = {"normal": 5, "high": 4, "safety": 3}
        made = self.boss.must("POST", "/api/rulebooks",
                              {"rulebook": book["rulebook"], "reason": "Too many broke."}).json
        self.assertEqual(made["id"], 2)
        self.assertEqual(self.followed()["version"], 2)
        row = self.boss.rows("due")[0]
        self.assertEqual(row["due_day"], "2020-08-31")   # five months after 31 March
        self.assertEqual(self.boss.rows("rulebooks")[0]["reason"], "Too many broke.")

    def test_a_wrong_rulebook_is_refused_member_by_member(self):
        book = self.followed()["rulebook"]
        book["from_day"] = "2020-01-01"
        book["grace_days"] = 300
        got = self.boss.ask("POST", "/api/rulebooks", {"rulebook": book, "reason": "No."})
        self.assertEqual(got.status, 422)
        fields = sorted(e["field"] for e in got.json["errors"])
        self.assertEqual(fields, ["rulebook.from_day", "rulebook.grace_days"])

    def test_each_value_says_what_it_is_and_what_it_rests_on(self):
        values = {v["path"]: v for v in self.boss.must("GET", "/api/rulebook/values").json["values"]}
        joint = values["limits.rail_joint.joint_percent"]
        self.assertEqual((joint["unit"], joint["default"], joint["basis"]), ("%", 5, "standard"))
        self.assertEqual((joint["least"], joint["most"], joint["required"]), (0.1, 100, False))
        self.assertEqual(joint["titles"], ["Limits of resistance", "Rail joint bond",
                                           "Share of the rail between two joints"])
        grace = values["grace_days"]
        self.assertEqual((grace["type"], grace["unit"], grace["default"]), ("whole", "days", 14))
        self.assertEqual(grace["basis"], "example")
        self.assertIn("railway", grace["source"])
        self.assertEqual(values["severity.missing"]["words"], "severity")
        self.assertIsNone(values["limits.structure.rail_equivalent_m"]["default"])
        self.assertNotIn("from_day", values)

    def test_every_version_is_kept_with_its_reasons(self):
        first = self.boss.must("GET", "/api/rulebooks/1").json
        self.assertIsNone(first["person"])
        self.assertEqual(first["rulebook"]["from_day"], "1900-01-01")
        book = first["rulebook"]
        book["from_day"] = self.today
        book["grace_days"] = 7
        reasons = [{"path": "grace_days", "reason": "The region's order of March."}]
        self.boss.must("POST", "/api/rulebooks", {"rulebook": book, "reason": "Two weeks are too "
                                                  "long.", "reasons": reasons})
        second = self.boss.must("GET", "/api/rulebooks/2").json
        self.assertEqual(second["rulebook"], book)
        self.assertEqual(second["reasons"], reasons)
        self.assertEqual(second["reason"], "Two weeks are too long.")
        self.assertEqual(second["person"], "The administrator")
        self.assertRegex(second["recorded_at"], "^20.*Z$")
        in_force = self.followed()
        self.assertEqual((in_force["version"], in_force["reasons"]), (2, reasons))
        self.assertEqual(self.boss.ask("GET", "/api/rulebooks/3").status, 404)
        self.assertEqual(self.boss.must("GET", "/api/rulebooks/1").json["reasons"], [])

    def test_the_same_sent_twice_is_adopted_once(self):
        book = self.followed()["rulebook"]
        book["from_day"] = self.today
        book["grace_days"] = 7
        body = {"rulebook": book, "reason": "Sooner."}
        first = self.boss.must("POST", "/api/rulebooks", body, 201).json
        again = self.boss.must("POST", "/api/rulebooks", body, 200).json
        self.assertEqual((first, again), ({"id": 2, "already": False}, {"id": 2, "already": True}))
        self.assertEqual([row["version"] for row in self.boss.rows("rulebooks")], [2, 1])

    def test_who_has_not_seen_the_last_version_does_not_undo_it(self):
        book = self.followed()["rulebook"]
        book["from_day"] = self.today
        self.boss.must("POST", "/api/rulebooks", {"rulebook": {**book, "grace_days": 7},
                       "reason": "Sooner.", "after_version": 1}, 201)
        other = {"rulebook": {**book, "notice_days": 10}, "reason": "Less notice."}
        got = self.boss.ask("POST", "/api/rulebooks", {**other, "after_version": 1})
        self.assertEqual((got.status, got.json["type"], got.fields()),
                         (412, "/problems/changed", ["after_version"]), got)
        self.assertEqual(self.boss.must("GET", "/api/rulebook").json["rulebook"]["grace_days"], 7)
        other["rulebook"]["grace_days"] = 7
        self.boss.must("POST", "/api/rulebooks", {**other, "after_version": 2}, 201)
        self.assertEqual([row["version"] for row in self.boss.rows("rulebooks")], [3, 2, 1])

    def test_a_reason_is_of_one_value(self):
        book = self.followed()["rulebook"]
        book["from_day"] = self.today
        got = self.boss.ask("POST", "/api/rulebooks", {"rulebook": book, "reason": "Why.", "reasons": [
            {"path": "grace_days", "reason": "a"}, {"path": "limits", "reason": "b"},
            {"path": "grace_days", "reason": "c"}]})
        self.assertEqual(got.status, 422)
        self.assertEqual(got.fields(), ["reasons[1].path", "reasons[2].path"])

    def test_a_new_register_has_the_first_version_on_record(self):
        row, = self.boss.rows("rulebooks")
        self.assertEqual((row["version"], row["from_day"], row["person"], row["withdrawn_at"]),
                         (1, "1900-01-01", None, None))
        self.assertRegex(row["reason"], "^By the program, build .+; values before may have differed")
        first = self.boss.must("GET", "/api/rulebooks/1").json
        self.assertEqual((first["from_edition"], first["withdrawn"]), ([], None))
        self.assertGreaterEqual(first["edition"], 2)

    def test_a_version_is_withdrawn_as_wrong_and_what_it_said_stays_readable(self):
        made = self.boss.must("POST", "/api/bonds", bond("B1", "1+000")).json["id"]
        # 30 µΩ, U = 6.53 by hand: within 50, over 20
        uuid = new_id()
        self.boss.must("PUT", "/api/inspections/" + uuid,
                       program.inspection(made, self.today))
        book = self.followed()["rulebook"]
        book["from_day"] = self.today
        book["limits"]["rail_joint"]["contact_allowance_uohm"] = 3   # and 30 %; it measured 5 µΩ
        self.boss.must("POST", "/api/rulebooks", {"rulebook": book, "reason": "Stricter."}, 201)
        self.assertEqual(self.followed()["version"], 2)
        grade = self.boss.must("GET", f"/api/bonds/{made}/judgement").json["grade"]["grade"]
        self.assertEqual(grade, "act")
        at = "/api/rulebooks/2/withdrawal"
        wrong = {"reason": "A slipped decimal point."}
        self.assertEqual(self.boss.ask("PUT", at, {}).fields(), ["reason"])
        planner = program.Client(self.server, "planner")
        self.assertEqual(planner.ask("PUT", at, wrong).status, 403)
        planner.close()
        self.boss.must("PUT", at, wrong, 201)
        self.assertTrue(self.boss.must("PUT", at, wrong, 200).json["already"])
        self.assertEqual(self.boss.ask("PUT", at, {"reason": "Another."}).status, 409)
        self.assertEqual(self.boss.ask("PUT", "/api/rulebooks/1/withdrawal", wrong).status, 422)
        self.assertEqual(self.boss.ask("PUT", "/api/rulebooks/9/withdrawal", wrong).status, 404)
        self.assertEqual(self.followed()["version"], 1)
        told = self.boss.must("GET", "/api/rulebooks/2").json["withdrawn"]
        self.assertEqual((told["reason"], told["person"]), (wrong["reason"], "The administrator"))
        self.assertRegex(told["recorded_at"], "^20.*Z$")
        self.assertEqual(self.boss.rows("rulebooks")[0]["withdrawn_reason"], wrong["reason"])
        judged = self.boss.must("GET", f"/api/bonds/{made}/judgement").json
        self.assertEqual(judged["grade"]["grade"], "sound")
        self.assertEqual([(one["grade"], one["reasons"], one["rulebook_version"])
                          for one in judged["formerly"]], [("sound", [], 1), ("act", ["over"], 2)])
        self.assertIsNone(judged["formerly"][0]["withdrawn"])
        self.assertEqual(judged["formerly"][1]["withdrawn"]["reason"], wrong["reason"])
        former = self.boss.must("GET", f"/api/inspections/{uuid}/readings/0/working").json["former"]
        self.assertEqual([(one["verdict"], one["rulebook_version"]) for one in former],
                         [("within", 1), ("over", 2)])
        self.assertEqual(former[1]["withdrawn"]["reason"], wrong["reason"])
        self.server.stop()
        self.assertIn("The register is content", self.register.run("check"))
        self.server = program.Server(self.register)

    def tamper(self, *all_sql):
        """Makes the file, between two runs of the server, what an older program would have left."""
        self.boss.close()
        self.assertEqual(self.server.stop(), 0)
        link = sqlite3.connect(f"{self.register.data}/register.db")
        for sql in all_sql:
            link.execute(sql)
        link.commit()
        link.close()
        self.server = program.Server(self.register)
        self.boss = program.Client(self.server, "administrator")

    def test_a_register_of_the_edition_before_is_served_and_made_again(self):
        made = self.boss.must("POST", "/api/bonds", bond("B1", "1+000")).json["id"]
        uuid = new_id()
        self.boss.must("PUT", "/api/inspections/" + uuid,
                       program.inspection(made, self.today))
        book = self.followed()
        edition = book["edition"]
        # no version on record, as the program of the first edition left it; and another verdict
        self.tamper("DROP TRIGGER rulebook_stays", "DELETE FROM rulebook",
                    "UPDATE derived_mark SET value = 1 WHERE name = 'edition'",
                    "UPDATE bond_state SET edition = 1, grade = 4, reasons = 2",
                    "UPDATE reading_state SET said = said | (3 << 24)",
                    "UPDATE due_cell SET alike = (alike & ~(7 << 13)) | (4 << 13), evidence_until_day = -2147483648")
        told = self.boss.must("GET", "/api/rulebook/following").json
        self.assertEqual((told["version"], told["edition"], told["of_bonds"]), (1, edition, 1))
        self.followed()
        told = self.boss.must("GET", "/api/rulebook/following").json
        self.assertEqual((told["followed"], told["new_edition"], told["followed_bonds"]),
                         (True, False, 1))
        self.assertEqual([row["version"] for row in self.boss.rows("rulebooks")], [1])
        judged = self.boss.must("GET", f"/api/bonds/{made}/judgement").json
        self.assertEqual((judged["grade"]["grade"], judged["edition"]), ("sound", edition))
        one, = judged["formerly"]
        self.assertEqual((one["grade"], one["edition"], one["rulebook_version"]), ("act", 1, 1))
        former, = self.boss.must("GET", f"/api/inspections/{uuid}/readings/0/working").json["former"]
        self.assertEqual((former["verdict"], former["edition"]), ("over", 1))
        self.boss.close()
        self.server.stop()
        self.assertIn("The register is content", self.register.run("check"))
        self.server = program.Server(self.register)
        self.boss = program.Client(self.server, "administrator")

    def test_what_an_older_version_lacks_is_told_as_the_editions(self):
        book = self.followed()["rulebook"]
        book["from_day"] = self.today
        self.boss.must("POST", "/api/rulebooks", {"rulebook": book, "reason": "Ours now."}, 201)
        self.tamper("DROP TRIGGER rulebook_kept",
                    "UPDATE rulebook SET body = json_remove(body, '$.spot_clearance_mm', "
                    "'$.severity.not_visible') WHERE version = 2")
        told = self.boss.must("GET", "/api/rulebooks/2").json
        self.assertEqual(told["from_edition"], ["spot_clearance_mm", "severity.not_visible"])
        self.assertEqual(told["rulebook"], book)      # computed with
        self.assertNotIn("spot_clearance_mm", self.register.query(
            "SELECT body FROM rulebook WHERE version = 2")[0][0])
        self.assertEqual(self.boss.must("GET", "/api/rulebooks/1").json["from_edition"], [])
        # what is adopted has every one
        del book["spot_clearance_mm"]
        got = self.boss.ask("POST", "/api/rulebooks", {"rulebook": book, "reason": "Less."})
        self.assertEqual((got.status, got.fields()), (422, ["rulebook.spot_clearance_mm"]))

    def test_a_trial_says_what_would_change_and_changes_nothing(self):
        ids = {}
        for label, chainage, months in (("B1", "1+000", 8), ("B2", "2+000", 2)):
            ids[label] = self.boss.must("POST", "/api/bonds", bond(label, chainage)).json["id"]
            day = datetime.date.today() - datetime.timedelta(days=31 * months)
            self.boss.must("PUT", "/api/inspections/" + new_id(),
                           program.inspection(ids[label], day.isoformat()))
        book = self.followed()["rulebook"]
        book["from_day"] = self.today
        before = self.register.counts(), self.register.query("PRAGMA data_version")
        files = self.files()
        same = self.boss.must("POST", "/api/rulebook/trial", {"rulebook": book}).json
        self.assertEqual(same["states"], [{"before": "later", "after": "later", "count": 2}])
        self.assertEqual((same["lines"], same["newly_overdue"]), ([], {"count": 0, "bonds": []}))
        book["interval_months"]["rail_joint"] = {"normal": 6, "high": 6, "safety": 3}
        book["repeat_window_mm"] = 20000
        got = self.boss.must("POST", "/api/rulebook/trial?progress=" + new_id(),
                             {"rulebook": book}).json
        # eight months ago, and six are allowed, with 14 days of grace
        self.assertIn({"before": "later", "after": "overdue", "count": 1}, got["states"])
        self.assertEqual(got["newly_overdue"]["count"], 1)
        self.assertEqual(got["newly_overdue"]["bonds"][0]["label"], "B1")
        self.assertEqual(got["newly_overdue"]["bonds"][0]["bond_id"], ids["B1"])
        self.assertEqual((got["places_before"], got["places_after"]), (0, 0))
        self.assertEqual((got["bonds"], got["against_version"]), (2, 1))
        self.assertEqual((got["lines"][0]["overdue_before"], got["lines"][0]["overdue_after"]), (0, 1))
        self.assertEqual(self.files(), files)
        self.assertEqual((self.register.counts(), self.register.query("PRAGMA data_version")), before)
        self.assertEqual(self.boss.must("GET", "/api/rulebook").json["version"], 1)

    def test_a_trial_judges_the_last_readings_anew(self):
        made = self.boss.must("POST", "/api/bonds", bond("B1", "1+000")).json["id"]
        # 300 µV over 10 A are 30 µΩ of one contact; U = sqrt((1 % of 30 + 0.5)^2 + (2 % of 30)^2) is
        # 1 µΩ: over 10 x 1.3 = 13 µΩ, within 130 µΩ
        self.boss.must("PUT", "/api/inspections/" + new_id(), {
            "bond_id": made, "day": self.today, "seen_a": "good", "seen_b": "good",
            "cables_whole": 1, "readings": [reading("contact_a", forward_uv=300, reverse_uv=-300),
                                            reading("contact_b")]})
        book = self.followed()["rulebook"]
        book["from_day"] = self.today
        book["limits"]["rail_joint"]["contact_allowance_uohm"] = 100
        got = self.boss.must("POST", "/api/rulebook/trial", {"rulebook": book}).json
        self.assertTrue(got["judged"])
        self.assertEqual(got["verdicts"], [{"before": "within", "after": "within", "count": 1},
                                           {"before": "over", "after": "within", "count": 1}])
        # what was found over stays to be mended when a limit is raised: no trial shows it as sound
        self.assertEqual(got["grades"], [{"before": "act", "after": "act", "count": 1}])
        self.assertEqual(got["other_grade"]["count"], 0)
        changed = got["other_verdict"]["bonds"][0]
        self.assertEqual((changed["before"]["verdicts"], changed["after"]["verdicts"]),
                         ({"contact_a": "over", "contact_b": "within"},
                          {"contact_a": "within", "contact_b": "within"}))
        self.assertEqual((got["lines"][0]["verdicts"], got["lines"][0]["grades"]), (1, 0))
        # limits alike, the notice other: the verdict is not asked for, and stands
        book["limits"]["rail_joint"]["contact_allowance_uohm"] = 10
        book["notice_days"] = 40
        got = self.boss.must("POST", "/api/rulebook/trial", {"rulebook": book}).json
        self.assertEqual(got["grades"], [{"before": "act", "after": "act", "count": 1}])
        self.assertEqual((got["judged"], got["verdicts"]), (False, []))
        self.assertEqual(got["other_verdict"]["count"], 0)

    def test_the_register_proposes_what_readings_scatter_by(self):
        """By hand: in µV 100, 102, 100, 98, 100 over equal steps: slope -0.4, residuals -0.8, 1.6, 0, -1.6,
        0.8, SSE 6.4 of 3 degrees of freedom, whose median of chi-square is 2.365973884 (SciPy);
        neighbours -1.28 - 1.28 by 6.4 / 3, of 3: -0.4, as of independent errors."""
        def propose():
            values = self.boss.must("GET", "/api/rulebook/scatter").json["values"]
            self.assertEqual(len(values), 27)
            return {value["path"]: value for value in values}["scatter_percent.rail_joint.contact"]

        for n in range(10):
            made = self.boss.must("POST", "/api/bonds", bond(f"B{n}", f"{n}+000")).json["id"]
            self.assertEqual(propose()["proposed"], None)
            for i, uv in enumerate((100, 102, 100, 98, 100)):
                day = datetime.date(2024, 1, 1) + datetime.timedelta(100 * i)
                self.boss.must("PUT", "/api/inspections/" + new_id(), {
                    "bond_id": made, "day": day.isoformat(), "seen_a": "good", "seen_b": "good",
                    "readings": [reading("contact_a", forward_uv=uv, reverse_uv=-uv)]})
        got = propose()
        self.assertEqual((got["series"], got["freedom"], got["now"]), (10, 30, 0))
        self.assertAlmostEqual(got["proposed"], 100 * (6.4e-4 / 2.365973884) ** 0.5, 8)
        self.assertAlmostEqual(got["lag_one"], -0.4, 10)
        self.assertAlmostEqual(got["lag_one_independent"], -0.4, 10)

    def files(self):
        """What stands in the register and its log, byte by byte."""
        return [hashlib.sha256(pathlib.Path(self.register.data, name).read_bytes()).hexdigest()
                for name in ("register.db", "register.db-wal")]

    def test_a_trial_refuses_what_could_not_be_adopted(self):
        book = self.followed()["rulebook"]
        book["from_day"] = self.today
        book["grace_days"] = 300
        got = self.boss.ask("POST", "/api/rulebook/trial", {"rulebook": book})
        self.assertEqual((got.status, got.fields()), (422, ["rulebook.grace_days"]))
        book["grace_days"] = 3
        got = self.boss.ask("POST", "/api/rulebook/trial?progress=12", {"rulebook": book})
        self.assertEqual((got.status, got.fields()), (422, ["progress"]))
        planner = program.Client(self.server, "planner")
        got = planner.ask("POST", "/api/rulebook/trial", {"rulebook": book})
        self.assertEqual(got.status, 403)
        planner.close()

    def test_nothing_is_under_way_under_an_unknown_id(self):
        for method in ("GET", "DELETE"):
            self.assertEqual(self.boss.ask(method, "/api/progress/" + new_id()).status, 404)


if __name__ == "__main__":
    unittest.main()
