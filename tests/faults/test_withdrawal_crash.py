"""The server is killed while an import is withdrawn: its file counts as a whole or not at all, in
every list, and after the next start a withdrawal that was begun goes on to its end.

The seed is printed; BONDBOOK_SEED repeats another run, BONDBOOK_KILLS says how many kills.
"""
import datetime
import http.client
import os
import random
import threading
import time
import unittest
import uuid

import importing
import program
import sending

SEED = os.environ.get("BONDBOOK_SEED", "20264")
KILLS = int(os.environ.get("BONDBOOK_KILLS", "100" if os.environ.get("BONDBOOK_LONG") else "10"))
BONDS, EACH, CLIENTS = 40, 15, 2
ROWS = 2 * BONDS * EACH

COUNTS = ("SELECT count(*) FROM inspection i WHERE i.import_id = {0} AND NOT EXISTS (SELECT 1 FROM "
          "correction_open o WHERE o.noun = 0 AND o.row_id = i.id AND (o.import_id = 0 OR EXISTS "
          "(SELECT 1 FROM withdrawal w WHERE w.noun = 8 AND w.row_id = o.import_id)))")


class WithdrawalCrash(unittest.TestCase):
    def setUp(self):
        print("seed", SEED, flush=True)
        self.random = random.Random(SEED)
        self.register = program.Register()
        self.addCleanup(self.register.remove)
        server = program.Server(self.register)
        boss = program.Client(server, "administrator")
        self.bonds = program.railway(boss, BONDS)
        self.cookie = boss.cookie
        boss.close()
        self.assertEqual(server.stop(), 0)

    def bring(self, round_):
        """A file of its own in each round, taken to its end; its import's number."""
        first = datetime.date(2020, 4, 10) + datetime.timedelta(days=EACH * round_)
        self.days = f"from={first}&to={first + datetime.timedelta(days=EACH - 1)}"
        client = program.Client(self.server, cookie=self.cookie)
        answer = client.must("POST", importing.path("log.csv"),
                             importing.visits(BONDS, EACH, f"log {round_}", first), 200,
                             importing.CSV).json
        self.assertEqual(answer["added"], ROWS)
        self.until_done(client, (EACH,))
        client.close()
        return answer["import_id"]

    def withdraw(self, id_, import_):
        """In a thread: the answer, or None when the server died under it."""
        answers = []

        def send():
            client = program.Client(self.server, cookie=self.cookie)
            try:
                answers.append(client.ask("PUT", f"/api/withdrawals/{id_}", {
                    "entry": "import", "import_id": import_, "reason": "Another meter."}).status)
            except (OSError, http.client.HTTPException, ValueError):
                pass                # a killed server answers with half a line
            client.close()

        thread = threading.Thread(target=send)
        thread.start()
        return thread, answers

    def counted(self, client):
        """Of one bond, on the days of the file: what counts in the lists that everybody sees."""
        query = f"bond={self.bonds[-1]}&{self.days}"
        return len([row for row in client.rows("inspections", query) if not row["replaced"]])

    def is_done(self, client):
        following = client.must("GET", "/api/rulebook/following").json
        return following["import"] is None and following["followed"] and all(
            row["standing"] in ("counts", "ended")
            for row in client.must("GET", "/api/imports?limit=1000").json["rows"])

    def until_done(self, client, counts):
        deadline = time.monotonic() + 120
        done = False
        while not done:
            self.assertLess(time.monotonic(), deadline)
            done = self.is_done(client)
            self.assertIn(self.counted(client), counts)

    def look_at_dead(self, import_):
        self.assertIn("content", self.register.run("check"))
        counts = self.register.query(COUNTS.format(import_))[0][0]
        withdrawn = self.register.query(
            f"SELECT count(*) FROM withdrawal WHERE noun = 8 AND row_id = {import_}")[0][0]
        begun = self.register.query(
            f"SELECT count(*) FROM withdrawal_begun WHERE import_id = {import_}")[0][0]
        ready = self.register.query(
            f"SELECT count(*) FROM correction_open WHERE import_id = {import_}")[0][0]
        following = self.register.query(
            "SELECT max(value) FROM derived_mark WHERE name = 'withdrawn'")
        self.assertEqual(counts, 0 if withdrawn else BONDS * EACH)
        return "not begun" if not begun else "not all made again" if following[0][0] else \
            "done" if withdrawn else "in part" if ready else "nothing yet"

    def test_killed_at_any_moment_all_of_a_file_counts_or_nothing_of_it(self):
        states, unsure, acknowledged, whole_s = [], [], [], 0.5
        for round_ in range(KILLS):
            self.server = program.Server(self.register)
            import_ = self.bring(round_)
            senders = sending.send_all(self.server.port, self.cookie, self.bonds[:-9],
                                       f"{SEED}/{round_}", CLIENTS, unsure, 0.01)
            id_ = str(uuid.UUID(int=self.random.getrandbits(128), version=4))
            began = time.monotonic()
            thread, answers = self.withdraw(id_, import_)
            if round_ == 0:     # how long it takes beside them
                thread.join()
                client = program.Client(self.server, cookie=self.cookie)
                self.until_done(client, (0, EACH))
                client.close()
                whole_s = time.monotonic() - began
            else:
                time.sleep(self.random.uniform(0, 1.2 * whole_s))
            self.server.kill()
            thread.join()
            now, unsure = sending.stop_all(senders)
            acknowledged += now
            states.append(self.look_at_dead(import_))
            if answers:
                self.assertIn(answers[0], (200, 201))
                self.assertNotEqual(states[-1], "not begun")
            self.carry_on(id_, import_, states[-1] != "not begun")
        print("kills by what was there then:", {s: states.count(s) for s in sorted(set(states))},
              flush=True)
        self.assertEqual(self.register.query("PRAGMA integrity_check"), [("ok",)])
        self.assertEqual(self.register.query("SELECT count(*) FROM better_watch"), [(0,)])

    def carry_on(self, id_, import_, was_begun):
        """It goes on by itself; who sends it again has withdrawn it once."""
        self.server = program.Server(self.register)
        client = program.Client(self.server, cookie=self.cookie)
        if was_begun:
            self.until_done(client, (0, EACH))
            self.assertEqual(self.counted(client), 0)
        thread, answers = self.withdraw(id_, import_)
        thread.join()
        self.assertEqual(answers, [200 if was_begun else 201])
        self.until_done(client, (0, EACH))
        self.assertEqual(self.counted(client), 0)
        row = client.must("GET", f"/api/withdrawals/{id_}").json
        self.assertEqual((row["import_id"], row["under_way"]), (import_, False))
        client.close()
        self.assertEqual(self.server.stop(), 0)
        self.assertIn("content", self.register.run("check"))
        self.assertEqual(self.register.query(COUNTS.format(import_)), [(0,)])


if __name__ == "__main__":
    unittest.main()
