"""The program is killed, or asked to stop, while crews send: nothing acknowledged is lost, nothing
is there in part, and it starts again by itself.

A kill proves the program, not the disk (test_power.py): what the system has been given survives it.
The seed is printed; BONDBOOK_SEED repeats another run, BONDBOOK_KILLS says how many kills.
"""
import datetime
import os
import random
import subprocess
import time
import unittest

import program
import sending

SEED = os.environ.get("BONDBOOK_SEED", "20263")
KILLS = int(os.environ.get("BONDBOOK_KILLS", "200" if os.environ.get("BONDBOOK_LONG") else "20"))
CLIENTS = 8


class Crash(unittest.TestCase):
    def setUp(self):
        print("seed", SEED, flush=True)
        self.random = random.Random(SEED)
        self.register = program.Register()
        self.addCleanup(self.register.remove)
        server = program.Server(self.register)
        boss = program.Client(server, "administrator")
        self.bonds = program.railway(boss, 60)
        self.cookie = boss.cookie
        boss.close()
        self.assertEqual(server.stop(), 0)

    def content(self, acknowledged):
        """Looks at the register when nothing runs."""
        self.assertEqual(sending.faults_of(self.register, acknowledged), [])
        self.assertIn("content", self.register.run("check"))
        self.assertEqual(self.register.query("PRAGMA integrity_check"), [("ok",)])
        self.assertEqual(self.register.query("PRAGMA foreign_key_check"), [])

    def test_killed_at_any_moment_it_loses_nothing_acknowledged(self):
        acknowledged, unsure = [], []
        for round_ in range(KILLS):
            server = program.Server(self.register)
            senders = sending.send_all(server.port, self.cookie, self.bonds, f"{SEED}/{round_}",
                                       CLIENTS, unsure)
            time.sleep(self.random.uniform(0.1, 1.1))
            server.kill()
            now, unsure = sending.stop_all(senders)
            acknowledged += now
            refused = [r for s in senders for r in s.refused]
            self.assertEqual(refused, [], f"round {round_}")
            # the next one to open the register recovers it
            if round_ % 10 == 9:
                self.assertEqual(sending.faults_of(self.register, acknowledged), [], round_)
        server = program.Server(self.register)
        senders = sending.send_all(server.port, self.cookie, self.bonds, "end", CLIENTS, unsure)
        time.sleep(0.3)
        now, unsure = sending.stop_all(senders)
        self.assertEqual((server.stop(), unsure), (0, []))
        print(KILLS, "kills,", len(acknowledged + now), "acknowledged", flush=True)
        self.assertGreater(len(acknowledged), KILLS * 10)
        self.content(acknowledged + now)

    def test_asked_to_stop_under_load_it_answers_what_it_took_and_ends(self):
        acknowledged, unsure = [], []
        for round_ in range(5):
            server = program.Server(self.register)
            senders = sending.send_all(server.port, self.cookie, self.bonds, f"{SEED}/s{round_}",
                                       CLIENTS, unsure)
            time.sleep(self.random.uniform(0.3, 0.8))
            begun = time.monotonic()
            code = server.stop(20)
            took = time.monotonic() - begun
            now, unsure = sending.stop_all(senders)
            acknowledged += now
            self.assertEqual(code, 0)
            self.assertLess(took, 5)
            self.assertEqual([r for s in senders for r in s.refused if r[0] != 503], [])
            self.assertFalse(os.path.exists(self.register.data + "/register.db-wal")
                             and os.path.getsize(self.register.data + "/register.db-wal"),
                             "the log was not folded back")
        self.content(acknowledged)

    def bonds_to_import(self, rows):
        """A file of bonds and how it is read; the arguments of the import."""
        path = os.path.join(self.register.home, "bonds.csv")
        with open(path, "w") as file:
            file.write("line,label,kind,a_track,a_rail,a_chainage\n")
            for n in range(rows):
                file.write(f"VAL,I{n:05},rail_joint,Down,right,{n // 50}+{n % 50 * 20:03}\n")
        settings = os.path.join(self.register.home, "settings.json")
        with open(settings, "w") as file:
            subprocess.run([program.PROGRAM, "import", "bonds", path, "--propose"], stdout=file,
                           stderr=subprocess.DEVNULL, check=True)
        return "bonds", path, "--settings", settings

    def test_killed_while_it_follows_a_rulebook_it_goes_on_and_ends_right(self):
        self.register.run("import", *self.bonds_to_import(8000))
        server = program.Server(self.register)
        boss = program.Client(server, cookie=self.cookie)
        made = 0
        for months in range(5, 13):
            while not boss.get("/api/rulebook").json["followed"]:
                time.sleep(0.02)
            book = boss.get("/api/rulebook").json["rulebook"]
            book["from_day"] = datetime.date.today().isoformat()
            # the limits too, so that every bond is judged anew and not its due day alone
            book["limits"]["rail_joint"]["contact_allowance_uohm"] += 1
            book["interval_months"]["rail_joint"] = dict.fromkeys(("normal", "high", "safety"),
                                                                  months)
            boss.must("POST", "/api/rulebooks", {"rulebook": book, "reason": "Killed."}, 201)
            # (it may take a moment until the thread begins, or be done at once)
            time.sleep(self.random.choice((0, self.random.uniform(0, 0.2))))
            server.kill()
            boss.close()
            made += self.register.query("SELECT count(*) FROM bond_state "
                                        f"WHERE rulebook_version < {months - 3}")[0][0] > 0
            self.register.run("check")   # what waits is no difference
            server = program.Server(self.register)
            boss = program.Client(server, cookie=self.cookie)
        while not boss.get("/api/rulebook").json["followed"]:
            time.sleep(0.02)
        boss.close()
        self.assertEqual(server.stop(), 0)
        print(made, "of 8 kills came before the end", flush=True)
        self.assertGreater(made, 0)
        self.content([])
        self.assertEqual(self.register.query(
            "SELECT DISTINCT rulebook_version FROM bond_state"), [(9,)])

    def test_an_import_that_is_killed_is_there_as_a_whole_or_not_at_all(self):
        rows = 4000
        before = self.register.query("SELECT count(*) FROM bond")[0][0]
        arguments = self.bonds_to_import(rows)
        command = [program.PROGRAM, "import", *arguments, "--data", self.register.data]
        begun = time.monotonic()
        self.register.run("import", *arguments, "--dry-run")
        whole_s = time.monotonic() - begun
        outcomes = []
        while len(outcomes) < 12 and (before + rows) not in outcomes:
            with open(self.register.log, "ab") as log:
                process = subprocess.Popen(command, stdin=subprocess.DEVNULL, stdout=log, stderr=log)
                time.sleep(self.random.uniform(0, whole_s))
                process.kill()
                process.wait()
            outcomes.append(self.register.query("SELECT count(*) FROM bond")[0][0])
            self.assertIn(outcomes[-1], (before, before + rows))
        print("bonds after each kill:", outcomes, flush=True)
        for _ in range(2):      # what is there already stays as it is
            self.register.run("import", *arguments)
            self.assertEqual(self.register.query("SELECT count(*) FROM bond"), [(before + rows,)])
        self.content([])

    def test_a_second_program_does_not_write_beside_the_first(self):
        server = program.Server(self.register)
        out = self.register.run("rebuild", code=69)
        self.assertIn("Another bondbook is writing", out)
        self.assertRaisesRegex(AssertionError, "Another bondbook is writing", program.Server,
                               self.register)
        self.assertIn("content", self.register.run("check"))
        self.assertEqual(server.stop(), 0)


if __name__ == "__main__":
    unittest.main(verbosity=2)
