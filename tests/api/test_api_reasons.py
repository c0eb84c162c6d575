"""What needs somebody's reason on record: a deferral of what is to be mended, a correction that makes
a bond better, an engineer's word.

The joint bonds of program.bond are proved by both contacts (limit 13 µΩ) and by sight."""
import datetime
import json
import unittest
from urllib.parse import quote

import program
from program import bond, inspection, new_id, reading

TODAY = datetime.datetime.now(datetime.timezone.utc).date()


def day(days_ago):
    return (TODAY - datetime.timedelta(days_ago)).isoformat()


def contact(uohm, end="a"):
    return reading("contact_" + end, forward_uv=uohm * 10, reverse_uv=-uohm * 10)


class Reasons(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.register = program.Register()
        cls.server = program.Server(cls.register)
        cls.engineer = program.Client(cls.server, "manager")
        cls.planner = program.Client(cls.server, "planner")
        cls.crew = program.Client(cls.server, "crew")
        program.railway(cls.engineer)
        cls.made = 0

    @classmethod
    def tearDownClass(cls):
        for client in (cls.engineer, cls.planner, cls.crew):
            client.close()
        code = cls.server.stop()
        content = cls.register.run("check")
        cls.register.remove()
        assert code == 0, code
        assert "content" in content, content

    def new_bond(self, **more):
        type(self).made += 1
        return self.engineer.must("POST", "/api/bonds", bond(
            f"R{self.made}", f"{self.made}+000", **more)).json["id"]

    def put(self, client, noun, body, status=201):
        """Recorded under an id of its own, which it gives with the answer."""
        uuid = new_id()
        return uuid, client.must("PUT", f"/api/{noun}/{uuid}", body, status).json

    def state(self, bond_id):
        return self.crew.get(f"/api/bonds/{bond_id}").json

    def to_mend(self, bond_id):
        return {r["words"]: r["key"]
                for r in self.crew.get(f"/api/bonds/{bond_id}/judgement").json["to_mend"]}

    def failure(self, bond_id, found_day, mode, client=None, **more):
        return self.put(client or self.crew, "failures",
                        {"bond_id": bond_id, "found_day": found_day, "mode": mode, **more})

    # ---- deferrals

    def deferral(self, bond_id, names, until=200):
        return {"bond_id": bond_id, "until_day": day(-until), "reason": "No possession.",
                "names": [{"key": key} for key in names]}

    def test_what_is_to_be_mended_is_put_off_only_by_naming_each_of_it(self):
        one = self.new_bond()
        self.put(self.crew, "inspections", inspection(
            one, day(40), readings=[contact(16), contact(5, "b")]))
        self.failure(one, day(30), "lug_cracked", end="a")
        there = self.to_mend(one)
        end = self.state(one)["ends"][0]["short"]
        over, cracked = f"contact at {end} over its limit", f"failure: lug cracked, {end}"
        self.assertEqual(sorted(there), [over, cracked])
        where = "/api/deferrals/" + new_id()
        answer = self.planner.ask("PUT", where, self.deferral(one, []))
        self.assertEqual((answer.status, answer.fields()), (422, ["names", "names"]), answer)
        said = [e["detail"] for e in answer.json["errors"]]
        for words in there:
            self.assertEqual(len([s for s in said if words in s]), 1, said)
        one_of_two = [there[cracked]]
        answer = self.planner.ask("PUT", where, self.deferral(one, one_of_two))
        self.assertEqual(answer.fields(), ["names"])
        self.assertIn(over, answer.json["errors"][0]["detail"])
        self.assertEqual(self.state(one)["due"]["state"], "overdue", "nothing is kept")
        self.planner.must("PUT", where, self.deferral(one, there.values()), 201)
        self.assertEqual((self.state(one)["due"]["state"], self.state(one)["grade"]["grade"]),
                         ("deferred", "act"), "a deferral moves no grade")

    def test_a_failure_that_arrives_later_ends_the_deferral_whatever_day_it_carries(self):
        one = self.new_bond()
        self.put(self.planner, "deferrals", self.deferral(one, []))
        self.assertEqual(self.state(one)["due"]["state"], "deferred")
        self.failure(one, day(60), "cable_broken")         # found long before it was decided
        due = self.state(one)["due"]
        self.assertEqual((due["state"], due["deferred_to_day"]), ("overdue", None))
        self.assertIn(one, [r["bond_id"] for r in self.crew.rows("due", "state=overdue")])
        names = self.to_mend(one)
        self.put(self.planner, "deferrals", self.deferral(one, names.values()))
        self.assertEqual(self.state(one)["due"]["state"], "deferred")
        self.failure(one, day(20), "cable_broken")         # the same reason again
        self.assertEqual(self.state(one)["due"]["state"], "deferred")
        self.failure(one, day(20), "detached", end="a")
        self.assertEqual(self.state(one)["due"]["state"], "overdue")

    # ---- better by correction

    def better(self, bond_id, waits=None):
        query = f"bond={bond_id}" + ("" if waits is None else f"&waits={waits}")
        return self.engineer.rows("better-by-correction", query)

    def over(self):
        """A bond that is act, and the visit that made it so."""
        one = self.new_bond()
        return one, *self.put(self.crew, "inspections", inspection(
            one, day(40), readings=[contact(16), contact(5, "b")]))

    def right(self, one, wrong, **more):
        return inspection(one, day(40), corrects=wrong, **more)

    def test_the_author_of_a_slip_corrects_it_with_a_reason_and_it_counts_at_once(self):
        one, wrong, told = self.over()
        self.assertEqual(told["grade"]["grade"], "act")
        answer = self.crew.ask("PUT", "/api/inspections/" + new_id(), self.right(one, wrong))
        self.assertEqual((answer.status, answer.fields()), (422, ["reason"]), answer)
        self.assertIn("sound instead of act", answer.json["detail"])
        self.assertEqual(self.state(one)["grade"]["grade"], "act", "nothing is kept")
        _, told = self.put(self.crew, "inspections", self.right(one, wrong, reason="Typed 16 for 6."))
        self.assertEqual(told["grade"]["grade"], "sound")
        row, = self.better(one)
        self.assertEqual((row["grade_before"], row["grade_after"], row["waits"], row["reason"]),
                         ("act", "sound", False, "Typed 16 for 6."))

    def test_a_correction_for_the_worse_needs_no_reason(self):
        one = self.new_bond()
        wrong, _ = self.put(self.crew, "inspections", inspection(one, day(40)))
        _, told = self.put(self.crew, "inspections", self.right(
            one, wrong, readings=[contact(16), contact(5, "b")]))
        self.assertEqual(told["grade"]["grade"], "act")
        self.assertEqual(self.better(one), [])

    def test_somebody_else_s_entry_is_corrected_for_the_better_once_an_engineer_confirms_it(self):
        one, wrong, _ = self.over()
        uuid, told = self.put(self.planner, "inspections",
                              self.right(one, wrong, reason="The sheet says 5."))
        self.assertEqual(told["grade"]["grade"], "act", "it waits")
        row, = self.better(one, "yes")
        self.assertEqual((row["entry"], row["uuid"], row["waits"]), ("inspection", uuid, True))
        # who is to confirm it can read what both say
        for entry, first in ((wrong, 16), (uuid, 5)):
            said = self.engineer.get("/api/inspections/" + entry).json["reading_rows"]
            self.assertEqual(max(r["forward_uv"] for r in said), max(first * 10, 50))
        confirm = {"kind": "confirms_correction", "entry": "inspection", "entry_id": uuid,
                   "reason": "Seen the sheet."}
        for client in (self.crew, self.planner):
            self.assertEqual(client.ask("PUT", "/api/rulings/" + new_id(), confirm).status, 403)
        self.put(self.engineer, "rulings", confirm)
        self.assertEqual(self.state(one)["grade"]["grade"], "sound")
        self.assertEqual((self.better(one, "yes"), len(self.better(one))), ([], 1))
        again = self.engineer.ask("PUT", "/api/rulings/" + new_id(), confirm)
        self.assertEqual((again.status, again.fields()), (422, ["entry_id"]), again)

    def test_a_failure_and_its_repair_are_corrected_by_the_same_rule(self):
        one = self.new_bond()
        self.put(self.crew, "inspections", inspection(one, day(40)))
        first, _ = self.failure(one, day(30), "burnt")
        _, told = self.put(self.crew, "repairs", {
            "failure": first, "day": day(20), "how": "Brazed anew"})
        self.assertEqual(told["grade"]["grade"], "act", "made good, and not proved since")
        other = self.new_bond()
        moved = {"bond_id": other, "found_day": day(30), "mode": "burnt", "corrects": first}
        answer = self.crew.ask("PUT", "/api/failures/" + new_id(), moved)
        self.assertEqual(answer.fields(), ["reason"], answer)
        uuid, _ = self.put(self.planner, "failures", {**moved, "reason": "It was the next one."})
        # till it is confirmed it counts at neither: the old one stands
        for bond_id, grade in ((one, "act"), (other, "unknown")):
            self.assertEqual(self.state(bond_id)["grade"]["grade"], grade)
        self.assertIn("content", self.register.run("check"))
        self.put(self.engineer, "rulings", {"kind": "confirms_correction", "entry": "failure",
                 "entry_id": uuid, "reason": "Two labels were swapped."})
        # nothing was broken here; there it is made good, and not proved since
        for bond_id, grade in ((one, "sound"), (other, "act")):
            self.assertEqual(self.state(bond_id)["grade"]["grade"], grade)

    # ---- an engineer's word

    def test_an_engineer_clears_an_over_only_with_a_later_reading_within(self):
        one, _, _ = self.over()
        body = {"kind": "clears_over", "bond_id": one, "quantity": "contact_a",
                "reason": "The clip was wet on the first night."}
        self.assertEqual(self.planner.ask("PUT", "/api/rulings/" + new_id(), body).status, 403)
        answer = self.engineer.ask("PUT", "/api/rulings/" + new_id(), {**body, "reason": None})
        self.assertEqual(answer.fields(), ["reason"], answer)
        self.put(self.crew, "inspections", inspection(one, day(30), readings=[
            contact(9), contact(5, "b")]))
        self.assertEqual(self.state(one)["grade"]["grade"], "act", "within alone clears nothing")
        item, = [r for r in self.crew.get(f"/api/bonds/{one}/judgement").json["to_mend"]]
        self.assertEqual(item["quantity"], "contact_a")
        _, told = self.put(self.engineer, "rulings", body)
        self.assertEqual(told["grade"]["grade"], "sound")
        two, _, _ = self.over()
        _, told = self.put(self.engineer, "rulings", {**body, "bond_id": two})
        self.assertEqual(told["grade"]["grade"], "act", "no later reading is within")
        row, = self.engineer.rows("rulings", f"bond={two}")
        self.assertEqual((row["kind"], row["quantity"], row["person"]),
                         ("clears_over", "contact_a", "The manager"))

    def test_an_engineer_accepts_an_attachment_that_the_rules_do_not(self):
        one = self.new_bond()
        attached, _ = self.put(self.crew, "attachments", {
            "bond_id": one, "end": "a", "made_day": day(50), "method": "brazed_pin", "arc_s": 1.0})
        _, told = self.put(self.crew, "inspections", inspection(one, day(40)))
        self.assertEqual((told["grade"]["grade"], told["grade"]["reasons"]),
                         ("watch", ["not_accepted"]))
        _, told = self.put(self.engineer, "rulings", {
            "kind": "accepts_attachment", "entry_id": attached, "reason": "Cut open and looked at."})
        self.assertEqual((told["grade"]["grade"], told["grade"]["reasons"]), ("sound", []))

    def test_ten_years_imported_without_meters_count_once_an_engineer_states_them(self):
        one = self.new_bond(installed_day=f"{TODAY.year - 11}-01-01")
        label = self.state(one)["label"]
        rows = [f"VAL,{label},{TODAY.year - n}-01-15,{quantity},four_wire,{5 + n / 10}"
                for n in range(1, 11) for quantity in ("contact_a", "contact_b")]
        columns = ["line", "bond", "day", "quantity", "method", "shown_uohm"]
        settings = {"separator": "comma", "encoding": "utf_8", "decimal": "point",
                    "day_order": "ymd", "columns": [{"field": c, "column": c} for c in columns]}
        query = f"kind=inspections&settings={quote(json.dumps(settings))}"
        file = "\n".join([",".join(columns), *rows, ""]).encode()
        got = self.planner.ask("POST", "/api/imports?" + query, file, {"Content-Type": "text/csv"})
        self.assertEqual(got.status, 200, got)
        self.assertEqual((got.json["wrong"], got.json["added"]), (0, 20), got)
        last = self.crew.rows("readings", f"bond={one}")
        self.assertEqual({(r["verdict"], r["meter"]) for r in last}, {("none", "not_recorded")})
        number = self.planner.rows("imports")[0]["id"]
        body = {"kind": "states_meter", "import_id": number, "percent": 1, "uohm": 0.5,
                "reason": "Two meters of one kind, calibrated each year."}
        answer = self.engineer.ask("PUT", "/api/rulings/" + new_id(), {**body, "uohm": None})
        self.assertEqual(answer.fields(), ["percent"], answer)
        self.engineer.must("PUT", "/api/rulings/" + new_id(), body, 201)
        self.crew.must("PUT", "/api/inspections/" + new_id(), {
            "bond_id": one, "day": day(1), "seen_a": "good", "seen_b": "good", "cables_whole": 1}, 201)
        last = self.crew.rows("readings", f"bond={one}")
        self.assertEqual({(r["verdict"], r["meter"]) for r in last}, {("within", "stated")})
        self.assertEqual(self.state(one)["grade"]["grade"], "sound")

    def test_only_an_engineer_states_with_a_file_what_its_rows_and_its_meters_were(self):
        label = self.state(self.new_bond(installed_day=f"{TODAY.year - 3}-01-01"))["label"]
        columns = ["line", "bond", "day", "quantity", "method", "shown_uohm"]
        file = ",".join(columns) + f"\nVAL,{label},{TODAY.year - 1}-01-15,contact_a,four_wire,5\n"
        settings = {"separator": "comma", "encoding": "utf_8", "decimal": "point",
                    "day_order": "ymd", "columns": [{"field": c, "column": c} for c in columns],
                    "row_meant": "both_seen", "meter_percent": 1, "meter_uohm": 0.5,
                    "stated_reason": "The depot's one meter; the form asked for both ends."}
        query = f"kind=inspections&settings={quote(json.dumps(settings))}"
        csv = {"Content-Type": "text/csv"}
        got = self.planner.ask("POST", "/api/imports?" + query, file.encode(), csv)
        self.assertEqual(got.status, 403, got)
        self.assertIn("for an engineer to state", got.json["detail"])
        got = self.engineer.ask("POST", "/api/imports?" + query, file.encode(), csv)
        self.assertEqual((got.status, got.json["added"], got.json["findings"]), (200, 1, []), got)
        [last] = [r for r in self.planner.rows("imports") if r["id"] == got.json["import_id"]]
        self.assertEqual(last["row_meant"], "both_seen")
        [ruling] = [r for r in self.planner.rows("rulings", "kind=states_meter")
                    if r["import_id"] == last["id"]]
        self.assertEqual((ruling["percent"], ruling["uohm"], ruling["reason"]),
                         (1, 0.5, settings["stated_reason"]))


if __name__ == "__main__":
    unittest.main()
