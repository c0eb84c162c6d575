"""Adopting a rulebook: due days follow it in the background, while everything else is answered."""
import datetime
import time
import unittest

import program
from program import bond


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


if __name__ == "__main__":
    unittest.main()
