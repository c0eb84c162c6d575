"""Long requests: what nobody waits for ends, a stop does not wait for it, and the files that are
fetched have their bounds."""
import os
import re
import socket
import sqlite3
import time
import unittest

import program

KITS, NAME = 150_000, 300                # 45 MB of names


class Long(unittest.TestCase):
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

    def start(self, *options):
        self.server = program.Server(self.register, *options)
        self.boss = program.Client(self.server, "administrator")
        self.addCleanup(self.boss.close)

    def fetch(self, path, cookie):
        """Asks and takes as good as nothing."""
        link = socket.socket()
        self.addCleanup(link.close)
        link.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
        link.connect(("127.0.0.1", self.server.port))
        link.sendall(f"GET {path} HTTP/1.1\r\nHost: x\r\nCookie: {cookie}\r\n\r\n".encode())
        link.settimeout(60)
        return link

    def waiting(self):
        page = self.boss.must("GET", "/metrics").body.decode()
        return int(page.split("\nbondbook_requests_waiting ")[1].split("\n")[0])

    def until(self, what):
        deadline = time.monotonic() + 60
        while not what():
            self.assertLess(time.monotonic(), deadline)
            time.sleep(0.05)

    def written(self):
        with open(f"/proc/{self.server.process.pid}/io") as io:
            return int(re.search(r"wchar: (\d+)", io.read()).group(1))

    def test_what_was_abandoned_is_not_made(self):
        self.start()
        first = self.written()
        self.boss.must("GET", "/api/kits.xlsx")
        whole = self.written() - first
        links = [self.fetch("/api/kits.xlsx", self.boss.cookie) for _ in range(10)]
        self.until(lambda: self.waiting() == 10)
        for link in links:
            link.close()
        self.until(lambda: self.waiting() == 0)
        # of the ten two were begun, and eight were not
        self.assertLess(self.written() - first, 4 * whole)
        self.boss.must("GET", "/api/report")
        self.assertEqual(self.server.stop(), 0)
        self.assertNotIn("store failed", self.server.logged())

    def test_a_person_who_asks_for_much_is_refused_and_others_are_not(self):
        self.start()
        planner = program.Client(self.server, "planner")
        self.addCleanup(planner.close)
        for n in range(18):
            self.fetch("/api/kits.xlsx", self.boss.cookie)
            self.until(lambda: self.waiting() == n + 1)
        answer = self.boss.get("/api/kits.xlsx")
        self.assertEqual(answer.status, 429, answer)
        self.assertIn("yours are waiting", answer.json["detail"])
        planner.must("GET", "/api/report")
        self.assertGreater(self.waiting(), 0)     # and did not wait for all of the other's
        self.assertEqual(self.server.stop(20), 0)

    def test_a_stop_does_not_wait_for_long_work(self):
        self.start()
        links = [self.fetch("/api/kits.xlsx", self.boss.cookie) for _ in range(6)]
        planner = program.Client(self.server, "planner")
        self.addCleanup(planner.close)
        slow = self.fetch("/api/kits.csv", planner.cookie)
        self.until(lambda: slow.recv(1000))
        self.until(lambda: self.waiting() > 3)
        self.assertEqual(self.server.stop(20), 0)
        for link in links[3:]:
            said = link.recv(5000)
            self.assertIn(b"503", said.split(b"\r\n")[0])
            self.assertIn(b"ask again", said)
            self.assertNotIn(b"It is not certain", said)

    def test_files_that_are_fetched_have_room_for_each_and_for_all(self):
        self.start("--spool", "100")              # of which one person has 50
        planner, crew = (program.Client(self.server, role) for role in ("planner", "crew"))
        links = [self.fetch("/api/kits.csv", self.boss.cookie)]
        links[0].recv(1000)                       # it is being sent: 46 MB
        answer = self.boss.get("/api/kits.csv")
        self.assertEqual(answer.status, 429, answer)
        self.assertIn("still fetching", answer.json["detail"])
        self.boss.must("GET", "/api/lines.csv")
        links.append(self.fetch("/api/kits.csv", planner.cookie))
        links[1].recv(1000)
        answer = crew.get("/api/kits.csv")
        self.assertEqual(answer.status, 503, answer)
        self.assertIn("Others are still fetching", answer.json["detail"])
        links[0].close()
        self.until(lambda: crew.get("/api/kits.csv").status == 200)
        links[1].close()
        planner.close()
        crew.close()
        self.assertEqual(self.server.stop(), 0)

    def test_a_file_that_is_too_large_is_refused(self):
        self.start("--spool", "60")
        answer = self.boss.get("/api/kits.csv")
        self.assertEqual(answer.status, 422, answer)
        self.assertIn("30 MB", answer.json["detail"])
        self.boss.must("GET", "/api/lines.csv")
        self.assertEqual(self.server.stop(), 0)


if __name__ == "__main__":
    unittest.main()
