"""The server is killed while a file is tried, taken and followed: the file is there as a whole or not at
all, in every list, and after the next start what was begun is carried on.

The seed is printed; BONDBOOK_SEED repeats another run, BONDBOOK_KILLS says how many kills.
"""
import datetime
import os
import random
import time
import unittest

import importing
import program
import sending

SEED = os.environ.get("BONDBOOK_SEED", "20264")
KILLS = int(os.environ.get("BONDBOOK_KILLS", "100" if os.environ.get("BONDBOOK_LONG") else "10"))
BONDS, EACH, CLIENTS = 40, 15, 2
ROWS = 2 * BONDS * EACH
NEW = 300

# inspections of an import that are seen by anybody
SEEN = ("SELECT count(*) FROM inspection i WHERE i.import_id = {0} AND NOT EXISTS (SELECT 1 FROM "
        "correction_open o WHERE o.noun = 0 AND o.row_id = i.id AND o.import_id NOT IN "
        "(SELECT id FROM import))")


class ImportCrash(unittest.TestCase):
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

    def begin(self, round_):
        """A file of its own in each round: its log and days tell it from the others."""
        self.server = program.Server(self.register)
        first = datetime.date(2020, 4, 10) + datetime.timedelta(days=EACH * round_)
        self.file = importing.visits(BONDS, EACH, f"log {round_}", first)
        self.days = f"from={first}&to={first + datetime.timedelta(days=EACH - 1)}"

    def send(self):
        return importing.Sending(self.server, self.cookie, self.file, "log.csv")

    def listed(self, client, name):
        return len(client.rows(name, f"bond={self.bonds[-1]}&{self.days}"))

    def standing(self, client):
        """For who reads that it took too long."""
        return (client.must("GET", "/api/rulebook/following").json,
                client.must("GET", "/api/imports?limit=2").json["rows"])

    def is_done(self, client):
        """Asked in this order: one that counts in between is followed from that moment on."""
        if any(row["standing"] == "under_way"
               for row in client.must("GET", "/api/imports").json["rows"]):
            return False
        following = client.must("GET", "/api/rulebook/following").json
        return following["import"] is None and following["followed"]

    def test_killed_at_any_moment_a_file_is_there_as_a_whole_or_not_at_all(self):
        self.begin(KILLS)
        began = time.monotonic()
        sending_ = self.send()
        sending_.join()
        whole_s = time.monotonic() - began
        self.assertEqual(sending_.answer.json["added"], ROWS)
        self.server.kill()
        self.begun = 1
        states, unsure, acknowledged = [], [], []
        for round_ in range(KILLS):
            self.begin(round_)
            senders = sending.send_all(self.server.port, self.cookie, self.bonds[:-9],
                                       f"{SEED}/{round_}", CLIENTS, unsure, 0.01)
            sending_ = self.send()
            if round_ % 5:      # else while it is tried, mostly
                self.until_begun()
            time.sleep(self.random.uniform(0, 1.5 * whole_s))
            self.server.kill()
            sending_.join()
            now, unsure = sending.stop_all(senders)
            acknowledged += now
            states.append(self.look_at_dead())
            self.carry_on(sending_.answer)
        print("kills by what was there then:", {s: states.count(s) for s in sorted(set(states))},
              flush=True)
        server = program.Server(self.register)
        senders = sending.send_all(server.port, self.cookie, self.bonds[:-9], "end", CLIENTS, unsure)
        time.sleep(0.3)
        now, unsure = sending.stop_all(senders)
        self.assertEqual((server.stop(), unsure), (0, []))
        self.assertEqual(sending.faults_of(self.register, acknowledged + now), [])
        self.assertEqual(self.register.query("PRAGMA integrity_check"), [("ok",)])
        self.assertEqual(self.register.query("SELECT count(*) FROM correction_open"), [(0,)])
        self.assertEqual(os.listdir(self.register.data + "/imports"), [])

    def until_begun(self):
        client = program.Client(self.server, cookie=self.cookie)
        deadline = time.monotonic() + 120
        while client.must("GET", "/api/imports?limit=1").json["rows"][0]["id"] <= self.begun:
            self.assertLess(time.monotonic(), deadline)
            time.sleep(0.01)
        client.close()

    def look_at_dead(self):
        """What there is of the import of this round, and that check has nothing against it."""
        self.assertIn("content", self.register.run("check"))
        last = self.register.query("SELECT max(import_id) FROM import_begun")[0][0] or 0
        counts = self.register.query("SELECT coalesce(max(id), 0) FROM import")[0][0] >= last
        seen = self.register.query(SEEN.format(last))[0][0]
        self.assertEqual(seen, BONDS * EACH if counts else 0)
        new, self.begun = last > self.begun, last + (last == self.begun)
        following = self.register.query("SELECT max(value) FROM derived_mark WHERE name = 'import'")
        return "not begun" if not new else "not all made again" if following[0][0] else \
            "done" if counts else "in part" if self.register.query(
                f"SELECT count(*) FROM inspection WHERE import_id = {last}")[0][0] else "nothing yet"

    def until_done(self, client, counts):
        deadline = time.monotonic() + 120
        done = False
        while not done:
            self.assertLess(time.monotonic(), deadline, self.standing(client))
            done = self.is_done(client)
            self.assertIn(self.listed(client, "inspections"), counts)
            self.assertIn(self.listed(client, "readings"), [2 * count for count in counts])

    def carry_on(self, answer):
        """The server goes on by itself; no list ever has a part; who sends again adds nothing."""
        self.server = program.Server(self.register)
        client = program.Client(self.server, cookie=self.cookie)
        self.until_done(client, (0, EACH))
        if answer is not None:
            self.assertEqual(self.listed(client, "inspections"), EACH)
        again = client.must("POST", importing.path("log.csv"), self.file, 200, importing.CSV).json
        self.assertEqual((again["added"] + again["already"], again["wrong"]), (ROWS, 0))
        self.until_done(client, (EACH,))
        client.close()
        self.assertEqual(self.server.stop(), 0)
        self.assertIn("content", self.register.run("check"))

    def bonds_listed(self, client, round_):
        """How many bonds of the round there are in each list."""
        return {len(client.rows(name, f"q=R{round_}-")) for name in ("bonds", "due")}

    def bonds_until_done(self, client, round_):
        """None is listed until all count; then they come, as they are made, until all are there."""
        deadline = time.monotonic() + 120
        done = False
        while not done:
            self.assertLess(time.monotonic(), deadline, self.standing(client))
            done = self.is_done(client)
            listed = self.bonds_listed(client, round_)
            if any(row["standing"] == "under_way"
                   for row in client.must("GET", "/api/imports").json["rows"]):
                self.assertEqual(listed, {0})
            elif done:
                self.assertIn(listed, ({0}, {NEW}))
            else:
                self.assertTrue(all(0 <= n <= NEW for n in listed), listed)

    def look_at_dead_bonds(self):
        self.assertIn("content", self.register.run("check"))
        last = self.register.query("SELECT max(import_id) FROM import_begun")[0][0] or 0
        new, self.begun = last > self.begun, max(last, self.begun)
        kept, made = (self.register.query(sql.format(last))[0][0] for sql in (
            "SELECT count(*) FROM bond WHERE import_id = {0}", "SELECT count(*) FROM bond_state s "
            "JOIN bond b ON b.id = s.bond_id WHERE b.import_id = {0}"))
        if not new:
            return "not begun"
        if not self.register.query(f"SELECT 1 FROM import WHERE id = {last}"):
            self.assertEqual(made, 0)
            return "in part" if kept else "nothing yet"
        self.assertEqual(kept, NEW)
        return "done" if made == NEW else "not all made again"

    def test_killed_at_any_moment_a_file_of_bonds_is_there_as_a_whole_or_not_at_all(self):
        name = {"name": "bonds.csv", "kind": "bonds", "settings": importing.BOND_SETTINGS}
        states, whole_s, self.begun = [], None, 0
        for round_ in range(KILLS + 1):
            file = importing.bonds(NEW, f"R{round_}", 10 + round_)
            self.server = program.Server(self.register)
            began = time.monotonic()
            sending_ = importing.Sending(self.server, self.cookie, file, **name)
            if whole_s is None:
                sending_.join()
                self.assertEqual(sending_.answer.json["added"], NEW)
                whole_s = time.monotonic() - began
            else:
                if round_ % 5:
                    self.until_begun()
                time.sleep(self.random.uniform(0, 0.3 * whole_s))
            self.server.kill()
            sending_.join()
            states.append(self.look_at_dead_bonds())
            self.carry_on_bonds(file, name, round_, sending_.answer, states[-1])
        print("kills by what was there then:", {s: states.count(s) for s in sorted(set(states))},
              flush=True)
        self.assertEqual(self.register.query("PRAGMA integrity_check"), [("ok",)])

    def carry_on_bonds(self, file, name, round_, answer, state):
        """The server goes on by itself. Who sends again, at whatever moment, adds nothing twice, and no
        row is refused."""
        self.server = program.Server(self.register)
        client = program.Client(self.server, cookie=self.cookie)
        if self.random.random() < 0.5:
            self.bonds_until_done(client, round_)
            if answer is not None:
                self.assertEqual(self.bonds_listed(client, round_), {NEW})
        again = client.must("POST", importing.path(**name), file, 200, importing.CSV).json
        self.assertEqual((again["added"] + again["already"], again["wrong"]), (NEW, 0),
                         (state, again["wrong_rows"][:1]))
        self.bonds_until_done(client, round_)
        self.assertEqual(self.bonds_listed(client, round_), {NEW})
        client.close()
        self.assertEqual(self.server.stop(), 0)
        self.assertIn("content", self.register.run("check"))
        self.assertEqual(os.listdir(self.register.data + "/imports"), [])

    def test_what_a_dead_server_kept_goes_however_new_it_is(self):
        folder = self.register.data + "/imports"
        os.makedirs(folder, exist_ok=True)
        stray = os.path.join(folder, "0198e5a0-0000-8000-8000-000000000000")
        with open(stray, "w") as file:
            file.write("bond\n")
        os.utime(stray, (time.time() + 3600,) * 2)
        server = program.Server(self.register)
        self.assertEqual(os.listdir(folder), [])
        self.assertEqual(server.stop(), 0)


if __name__ == "__main__":
    unittest.main()
