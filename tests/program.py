"""The real program on the loopback, for the tests of the API and of what may go wrong: a fresh
register with one person of each role, a server over it, clients that are signed in.

The program is the one that the environment's BONDBOOK names.
"""
import atexit
import http.client
import json
import os
import re
import shutil
import signal
import sqlite3
import subprocess
import tempfile
import time
import uuid

# the days of the registers, of the programs and of the tests
os.environ["TZ"] = "UTC"
time.tzset()

PROGRAM = os.environ["BONDBOOK"]
ROLES = ("viewer", "crew", "planner", "manager", "administrator")
PASSWORD = "ninety nine sleepers"

# a sanitizer may only tell on stderr, so the log is looked through
WRONG_IN_LOG = re.compile(r"runtime error:|ERROR: \w+Sanitizer|WARNING: ThreadSanitizer|Assertion")


class Register:
    """A folder with a register, removed at the end. Of all made in one run only the first costs
    the time of the passwords."""
    first = None

    def __init__(self, parent=None):
        self.home = tempfile.mkdtemp(prefix="bondbook-", dir=parent)
        self.data = os.path.join(self.home, "data")
        self.log = os.path.join(self.home, "log")
        if Register.first is None:
            Register.first = tempfile.mkdtemp(prefix="bondbook-first-")
            self.run("init", "--zone", "UTC")
            for role in ROLES:
                self.run("person", "--login", role, "--name", "The " + role, "--role", role,
                         text=PASSWORD + "\n")
            shutil.copytree(self.data, Register.first, dirs_exist_ok=True)
        else:
            shutil.copytree(Register.first, self.data)

    def run(self, command, *args, text="", code=0):
        """Runs a command of the program on the register; its output."""
        done = subprocess.run([PROGRAM, command, "--data", self.data, *args], input=text, text=True,
                              stdout=subprocess.PIPE, stderr=subprocess.STDOUT, timeout=300)
        if done.returncode != code or WRONG_IN_LOG.search(done.stdout):
            raise AssertionError(f"{command} ended with {done.returncode}: {done.stdout}")
        return done.stdout

    def query(self, sql):
        """Rows straight from the file, read only: what is there, whatever the program says."""
        link = sqlite3.connect(f"file:{self.data}/register.db?mode=ro", uri=True, timeout=30)
        try:
            return link.execute(sql).fetchall()
        finally:
            link.close()

    def counts(self):
        """How many rows each table has."""
        tables = [name for name, in self.query("SELECT name FROM sqlite_schema WHERE type = 'table'"
                                               " AND name NOT LIKE 'sqlite%'")]
        return {name: self.query(f"SELECT count(*) FROM {name}")[0][0] for name in tables}

    def remove(self):
        shutil.rmtree(self.home, ignore_errors=True)


@atexit.register
def forget_first():
    if Register.first is not None:
        shutil.rmtree(Register.first, ignore_errors=True)


class Server:
    """bondbook serve over a register, on any free port; wrap stands before the command."""

    def __init__(self, register, *options, wrap=(), env=None):
        self.register = register
        self.log = open(register.log, "ab")
        self.process = subprocess.Popen(
            # it goes with the test, however that ends
            ["setpriv", "--pdeathsig", "KILL", *wrap, PROGRAM, "serve", "--data", register.data,
             "--listen", "127.0.0.1:0", *options],
            stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=self.log,
            env={**os.environ, **(env or {})})
        line = self.process.stdout.readline().decode()
        found = re.search(r":(\d+)/", line)
        if not found:
            self.process.wait()
            self.process.stdout.close()
            self.log.close()
            raise AssertionError("the server did not start: " + self.logged()[-2000:])
        self.port = int(found.group(1))

    def logged(self):
        with open(self.register.log, errors="replace") as log:
            return log.read()

    def kill(self):
        """The process is gone at once: nothing of it runs any more."""
        self.process.send_signal(signal.SIGKILL)
        return self.wait()

    def wait(self, seconds=60):
        """Waits for its end and looks through its log; the exit code."""
        code = self.process.wait(seconds)
        self.process.stdout.close()
        self.log.close()
        wrong = WRONG_IN_LOG.search(self.logged())
        if wrong:
            raise AssertionError(self.logged()[max(0, wrong.start() - 200):][:6000])
        return code

    def stop(self, seconds=60):
        """Asks it to end; the exit code."""
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGTERM)
        return self.wait(seconds)


def sanitizers():
    """The libraries of sanitizers that the program was built with."""
    said = subprocess.run(["ldd", PROGRAM], stdout=subprocess.PIPE, text=True).stdout
    return [line.split()[2] for line in said.splitlines() if "libasan" in line]


def preload(library=None):
    """What stands before a command that is to have a library loaded first; a sanitizer must be loaded
    before that."""
    libraries = " ".join(sanitizers() + ([library] if library else []))
    return ("sh", "-c", f'LD_PRELOAD="{libraries} $LD_PRELOAD" exec "$@"', "sh")


def run(command, env=None):
    """Runs it and expects that it ends well; what it said."""
    done = subprocess.run(command, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, text=True,
                          stderr=subprocess.STDOUT, timeout=300, env={**os.environ, **(env or {})})
    if done.returncode != 0 or WRONG_IN_LOG.search(done.stdout):
        raise AssertionError(f"{command} ended with {done.returncode}: {done.stdout}")
    return done.stdout


class Answer:
    def __init__(self, response):
        self.status = response.status
        self.headers = response.headers
        self.body = response.read()

    @property
    def json(self):
        return json.loads(self.body)

    def fields(self):
        """The members that a problem names, sorted."""
        return sorted(error["field"] for error in self.json.get("errors", []))

    def __repr__(self):
        return f"{self.status} {self.body[:600].decode(errors='replace')}"


class Client:
    """One connection, kept open; with a role it signs in."""

    def __init__(self, server, role=None, cookie=None):
        self.port = server.port
        self.cookie = cookie
        self.link = http.client.HTTPConnection("127.0.0.1", self.port, timeout=60)
        if role:
            answer = self.ask("POST", "/api/session", {"login": role, "password": PASSWORD})
            if answer.status != 200:
                raise AssertionError(f"{role} cannot sign in: {answer}")
            self.cookie = answer.headers["Set-Cookie"].split(";")[0]

    def send(self, method, path, body=None, headers=None):
        """Sends alone; body is bytes as they are, or anything that becomes JSON."""
        all_headers = {"Cookie": self.cookie} if self.cookie else {}
        if body is not None:
            all_headers["Content-Type"] = "application/json"
            if not isinstance(body, bytes):
                body = json.dumps(body).encode()
        all_headers.update(headers or {})
        self.link.request(method, path, body, all_headers)

    def hear(self):
        return Answer(self.link.getresponse())

    def ask(self, method, path, body=None, headers=None):
        self.send(method, path, body, headers)
        return self.hear()

    def get(self, path, **headers):
        return self.ask("GET", path, headers={k.replace("_", "-"): v for k, v in headers.items()})

    def must(self, method, path, body=None, status=(200, 201), headers=None):
        answer = self.ask(method, path, body, headers)
        if answer.status not in (status if isinstance(status, tuple) else (status,)):
            raise AssertionError(f"{method} {path}: {answer}")
        return answer

    def rows(self, name, query=""):
        """All rows of a list, page after page by Link."""
        path = f"/api/{name}?limit=1000&{query}"
        rows = []
        while path:
            answer = self.must("GET", path)
            rows += answer.json["rows"]
            link = answer.headers["Link"]
            path = link[1:link.index(">")] if link else None
        return rows

    def close(self):
        self.link.close()


def person(boss, login, name, role):
    """Somebody new, who has chosen PASSWORD by the code of an administrator's client; their id."""
    made = boss.must("POST", "/api/people", {"login": login, "name": name, "role": role}, 201).json
    code = boss.must("POST", f"/api/people/{made['id']}/reset", status=201).json["code"]
    link = http.client.HTTPConnection("127.0.0.1", boss.port, timeout=60)
    link.request("POST", "/api/session/reset", json.dumps(
        {"login": login, "code": code, "new_password": PASSWORD}),
        {"Content-Type": "application/json"})
    answer = Answer(link.getresponse())
    link.close()
    if answer.status != 200:
        raise AssertionError(f"{login} could not choose a password: {answer}")
    return made["id"]


def new_id():
    return str(uuid.uuid4())


def bond(label, chainage, **more):
    """The body of a rail joint bond on the left rail of line VAL's Up track."""
    return {"line": "VAL", "label": label, "kind": "rail_joint", "a_track": "Up",
            "a_rail": "left", "a_chainage": chainage, "installed_day": "2020-03-31",
            "material": "copper", "area_mm2": 95, "length_m": 0.6, "cables": 1, **more}


METER = "M-1"                # of railway(): 1 % of the reading and 0.5 µΩ, in calibration throughout


def reading(quantity="contact_a", **more):
    """The body of a four-wire reading: 50 µV over 10 A both ways are 5 µΩ, a good contact."""
    return {"quantity": quantity, "method": "four_wire", "forward_uv": 50, "reverse_uv": -50,
            "current_a": 10, "temp_c": 20, "instrument": METER, **more}


def inspection(bond_id, day="2026-03-31", **more):
    """A complete visit that proves a joint bond of one cable."""
    return {"bond_id": bond_id, "day": day, "seen_a": "good", "seen_b": "good", "cables_whole": 1,
            "readings": [reading("contact_a"), reading("contact_b")], **more}


def named(client, bond_id):
    """What a bond has to be mended for, as a deferral names it."""
    judged = client.must("GET", f"/api/bonds/{bond_id}/judgement").json
    return [{"key": reason["key"]} for reason in judged["to_mend"]]


def railway(client, bonds=0):
    """Line VAL (km + m) with tracks Up and Down, a meter and so many bonds, 20 m apart; the bonds'
    ids."""
    client.must("POST", "/api/lines", {"code": "VAL", "name": "Vale line", "notation": "km_m",
                                       "electrification": "ac"})
    for track in ("Up", "Down"):
        client.must("POST", "/api/tracks", {"line": "VAL", "name": track})
    client.must("POST", "/api/instruments", {
        "serial": METER, "name": "Ten amp meter", "calibrated_day": "2015-01-01",
        "calibration_due_day": "2099-01-01", "uncertainty_percent": 1, "uncertainty_uohm": 0.5})
    return [client.must("POST", "/api/bonds", bond(f"B{n:05}", f"{n // 50}+{n % 50 * 20:03}")
                        ).json["id"] for n in range(1, bonds + 1)]
