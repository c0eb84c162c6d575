"""What strangers and crowds take, and that it is given back; a machine that allows few files."""
import os
import random
import re
import socket
import time
import unittest

import program

# a sanitizer keeps freed memory for a while, which is not the program's
QUIET = {"ASAN_OPTIONS": os.environ.get("ASAN_OPTIONS", "") + ":quarantine_size_mb=0"
         ":thread_local_quarantine_size_kb=0:allocator_release_to_os_interval_ms=0"}


def memory_kb(server):
    with open(f"/proc/{server.process.pid}/status") as status:
        return int(re.search(r"VmRSS:\s+(\d+)", status.read()).group(1))


class Scarce(unittest.TestCase):
    def setUp(self):
        self.register = program.Register()
        self.addCleanup(self.register.remove)

    def begin(self, server, cookie):
        """A body of which nothing has come yet."""
        link = socket.create_connection(("127.0.0.1", server.port), timeout=60)
        self.addCleanup(link.close)
        link.sendall(f"POST /api/lines HTTP/1.1\r\nCookie: {cookie}\r\nHost: x\r\n"
                     "Content-Type: application/json\r\nContent-Length: 1000000\r\n\r\n".encode())
        return link

    def soon(self, what):
        deadline = time.monotonic() + 30
        while not what() and time.monotonic() < deadline:
            time.sleep(0.1)
        return what()

    def test_before_signing_in_a_body_is_small(self):
        server = program.Server(self.register)
        stranger = program.Client(server)
        body = b'{"login":"viewer","password":"wrong wrong wrong"}'
        self.assertEqual(stranger.ask("POST", "/api/session", body.ljust(16384)).status, 401)
        answer = stranger.ask("POST", "/api/session", body.ljust(16385))
        self.assertEqual(answer.status, 413, answer)
        self.assertIn("16384", answer.json["detail"])
        stranger.close()
        crew = program.Client(server, "crew")
        crew.must("POST", "/api/session", b'{"login":"crew","password":"%s"}'.ljust(20000)
                  % program.PASSWORD.encode())
        crew.close()
        self.assertEqual(server.stop(), 0)

    def test_what_large_bodies_took_is_given_back(self):
        server = program.Server(self.register, env=QUIET)
        boss = program.Client(server, "administrator")
        chance = random.Random(1)
        first = memory_kb(server)
        for _ in range(2):    # bodies that grow side by side lie among each other
            links = [self.begin(server, boss.cookie) for _ in range(200)]
            for _ in range(30):
                for link in links:
                    link.sendall(b" " * chance.randint(20_000, 33_000))
            self.assertTrue(self.soon(lambda: memory_kb(server) > first + 50_000))   # they are held
            for link in links:
                link.close()
            self.assertTrue(self.soon(lambda: memory_kb(server) < first + 20_000), memory_kb(server))
        boss.close()
        self.assertEqual(server.stop(), 0)

    def test_with_64_files_it_goes_on(self):
        server = program.Server(self.register, wrap=("prlimit", "--nofile=64:64"))
        boss = program.Client(server, "administrator")
        program.railway(boss, 20)
        idle = [socket.create_connection(("127.0.0.1", server.port), timeout=60) for _ in range(100)]
        for name in ("bonds.xlsx", "bonds.csv", "repeat-places", "report"):
            boss.must("GET", "/api/" + name)
        visitor = program.Client(server, "planner")
        visitor.must("GET", "/api/bonds")
        for link in idle:
            link.close()
        boss.close()
        visitor.close()
        self.assertEqual(server.stop(), 0)
        log = server.logged()
        self.assertIn("fewer connections", log)
        self.assertNotIn("failed", log)
        self.assertNotIn("could not be opened", log)


if __name__ == "__main__":
    unittest.main()
