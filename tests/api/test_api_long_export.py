"""A list of tens of megabytes: memory does not grow with its rows, and a client whose answer ends
early can tell."""
import os
import re
import socket
import sqlite3
import subprocess
import unittest
import zipfile

import program

KITS, NAME = 150_000, 300                # 45 MB of names
MOST_KB = 20_000                         # what a process may grow by while it writes them
# a sanitizer keeps freed memory for a while, which is not the program's
QUIET = {"ASAN_OPTIONS": os.environ.get("ASAN_OPTIONS", "") + ":quarantine_size_mb=1"}


class LongExport(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.register = program.Register()
        link = sqlite3.connect(os.path.join(cls.register.data, "register.db"))
        link.execute("WITH RECURSIVE n (i) AS (VALUES (1) UNION ALL SELECT i + 1 FROM n WHERE i < ?) "
                     "INSERT INTO kit (code, name, recorded_at_ms) "
                     "SELECT printf('K%06d', i), printf('%0*d', ?, i), 0 FROM n", (KITS, NAME))
        link.commit()
        link.close()

    @classmethod
    def tearDownClass(cls):
        cls.register.remove()

    def most_kb(self, *args):
        """The most memory that the command had at once."""
        with open(os.devnull, "wb") as nothing:
            child = subprocess.Popen([program.PROGRAM, "export", *args, "--data", self.register.data],
                                     stdout=nothing, env={**os.environ, **QUIET})
            _, status, usage = os.wait4(child.pid, 0)
        child.returncode = os.waitstatus_to_exitcode(status)
        self.assertEqual(child.returncode, 0, args)
        return usage.ru_maxrss

    def test_the_command_line_needs_no_more_for_more_rows(self):
        for ending in ("csv", "json", "xlsx"):
            few = self.most_kb("lines", "--format", ending)
            many = self.most_kb("kits", "--format", ending)
            self.assertLess(many - few, MOST_KB, ending)

    def test_the_server_needs_no_more_for_more_rows(self):
        server = program.Server(self.register, env=QUIET)
        boss = program.Client(server, "administrator")

        def most_kb():
            with open(f"/proc/{server.process.pid}/status") as status:
                return int(re.search(r"VmHWM:\s+(\d+)", status.read()).group(1))
        for ending in ("csv", "xlsx"):
            boss.must("GET", f"/api/lines.{ending}")
        before = most_kb()
        answer = boss.must("GET", "/api/kits.csv")
        self.assertGreater(len(answer.body), KITS * NAME)
        self.assertEqual(answer.body.count(b"\r\n"), KITS + 1)
        path = os.path.join(self.register.home, "kits.xlsx")
        with open(path, "wb") as file:
            file.write(boss.must("GET", "/api/kits.xlsx").body)
        with zipfile.ZipFile(path) as book, book.open("xl/worksheets/sheet1.xml") as sheet:
            self.assertEqual(sum(chunk.count(b"</row>") for chunk in sheet), KITS + 1)
        self.assertLess(most_kb() - before, MOST_KB)
        boss.close()
        self.assertEqual(server.stop(), 0)

    def test_a_client_knows_when_the_server_went_away(self):
        server = program.Server(self.register)
        boss = program.Client(server, "administrator")
        link = socket.socket()
        link.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
        link.connect(("127.0.0.1", server.port))
        link.sendall(f"GET /api/kits.csv HTTP/1.1\r\nHost: 127.0.0.1\r\nCookie: {boss.cookie}\r\n"
                     "\r\n".encode())
        link.settimeout(60)
        got = b""
        while b"\r\n\r\n" not in got:
            got += link.recv(100)
        boss.close()
        server.kill()
        try:
            while chunk := link.recv(65536):
                got += chunk
        except ConnectionResetError:
            pass
        link.close()
        head, _, body = got.partition(b"\r\n\r\n")
        # the length stands before the first byte: what ends before it is not whole (RFC 9112, 8)
        length = int(re.search(rb"Content-Length: (\d+)", head).group(1))
        self.assertGreater(length, KITS * NAME)
        self.assertLess(len(body), length)
        self.assertNotIn(b"chunked", head.lower())


if __name__ == "__main__":
    unittest.main()
