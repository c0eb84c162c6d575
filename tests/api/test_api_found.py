"""A bond that is not in the book: kept as it was found, and a bond of the register only when a
planner says so."""
import datetime
import unittest

import program
from program import new_id

TODAY = datetime.datetime.now(datetime.timezone.utc).date().isoformat()


class FoundBonds(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.register = program.Register()
        cls.server = program.Server(cls.register)
        cls.boss = program.Client(cls.server, "administrator")
        cls.crew = program.Client(cls.server, "crew")
        cls.bonds = program.railway(cls.boss, 3)

    @classmethod
    def tearDownClass(cls):
        for client in (cls.boss, cls.crew):
            client.close()
        code = cls.server.stop()
        cls.register.remove()
        assert code == 0, code

    def body(self, **more):
        return {"line": "VAL", "near_bond_id": self.bonds[0], "place": "4 m past B00001",
                "track": "Up", "rail": "left", "kind": "structure", "joins": "rail to mast 12",
                "seen": "lug loose", "measured_uohm": 465, "found_day": TODAY, **more}

    def found(self, **more):
        uuid = new_id()
        self.crew.must("PUT", f"/api/found-bonds/{uuid}", self.body(**more))
        return uuid

    def row(self, uuid):
        return self.boss.rows("found-bonds", f"uuid={uuid}")[0]

    def test_it_is_kept_as_it_was_found_once_and_is_no_bond(self):
        before = self.boss.rows("bonds")
        uuid = self.found()
        self.crew.must("PUT", f"/api/found-bonds/{uuid}", self.body())   # sent again
        rows = self.boss.rows("found-bonds", f"uuid={uuid}")
        self.assertEqual(len(rows), 1)
        self.assertEqual([rows[0][name] for name in ("place", "joins", "seen", "measured_uohm",
                                                     "near", "track", "rail", "open")],
                         ["4 m past B00001", "rail to mast 12", "lug loose", 465, "B00001", "Up",
                          "left", True])
        self.assertEqual(self.boss.rows("bonds"), before)
        other = self.crew.ask("PUT", f"/api/found-bonds/{uuid}", self.body(seen="whole"))
        self.assertEqual(other.status, 409)

    def test_a_planner_says_which_bond_it_is_and_a_crew_does_not(self):
        uuid, answer = self.found(), new_id()
        body = {"found": uuid, "bond_id": self.bonds[1]}
        self.assertEqual(self.crew.ask("PUT", f"/api/found-answers/{answer}", body).status, 403)
        self.boss.must("PUT", f"/api/found-answers/{answer}", body)
        self.assertEqual([self.row(uuid)[name] for name in ("open", "bond_id", "bond")],
                         [False, self.bonds[1], "B00002"])
        again = self.boss.ask("PUT", f"/api/found-answers/{new_id()}", body)
        self.assertEqual(again.status, 409, again)
        back = {"entry": "found_answer", "entry_id": answer, "reason": "it was the other one"}
        self.assertEqual(self.crew.ask("PUT", f"/api/withdrawals/{new_id()}", back).status, 403)
        self.boss.must("PUT", f"/api/withdrawals/{new_id()}", back)
        self.assertEqual([self.row(uuid)[name] for name in ("open", "bond_id")], [True, None])

    def test_that_it_is_none_needs_a_reason(self):
        uuid = self.found()
        answer = self.boss.ask("PUT", f"/api/found-answers/{new_id()}", {"found": uuid})
        self.assertEqual(answer.fields(), ["said"])
        self.boss.must("PUT", f"/api/found-answers/{new_id()}",
                       {"found": uuid, "said": "an earth wire of the signal"})
        self.assertFalse(self.row(uuid)["open"])

    def test_it_waits_again_when_the_bond_that_it_is_was_withdrawn(self):
        uuid = self.found()
        bond = self.boss.must("POST", "/api/bonds", {
            "line": "VAL", "label": "NEW-1", "kind": "structure", "a_chainage": "0+030",
            "a_track": "Up", "a_rail": "left", "b_on": "structure", "b_structure": "Mast 12"}).json
        self.boss.must("PUT", f"/api/found-answers/{new_id()}",
                       {"found": uuid, "bond_id": bond["id"]})
        self.assertFalse(self.row(uuid)["open"])
        self.boss.must("PUT", f"/api/withdrawals/{new_id()}",
                       {"entry": "bond", "entry_number": bond["id"], "reason": "a wrong label"})
        self.assertTrue(self.row(uuid)["open"])

    def test_its_crew_takes_it_back(self):
        uuid = self.found()
        self.crew.must("PUT", f"/api/withdrawals/{new_id()}",
                       {"entry": "found_bond", "entry_id": uuid, "reason": "its plate was there"})
        self.assertEqual([self.row(uuid)[name] for name in ("open", "withdrawn")], [False, True])

    def test_what_cannot_be_is_refused_all_at_once(self):
        answer = self.crew.ask("PUT", f"/api/found-bonds/{new_id()}", self.body(
            line="NONE", round=new_id(), found_day="2999-01-01"))
        self.assertEqual(answer.fields(), ["found_day", "line", "round"], answer)
        answer = self.crew.ask("PUT", f"/api/found-bonds/{new_id()}", {"line": "VAL"})
        self.assertEqual(answer.fields(), ["found_day", "joins", "kind", "place", "seen"], answer)


if __name__ == "__main__":
    unittest.main()
