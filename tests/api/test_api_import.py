"""A file is tried and taken while crews save, whether its browser waits or not."""
import datetime
import os
import sqlite3
import time
import unittest

import importing
import program

BONDS, EACH = 30, 25


class Import(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.register = program.Register()
        cls.server = program.Server(cls.register)
        cls.boss = program.Client(cls.server, "administrator")
        cls.bonds = program.railway(cls.boss, BONDS)
        cls.planner = program.Client(cls.server, "planner")
        cls.crew = program.Client(cls.server, "crew")

    @classmethod
    def tearDownClass(cls):
        for client in (cls.boss, cls.planner, cls.crew):
            client.close()
        code = cls.server.stop()
        try:
            assert code == 0, code
            assert "content" in cls.register.run("check")
            assert os.listdir(cls.register.data + "/imports") == []
        finally:
            cls.register.remove()

    def send(self, *args, **more):
        return importing.Sending(self.server, self.planner.cookie, *args, **more)

    def is_under_way(self, id_):
        return self.planner.get("/api/progress/" + id_).status == 200

    def until(self, what):
        deadline = time.monotonic() + 120
        while not what():
            self.assertLess(time.monotonic(), deadline)
            time.sleep(0.01)

    def saved_meanwhile(self, id_):
        """How many visits a crew can save until the request is answered."""
        saved = 0
        self.until(lambda: self.is_under_way(id_))
        while True:
            self.crew.must("PUT", "/api/inspections/" + program.new_id(),
                           program.inspection(self.bonds[saved % BONDS], day="2025-03-31"), 201)
            if not self.is_under_way(id_):
                return saved
            saved += 1

    def test_crews_save_while_a_file_is_tried_and_while_it_is_taken(self):
        file = importing.visits(BONDS, EACH, "a", datetime.date(2022, 1, 1))
        for dry in (True, False):
            id_ = program.new_id()
            sending = self.send(file, "a.csv", dry=dry, progress=id_)
            self.assertGreater(self.saved_meanwhile(id_), 0)
            sending.join()
            got = sending.answer.json
            self.assertEqual((got["dry_run"], got["added"], got["already"], got["wrong"]),
                             (dry, 2 * BONDS * EACH, 0, 0), got)
            self.assertIn("no_meter", [f["what"] for f in got["findings"]])
        [row] = [r for r in self.planner.rows("imports") if r["file_name"] == "a.csv"]
        self.assertEqual((row["id"], row["standing"], row["rows"], row["added"]),
                         (got["import_id"], "counts", 2 * BONDS * EACH, 2 * BONDS * EACH))
        self.assertEqual(len(self.crew.rows("inspections", f"bond={self.bonds[0]}&from=2022-01-01&to=2022-12-31")),
                         EACH)

    def test_two_at_once_come_one_after_the_other(self):
        files = [importing.visits(BONDS, 10, log) for log in ("b", "b", "c")]
        all_ = [self.send(file, "b.csv") for file in files]
        for one in all_:
            one.join()
        self.assertEqual([one.answer.status for one in all_], [200] * 3, [o.answer for o in all_])
        counts = sorted((one.answer.json["added"], one.answer.json["already"]) for one in all_)
        rows = 2 * BONDS * 10
        self.assertEqual(counts, [(0, rows), (rows, 0), (rows, 0)])

    def test_one_whose_browser_goes_away_is_taken(self):
        file = importing.visits(BONDS, EACH, "d")
        sending = self.send(file, "d.csv")
        mine = lambda: [r for r in self.planner.rows("imports") if r["file_name"] == "d.csv"]
        self.until(mine)
        sending.client.link.sock.shutdown(2)
        sending.join()
        self.until(lambda: mine()[0]["standing"] == "counts")
        self.assertEqual(mine()[0]["added"], 2 * BONDS * EACH)

    def test_one_that_is_withdrawn_meanwhile_takes_nothing_and_says_so(self):
        last = self.planner.rows("imports")
        number = max((r["id"] for r in last), default=0) + 1
        body = {"entry": "import", "import_id": number, "reason": "Another line's log."}
        sending = self.send(importing.visits(BONDS, EACH, "e"), "e.csv")
        self.until(lambda: self.boss.ask("PUT", "/api/withdrawals/" + program.new_id(), body
                                         ).status == 201)
        sending.join()
        [row] = [r for r in self.planner.rows("imports") if r["file_name"] == "e.csv"]
        self.assertEqual((row["id"], row["withdrawn"]), (number, True))
        seen = self.crew.rows("inspections", f"bond={self.bonds[0]}&to=2024-01-01")
        if row["standing"] == "ended":       # (it may have been too late)
            self.assertEqual(sending.answer.status, 409, sending.answer)
            self.assertIn("withdrawn before it was done", sending.answer.json["detail"])
            link = sqlite3.connect(self.register.data + "/register.db")
            theirs = {uuid for uuid, in link.execute("SELECT uuid FROM inspection "
                                                     f"WHERE import_id = {number}")}
            link.close()
            self.assertEqual([r for r in seen if r["uuid"] in theirs], [])

    def test_a_trial_says_what_the_import_then_says(self):
        """A row that repeats another, one of a bond that is not there, one to come, all in one."""
        rows = importing.visits(2, 3, "f").decode().splitlines()
        rows += [rows[1], "B99999,2021-02-01,contact_a,5,f", "B00001,2999-01-01,contact_a,5,f",
                 "B00002,2021-02-02,contact_a,0.0001,f"]
        file = ("\n".join(rows) + "\n").encode()
        settings = {**importing.SETTINGS, "leave_wrong_out": True}
        answers = [self.planner.must("POST", importing.path("f.csv", dry=dry, settings=settings),
                                     file, 200, importing.CSV).json for dry in (True, False)]
        for one in answers:
            self.assertEqual((one["rows"], one["added"], one["already"], one["repeated"],
                              one["wrong"]), (16, 13, 1, 1, 2), one)
            del one["dry_run"]
            one.pop("import_id", None)
        self.assertEqual(*answers)

    def test_what_is_taken_at_once_is_short(self):
        """A crew would wait for all of it: lines, tracks and maps, and what changes known bonds."""
        plain = {name: importing.SETTINGS[name] for name in ("separator", "encoding", "decimal")}
        of = {"lines": {"columns": [{"field": "code", "column": "code"},
                                    {"field": "name", "column": "code"},
                                    {"field": "notation", "constant": "km_m"},
                                    {"field": "electrification", "constant": "ac"}], **plain},
              "tracks": {"columns": [{"field": "line", "constant": "VAL"},
                                     {"field": "name", "column": "code"}], **plain}}
        for kind, most in (("lines", 2500), ("tracks", 5000)):
            for rows in (most, most + 1):
                file = ("code\n" + "".join(f"N{n:05}\n" for n in range(rows))).encode()
                got = self.boss.ask("POST", importing.path("g.csv", dry=True, kind=kind,
                                                           settings=of[kind]), file, importing.CSV)
                if rows == most:
                    self.assertEqual((got.status, got.json.get("added")), (200, rows), got.json)
                else:
                    self.assertEqual(got.status, 422, got.json)
                    self.assertIn(f"may have {most} rows at most, and this one has {rows}: give it "
                                  "in parts", got.json["detail"])

    def standing(self, first):
        """How many visits from this day on count, of the bond that comes last in a file."""
        last = first + datetime.timedelta(days=EACH - 1)
        rows = self.crew.rows("inspections", f"bond={self.bonds[-1]}&from={first}&to={last}")
        return sum(not row["withdrawn"] for row in rows)

    def test_one_is_withdrawn_while_another_comes_in(self):
        """Either is there as a whole or not at all at every look, and the content is right."""
        first, second = datetime.date(2023, 1, 1), datetime.date(2023, 6, 1)
        took = self.planner.must("POST", importing.path("h.csv"),
                                 importing.visits(BONDS, EACH, "h", first), 200, importing.CSV).json
        body = {"entry": "import", "import_id": took["import_id"], "reason": "Another line's log."}
        sending = self.send(importing.visits(BONDS, EACH, "i", second), "i.csv")
        self.until(lambda: [r for r in self.planner.rows("imports") if r["file_name"] == "i.csv"])
        asked = self.boss.ask("PUT", "/api/withdrawals/" + program.new_id(), body)
        self.assertIn(asked.status, (200, 201, 202), asked)
        seen = set()
        while sending.is_alive() or self.standing(first) > 0:
            seen.add((self.standing(first), self.standing(second)))
        sending.join()
        self.assertEqual(sending.answer.json["added"], 2 * BONDS * EACH)
        self.assertTrue(seen <= {(h, i) for h in (0, EACH) for i in (0, EACH)}, seen)
        self.assertEqual((self.standing(first), self.standing(second)), (0, EACH))
        again = self.planner.must("POST", importing.path("h.csv"),
                                  importing.visits(BONDS, EACH, "h", first), 200, importing.CSV).json
        self.assertEqual((again["added"], again["wrong"]), (2 * BONDS * EACH, 0))   # it counts anew


if __name__ == "__main__":
    unittest.main()
