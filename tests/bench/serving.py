"""What measure.py measures: servers over registers, the clients that load them, and processor
time, which stands where other programs run beside."""
import http.client
import json
import os
import re
import shutil
import subprocess
import tempfile
import time

BUILD = os.environ["BONDBOOK_BUILD"]
PROGRAM = os.path.join(BUILD, "server/bondbook")
CLIENT = os.path.join(BUILD, "tests/bench/bench-client")
PROBE = os.path.join(BUILD, "tests/bench/bench-probe")

PERSON = {"login": "bench", "password": "bench bench bench"}    # national.c makes it


LEAST_PRIORITY = 19


def cpu_seconds(pid):
    """Of all threads of a process but the one that looks at the register after a start (run/look.c):
    that goes on for minutes of a large one, with the least priority, whatever is measured."""
    total = 0
    for task in os.listdir(f"/proc/{pid}/task"):
        with open(f"/proc/{pid}/task/{task}/stat") as stat:
            nice = int(stat.read().rpartition(")")[2].split()[16])
        with open(f"/proc/{pid}/task/{task}/schedstat") as stat:
            total += int(stat.read().split()[0]) if nice < LEAST_PRIORITY else 0
    return total / 1e9


def memory_mb(pid):
    """What is resident, and the most that ever was."""
    with open(f"/proc/{pid}/status") as status:
        found = dict(re.findall(r"(VmRSS|VmHWM):\s+(\d+) kB", status.read()))
    return int(found["VmRSS"]) / 1024, int(found["VmHWM"]) / 1024


class Process:
    """A server as a child that goes with us; it says its port in its first line."""

    def __init__(self, command):
        self.began = time.perf_counter()
        self.process = subprocess.Popen(
            ["setpriv", "--pdeathsig", "KILL", *command], stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)
        line = self.process.stdout.readline().decode()
        found = re.search(r"(?::|port )(\d+)", line)
        if not found:
            raise SystemExit(f"{' '.join(command)} did not start: {line}")
        self.port = int(found.group(1))
        self.pid = self.process.pid
        self.most_mb = 0

    def cpu(self):
        return cpu_seconds(self.pid)

    def stop(self):
        self.most_mb = memory_mb(self.pid)[1]
        self.process.terminate()
        self.process.wait(60)
        self.process.stdout.close()

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.stop()


def serve(data, *options):
    return Process([PROGRAM, "serve", "--data", data, "--listen", "127.0.0.1:0", *options])


class Register:
    """A folder with a register, and a session that is good for every server over it and for its
    copies."""

    def __init__(self, data, cookie=None):
        self.data = data
        self.file = os.path.join(data, "register.db")
        self.cookie = cookie or self.sign_in()

    def sign_in(self):
        with serve(self.data) as server:
            link = http.client.HTTPConnection("127.0.0.1", server.port, timeout=60)
            link.request("POST", "/api/session", json.dumps(PERSON),
                         {"Content-Type": "application/json"})
            answer = link.getresponse()
            answer.read()
            if answer.status != 200:
                raise SystemExit(f"{self.data}: cannot sign in as {PERSON['login']}")
            return answer.headers["Set-Cookie"].split(";")[0]

    def copy(self, folder):
        """One that may be written to, gone with the folder; on disk before it is measured."""
        data = tempfile.mkdtemp(dir=folder)
        shutil.copy(self.file, data)
        os.sync()
        return Register(data, self.cookie)

    def ask(self, server, method, path, body=None, headers=None):
        """One request; the answer with its bytes in .bytes."""
        link = http.client.HTTPConnection("127.0.0.1", server.port, timeout=60)
        link.request(method, path, json.dumps(body) if body is not None else None,
                     {"Cookie": self.cookie, "Content-Type": "application/json", **(headers or {})})
        answer = link.getresponse()
        answer.bytes = answer.read()
        link.close()
        if answer.status >= 300:
            raise SystemExit(f"{method} {path}: {answer.status} {answer.bytes[:300]}")
        return answer

    def get(self, server, path):
        return json.loads(self.ask(server, "GET", path).bytes)


class Load:
    """A client at work; result() waits for it."""

    def __init__(self, server, register, requests, *options):
        self.process = subprocess.Popen(
            [CLIENT, "--port", str(server.port), "--requests", requests,
             "--cookie", register.cookie, *map(str, options)], stdout=subprocess.PIPE, text=True)

    def result(self):
        out, _ = self.process.communicate()
        if self.process.returncode != 0:
            raise SystemExit("the client failed")
        got = json.loads(out)
        if got["wrong"]:
            raise SystemExit(f"{got['wrong']} answers were wrong, the first: {got['first_wrong']}")
        got["rate"] = got["requests"] / got["seconds"]
        return got


def load(server, register, requests, *options):
    """Runs a client to its end; its result with the processor time of one answer."""
    before = server.cpu()
    got = Load(server, register, requests, *options).result()
    got["cpu_us"] = (server.cpu() - before) / got["requests"] * 1e6
    return got


def probe(*args):
    out = subprocess.run([PROBE, *map(str, args)], check=True, stdout=subprocess.PIPE, text=True)
    return json.loads(out.stdout)


def timed(command, **more):
    """Runs a command; (wall, processor) seconds of it."""
    before = os.times()
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL, **more)
    after = os.times()
    return (after.elapsed - before.elapsed,
            after.children_user + after.children_system
            - before.children_user - before.children_system)
