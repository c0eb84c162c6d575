"""Whole lists as files: from the command line while a server runs, and to a slow client. A file is
whole or it is not there, and nobody who reads slowly holds up the register."""
import json
import os
import re
import socket
import sqlite3
import subprocess
import time
import unittest
import zipfile

import program
from program import bond

BONDS = 3000


class Export(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.register = program.Register()
        cls.server = program.Server(cls.register)
        cls.boss = program.Client(cls.server, "administrator")
        program.railway(cls.boss)
        for n in range(4):
            cls.boss.must("POST", "/api/bonds", bond(f"=B{n}", f"1+{n:03}", longitude=7 + n / 10,
                                                     latitude=51))
        # many more at once: the importer is quick
        columns = "line label kind a_track a_rail a_chainage note".split()
        path = os.path.join(cls.register.home, "bonds.csv")
        with open(path, "w", encoding="utf-8") as file:
            file.write(",".join(columns) + "\n")
            for n in range(BONDS):
                file.write(f"VAL,N{n:05},structure,Up,right,{10 + n // 1000}+{n % 1000:03},{'x' * 60}\n")
        cls.boss.close()
        assert cls.server.stop() == 0
        how = [part for name in columns for part in ("--column", f"{name}={name}")]
        done = subprocess.run([program.PROGRAM, "import", "bonds", path, "--data", cls.register.data,
                               "--set", "separator=comma", "--set", "encoding=utf_8", *how],
                              stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
        assert done.returncode == 0, done.stdout
        cls.server = program.Server(cls.register)
        cls.boss = program.Client(cls.server, "administrator")

    @classmethod
    def tearDownClass(cls):
        cls.boss.close()
        code = cls.server.stop()
        cls.register.remove()
        assert code == 0, code

    def export(self, *args, code=0, data=None):
        done = subprocess.run([program.PROGRAM, "export", *args, "--data",
                               data or self.register.data], stdout=subprocess.PIPE,
                              stderr=subprocess.PIPE, timeout=120)
        said = done.stderr.decode()
        self.assertEqual(done.returncode, code, said)
        self.assertIsNone(program.WRONG_IN_LOG.search(said), said)
        return said if code else done.stdout

    def out(self, name):
        return os.path.join(self.register.home, name)

    def left_over(self):
        return [name for name in os.listdir(self.register.home) if re.search(r"\.\w{6}$", name)]

    def test_the_command_line_gives_what_the_api_gives_while_it_serves(self):
        for name in ("bonds", "due", "odd-data", "bond-states"):
            served = self.boss.must("GET", f"/api/{name}.csv").body
            self.assertEqual(self.export(name), served, name)
        for name, query in (("bonds.csv", "status=in_service&q=N000"),
                            ("bonds.geojson", "q=%3DB")):
            filters = [part for pair in query.replace("%3D", "=").split("&")
                       for part in ("--filter", pair)]
            self.export("bonds", *filters, "--out", self.out(name))
            with open(self.out(name), "rb") as file:
                self.assertEqual(file.read(), self.boss.must("GET", f"/api/{name}?{query}").body)
        rows = json.loads(self.export("bonds", "--format", "json", "--filter", "q=N0000"))
        self.assertEqual(rows, self.boss.rows("bonds", "q=N0000"))
        self.export("bonds", "--out", self.out("all.xlsx"))
        with zipfile.ZipFile(self.out("all.xlsx")) as book:
            self.assertEqual(book.read("xl/worksheets/sheet1.xml").count(b"<row "),
                             1 + len(self.boss.rows("bonds")))
        self.assertEqual(self.left_over(), [])

    def test_a_report_from_the_command_line(self):
        got = json.loads(self.export("report", "--lines", "VAL", "--day", "2026-01-31"))
        self.assertEqual(got, self.boss.get("/api/report?lines=VAL&day=2026-01-31").json)
        self.export("report", "--out", self.out("report.json"))
        with open(self.out("report.json"), encoding="utf-8") as file:
            self.assertEqual(json.load(file), self.boss.get("/api/report").json)

    def test_what_is_wrong_is_told_by_the_exit_code(self):
        self.export(code=64)
        self.export("nothing", code=64)
        self.export("bonds", "--format", "pdf", code=64)
        self.export("bonds", "--filter", "q", code=64)
        self.export("bonds", "due", code=64)
        self.export("report", "--format", "csv", code=64)
        self.assertIn("colour", self.export("bonds", "--filter", "colour=red", code=65))
        self.assertIn("no line", self.export("report", "--lines", "NONE", code=65))
        self.assertIn("GeoJSON", self.export("due", "--format", "geojson", code=65))
        self.export("bonds", data="/nowhere", code=69)
        self.export("bonds", "--out", "/nowhere/bonds.csv", code=74)
        self.export("bonds", "--out", self.register.data, code=74)   # a folder
        self.assertIn("odd-data", self.export("--help").decode())

    def test_a_refused_export_leaves_the_file_before_as_it_was(self):
        path = self.out("kept.csv")
        with open(path, "w") as file:
            file.write("of yesterday")
        self.export("bonds", "--filter", "colour=red", "--out", path, code=65)
        with open(path) as file:
            self.assertEqual(file.read(), "of yesterday")
        self.assertEqual(self.left_over(), [])

    def test_a_full_disk_is_told(self):
        with open("/dev/full", "wb") as full:
            done = subprocess.run([program.PROGRAM, "export", "bonds", "--data", self.register.data],
                                  stdout=full, stderr=subprocess.PIPE, timeout=60)
        self.assertEqual(done.returncode, 74, done.stderr)

    def slow(self, path):
        """A client that asked and has read no more than the head of the answer."""
        link = socket.socket()
        link.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
        link.connect(("127.0.0.1", self.server.port))
        link.sendall(f"GET {path} HTTP/1.1\r\nHost: 127.0.0.1\r\nCookie: {self.boss.cookie}\r\n"
                     "Connection: close\r\n\r\n".encode())
        link.settimeout(60)
        got = b""
        while b"\r\n\r\n" not in got:
            got += link.recv(100)
        return link, got

    def test_a_slow_client_holds_no_reading_of_the_register(self):
        whole = self.boss.must("GET", "/api/bonds.csv").body
        links = [self.slow("/api/bonds.csv") for _ in range(8)]
        for _, begun in links:
            self.assertTrue(begun.startswith(b"HTTP/1.1 200"), begun)
        # all of the log can be folded back only when no reader needs an older state of it
        self.boss.must("POST", "/api/bonds", bond("LATER", "2+000"))
        link = sqlite3.connect(f"file:{self.register.data}/register.db?mode=rw", uri=True, timeout=30)
        deadline = time.monotonic() + 20
        while True:
            _, frames, folded = link.execute("PRAGMA wal_checkpoint(PASSIVE)").fetchone()
            if frames == folded or time.monotonic() > deadline:
                break
            time.sleep(0.1)
        link.close()
        self.assertEqual(frames, folded)
        for link, got in links:    # and each has the register as it was when it asked
            while chunk := link.recv(65536):
                got += chunk
            head, _, body = got.partition(b"\r\n\r\n")
            self.assertEqual(int(re.search(rb"Content-Length: (\d+)", head).group(1)), len(whole))
            self.assertEqual(body, whole)
            link.close()
        self.assertNotIn(b"LATER", whole)

    def test_a_client_knows_when_it_was_cut_short(self):
        # the length stands before the first byte: what ends before it is not whole (RFC 9112, 8)
        link, got = self.slow("/api/bonds.csv")
        link.close()
        self.assertEqual(int(re.search(rb"Content-Length: (\d+)", got).group(1)),
                         len(self.boss.must("GET", "/api/bonds.csv").body))
        self.assertNotIn(b"chunked", got.lower())

    def test_a_list_that_cannot_be_read_to_its_end_is_no_file(self):
        broken = program.Register()
        subprocess.run(["cp", "-r", self.register.data + "/.", broken.data], check=True)
        path = os.path.join(broken.data, "register.db")
        link = sqlite3.connect(path)
        link.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        link.close()
        with open(path, "r+b") as file:
            pages = file.read()
            # leaves of the table of bonds' states (0x0D, SQLite's file format, 1.6)
            leaves = [at for at in range(4096, len(pages), 4096) if pages[at] == 0x0D and
                      pages.count(b"N02", at, at + 4096) > 5]
            self.assertTrue(leaves)
            for at in leaves:
                file.seek(at)
                file.write(bytes(4096))
        server = program.Server(broken)
        boss = program.Client(server, "administrator")
        for name in ("bonds.csv", "bonds.xlsx", "bonds.geojson", "bond-states.csv"):
            answer = boss.get(f"/api/{name}")
            self.assertGreaterEqual(answer.status, 500, name)
            self.assertIn("problem+json", answer.headers["Content-Type"])
        self.assertEqual(server.stop(), 0)
        boss.close()
        target = os.path.join(broken.home, "bonds.csv")
        self.assertIn("cut short after", self.export("bonds", "--out", target, code=74,
                                                     data=broken.data))
        self.assertFalse(os.path.exists(target))
        # where the file cannot be kept from its reader, its last line says so
        done = subprocess.run([program.PROGRAM, "export", "bonds", "--data", broken.data],
                              stdout=subprocess.PIPE, stderr=subprocess.PIPE)
        self.assertEqual(done.returncode, 74)
        self.assertIn(b"THIS FILE IS NOT WHOLE", done.stdout.splitlines()[-1])
        broken.remove()


if __name__ == "__main__":
    unittest.main()
