"""The register's own time zone: made with it, asked for once where there is none, and what is today.

Which day it is somewhere is computed by Python's zoneinfo.
"""
import datetime
import os
import sqlite3
import stat
import subprocess
import tempfile
import time
import unittest
import unittest.mock
import zoneinfo

import program
import zoneless

# always a day apart from each other: 26 hours
EARLIEST, LATEST = "Pacific/Kiritimati", "Etc/GMT+12"


def day_in(zone):
    return datetime.datetime.now(zoneinfo.ZoneInfo(zone)).date().isoformat()


class AskedOnce(unittest.TestCase):
    """A register without a zone, as all were before there was one."""

    def setUp(self):
        self.register = program.Register()
        zoneless.forget_zone(self.register.data)
        self.server = program.Server(self.register, env={"TZ": LATEST})
        self.administrator = program.Client(self.server, "administrator")
        self.viewer = program.Client(self.server, "viewer")
        self.manager = program.Client(self.server, "manager")

    def tearDown(self):
        for client in (self.administrator, self.viewer, self.manager):
            client.close()
        code = self.server.stop()
        self.register.remove()
        self.assertEqual(code, 0)

    def put(self, zone, **more):
        return self.administrator.ask("PUT", "/api/register/zone", {"zone": zone, **more})

    def test_goes_by_the_machines_zone_until_it_is_answered(self):
        said = self.viewer.get("/api/register").json

        self.assertIsNone(said["zone"])
        self.assertEqual(said["machine_zone"], LATEST)
        self.assertEqual(said["today"], day_in(LATEST))

    def test_a_name_without_a_file_a_path_and_dots_are_refused_with_a_sentence(self):
        for zone in ("Vilnius", "/usr/share/zoneinfo/UTC", "../zoneinfo/UTC", "Europe/../UTC",
                     "UTC-2", "right/UTC", "zone.tab", "Europe"):
            answer = self.put(zone)

            self.assertEqual(answer.status, 422, answer)
            self.assertEqual(answer.fields(), ["zone"])
            self.assertIn("like Europe/Vilnius", answer.json["errors"][0]["detail"])
        self.assertIsNone(self.viewer.get("/api/register").json["zone"])

    def test_only_an_administrator_answers(self):
        answer = self.manager.ask("PUT", "/api/register/zone", {"zone": "UTC"})

        self.assertEqual(answer.status, 403, answer)

    def test_the_answer_counts_at_once_stays_and_is_changed_only_for_a_reason(self):
        self.assertEqual(self.put(EARLIEST).json, {"zone": EARLIEST, "already": False})
        said = self.viewer.get("/api/register").json
        self.assertEqual((said["zone"], said["today"]), (EARLIEST, day_in(EARLIEST)))
        self.assertNotEqual(said["today"], day_in(LATEST))
        self.assertTrue(self.put(EARLIEST).json["already"])

        refused = self.put("UTC")
        self.assertEqual((refused.status, refused.fields()), (422, ["reason"]))
        self.assertEqual(self.put("UTC", reason="typed by mistake").status, 200)
        kept = self.register.query("SELECT version, value, reason, recorded_by IS NOT NULL "
                                   "FROM register_setting WHERE name = 'zone' ORDER BY version")
        self.assertEqual(kept, [(1, EARLIEST, None, 1), (2, "UTC", "typed by mistake", 1)])

    def test_the_day_of_what_is_due_follows(self):
        program.railway(self.manager)
        self.manager.must("POST", "/api/bonds", program.bond("B1", "0+000"))
        before = self.viewer.get("/api/due?limit=1").json["rows"][0]["days_over"]
        self.assertEqual(self.put(EARLIEST).status, 200)
        after = self.viewer.get("/api/due?limit=1").json["rows"][0]["days_over"]
        apart = datetime.date.fromisoformat(day_in(EARLIEST)) - datetime.date.fromisoformat(day_in(LATEST))

        self.assertGreaterEqual(apart.days, 1)
        self.assertEqual(after - before, apart.days)

    def test_the_next_start_has_the_zone_whatever_the_machine_says(self):
        self.assertEqual(self.put(EARLIEST).status, 200)
        self.assertEqual(self.server.stop(), 0)
        self.register.run("check")
        self.server = program.Server(self.register, env={"TZ": LATEST})
        client = program.Client(self.server, "viewer")
        self.assertEqual(client.get("/api/register").json["today"], day_in(EARLIEST))
        client.close()

    def test_what_was_derived_is_made_again_by_the_new_days(self):
        # since when a bond is known is its due day where nothing else is known of it
        program.railway(self.manager)
        made = {**program.bond("B1", "0+000"), "installed_day": None}
        number = self.manager.must("POST", "/api/bonds", made).json["id"]
        before = self.viewer.get(f"/api/bonds/{number}").json["due"]["due_day"]
        self.assertEqual(before, day_in(LATEST))
        self.assertEqual(self.put(EARLIEST).status, 200)
        for _ in range(100):
            row = self.viewer.get("/api/due?limit=1").json["rows"][0]
            if row["due_day"] != before:
                break
            time.sleep(0.1)
        self.assertEqual(row["due_day"], day_in(EARLIEST))
        self.assertEqual(self.server.stop(), 0)
        self.assertIn("content", self.register.run("check"))
        self.server = program.Server(self.register)


    def test_commands_count_days_in_the_registers_zone_too(self):
        program.railway(self.manager)
        self.manager.must("POST", "/api/bonds", {**program.bond("B1", "0+000"),
                                                 "installed_day": None})
        self.assertEqual(self.put(EARLIEST).status, 200)
        self.assertEqual(self.server.stop(), 0)
        with unittest.mock.patch.dict(os.environ, TZ=LATEST):
            self.register.run("rebuild")
            self.assertIn("content", self.register.run("check"))
            due = self.register.run("export", "due", "--format", "json")
        self.assertIn(f'"due_day":"{day_in(EARLIEST)}"', due)
        self.server = program.Server(self.register)


class Init(unittest.TestCase):
    def setUp(self):
        self.home = tempfile.mkdtemp(prefix="bondbook-init-")
        self.data = os.path.join(self.home, "data")

    def init(self, *args, code=0):
        done = subprocess.run([program.PROGRAM, "init", "--data", self.data, *args], text=True,
                              stdin=subprocess.DEVNULL, stdout=subprocess.PIPE,
                              stderr=subprocess.STDOUT, timeout=60)
        self.assertEqual(done.returncode, code, done.stdout)
        return done.stdout

    def test_makes_a_register_for_its_owner_alone_that_begins_today(self):
        os.umask(0)
        self.init("--zone", EARLIEST)
        for name in os.listdir(self.data):
            mode = stat.S_IMODE(os.stat(os.path.join(self.data, name)).st_mode)
            self.assertEqual(mode, 0o600, name)
        self.assertEqual(stat.S_IMODE(os.stat(self.data).st_mode), 0o700)
        register = program.Register.__new__(program.Register)
        register.data = self.data
        self.assertEqual(register.query("SELECT name, value FROM register_setting ORDER BY name"),
                         [("began_day", day_in(EARLIEST)), ("zone", EARLIEST)])

    def test_leaves_nothing_behind_where_the_zone_is_refused(self):
        for zone in ("Europe/Nowhere", "/etc/localtime", "..", ""):
            self.assertIn("like Europe/Vilnius", self.init("--zone", zone, code=65))
        self.assertFalse(os.path.exists(self.data))

    def test_asks_for_the_zone_and_makes_nothing_without_it(self):
        self.assertIn("--zone NAME", self.init(code=64))
        self.assertFalse(os.path.exists(self.data))

    def test_never_touches_a_register_that_is_there(self):
        self.init("--zone", "UTC")
        path = os.path.join(self.data, "register.db")
        with open(path, "rb") as file:
            before = file.read()
        self.assertIn("already", self.init("--zone", EARLIEST, code=65))
        with open(path, "rb") as file:
            self.assertEqual(file.read(), before)


class OnlyInit(unittest.TestCase):
    """Only init makes a register."""

    def setUp(self):
        self.register = program.Register()
        self.addCleanup(self.register.remove)
        self.path = os.path.join(self.register.data, "register.db")

    def serve_refuses(self, *words):
        """serve ends with a sentence, and changes nothing in the folder."""
        before = {name: os.path.getsize(os.path.join(self.register.data, name))
                  for name in os.listdir(self.register.data)}
        said = self.register.run("serve", "--listen", "127.0.0.1:0", code=69)
        for word in words:
            self.assertIn(word, said)
        self.assertEqual({name: os.path.getsize(os.path.join(self.register.data, name))
                          for name in os.listdir(self.register.data)}, before)

    def test_serve_makes_none(self):
        os.remove(self.path)
        self.serve_refuses("There is no register here", "bondbook init")

    def test_a_folder_that_is_not_there_is_not_made(self):
        self.register.data += "-elsewhere"
        for command, *more in (("serve",), ("rebuild",), ("check",), ("person", "--login", "x",
                               "--name", "X", "--role", "crew")):
            self.register.run(command, *more, text=program.PASSWORD + "\n", code=69)
        self.assertFalse(os.path.exists(self.register.data))

    def test_a_file_of_no_bytes_is_refused(self):
        with open(self.path, "wb"):
            pass
        self.serve_refuses("is an empty file", "backup")

    def test_a_register_that_is_cut_short_is_refused(self):
        os.truncate(self.path, os.path.getsize(self.path) - 4096)
        self.serve_refuses("cut short", "backup")

    def test_a_file_of_another_kind_is_refused(self):
        with open(self.path, "wb") as file:
            file.write(b"these are not the bonds of a railway\n" * 1000)
        self.serve_refuses("is not a bond register")
        os.remove(self.path)
        with sqlite3.connect(self.path) as link:
            link.execute("CREATE TABLE note (x)")
        link.close()
        self.serve_refuses("another program")

    def test_init_makes_none_beside_the_log_of_one_that_is_gone(self):
        server = program.Server(self.register)
        server.kill()
        os.remove(self.path)
        left = sorted(os.listdir(self.register.data))
        self.assertIn("without the register", self.register.run("init", "--zone", "UTC", code=65))
        self.assertEqual(sorted(os.listdir(self.register.data)), left)

    def test_init_goes_on_where_another_was_ended(self):
        os.rename(self.path, self.path + ".new")
        with open(self.path + ".new-wal", "wb") as file:
            file.write(b"half")
        self.register.run("init", "--zone", "UTC")
        self.assertEqual(os.listdir(self.register.data), ["register.db"])
        self.assertIn("content", self.register.run("check"))

    def test_what_a_server_makes_is_its_owners_alone(self):
        server = program.Server(self.register)
        modes = {name: stat.S_IMODE(os.stat(os.path.join(self.register.data, name)).st_mode)
                 for name in os.listdir(self.register.data)}
        self.assertEqual(modes, dict.fromkeys(("register.db", "register.db-wal", "register.db-shm"),
                                              0o600))
        self.assertEqual(server.stop(), 0)


class WithoutItsZone(unittest.TestCase):
    def test_a_machine_that_lacks_the_zone_says_so_instead_of_counting_other_days(self):
        register = program.Register()
        os.remove(os.path.join(register.data, "register.db"))
        done = subprocess.run([program.PROGRAM, "init", "--data", register.data, "--zone", EARLIEST],
                              stderr=subprocess.DEVNULL, stdout=subprocess.DEVNULL, timeout=60)
        self.assertEqual(done.returncode, 0)
        served = subprocess.run([program.PROGRAM, "serve", "--data", register.data, "--listen",
                                 "127.0.0.1:0"], env={**os.environ, "TZDIR": "/nonexistent"},
                                stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, timeout=60)
        self.assertEqual(served.returncode, 69, served.stdout)
        self.assertIn("tzdata", served.stdout)
        register.remove()


if __name__ == "__main__":
    unittest.main(verbosity=2)
