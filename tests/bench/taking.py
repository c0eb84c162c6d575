"""A log of many visits tried and taken while crews send: how long they wait, and how fast it goes."""
import http.client
import json
import threading
import time
import urllib.parse
import uuid

CREWS = 4
FOLLOWED_S = 120

SETTINGS = {"separator": "comma", "encoding": "utf_8", "decimal": "point", "day_order": "ymd",
            "columns": [{"field": "line", "column": "line"}, {"field": "bond", "column": "bond"},
                        {"field": "day", "column": "day"},
                        {"field": "quantity", "column": "quantity"},
                        {"field": "shown_uohm", "column": "shown", "unit": "uohm"},
                        {"field": "method", "constant": "four_wire"},
                        {"field": "seen_a", "constant": "good"},
                        {"field": "seen_b", "constant": "good"}]}


class Crew(threading.Thread):
    """Sends a visit after the other, and notes how long each was waited for, by what goes on."""

    def __init__(self, server, register, bonds, draw, now):
        super().__init__()
        self.server, self.register, self.bonds, self.draw, self.now = (
            server, register, bonds, draw, now)
        self.waited, self.ended = [], threading.Event()
        self.start()

    def run(self):
        while not self.ended.is_set():
            body = {"bond_id": self.draw.choice(self.bonds), "day": self.now["day"],
                    "outcome": "partly", "seen_a": "good"}
            begun, what = time.monotonic(), self.now["what"]
            self.register.ask(self.server, "PUT", f"/api/inspections/{uuid.uuid4()}", body)
            self.waited.append((what, time.monotonic() - begun))


def file_of(bonds, draw):
    """Two contacts of each bond, on a day of their own."""
    rows = ["line,bond,day,quantity,shown"]
    for row in bonds:
        day = f"2026-{draw.randint(1, 9):02}-{draw.randint(1, 28):02}"
        rows += [f"{row['line']},{row['label']},{day},{contact},{draw.randint(4, 20)}"
                 for contact in ("contact_a", "contact_b")]
    return ("\n".join(rows) + "\n").encode()


def send(server, register, file, more):
    """Seconds until the answer, and the answer."""
    query = urllib.parse.urlencode({"kind": "inspections", "file_name": "log.csv",
                                    "settings": json.dumps(SETTINGS)})
    link = http.client.HTTPConnection("127.0.0.1", server.port, timeout=1800)
    begun = time.monotonic()
    link.request("POST", f"/api/imports?{query}{more}", file,
                 {"Content-Type": "text/csv", "Cookie": register.cookie})
    answer = link.getresponse()
    said = json.loads(answer.read())
    link.close()
    if answer.status >= 300 or said.get("wrong"):
        raise SystemExit(f"the log was not taken: {answer.status} {str(said)[:300]}")
    return time.monotonic() - begun, said


def follow(server, register):
    """Until its bonds are judged anew, or for two minutes."""
    until = time.monotonic() + FOLLOWED_S
    while time.monotonic() < until and register.get(server, "/api/rulebook/following")["import"]:
        time.sleep(0.5)


def measure(server, register, bonds, draw, day):
    """({what: sorted seconds}, seconds of the trial, of taking)."""
    file = file_of(bonds, draw)
    now = {"what": "alone", "day": day}
    crews = [Crew(server, register, [row["id"] for row in bonds], draw, now) for _ in range(CREWS)]
    try:
        time.sleep(5)
        now["what"] = "tried"
        tried = send(server, register, file, "&dry_run=1")[0]
        now["what"] = "taken"
        taken = send(server, register, file, "")[0]
        now["what"] = "followed"
        follow(server, register)
    finally:
        for crew in crews:
            crew.ended.set()
        for crew in crews:
            crew.join()
    waited = sorted((what, s) for crew in crews for what, s in crew.waited)
    return {of: [s for what, s in waited if what == of]
            for of in ("alone", "tried", "taken", "followed")}, tried, taken
