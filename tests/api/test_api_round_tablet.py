"""What a tablet takes along of a round: whole, small, and the same as the server would answer."""
import datetime
import gzip
import json
import unittest

import program
from program import inspection, new_id, reading

TODAY = datetime.datetime.now(datetime.timezone.utc).date()
BONDS = 60
MOST_BYTES = 300_000         # of a round of 60 bonds with three years of history, as sent


def day(ahead=0):
    return (TODAY + datetime.timedelta(days=ahead)).isoformat()


class RoundOnATablet(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.register = program.Register()
        cls.server = program.Server(cls.register)
        cls.boss = program.Client(cls.server, "administrator")
        cls.bonds = program.railway(cls.boss, BONDS + 2)
        cls.people = {row["login"]: row["id"] for row in cls.boss.rows("people")}
        cls.boss.must("POST", "/api/kits", {"code": "K-1", "name": "Brazing kit"})
        cls.history()
        cls.round = new_id()
        cls.boss.must("PUT", f"/api/rounds/{cls.round}", {
            "work": "inspect", "crew": "Crew 2", "persons": ["The crew", "Jo Fern"],
            "shift_day": day(), "begins": "23:40", "ends": "03:40",
            "bonds": list(reversed(cls.bonds[:BONDS]))})
        answer = cls.boss.must("GET", f"/api/rounds/{cls.round}/tablet",
                               headers={"Accept-Encoding": "gzip"})
        cls.sent = len(answer.body)
        cls.got = json.loads(gzip.decompress(answer.body))

    @classmethod
    def history(cls):
        """Six visits in three years, the readings never the same twice, and one before that."""
        for n, bond in enumerate(cls.bonds[:BONDS]):
            for visit, ago in enumerate((1250, 1000, 820, 640, 460, 280, 100)):
                volts = [round(50 + (n * 7 + visit * 13 + end * 29) % 37 / 10, 1) for end in (0, 1)]
                cls.boss.must("PUT", f"/api/inspections/{new_id()}", inspection(
                    bond, day(-ago), note=f"visit {visit} of {n}", readings=[
                        reading("contact_a", forward_uv=volts[0], reverse_uv=-volts[0]),
                        reading("contact_b", forward_uv=volts[1], reverse_uv=-volts[1])]))
        cls.old_failure = new_id()
        cls.boss.must("PUT", f"/api/failures/{cls.old_failure}",
                      {"bond_id": cls.bonds[0], "found_day": day(-1500), "mode": "burnt"})

    @classmethod
    def tearDownClass(cls):
        cls.boss.close()
        code = cls.server.stop()
        cls.register.remove()
        assert code == 0, code

    def of(self, bond):
        return next(one for one in self.got["bonds"] if one["bond_id"] == bond)

    def test_it_is_small_enough_for_a_slow_link(self):
        self.assertEqual(len(self.got["bonds"]), BONDS)
        self.assertLessEqual(self.sent, MOST_BYTES)

    def test_its_bonds_are_those_of_the_round_in_the_order_of_walking(self):
        self.assertEqual([one["bond_id"] for one in self.got["bonds"]], self.bonds[:BONDS])
        self.assertEqual([row["bond_id"] for row in self.got["bond_rows"]], self.bonds[:BONDS])
        self.assertEqual(self.got["round"]["uuid"], self.round)
        self.assertEqual(self.got["today"], day())

    def test_a_bond_is_known_as_the_server_knows_it(self):
        for bond in (self.bonds[0], self.bonds[BONDS - 1]):
            known = self.boss.get(f"/api/bonds/{bond}/tablet").json
            mine = {**self.of(bond)["known"], "instruments": self.got["meters"]}
            self.assertEqual(mine, known)
            self.assertEqual(self.of(bond)["rail"], self.boss.get(f"/api/bonds/{bond}/rail").json)

    def test_three_years_of_history_are_there_and_what_is_open_however_old(self):
        one = self.of(self.bonds[0])
        self.assertEqual(len(one["inspections"]), 6)
        self.assertEqual(len(one["readings"]), 12)
        self.assertEqual(one["failures"], [])
        self.assertEqual([row["uuid"] for row in one["failures_open"]], [self.old_failure])

    def test_the_rulebook_is_the_one_in_force(self):
        self.assertEqual(self.got["rulebook"]["limits"],
                         self.boss.get("/api/rulebook").json["rulebook"]["limits"])

    def test_the_crew_its_competences_its_kits_and_the_bridges_of_its_lines_are_there(self):
        crew = self.people["crew"]
        for last in (day(-10), day(90)):      # what is said last counts
            self.boss.must("POST", "/api/competences",
                           {"person_id": crew, "what": "brazing", "expires_day": last})
        self.boss.must("POST", "/api/competences",
                       {"person_id": self.people["viewer"], "what": "brazing"})
        self.boss.must("POST", "/api/kit-services", {"kit": "K-1", "serviced_day": day(-30),
                                                     "due_day": day(150)})
        self.boss.must("PUT", f"/api/bridges/{new_id()}",
                       {"bond_id": self.bonds[BONDS + 1], "on_day": day(-2), "place": "rail to rail"})
        got = self.boss.get(f"/api/rounds/{self.round}/tablet").json
        self.assertEqual([(row["number"], row["name"]) for row in got["persons"]],
                         [(crew, "The crew"), (None, "Jo Fern")])
        self.assertEqual([(row["number"], row["what"], row["expires_day"])
                          for row in got["competences"]], [(crew, "brazing", day(90))])
        self.assertEqual([(row["code"], row["service_due_day"]) for row in got["kits"]],
                         [("K-1", day(150))])
        self.assertEqual([(row["bond_id"], row["age_days"]) for row in got["bridges"]],
                         [(self.bonds[BONDS + 1], 2)])

    def test_what_cannot_be_of_competences_and_services_is_refused(self):
        for path, body, fields in (
                ("competences", {"person_id": 99999, "what": "brazing"}, ["person_id"]),
                ("kit-services", {"kit": "K-9", "serviced_day": day(1), "due_day": day(1)},
                 ["due_day", "kit", "serviced_day"])):
            answer = self.boss.ask("POST", f"/api/{path}", body)
            self.assertEqual(answer.fields(), fields, answer)

    def test_a_competence_holds_on_its_last_day(self):
        who = self.people["planner"]
        self.boss.must("POST", "/api/competences", {"person_id": who, "what": "a", "expires_day": day()})
        self.boss.must("POST", "/api/competences", {"person_id": who, "what": "b", "expires_day": day(-1)})
        ended = self.boss.rows("competences", f"person={who}&ended=yes")
        self.assertEqual([row["what"] for row in ended], ["b"])

    def test_what_is_cut_at_a_thousand_rows_is_said(self):
        for n in range(998):
            self.boss.must("POST", "/api/kits", {"code": f"X-{n}", "name": "Kit"})
        path = f"/api/rounds/{self.round}/tablet"
        self.assertNotIn("kits_cut", self.boss.get(path).json)
        self.boss.must("POST", "/api/kits", {"code": "Y-1", "name": "Kit"})
        got = self.boss.get(path).json
        self.assertIs(got["kits_cut"], True)
        self.assertEqual(len(got["kits"]), 1000)

    def test_no_round_no_package(self):
        self.assertEqual(self.boss.get(f"/api/rounds/{new_id()}/tablet").status, 404)


if __name__ == "__main__":
    unittest.main()
