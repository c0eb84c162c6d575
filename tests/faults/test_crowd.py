"""Many connections, all with a request under way at once. The library's epoll mode stands still at
exactly 128, 256, ... of them; ours must answer all."""
import time
import unittest

import program

ROUNDS = 6


class Crowd(unittest.TestCase):
    def setUp(self):
        self.register = program.Register()
        self.addCleanup(self.register.remove)
        self.server = program.Server(self.register)
        boss = program.Client(self.server, "administrator")
        self.cookie = boss.cookie
        self.bonds = program.railway(boss, 60)
        boss.close()

    def ask_all(self, count):
        """Every connection sends, then every answer is read; a third of them are writes."""
        clients = [program.Client(self.server, cookie=self.cookie) for _ in range(count)]
        written = 0
        for round_ in range(ROUNDS):
            for n, client in enumerate(clients):
                if (n + round_) % 3 == 0:
                    client.send("PUT", "/api/inspections/" + program.new_id(),
                                program.inspection(self.bonds[n % len(self.bonds)]))
                    written += 1
                elif n % 40 == 1:
                    client.send("GET", "/api/bonds.csv")
                else:
                    client.send("GET", "/api/due?line=1")
            for n, client in enumerate(clients):
                answer = client.hear()
                # of the files only so many wait for the job threads
                self.assertIn(answer.status, (200, 201) if n % 40 != 1 else (200, 201, 429), answer)
        for client in clients:
            client.close()
        return written

    def test_every_one_of_a_crowd_is_answered(self):
        written = 0
        for count in (127, 128, 129, 256, 512):
            begun = time.monotonic()
            written += self.ask_all(count)
            print(count, "connections:", round(count * ROUNDS / (time.monotonic() - begun)),
                  "answers/s", flush=True)
        self.assertEqual(self.register.query("SELECT count(*) FROM inspection"), [(written,)])
        self.assertEqual(self.server.stop(), 0)
        self.assertIn("content", self.register.run("check"))

    def tearDown(self):
        if self.server.process.poll() is None:
            self.server.kill()


if __name__ == "__main__":
    unittest.main(verbosity=2)
