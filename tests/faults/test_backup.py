"""A backup is the register of one moment, made while crews record, and comes back as a register that
is content; a backup that is not what it was is refused, and nothing that is there is ever replaced.

The seed is printed; BONDBOOK_SEED repeats a run.
"""
import datetime
import json
import os
import random
import shutil
import sqlite3
import subprocess
import tarfile
import time
import unittest

import importing
import program
import sending

SEED = os.environ.get("BONDBOOK_SEED", "20265")
BONDS = 40


def bondbook(*args, code=0, **more):
    done = subprocess.run([program.PROGRAM, *args], stdout=subprocess.PIPE, stderr=subprocess.PIPE,
                          timeout=300, **more)
    said = done.stderr.decode(errors="replace")
    if not isinstance(more.get("stdout"), int):
        said += done.stdout.decode(errors="replace") if done.stdout else ""
    if done.returncode != code or program.WRONG_IN_LOG.search(said):
        raise AssertionError(f"{args} ended with {done.returncode}, not {code}: {said}")
    return said


class Restored(program.Register):
    """A register that a backup was put into."""

    def __init__(self, source, code=0, **more):
        super().__init__()
        shutil.rmtree(self.data)
        self.said = bondbook("restore", "--from", source, "--data", self.data, code=code, **more)


class Backup(unittest.TestCase):
    def setUp(self):
        print("seed", SEED, flush=True)
        self.random = random.Random(SEED)
        self.register = program.Register()
        self.addCleanup(self.register.remove)
        self.store = os.path.join(self.register.home, "backups")
        self.server = program.Server(self.register)
        self.boss = program.Client(self.server, "administrator")
        self.bonds = program.railway(self.boss, BONDS)

    def tearDown(self):
        self.boss.close()
        if self.server.process.poll() is None:
            self.assertEqual(self.server.stop(), 0)

    def back_up(self, *args):
        """Makes one; its folder."""
        before = set(os.listdir(self.store)) if os.path.isdir(self.store) else set()
        bondbook("backup", "--data", self.register.data, "--to", self.store, *args)
        made = set(os.listdir(self.store)) - before
        self.assertEqual(len(made), 1)
        return os.path.join(self.store, made.pop())

    def restored(self, source, code=0, **more):
        register = Restored(source, code, **more)
        self.addCleanup(register.remove)
        return register

    def test_while_crews_record_it_is_one_moment_and_comes_back_content(self):
        senders = sending.send_all(self.server.port, self.boss.cookie, self.bonds, SEED, 3)
        time.sleep(0.3)
        known = [uuid for s in senders for uuid in list(s.acknowledged)]
        self.assertGreater(len(known), 0)
        backup = self.back_up()
        after = {uuid for s in senders for uuid in list(s.acknowledged)}
        acknowledged, unsure = sending.stop_all(senders)
        back = self.restored(backup)
        self.assertIn("content", back.said)
        self.assertEqual(sending.faults_of(back, known), [])
        there = {uuid for uuid, in back.query("SELECT uuid FROM inspection")}
        # (one that was recorded and not yet answered may be there, too)
        self.assertLessEqual(there, after | set(acknowledged) | {u[0] for u in unsure})
        with open(os.path.join(backup, "backup.json"), encoding="utf-8") as file:
            said = json.load(file)
        self.assertEqual((said["bonds"], said["inspections"]), (BONDS, len(there)))
        self.goes_on(back)

    def goes_on(self, register):
        """People sign in as before and record."""
        server = program.Server(register)
        client = program.Client(server, "crew")
        client.must("PUT", "/api/inspections/" + program.new_id(),
                    program.inspection(self.bonds[0], "2026-03-31"))
        client.close()
        self.assertEqual(server.stop(), 0)
        self.assertIn("content", register.run("check"))

    def test_nothing_that_is_there_is_replaced(self):
        backup = self.back_up()
        before = self.register.counts()
        said = bondbook("restore", "--from", backup, "--data", self.register.data, code=65)
        self.assertIn("there is a register already", said)
        self.assertEqual(self.register.counts(), before)
        alone = program.Register()
        self.addCleanup(alone.remove)
        os.rename(alone.data + "/register.db", alone.data + "/register.db-wal")
        self.assertIn("log without the register",
                      bondbook("restore", "--from", backup, "--data", alone.data, code=65))
        self.assertEqual(os.listdir(alone.data), ["register.db-wal"])

    def test_as_a_stream_it_is_the_same(self):
        path = os.path.join(self.register.home, "backup.tar")
        with open(path, "wb") as out:
            subprocess.run([program.PROGRAM, "backup", "--data", self.register.data, "--to", "-"],
                           stdout=out, stderr=subprocess.DEVNULL, check=True)
        with tarfile.open(path) as tar:
            self.assertEqual([m.name for m in tar], ["backup.json", "register.db"])
        self.assertEqual(sorted(f for f in os.listdir(self.register.data) if "backup-" in f), [])
        here = self.register.counts()
        with open(path, "rb") as stdin:
            self.assertEqual(self.restored("-", stdin=stdin).counts(), here)
        self.assertEqual(self.restored(path).counts(), here)
        for cut in (0, 5000, os.path.getsize(path) // 2):
            with open(path, "rb") as whole, open(path + ".cut", "wb") as part:
                part.write(whole.read(cut))
            refused = self.restored(path + ".cut", code=65)
            self.assertFalse(os.path.exists(refused.data + "/register.db"))
            self.assertEqual(os.listdir(refused.data), [])

    def test_what_is_not_as_it_was_is_refused(self):
        whole = self.back_up()
        self.assertIn("Every file is as it was", bondbook("restore", "--from", whole, "--prove"))
        size = os.path.getsize(whole + "/register.db")
        for damage in ("bit", "cut", "longer", "gone", "no description", "leads out", "hidden",
                       "other counts", "no register"):
            backup = os.path.join(self.register.home, "damaged")
            shutil.copytree(whole, backup)
            with open(backup + "/backup.json", encoding="utf-8") as file:
                said = json.load(file)
            with open(backup + "/register.db", "r+b") as file:
                if damage == "bit":
                    at = self.random.randrange(size)
                    file.seek(at)
                    byte = file.read(1)[0]
                    file.seek(at)
                    file.write(bytes([byte ^ 1 << self.random.randrange(8)]))
                elif damage == "cut":
                    file.truncate(size - 4096)
                elif damage == "longer":
                    file.seek(0, os.SEEK_END)
                    file.write(b"x")
            if damage == "gone":
                os.remove(backup + "/register.db")
            elif damage == "leads out":
                said["files"].append(dict(said["files"][0], name="../register.db"))
            elif damage == "hidden":
                said["files"].append(dict(said["files"][0], name=".x"))
            elif damage == "other counts":
                said["inspections"] += 1
            elif damage == "no register":
                said["files"] = []
            if damage == "no description":
                os.remove(backup + "/backup.json")
            else:
                with open(backup + "/backup.json", "w", encoding="utf-8") as file:
                    json.dump(said, file)
            with self.subTest(damage):
                code = 69 if damage == "no description" else 74 if damage == "gone" else 65
                refused = self.restored(backup, code=code)
                self.assertEqual(os.listdir(refused.data), [])
                if damage != "other counts":     # of that no file tells
                    bondbook("restore", "--from", backup, "--prove", code=code)
            shutil.rmtree(backup)

    def test_a_damaged_register_gives_no_backup(self):
        self.server.stop()
        with open(self.register.data + "/register.db", "r+b") as file:
            link = sqlite3.connect(f"file:{self.register.data}/register.db?mode=ro", uri=True)
            page = link.execute("SELECT max(pageno) FROM dbstat WHERE name = 'bond'").fetchone()[0]
            link.close()
            file.seek((page - 1) * 4096)
            file.write(bytes(4096))
        said = bondbook("backup", "--data", self.register.data, "--to", self.store, code=65)
        self.assertIn("damaged", said)
        self.assertEqual(os.listdir(self.store), [])
        self.assertFalse(os.path.exists(self.register.data + "/backed-up.json"))

    def test_an_import_that_was_under_way_goes_on_where_it_is_restored(self):
        file = importing.visits(BONDS, 60, "log 1")
        sent = importing.Sending(self.server, self.boss.cookie, file, "log.csv")
        deadline = time.monotonic() + 120
        while self.register.query("SELECT count(*) FROM inspection")[0][0] == 0:
            self.assertLess(time.monotonic(), deadline, sent.answer)
            time.sleep(0.002)
        self.server.kill()
        self.assertEqual(self.register.query("SELECT count(*) FROM import"), [(0,)])
        kept = os.listdir(self.register.data + "/imports")
        self.assertEqual(len(kept), 1)
        backup = self.back_up()
        self.assertEqual(os.listdir(backup + "/imports"), kept)
        back = self.restored(backup)
        server = program.Server(back)
        client = program.Client(server, "administrator")
        while client.must("GET", "/api/imports").json["rows"][0]["standing"] == "under_way" or \
                client.must("GET", "/api/rulebook/following").json["import"] is not None:
            self.assertLess(time.monotonic(), deadline)
            time.sleep(0.05)
        self.assertEqual(len(client.rows("inspections")), BONDS * 60)
        client.close()
        self.assertEqual(server.stop(), 0)
        self.assertIn("content", back.run("check"))

    def test_the_newest_are_kept_and_those_that_are_young(self):
        now = datetime.datetime.now(datetime.timezone.utc)
        first = self.back_up()
        for days in (1, 2, 9, 11, 40):
            name = (now - datetime.timedelta(days=days)).strftime("%Y%m%dT%H%M%SZ")
            shutil.copytree(first, os.path.join(self.store, name))
        for other in ("20200101T000000Z", "20200101T000000", "notes"):   # (no description, no name)
            os.makedirs(os.path.join(self.store, other))
        time.sleep(1.1)     # its name has seconds
        self.back_up("--keep", "3", "--keep-days", "10")
        ages = sorted(round((now - datetime.datetime.strptime(name, "%Y%m%dT%H%M%SZ").replace(
            tzinfo=datetime.timezone.utc)).total_seconds() / 86400)
            for name in os.listdir(self.store) if name.endswith("Z") and name > "2021")
        self.assertEqual(ages, [0, 0, 1, 2, 9])
        self.assertLessEqual({"20200101T000000Z", "20200101T000000", "notes"},
                             set(os.listdir(self.store)))
        time.sleep(1.1)
        newest = self.back_up("--keep-days", "0")
        self.assertEqual([name for name in sorted(os.listdir(self.store))
                          if os.path.exists(os.path.join(self.store, name, "backup.json"))],
                         [os.path.basename(newest)])

    def test_it_is_said_how_old_the_last_one_is(self):
        self.assertIn(b"no backup is noted", self.boss.get("/readyz").body)
        self.assertIsNone(self.boss.must("GET", "/api/backup").json["made_at"])
        self.assertIn(b"bondbook_backup_made_seconds 0\n", self.boss.get("/metrics").body)
        with open(self.back_up() + "/backup.json", encoding="utf-8") as file:
            made = json.load(file)["made_at"]
        self.assertIn(f"last backup {made}", self.boss.get("/readyz").body.decode())
        self.assertEqual(self.boss.must("GET", "/api/backup").json["made_at"], made)
        at = datetime.datetime.fromisoformat(made.replace("Z", "+00:00")).timestamp()
        self.assertIn(f"bondbook_backup_made_seconds {int(at)}\n",
                      self.boss.get("/metrics").body.decode())
        crew = program.Client(self.server, "crew")
        self.assertEqual(crew.get("/api/backup").status, 403)
        crew.close()


if __name__ == "__main__":
    unittest.main()
