"""Clients that send inspections as tablets do: each under an id of its own, again and again until
it is acknowledged, and that remember what was."""
import http.client
import random
import threading
import time

import program

READINGS = 2
FOUND = "found broken"      # the note of those that find a failure too


class Sender(threading.Thread):
    """Puts inspections until told to stop. What was not acknowledged stays in `unsure` and is sent
    first by whoever takes it over."""

    def __init__(self, port, cookie, bonds, seed, unsure=None, pause_s=0):
        super().__init__(daemon=True)
        self.client = program.Client(type("At", (), {"port": port}), cookie=cookie)
        self.bonds = bonds
        self.random = random.Random(seed)
        self.unsure = unsure
        self.pause_s = pause_s
        self.stopping = threading.Event()
        self.acknowledged = []      # ids
        self.when_ns = []           # of each, by the monotonic clock
        self.refused = []           # (status, problem) of answers that are no 2xx
        self.broken = 0             # connections that ended

    def next(self):
        if self.unsure is None:
            day = f"20{self.random.randint(21, 25)}-{self.random.randint(1, 12):02}-11"
            body = program.inspection(self.random.choice(self.bonds), day)
            if self.random.random() < 0.02:
                body.update(note=FOUND, failure={"uuid": program.new_id(), "mode": "detached"})
            self.unsure = program.new_id(), body
        return self.unsure

    def run(self):
        while not self.stopping.wait(self.pause_s):
            uuid, body = self.next()
            try:
                answer = self.client.ask("PUT", "/api/inspections/" + uuid, body)
            except (OSError, http.client.HTTPException):
                self.broken += 1
                self.client.close()
                if self.stopping.wait(0.02):
                    break
                continue
            if answer.status in (200, 201):
                self.when_ns.append(time.monotonic_ns())
                self.acknowledged.append(uuid)
                self.unsure = None
            else:
                self.refused.append((answer.status, answer.json))
        self.client.close()


def send_all(port, cookie, bonds, seed, count, unsure=(), pause_s=0):
    """Starts so many senders; those unsure are shared out."""
    unsure = list(unsure) + [None] * count
    senders = [Sender(port, cookie, bonds, f"{seed}/{n}", unsure[n], pause_s) for n in range(count)]
    for sender in senders:
        sender.start()
    return senders


def stop_all(senders):
    """(ids acknowledged, what is unsure)"""
    for sender in senders:
        sender.stopping.set()
    for sender in senders:
        sender.join(30)
        assert not sender.is_alive(), "a client got no answer"
    return ([uuid for s in senders for uuid in s.acknowledged],
            [s.unsure for s in senders if s.unsure is not None])


def faults_of(register, acknowledged):
    """What is wrong with the inspections in the file, as sentences: an acknowledged one that is not
    there exactly once, any whose readings or verdicts are not all there."""
    wrong = []
    kept = [uuid for uuid, in register.query("SELECT uuid FROM inspection")]
    lost = set(acknowledged) - set(kept)
    if lost:
        wrong.append(f"{len(lost)} acknowledged inspections are lost: {sorted(lost)[:3]}")
    if len(kept) != len(set(kept)) or len(acknowledged) != len(set(acknowledged)):
        wrong.append("an id is there twice")
    halves = register.query(
        "SELECT i.uuid, count(r.n), count(s.n) FROM inspection i "
        "LEFT JOIN reading r ON r.inspection_id = i.id "
        "LEFT JOIN reading_state s ON s.inspection_id = r.inspection_id AND s.n = r.n "
        f"GROUP BY i.id HAVING count(r.n) <> {READINGS} OR count(s.n) <> {READINGS}")
    halves += register.query(
        "SELECT i.uuid, i.note, count(f.id) FROM inspection i "
        "LEFT JOIN failure f ON f.inspection_id = i.id "
        f"GROUP BY i.id HAVING count(f.id) <> (coalesce(i.note, '') = '{FOUND}')")
    if halves:
        wrong.append(f"{len(halves)} inspections are there in part: {halves[:3]}")
    return wrong
