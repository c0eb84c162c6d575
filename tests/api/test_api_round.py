"""Rounds: made by a planner, walked by a crew; what became of each follows from what was recorded."""
import datetime
import unittest

import program
from program import inspection, new_id

TODAY = datetime.datetime.now(datetime.timezone.utc).date()


def day(ahead=0):
    return (TODAY + datetime.timedelta(days=ahead)).isoformat()


class Rounds(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.register = program.Register()
        cls.server = program.Server(cls.register)
        cls.boss = program.Client(cls.server, "administrator")
        cls.planner = program.Client(cls.server, "planner")
        cls.crew = program.Client(cls.server, "crew")
        cls.viewer = program.Client(cls.server, "viewer")
        cls.bonds = program.railway(cls.boss, 40)

    @classmethod
    def tearDownClass(cls):
        for client in (cls.boss, cls.planner, cls.crew, cls.viewer):
            client.close()
        code = cls.server.stop()
        content = cls.register.run("check")
        cls.register.remove()
        assert code == 0, code
        assert "content" in content, content

    def body(self, bonds, **more):
        return {"work": "inspect", "crew": "Crew 2", "persons": ["The crew", "Jo Fern"],
                "shift_day": day(), "begins": "23:40", "ends": "03:40", "bonds": bonds, **more}

    def make(self, bonds, **more):
        name = new_id()
        self.planner.must("PUT", f"/api/rounds/{name}", self.body(bonds, **more), status=201)
        return name

    def get(self, name):
        return self.viewer.must("GET", f"/api/rounds/{name}").json

    def say(self, name, step, client=None, **more):
        return (client or self.crew).ask("PUT", f"/api/round-steps/{new_id()}",
                                         {"round": name, "step": step, **more})

    def due(self, bond):
        return next(row for row in self.viewer.rows("due") if row["bond_id"] == bond)

    def test_its_bonds_stand_in_the_order_of_walking_whatever_the_order_they_were_sent_in(self):
        one, two, three = self.bonds[0:3]
        made = self.get(self.make([three, one, two]))
        self.assertEqual([row["bond_id"] for row in made["bond_rows"]], [one, two, three])
        self.assertEqual([row["n"] for row in made["bond_rows"]], [1, 2, 3])
        back = self.get(self.make([three, one, two], from_far_end=True))
        self.assertEqual([row["bond_id"] for row in back["bond_rows"]], [three, two, one])

    def test_the_minutes_of_the_work_stand_beside_those_of_the_shift(self):
        made = self.get(self.make(self.bonds[0:3]))
        # 23:40 to 03:40 is four hours; 4 minutes a bond are usual until the railway says its own
        self.assertEqual((made["shift_minutes"], made["work_minutes"]), (240, 12))
        self.assertEqual((made["state"], made["bonds"], made["done"]), ("planned", 3, 0))
        self.assertEqual(made["persons"], "The crew, Jo Fern")
        self.assertEqual(self.get(self.make(self.bonds[0:3], work="mend"))["work_minutes"], 90)

    def test_the_railways_own_minutes_hold_for_rounds_that_are_made_after(self):
        before = self.make(self.bonds[0:2], work="mend")
        said = {"kind": "rail_joint", "work": "mend", "minutes": 45, "reason": "as timed"}
        self.assertEqual(self.planner.ask("POST", "/api/round-minutes", said).status, 403)
        self.boss.must("POST", "/api/round-minutes", said, status=201)
        self.boss.must("POST", "/api/round-minutes", said, status=200)
        self.assertEqual(self.get(before)["work_minutes"], 60)
        self.assertEqual(self.get(self.make(self.bonds[0:2], work="mend"))["work_minutes"], 90)
        rows = {(row["kind"], row["work"]): row for row in self.viewer.rows("round-minutes")}
        self.assertEqual(len(rows), 18)    # nine kinds, two kinds of work
        self.assertEqual((rows["rail_joint", "mend"]["minutes"], rows["rail_joint", "mend"]["usual"]),
                         (45, False))
        self.assertEqual((rows["structure", "inspect"]["minutes"],
                          rows["structure", "inspect"]["usual"]), (4, True))
        self.boss.must("POST", "/api/round-minutes", {**said, "minutes": 30})

    def test_what_is_wrong_is_said_all_at_once_and_nothing_is_kept(self):
        name = new_id()
        answer = self.planner.ask("PUT", f"/api/rounds/{name}", self.body(
            self.bonds[0:1], begins="25:00", ends="3:40", shift_day=day(-2)))
        self.assertEqual((answer.status, answer.fields()), (422, ["begins", "ends", "shift_day"]))
        answer = self.planner.ask("PUT", f"/api/rounds/{name}", self.body(
            [self.bonds[0], 999999, self.bonds[0]]))
        self.assertEqual(answer.fields(), ["bonds[1]", "bonds[2]"], answer)
        answer = self.planner.ask("PUT", f"/api/rounds/{name}", self.body([], ends="23:40"))
        self.assertEqual(answer.fields(), ["bonds"], answer)
        answer = self.planner.ask("PUT", f"/api/rounds/{name}", self.body(self.bonds[0:1],
                                                                         ends="23:40"))
        self.assertEqual(answer.fields(), ["ends"], answer)
        self.assertEqual(self.viewer.get(f"/api/rounds/{name}").status, 404)
        self.make(self.bonds[0:1], shift_day=day(-1))    # last night's may still be written down

    def test_a_planner_makes_rounds_and_a_crew_takes_them(self):
        self.assertEqual(self.crew.ask("PUT", f"/api/rounds/{new_id()}",
                                       self.body(self.bonds[0:1])).status, 403)
        name = self.make(self.bonds[0:1])
        self.assertEqual(self.say(name, "taken", self.viewer).status, 403)
        self.assertEqual(self.say(name, "withdrawn", said="rain").status, 403)
        self.assertEqual(self.say(name, "wish", said="leave the last").status, 403)
        self.assertEqual(self.say(name, "taken").status, 201)

    def test_sent_twice_it_is_kept_once(self):
        name, body = new_id(), self.body(self.bonds[0:2])
        self.planner.must("PUT", f"/api/rounds/{name}", body, status=201)
        self.assertTrue(self.planner.must("PUT", f"/api/rounds/{name}", body, status=200)
                        .json["already"])
        self.assertEqual(len(self.get(name)["bond_rows"]), 2)
        self.assertEqual(self.planner.ask("PUT", f"/api/rounds/{name}",
                                          {**body, "crew": "Crew 3"}).status, 409)

    def test_its_state_follows_from_what_was_said_and_recorded(self):
        name = self.make(self.bonds[3:5])
        self.assertEqual(self.get(name)["state"], "planned")
        self.say(name, "taken")
        self.assertEqual(self.get(name)["state"], "taken")
        # work came in although nobody said that it began
        self.crew.must("PUT", f"/api/inspections/{new_id()}",
                       inspection(self.bonds[3], day(), round=name))
        made = self.get(name)
        self.assertEqual((made["state"], made["done"]), ("under_way", 1))
        self.say(name, "begun", said="eye shields lent", kit="K-1", possession="J. Moor, 23:31")
        self.say(name, "done")
        made = self.get(name)
        self.assertEqual(made["state"], "done")
        self.assertEqual([step["step"] for step in made["steps"]], ["done", "begun", "taken"])
        self.assertEqual(made["steps"][1]["possession"], "J. Moor, 23:31")
        self.assertEqual([row["uuid"] for row in self.viewer.rows("rounds", "state=done")
                          if row["uuid"] == name], [name])

    def test_a_withdrawal_has_its_reason_and_loses_nothing_that_a_crew_records(self):
        name = self.make(self.bonds[5:7])
        self.assertEqual(self.say(name, "withdrawn", self.planner).fields(), ["said"])
        self.assertEqual(self.say(name, "withdrawn", self.planner, said="no possession").status, 201)
        made = self.get(name)
        self.assertEqual((made["state"], made["withdrawn_why"]), ("withdrawn", "no possession"))
        self.crew.must("PUT", f"/api/inspections/{new_id()}",
                       inspection(self.bonds[5], day(), round=name))
        made = self.get(name)
        self.assertEqual((made["state"], made["done"]), ("withdrawn", 1))
        self.say(name, "done")
        self.assertEqual(self.get(name)["state"], "done")
        answer = self.say(name, "withdrawn", self.planner, said="too late")
        self.assertEqual((answer.status, answer.fields()), (422, ["step"]))

    def test_a_wish_is_shown_beside_the_round(self):
        name = self.make(self.bonds[7:9])
        self.say(name, "wish", self.planner, said="begin at the far end")
        self.say(name, "wish", self.planner, said="leave the second")
        self.assertEqual(self.get(name)["wish"], "leave the second")

    def test_what_was_not_reached_stays_due_with_its_reason_until_it_is_visited(self):
        bond = self.bonds[9]
        before = self.due(bond)
        name = self.make([bond])
        self.assertEqual((self.due(bond)["round_day"], self.due(bond)["round_crew"]),
                         (day(), "Crew 2"))
        self.crew.must("PUT", f"/api/inspections/{new_id()}",
                       {"bond_id": bond, "day": day(), "outcome": "not_reached",
                        "note": "train in the section", "round": name})
        made = self.get(name)
        self.assertEqual((made["done"], made["not_reached"]), (0, 1))
        self.assertEqual((made["bond_rows"][0]["stands"], made["bond_rows"][0]["why_not"]),
                         ("not_reached", "train in the section"))
        self.say(name, "done")
        after = self.due(bond)
        self.assertEqual(after["not_reached"], "train in the section")
        self.assertIsNone(after["round_day"])
        self.assertEqual((after["due_day"], after["state"]), (before["due_day"], before["state"]))

    def test_another_visit_than_the_rounds_own_does_not_count_as_its_work(self):
        name = self.make(self.bonds[10:12])
        self.crew.must("PUT", f"/api/inspections/{new_id()}", inspection(self.bonds[10], day()))
        self.assertEqual(self.get(name)["done"], 0)

    def test_in_a_round_for_mending_what_was_only_looked_at_is_not_done(self):
        looked, proved, repaired = self.bonds[12:15]
        name = self.make([looked, proved, repaired], work="mend")
        failed = new_id()
        self.crew.must("PUT", f"/api/failures/{failed}", {"bond_id": repaired, "found_day": day(),
                                                          "mode": "burnt", "round": name})
        self.crew.must("PUT", f"/api/inspections/{new_id()}", inspection(looked, day(), round=name))
        self.crew.must("PUT", f"/api/inspections/{new_id()}",
                       inspection(proved, day(), purpose="after_works", round=name))
        self.crew.must("PUT", f"/api/repairs/{new_id()}",
                       {"failure": failed, "day": day(), "how": "new lug", "round": name})
        made = self.get(name)
        self.assertEqual([row["stands"] for row in made["bond_rows"]], ["partly", "done", "done"])
        self.assertEqual((made["done"], made["partly"], made["failures"]), (2, 1, 1))

    def test_a_correction_stays_in_its_round_and_a_withdrawn_visit_leaves_the_bond_open(self):
        bond = self.bonds[15]
        name, first, second = self.make([bond]), new_id(), new_id()
        self.crew.must("PUT", f"/api/inspections/{first}", inspection(bond, day(), round=name))
        self.crew.must("PUT", f"/api/inspections/{second}",
                       inspection(bond, day(), corrects=first, note="the other lug"))
        self.assertEqual(self.get(name)["done"], 1)
        for entry in (second, first):
            self.crew.must("PUT", f"/api/withdrawals/{new_id()}",
                           {"entry": "inspection", "entry_id": entry, "reason": "another bond"})
        made = self.get(name)
        self.assertEqual((made["done"], made["bond_rows"][0]["stands"]), (0, "open"))

    def test_of_two_crews_on_one_bond_both_results_stay_and_each_round_shows_its_own(self):
        bond = self.bonds[2]
        first, second = self.make([bond]), self.make([bond], crew="Crew 3")
        one, two = new_id(), new_id()
        self.crew.must("PUT", f"/api/inspections/{one}", inspection(bond, day(), round=first))
        self.crew.must("PUT", f"/api/inspections/{two}", inspection(
            bond, day(), round=second, seen_b="corroded"))
        rows = {row["uuid"]: row for row in self.viewer.rows("inspections", f"bond={bond}")}
        self.assertEqual([(rows[name]["seen_b"], rows[name]["replaced"]) for name in (one, two)],
                         [("good", False), ("corroded", False)])
        for name in (first, second):
            self.assertEqual(self.get(name)["done"], 1)

    def test_a_round_that_is_not_known_is_said(self):
        answer = self.crew.ask("PUT", f"/api/inspections/{new_id()}",
                               inspection(self.bonds[16], day(), round=new_id()))
        self.assertEqual((answer.status, answer.fields()), (422, ["round"]))

    def test_a_temporary_bridge_is_counted_until_it_is_off(self):
        bond, bridge, off = self.bonds[17], new_id(), new_id()
        name = self.make([bond])
        self.crew.must("PUT", f"/api/bridges/{bridge}",
                       {"bond_id": bond, "on_day": day(-3), "round": name,
                        "place": "rail to rail, 2 m before the joint"})
        row = self.viewer.rows("bridges", f"on=yes&bond={bond}")[0]
        self.assertEqual((row["on"], row["age_days"], row["crew"]), (True, 3, "Crew 2"))
        self.assertEqual(self.get(name)["bridges"], 1)
        answer = self.crew.ask("PUT", f"/api/bridges-off/{off}", {"bridge": bridge,
                                                                  "off_day": day(-4)})
        self.assertEqual((answer.status, answer.fields()), (422, ["off_day"]))
        self.crew.must("PUT", f"/api/bridges-off/{off}", {"bridge": bridge, "off_day": day()})
        self.assertEqual(self.viewer.rows("bridges", f"on=yes&bond={bond}"), [])
        self.assertEqual(self.get(name)["bridges"], 0)
        answer = self.crew.ask("PUT", f"/api/bridges-off/{new_id()}", {"bridge": bridge,
                                                                       "off_day": day()})
        self.assertEqual(answer.fields(), ["bridge"])
        # said wrongly: it is on again
        self.crew.must("PUT", f"/api/withdrawals/{new_id()}",
                       {"entry": "bridge_off", "entry_id": off, "reason": "it was another one"})
        self.assertEqual(len(self.viewer.rows("bridges", f"on=yes&bond={bond}")), 1)
        self.crew.must("PUT", f"/api/withdrawals/{new_id()}",
                       {"entry": "bridge", "entry_id": bridge, "reason": "never put on"})
        row = self.viewer.rows("bridges", f"bond={bond}")[0]
        self.assertEqual((row["on"], row["withdrawn"], row["age_days"]), (False, True, None))


if __name__ == "__main__":
    unittest.main()
