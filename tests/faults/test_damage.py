"""Pages of the register's file are damaged, as by a disk that rots: no figure of a table that is
damaged is told, nor any part of a list as if it were the whole; /readyz and check say which tables
and that the register has to be restored.

The seed is printed; BONDBOOK_SEED repeats a run.
"""
import os
import random
import shutil
import sqlite3
import unittest

import program

SEED = os.environ.get("BONDBOOK_SEED", "20261")
PAGE = 4096
LISTS = ("due", "bonds", "inspections", "readings", "failures", "lines", "tracks", "people",
         "attachments", "deferrals", "repeat-places", "bond-states", "instruments")
# what stands in each of them: lists that tell of it, and some that do not
TOLD_IN = {"reading": ("readings",), "inspection": ("inspections", "readings"),
           "bond_state": ("due", "bond-states"), "bond_fact": ("bonds",),
           "reading_state": ("readings",), "line": ("lines", "due", "bonds"), "bond": ()}
NOT_IN = {"reading": ("lines", "instruments", "people"), "inspection": ("lines", "people"),
          "bond_state": ("tracks", "people", "instruments"), "bond_fact": ("lines", "people"),
          "reading_state": ("lines", "people"), "line": ("people",), "bond": ("people",)}


class Damage(unittest.TestCase):
    whole = None

    @classmethod
    def setUpClass(cls):
        print("seed", SEED, flush=True)
        cls.random = random.Random(SEED)
        cls.whole = program.Register()
        cls.addClassCleanup(cls.whole.remove)
        server = program.Server(cls.whole)
        boss = program.Client(server, "administrator")
        bonds = program.railway(boss, 120)
        cls.cookie = boss.cookie
        for n in range(300):
            boss.must("PUT", "/api/inspections/" + program.new_id(),
                      program.inspection(bonds[n % 100], f"2025-{n // 100 + 1:02}-03"))
        cls.before = cls.answers(boss)
        boss.close()
        assert server.stop() == 0

    @staticmethod
    def answers(client):
        return {path: client.get(path) for name in LISTS
                for path in (f"/api/{name}", f"/api/{name}.csv")}

    def copy(self):
        register = program.Register()
        self.addCleanup(register.remove)
        shutil.rmtree(register.data)
        shutil.copytree(self.whole.data, register.data)
        return register

    @staticmethod
    def leaves(register, table):
        """Numbers of the pages that hold rows of a table, as SQLite itself tells."""
        link = sqlite3.connect(f"file:{register.data}/register.db?mode=ro", uri=True)
        pages = [n for n, in link.execute("SELECT pageno FROM dbstat WHERE name = ? AND pagetype = "
                                          "'leaf' ORDER BY pageno", (table,))]
        link.close()
        return pages

    def damage(self, register, table, zeros=True):
        page = self.random.choice(self.leaves(register, table))
        with open(os.path.join(register.data, "register.db"), "r+b") as file:
            file.seek((page - 1) * PAGE)
            file.write(bytes(PAGE) if zeros else self.random.randbytes(PAGE))
        return page

    def look(self, register, table):
        """What a server that was started over it tells."""
        server = program.Server(register)
        client = program.Client(server, cookie=self.cookie)
        try:
            self.look_with(client, table)
        finally:
            client.close()
            code = server.stop()
        self.assertEqual(code, 0)

    def look_with(self, client, table):
        ready = client.get("/readyz")
        self.assertEqual(ready.status, 503, table)
        self.assertIn(table, ready.json["detail"])
        self.assertIn("restored from a backup", ready.json["detail"])
        told = self.answers(client)
        for path, answer in told.items():
            if answer.status < 500:
                self.assertEqual(answer.body, self.before[path].body, (table, path))
        for name in TOLD_IN[table]:
            for end in ("", ".csv"):
                answer = told[f"/api/{name}{end}"]
                self.assertEqual((answer.status, answer.json["type"]),
                                 (503, "/problems/damaged"), name)
                self.assertIn("damaged", answer.json["detail"])
        for name in NOT_IN[table]:
            self.assertEqual(told["/api/" + name].status, 200, (table, name))

    def check_says(self, register, table):
        said = register.run("check", code=65)
        self.assertIn(table, said)
        self.assertIn("restored from a backup", said)
        self.assertNotIn("run bondbook rebuild", said)

    def test_no_figure_of_a_damaged_table_is_told(self):
        for table in TOLD_IN:
            for zeros in (True, False):
                with self.subTest(table=table, zeros=zeros):
                    register = self.copy()
                    self.damage(register, table, zeros)
                    self.look(register, table)
                    self.check_says(register, table)

    def test_damage_that_comes_while_it_runs_is_told_as_soon_as_it_is_met(self):
        register = self.copy()
        server = program.Server(register)
        client = program.Client(server, cookie=self.cookie)
        self.assertEqual(client.get("/readyz").status, 200)
        page = self.leaves(register, "reading")[-2]
        with open(os.path.join(register.data, "register.db"), "r+b") as file:
            file.seek((page - 1) * PAGE)
            file.write(bytes(PAGE))
        answer = client.get("/api/readings.csv")
        self.assertEqual((answer.status, answer.json["type"]), (503, "/problems/damaged"))
        # no more any part of it, and nothing new into it
        self.assertEqual(client.get("/api/readings?limit=1").status, 503)
        self.assertEqual(client.get("/readyz").status, 503)
        bond = client.must("GET", "/api/bonds?limit=1").json["rows"][0]["id"]
        answer = client.ask("PUT", "/api/inspections/" + program.new_id(), program.inspection(bond))
        self.assertEqual(answer.status, 503, answer)
        client.close()
        self.assertEqual(server.stop(), 0)

    def test_rows_that_are_gone_are_told_by_check(self):
        register = self.copy()
        link = sqlite3.connect(os.path.join(register.data, "register.db"))
        triggers = "SELECT name FROM sqlite_schema WHERE type = 'trigger'"
        for name, in link.execute(triggers).fetchall():
            link.execute(f"DROP TRIGGER {name}")
        link.execute("DELETE FROM inspection WHERE id = 7")
        link.commit()
        link.close()
        said = register.run("check", code=65)
        self.assertIn("reading (to inspection)", said)
        self.assertIn("restored from a backup", said)

    def test_what_is_derived_and_differs_is_made_again(self):
        register = self.copy()
        link = sqlite3.connect(os.path.join(register.data, "register.db"))
        link.execute("UPDATE bond_state SET grade = (grade + 1) % 3 WHERE bond_id = 3")
        link.commit()
        link.close()
        self.assertIn("run bondbook rebuild", register.run("check", code=65))
        register.run("rebuild")
        self.assertIn("content", register.run("check"))


if __name__ == "__main__":
    unittest.main(verbosity=2)
