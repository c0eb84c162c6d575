"""Signing in while others guess passwords: who works is not held up, and devices from which
somebody signed in before come first."""
import re
import select
import unittest

import program

WAITING, UNKNOWN = 16, 8      # of the queue: in all, and of devices that are not known
WRONG = "ninety eight sleepers"
AT_ONCE = 3                   # tries under one name before the next has to wait


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

    def guess(self, count, login=None, password=WRONG, cookies=(None,)):
        """So many sign-ins at once, not waited for: under one name, or each under another."""
        guessers = [self.client(cookie=cookies[n % len(cookies)]) for n in range(count)]
        for n, guesser in enumerate(guessers):
            guesser.send("POST", "/api/session", {"login": login or f"somebody{n}",
                                                  "password": password})
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
        known = self.guess(1, "crew", program.PASSWORD, [device])[0]
        self.assertEqual(known.hear().status, 200)
        answered, _, _ = select.select([g.link.sock for g in guessers], [], [], 0)
        codes = [g.hear().status for g in guessers]
        self.assertIn(429, codes)
        self.assertLess(len(answered), len(codes))  # it came before the last of them
        # a cookie of one person is none of another's
        guessers = self.guess(4 * UNKNOWN)
        other = self.guess(1, "planner", program.PASSWORD, [device])[0]
        self.assertEqual(other.hear().status, 429)
        for guesser in guessers:
            guesser.hear()

    def test_the_queue_of_known_devices_has_an_end_too(self):
        devices = [self.device("crew") for _ in range(WAITING)]
        guessers = self.guess(2 * WAITING, "crew", cookies=devices)
        answers = [g.hear() for g in guessers]
        self.assertEqual({a.status for a in answers}, {401, 429})
        self.assertIn("signing in just now", str([a.json for a in answers]))

    def test_one_account_is_guessed_at_more_and_more_slowly_and_its_person_gets_in(self):
        device = self.device("crew")
        answers = [g.hear() for g in self.guess(40, "crew")]
        refused = [a for a in answers if a.status == 429]
        self.assertLessEqual(len(answers) - len(refused), 2 * AT_ONCE)   # (a slow machine)
        for answer in refused:
            self.assertIn("wrong tries under this name", answer.json["detail"])
            self.assertIn(f'in {answer.headers["Retry-After"]} s', answer.json["detail"])
        # its person, from the device of before; and anybody else from anywhere, are let in at once
        self.assertEqual(self.guess(1, "crew", program.PASSWORD, [device])[0].hear().status, 200)
        self.assertEqual(self.guess(1, "planner", program.PASSWORD)[0].hear().status, 200)
        # who guesses on that device waits on that device
        answers = [g.hear().status for g in self.guess(12, "crew", cookies=[device])]
        self.assertIn(429, answers)
        self.assertIn('"sign-in put off" login="crew"', self.server.logged())

    def test_a_name_that_nobody_has_is_put_off_in_the_same_words(self):
        def told(login):
            answers = [g.hear() for g in self.guess(12, login)]
            return {(a.status, a.json["title"], re.sub("[0-9]+", "n", a.json["detail"]))
                    for a in answers}
        told_crew = told("crew")
        self.assertEqual({status for status, _, _ in told_crew}, {401, 429})
        self.assertEqual(told_crew, told("nobody"))
        self.assertIn(429, {status for status, _, _ in told("CREW")})

    def test_a_right_password_forgets_the_wrong_ones_before(self):
        client = self.client()
        for password in (WRONG, WRONG, program.PASSWORD) * 3:
            answer = client.ask("POST", "/api/session", {"login": "crew", "password": password})
            self.assertEqual(answer.status, 401 if password == WRONG else 200, answer)

    def test_an_open_tablet_is_no_place_to_guess_its_person_s_password(self):
        client = self.client("crew")
        tried = [client.ask("PUT", "/api/session/password",
                            {"password": WRONG, "new_password": "forty grey wagtails"}).status
                 for _ in range(3 * AT_ONCE)]
        self.assertEqual(tried[:AT_ONCE], [422] * AT_ONCE)
        self.assertIn(429, tried)
        client.must("GET", "/api/due")

    def test_a_device_s_cookie_signs_nobody_in(self):
        device = self.device("crew")
        self.assertEqual(self.client(cookie=device).get("/api/due").status, 401)
        value = device.split("=")[1]
        self.assertEqual(self.client(cookie="bondbook_session=" + value).get("/api/due").status, 401)


if __name__ == "__main__":
    unittest.main()
