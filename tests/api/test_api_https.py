"""The program over https: which versions of TLS it takes, what it says of cookies and of the host,
and that its certificate is replaced while people work.

The certificates are made by openssl, which also is the client that asks for single versions.
"""
import http.client
import json
import os
import signal
import ssl
import subprocess
import tempfile
import threading
import time
import unittest

import program


def openssl(*args, text=None):
    return subprocess.run(["openssl", *args], input=text, stdout=subprocess.PIPE,
                          stderr=subprocess.STDOUT, text=True, timeout=60)


class Pair:
    """A certificate for this machine, and its key, in files."""

    def __init__(self, folder, name="server"):
        self.certificate = os.path.join(folder, name + ".crt")
        self.key = os.path.join(folder, name + ".key")
        self.make()

    def make(self):
        made = openssl("req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:P-256",
                       "-nodes", "-keyout", self.key, "-out", self.certificate, "-days", "2",
                       "-subj", "/CN=localhost", "-addext", "subjectAltName=DNS:localhost,IP:127.0.0.1")
        assert made.returncode == 0, made.stdout

    def options(self):
        return ("--certificate", self.certificate, "--key", self.key)


class Https(unittest.TestCase):
    def setUp(self):
        self.folder = tempfile.TemporaryDirectory()
        self.pair = Pair(self.folder.name)
        self.register = program.Register()
        self.server = None

    def tearDown(self):
        if self.server is not None:
            self.assertEqual(self.server.stop(), 0)
        self.register.remove()
        self.folder.cleanup()

    def serve(self, *more):
        self.server = program.Server(self.register, *self.pair.options(), *more)

    def link(self):
        trusts = ssl.create_default_context(cafile=self.pair.certificate)
        return http.client.HTTPSConnection("127.0.0.1", self.server.port, timeout=30, context=trusts)

    def ask(self, method, path, body=None, **headers):
        link = self.link()
        link.request(method, path, json.dumps(body) if body else None,
                     {"Content-Type": "application/json", **headers})
        answer = link.getresponse()
        answer.body = answer.read()
        link.close()
        return answer

    def sign_in(self):
        answer = self.ask("POST", "/api/session", {"login": "crew", "password": program.PASSWORD})
        self.assertEqual(answer.status, 200, answer.body)
        return answer

    def test_takes_only_tls_1_2_and_1_3(self):
        self.serve()
        for version, taken in (("-tls1", False), ("-tls1_1", False), ("-tls1_2", True),
                               ("-tls1_3", True)):
            # (the client's own level is lowered, so that it is the server who refuses)
            said = openssl("s_client", version, "-cipher", "ALL:@SECLEVEL=0", "-connect",
                           f"127.0.0.1:{self.server.port}", "-CAfile", self.pair.certificate,
                           text="")
            self.assertEqual("Verify return code: 0 (ok)" in said.stdout and
                             "Cipher is (NONE)" not in said.stdout, taken, version + said.stdout)

    def test_cookies_go_over_https_alone_and_are_of_this_host(self):
        self.serve()
        session, device = self.sign_in().headers.get_all("Set-Cookie")
        self.assertRegex(session, r"^__Host-bondbook_session=[^;]+; Path=/; HttpOnly; "
                                  r"SameSite=Strict; Max-Age=\d+; Secure$")
        self.assertRegex(device, r"^__Secure-bondbook_device=.*; Path=/api/session; .*; Secure$")
        own = session.split(";")[0]
        self.assertEqual(self.ask("GET", "/api/session", Cookie=own).status, 200)
        # one that a page over plain http could have set is nobody's
        self.assertEqual(self.ask("GET", "/api/session", Cookie=own.removeprefix("__Host-")).status,
                         401)
        ended = self.ask("DELETE", "/api/session", Cookie=own)
        self.assertIn("__Host-bondbook_session=; ", ended.headers["Set-Cookie"])

    def test_the_host_is_bound_to_https_only_where_that_is_wanted(self):
        self.serve()
        self.assertIsNone(self.ask("GET", "/livez").headers["Strict-Transport-Security"])
        self.server.stop()
        self.serve("--hsts")
        self.assertEqual(self.ask("GET", "/livez").headers["Strict-Transport-Security"],
                         "max-age=31536000")

    def test_behind_a_proxy_that_has_https_cookies_say_so(self):
        self.server = program.Server(self.register, "--behind-proxy", "--proxy-https", "--hsts")
        link = http.client.HTTPConnection("127.0.0.1", self.server.port, timeout=30)
        link.request("POST", "/api/session", json.dumps({"login": "crew",
                                                         "password": program.PASSWORD}),
                     {"Content-Type": "application/json"})
        answer = link.getresponse()
        self.assertIn("; Secure", answer.headers["Set-Cookie"])
        self.assertIsNotNone(answer.headers["Strict-Transport-Security"])
        link.close()

    def test_options_that_do_not_fit_are_refused_before_anything_is_served(self):
        other = Pair(self.folder.name, "other")
        for options, words in (
                (("--certificate", self.pair.certificate), "belong together"),
                (("--hsts",), "--certificate"), (("--proxy-https",), "--behind-proxy"),
                (("--certificate", self.pair.certificate, "--key", other.key), "not that of"),
                (("--certificate", self.pair.key, "--key", self.pair.key), "cannot be read"),
                (("--certificate", "/nowhere", "--key", self.pair.key), "/nowhere")):
            with self.assertRaises(AssertionError) as refused:
                program.Server(self.register, *options)
            self.assertIn(words, str(refused.exception))

    def test_gives_the_authority_to_a_tablet_that_is_to_trust_it(self):
        self.serve("--authority", self.pair.certificate)
        answer = self.ask("GET", "/authority.crt")
        self.assertEqual(answer.headers["Content-Type"], "application/x-x509-ca-cert")
        with open(self.pair.certificate, "rb") as pem:
            self.assertEqual(answer.body, pem.read())
        self.server.stop()
        self.serve()
        self.assertEqual(self.ask("GET", "/authority.crt").status, 404)

    def serial(self):
        link = self.link()
        link.connect()
        shown = link.sock.getpeercert()
        link.close()
        return shown["serialNumber"]

    def hang_up(self, until):
        """Tells the server to read its certificate again, and waits for the words in its log."""
        before = self.server.logged().count(until)
        self.server.process.send_signal(signal.SIGHUP)
        for _ in range(500):
            if self.server.logged().count(until) > before:
                return
            time.sleep(0.02)
        self.fail(self.server.logged()[-1000:])

    def test_a_certificate_is_replaced_while_people_work(self):
        self.serve()
        trusts = ssl.create_default_context()
        trusts.check_hostname, trusts.verify_mode = False, ssl.CERT_NONE
        ended, wrong, answered = threading.Event(), [], []

        def work():
            kept = http.client.HTTPSConnection("127.0.0.1", self.server.port, timeout=30,
                                               context=trusts)
            while not ended.is_set():
                fresh = http.client.HTTPSConnection("127.0.0.1", self.server.port, timeout=30,
                                                    context=trusts)
                for link in (kept, fresh):
                    try:
                        link.request("GET", "/livez")
                        answered.append(link.getresponse().read())
                    except Exception as trouble:         # told by the test, not by a thread
                        wrong.append(trouble)
                fresh.close()
            kept.close()

        workers = [threading.Thread(target=work) for _ in range(4)]
        for worker in workers:
            worker.start()
        serials = {self.serial()}
        for _ in range(8):
            self.pair.make()
            self.hang_up("was read again")
            serials.add(self.serial())
        ended.set()
        for worker in workers:
            worker.join()
        self.assertEqual(wrong, [])
        self.assertGreater(len(answered), 100)
        self.assertEqual(len(serials), 9)

    def test_a_wrong_certificate_does_not_replace_the_right_one(self):
        self.serve()
        before = self.serial()
        with open(self.pair.certificate) as shown:
            good = shown.read()
        other = Pair(self.folder.name, "other")
        os.replace(other.certificate, self.pair.certificate)
        self.hang_up("the former is shown still")
        with open(self.pair.certificate, "w") as back:
            back.write(good)
        self.assertEqual(self.serial(), before)


if __name__ == "__main__":
    unittest.main()
