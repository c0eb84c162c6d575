"""What holds for long and in a crowd: readers, senders and exports beside one another for minutes,
and a thousand signed-in connections at once."""
import http.client
import os
import statistics
import threading
import time

from serving import Load, memory_mb

SECONDS, EVERY_S = 600, 2
MB = 1 << 20


class Exports(threading.Thread):
    """Takes one file after the other, until told."""

    def __init__(self, server, register, path):
        super().__init__()
        self.port, self.cookie, self.path = server.port, register.cookie, path
        self.ended, self.taken, self.refused = threading.Event(), 0, 0
        self.start()

    def run(self):
        while not self.ended.is_set():
            link = http.client.HTTPConnection("127.0.0.1", self.port, timeout=300)
            link.request("GET", self.path, headers={"Cookie": self.cookie})
            answer = link.getresponse()
            while answer.read(1 << 20):
                pass
            link.close()
            self.taken += answer.status == 200
            self.refused += answer.status == 503      # so much is written that it was ended

    def end(self):
        self.ended.set()
        self.join()


def watch(server, register, seconds):
    """The log's bytes and the resident MB, every two seconds."""
    seen, until = [], time.monotonic() + seconds
    while time.monotonic() < until:
        time.sleep(EVERY_S)
        seen.append((os.path.getsize(register.file + "-wal"), memory_mb(server.pid)[0]))
    return seen


def beside(server, register, reads, writes, seconds):
    """16 readers, 32 senders, 2 exports: the senders' result, what was watched, the exports."""
    exports = [Exports(server, register, path) for path in ("/api/bonds.csv", "/api/readings.csv")]
    readers = Load(server, register, reads, "--connections", 16, "--seconds", seconds)
    senders = Load(server, register, writes, "--connections", 32, "--seconds", seconds)
    seen = watch(server, register, seconds)
    readers.result()
    sent = senders.result()
    for one in exports:
        one.end()
    return sent, seen, exports


def tell_beside(tell, sent, seen, exports):
    quarter = len(seen) // 4
    early, late = (statistics.median(mb for _, mb in part)
                   for part in (seen[quarter:2 * quarter], seen[-quarter:]))
    what = "16 readers, 32 senders, 2 exports: "
    tell(what + "the log at its longest", max(log for log, _ in seen) / MB, 300, "MB",
         more=f"{sent['rate']:.0f} inspections a second; of {sum(e.taken for e in exports)} files "
         f"{sum(e.refused for e in exports)} were ended for the log's sake")
    tell(what + "a sender's slowest of 100", sent["p99_us"] / 1e3, 250, "ms")
    tell(what + "memory in the end, against after a quarter", late / early, 1.1, "times",
         more=f"{late:.0f} MB")


def crowd(server, register, reads, writes, seconds):
    """How many of a thousand connections' requests came back, a third of them posting."""
    loads = [Load(server, register, writes, "--connections", 334, "--seconds", seconds),
             Load(server, register, reads, "--connections", 333, "--seconds", seconds),
             Load(server, register, reads, "--connections", 333, "--seconds", seconds, "--from", 900)]
    return [one.result() for one in loads]     # a wrong answer, or none, ends the program
