"""Signing in while others guess passwords: who works is not held up, and devices from which
somebody signed in before come first."""
import select
import unittest

import program

WAITING, UNKNOWN = 16, 8      # of the queue: in all, and of devices that are not known
WRONG = {"login": "crew", "password": "ninety eight sleepers"}


class SignIn(unittest.TestCase):
    def setUp(self):
        self.register = program.Register()
        self.addCleanup(self.register.remove)
        self.server = program.Server(self.register, "--threads", "1")
        self.clients = []

    def tearDown(self):
        for client in self.clients:
            client.close()
        self.assertEqual(self.server.stop(), 0)

    def client(self, role=None, cookie=None):
        self.clients.append(program.Client(self.server, role, cookie))
        return self.clients[-1]

    def guess(self, count, body=WRONG, cookie=None):
        """So many sign-ins at once, not waited for."""
        guessers = [self.client(cookie=cookie) for _ in range(count)]
        for guesser in guessers:
            guesser.send("POST", "/api/session", body)
        return guessers

    def device(self, role):
        answer = self.client().must("POST", "/api/session",
                                    {"login": role, "password": program.PASSWORD})
        session, device = answer.headers.get_all("Set-Cookie")
        self.assertIn("HttpOnly", device)
        self.assertIn("Path=/api/session;", device)
        return device.split(";")[0]

    def test_who_works_does_not_wait_for_those_who_guess(self):
        planner = self.client("planner")
        guessers = self.guess(UNKNOWN)
        for _ in range(3):
            planner.must("GET", "/api/due")
        waiting = [g.link.sock for g in guessers]
        answered, _, _ = select.select(waiting, [], [], 0)
        self.assertLess(len(answered), UNKNOWN)     # one worker, and it was not held
        self.assertEqual({g.hear().status for g in guessers}, {401})

    def test_somebody_changes_their_own_password_and_is_signed_out_elsewhere(self):
        here, there = self.client("crew"), self.client("crew")
        other = "forty grey wagtails"
        for body, field in (({"password": "not mine at all", "new_password": other}, "password"),
                            ({"password": program.PASSWORD, "new_password": "password1234"},
                             "new_password"),
                            ({"password": program.PASSWORD}, "new_password")):
            answer = here.ask("PUT", "/api/session/password", body)
            self.assertEqual(answer.status, 422, answer)
            self.assertIn(field, str(answer.json))
        there.must("GET", "/api/due")                  # nothing was changed
        answer = here.must("PUT", "/api/session/password",
                           {"password": program.PASSWORD, "new_password": other}, status=(204,))
        session, device = answer.headers.get_all("Set-Cookie")
        self.assertIn("HttpOnly", session)
        self.assertEqual(there.ask("GET", "/api/due").status, 401)
        self.client(cookie=session.split(";")[0]).must("GET", "/api/due")
        stranger = self.client()
        self.assertEqual(stranger.ask("POST", "/api/session", {
            "login": "crew", "password": program.PASSWORD}).status, 401)
        stranger.must("POST", "/api/session", {"login": "crew", "password": other})
        self.assertEqual(stranger.ask("PUT", "/api/session/password", {}).status, 401)
        logged = self.server.logged()
        for event in ('"sign-in refused" login="crew" peer="127.0.0.1"', '"signed in" login="crew"',
                      '"a change of password was refused" login="crew"',
                      '"a password was changed" login="crew"'):
            self.assertIn(event, logged)
        for secret in (program.PASSWORD, other):
            self.assertNotIn(secret, logged)

    def test_a_crowd_of_guessers_is_told_to_come_again(self):
        guessers = self.guess(4 * UNKNOWN)
        answers = [g.hear() for g in guessers]
        self.assertEqual({a.status for a in answers}, {401, 429})
        refused = [a for a in answers if a.status == 429]
        self.assertGreaterEqual(len(refused), UNKNOWN)
        for answer in refused:
            self.assertIn("Retry-After", answer.headers)
            self.assertEqual(answer.json["type"], "/problems/too-many")

    def test_a_device_of_before_gets_in_all_the_same(self):
        device = self.device("crew")
        guessers = self.guess(4 * UNKNOWN)
        right = {"login": "crew", "password": program.PASSWORD}
        known = self.guess(1, right, device)[0]
        self.assertEqual(known.hear().status, 200)
        answered, _, _ = select.select([g.link.sock for g in guessers], [], [], 0)
        codes = [g.hear().status for g in guessers]
        self.assertIn(429, codes)
        self.assertLess(len(answered), len(codes))  # it came before the last of them
        # a cookie of one person is none of another's
        guessers = self.guess(4 * UNKNOWN)
        other = self.guess(1, {"login": "planner", "password": program.PASSWORD}, device)[0]
        self.assertEqual(other.hear().status, 429)
        for guesser in guessers:
            guesser.hear()

    def test_the_queue_of_known_devices_has_an_end_too(self):
        device = self.device("crew")
        guessers = self.guess(3 * WAITING, cookie=device)
        self.assertIn(429, [g.hear().status for g in guessers])

    def test_a_device_s_cookie_signs_nobody_in(self):
        device = self.device("crew")
        self.assertEqual(self.client(cookie=device).get("/api/due").status, 401)
        value = device.split("=")[1]
        self.assertEqual(self.client(cookie="bondbook_session=" + value).get("/api/due").status, 401)


if __name__ == "__main__":
    unittest.main()
