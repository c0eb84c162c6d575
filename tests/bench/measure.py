"""Measures the program and prints a table: what, the figure, what is wanted, reached or not. What
is compared is measured in turns (one, the other, one, the other), and the median of the turns'
ratios counts. Exit status 1 when something is not reached.

usage: measure.py SMALL BIG WORK [NAME...]     folders of two registers, a folder for what is made,
                                               and the measurements wanted (all but soak and
                                               taking, which take minutes)
"""
import datetime
import filecmp
import json
import os
import random
import re
import statistics
import subprocess
import sys
import time

import importing
import lists
import soak
import taking
from serving import BUILD, PROGRAM, Load, Process, Register, load, memory_mb, probe, serve

HERE = os.path.dirname(os.path.abspath(__file__))
median = statistics.median
ANY_LINE = "due lists, each of another line"
table = []


def tell(what, figure, limit, unit, at_least=False, more=""):
    """A line of the table; what must be at most `limit`, or at least; None: only told."""
    reached = limit is None or (figure >= limit if at_least else figure <= limit)
    wanted = f"{'at least' if at_least else 'at most'} {limit} {unit}".strip() if limit else ""
    table.append((what, f"{figure:.2f} {unit}".strip(), wanted,
                  "" if limit is None else "yes" if reached else "NO", more))
    print(f"{what}: {figure:.2f} {unit} {'' if reached else '(NOT REACHED) '}{more}", flush=True)


class Bench:
    def __init__(self, small, big, work):
        self.small, self.big, self.work = Register(small), Register(big), work
        self.draw = random.Random(20260331)
        self.most_mb = []

    def requests(self, name, lines):
        path = os.path.join(self.work, name)
        with open(path, "w") as file:
            file.writelines(line + "\n" for line in lines)
        return path

    # ---- the due list against a raw loop and a Node server ----

    def due(self):
        what = "due list of one line, 50 rows, against "
        line = 3
        path = self.requests("due", [f"GET /api/due?line={line}&limit=50"])
        bodies = [os.path.join(self.work, f"{name}.body") for name in ("raw", "ours", "node")]
        described = os.path.join(self.work, "due.json")
        with open(described, "w") as file:
            json.dump(probe("describe", self.big.file, line, 50), file)
        probe("due", self.big.file, line, 50, 0.1, bodies[0])
        with serve(self.big.data, "--threads", "1") as ours, \
                Process(["node", os.path.join(HERE, "node_server.mjs"), self.big.file, described,
                         bodies[0]]) as node:
            load(ours, self.big, path, "--save", bodies[1])
            load(node, self.big, path, "--save", bodies[2], "--seconds", 3)
            for other in bodies[1:]:
                if not filecmp.cmp(bodies[0], other, shallow=False):
                    raise SystemExit(f"{bodies[0]} and {other} differ: the same is not compared")
            rounds = [self.due_round(ours, node, path, line) for _ in range(9)]
        cpu_raw, wall_raw, cpu_node, wall_node = (median(r) for r in zip(*rounds))
        tell(what + "the raw loop", cpu_raw, 0.6, "times", True, f"by wall clock {wall_raw:.2f}")
        tell(what + "fastify", cpu_node, 3, "times", True, f"by wall clock {wall_node:.2f}")

    def due_round(self, ours, node, path, line):
        busy = ("--connections", 16, "--seconds", 0.6)
        raw = probe("due", self.big.file, line, 50, 0.6)
        a, b = load(ours, self.big, path, *busy), load(node, self.big, path, *busy)
        return (raw["cpu_s"] / raw["requests"] * 1e6 / a["cpu_us"],
                a["rate"] / (raw["requests"] / raw["seconds"]),
                b["cpu_us"] / a["cpu_us"], a["rate"] / b["rate"])

    # ---- a hundred times as many bonds ----

    def asked(self, register, server, name):
        """Files of requests by what they are, and how many requests make one."""
        lines = [row["id"] for row in register.get(server, "/api/lines?limit=1000")["rows"]]
        bonds = []
        for line in self.draw.choices(lines, k=20):
            bonds += register.get(server, f"/api/bonds?line={line}&limit=1000")["rows"]
        bonds, lines = self.draw.sample(bonds, 500), self.draw.choices(lines, k=3000)
        page = ["GET /api/bonds/{0}", *(f"GET /api/{of}?bond={{0}}&limit=1000" for of in (
            "inspections", "readings", "failures", "deferrals", "attachments"))]
        return {
            "due list of one line": (self.requests(name + "-due", [
                f"GET /api/due?line={lines[0]}&limit=50"]), 1),
            ANY_LINE: (self.requests(name + "-any", [
                f"GET /api/due?line={line}&limit=50" for line in lines]), 1),
            "a bond's page": (self.requests(name + "-bond", [
                one.format(bond["id"]) for bond in bonds for one in page]), len(page)),
            "the strip of a line": (self.requests(name + "-strip", [
                f"GET /api/lines/{line}/strip" for line in lines]), 1),
            "a search": (self.requests(name + "-search", [
                f"GET /api/search?q={bond['label']}" for bond in bonds]), 1),
        }

    def scale(self):
        with serve(self.small.data) as few, serve(self.big.data) as many:
            of_few, of_many = self.asked(self.small, few, "few"), self.asked(self.big, many, "many")
            for what in of_few:
                rounds = [self.scale_round(few, many, of_few[what], of_many[what], 700 * n)
                          for n in range(12)][1:]
                ratio, us = median(r[0] / r[1] for r in rounds), median(r[0] for r in rounds)
                # (of 500 lines each is seldom asked, of 5 often: what SQLite remembers of them)
                tell(f"{what}, many bonds against 10,000", ratio,
                     None if what == ANY_LINE else 1.3, "times",
                     more=f"{us / 1000:.2f} ms")
            self.most_mb.append(memory_mb(many.pid)[1])

    def scale_round(self, few, many, of_few, of_many, at):
        took = []
        for server, register, (path, group) in ((many, self.big, of_many),
                                                (few, self.small, of_few)):
            got = load(server, register, path, "--group", group, "--seconds", 0.3,
                       "--from", at * group)
            took.append(got["median_us"])
        return took

    # ---- every judgement again; the network's repeat places; another rulebook ----

    def recompute(self):
        got = [probe("recompute", self.big.file) for _ in range(3)]
        for r in got:
            assert r["differences"] == 0, "what is kept is not what the rules give"
        tell("recomputation on one core, thousand readings a second",
             median(r["readings"] / r["cpu_s"] / 1e3 for r in got), 500, "", at_least=True,
             more=f"{got[0]['readings']} readings of {got[0]['bonds']} bonds, read, judged and held "
             "against what is kept")

    def repeat(self):
        got = [probe("repeat", self.big.file) for _ in range(5)]
        tell("repeat places of the whole network, processor", median(r["cpu_s"] for r in got), 0.5,
             "s", more=f"{got[0]['failures']} failures, {got[0]['places']} places")

    def rulebook(self):
        copy = self.big.copy(self.work)
        with serve(copy.data) as server:
            path = self.asked(copy, server, "book")[ANY_LINE][0]
            book = copy.get(server, "/api/rulebook")["rulebook"]
            for by_criticality in book["interval_months"].values():
                for criticality in by_criticality:
                    by_criticality[criticality] += 1
            book["from_day"] = datetime.date.today().isoformat()
            reader = ("--pause", 10, "--seconds", 0.5)
            quiet = load(server, copy, path, *reader)
            cpu, began = server.cpu(), time.perf_counter()
            copy.ask(server, "POST", "/api/rulebooks", {"rulebook": book, "reason": "Measured."})
            seen = []
            while True:
                seen.append(load(server, copy, path, *reader))
                if copy.get(server, "/api/rulebook")["followed"]:
                    break
            took = time.perf_counter() - began
            cpu = server.cpu() - cpu
            self.most_mb.append(memory_mb(server.pid)[1])
        tell("a rulebook that changes every due day", took, 20, "s", more=f"processor {cpu:.1f} s; "
             f"meanwhile a due list took {median(s['median_us'] for s in seen) / 1e3:.2f} ms "
             f"({quiet['median_us'] / 1e3:.2f} before), at most {max(s['worst_us'] for s in seen) / 1e3:.0f}")

    # ---- crews that send at the same time ----

    def inspections(self, register, server):
        """Visits as crews send them: what was read last is read again, within 3 %, by the same
        meter. (Values far from the last are asked first, which is seldom, and judged twice.)"""
        today = datetime.date.today().isoformat()
        lines = []
        for bond in self.asked_bonds(register, server):
            last = register.get(server, f"/api/readings?bond={bond}&limit=2")["rows"]
            readings = ",".join(json.dumps({
                "quantity": row["quantity"], "method": "four_wire", "temp_c": 20,
                "shown_uohm": round(row["r20_uohm"] * self.draw.uniform(0.97, 1.03), 1),
                "instrument": row["instrument"]}) for row in last)
            lines.append(f'PUT /api/inspections/{{uuid}} {{"bond_id":{bond},"day":"{today}",'
                         f'"seen_a":"good","seen_b":"good","cables_whole":1,'
                         f'"readings":[{readings}]}}')
        return self.requests("inspections", lines)

    def asked_bonds(self, register, server):
        """Bonds in service, from all over the network."""
        lines = [row["id"] for row in register.get(server, "/api/lines?limit=1000")["rows"]]
        found = []
        for line in self.draw.choices(lines, k=20):
            rows = register.get(server, f"/api/bonds?line={line}&status=in_service&limit=1000")["rows"]
            found += [row["id"] for row in rows]
        return self.draw.sample(found, min(5000, len(found)))

    def posting(self):
        a, b = self.big.copy(self.work), self.big.copy(self.work)
        with serve(a.data) as shared, serve(b.data, "--batch", "1") as single:
            path = self.inspections(a, shared)
            crowd = ("--connections", 32, "--seconds", 2)
            rounds = [(load(shared, a, path, *crowd, "--from", 1000 * n)["rate"],
                       load(single, b, path, *crowd, "--from", 1000 * n)["rate"])
                      for n in range(5)]
            self.most_mb.append(memory_mb(shared.pid)[1])
        tell("32 clients sending inspections, against a commit each",
             median(x / y for x, y in rounds), 3, "times", True,
             f"{median(x for x, _ in rounds):.0f} a second against {median(y for _, y in rounds):.0f}")

    # ---- over https ----

    def certificate(self):
        """Options of a server that has one."""
        files = [os.path.join(self.work, "server." + kind) for kind in ("crt", "key")]
        subprocess.run(["openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt",
                        "ec_paramgen_curve:P-256", "-nodes", "-out", files[0], "-keyout", files[1],
                        "-days", "2", "-subj", "/CN=localhost"], check=True, stderr=subprocess.DEVNULL)
        return "--certificate", files[0], "--key", files[1]

    def https(self):
        """In processor time of the server: the client's own work for TLS shares the cores."""
        a, b = self.big.copy(self.work), self.big.copy(self.work)
        kept = ("--connections", 32, "--seconds", 1)
        secret = ("--tls", *kept, "--cookie", "__Host-" + b.cookie)
        with serve(a.data) as plain, serve(b.data, *self.certificate()) as over_tls:
            path = self.requests("https-due", ["GET /api/due?line=3&limit=50"])
            posts = self.inspections(a, plain)
            for what, of in (("due lists", path), ("inspections sent", posts)):
                rounds = [(load(plain, a, of, *kept, "--from", 1000 * n)["cpu_us"],
                           load(over_tls, b, of, *secret, "--from", 1000 * n)["cpu_us"])
                          for n in range(5)]
                tell(f"{what} over https, against plain http", median(x / y for x, y in rounds), 0.8,
                     "times", True, f"{median(y for _, y in rounds):.0f} µs of processor against "
                     f"{median(x for x, _ in rounds):.0f}, connections kept")

    def reading(self):
        copy = self.big.copy(self.work)
        with serve(copy.data) as server:
            writes = self.inspections(copy, server)
            reads = self.asked(copy, server, "read")[ANY_LINE][0]
            crowd = ("--connections", 16, "--seconds", 2)
            rounds = []
            for n in range(7):
                alone = load(server, copy, reads, *crowd)
                sender = Load(server, copy, writes, *crowd, "--from", 1000 * n)
                beside = load(server, copy, reads, *crowd)
                rounds.append((alone["p99_us"], beside["p99_us"], sender.result()["rate"]))
            self.most_mb.append(memory_mb(server.pid)[1])
        tell("16 readers' slowest of 100, beside 16 senders", median(b / a for a, b, _ in rounds),
             3, "times", more=f"{median(b for _, b, _ in rounds) / 1e3:.1f} ms against "
             f"{median(a for a, _, _ in rounds) / 1e3:.1f}, while "
             f"{median(w for _, _, w in rounds):.0f} a second are recorded")

    # ---- for long, and in a crowd ----

    def soak(self):
        copy = self.big.copy(self.work)
        with serve(copy.data) as server:
            writes = self.inspections(copy, server)
            reads = self.asked(copy, server, "soak")[ANY_LINE][0]
            seconds = int(os.environ.get("BONDBOOK_SOAK_S", soak.SECONDS))
            soak.tell_beside(tell, *soak.beside(server, copy, reads, writes, seconds))
            got = soak.crowd(server, copy, reads, writes, 10)
            tell("1,000 signed-in connections, a third of them posting: the slowest answer",
                 max(one["worst_us"] for one in got) / 1e6, None, "s", more="every one of "
                 f"{sum(one['requests'] for one in got)} requests was answered")

    # ---- importing ----

    def importing(self):
        with serve(self.big.data) as server:
            bonds = self.big.get(server, "/api/lines?limit=1000")["rows"]
        wall, cpu, more = importing.measure(self.work, len(bonds) * 2000)
        tell("import of bonds, against sqlite3's own", cpu, 3, "times", more=more +
             f", by wall clock {wall:.2f} times")

    def taking(self):
        """A log of 200,000 visits, tried and taken beside crews."""
        copy = self.big.copy(self.work)
        visits = int(os.environ.get("BONDBOOK_LOG_VISITS", "200000"))
        with serve(copy.data) as server:
            path = self.inspections(copy, server)
            crowd = load(server, copy, path, "--connections", 32, "--seconds", 4)["rate"]
            bonds, after = [], ""
            while len(bonds) < visits:
                page = copy.get(server, f"/api/bonds?status=in_service&limit=1000{after}")
                bonds += page["rows"]
                after = f"&after={page['next']}"
            waited, tried, taken = taking.measure(server, copy, bonds[:visits], self.draw,
                                                  datetime.date.today().isoformat())
        for what, seconds in waited.items():
            tell(f"crews' slowest of 100 while a log is {what}", seconds[len(seconds) * 99 // 100] *
                 1e3, 250, "ms", more=f"the slowest {seconds[-1] * 1e3:.0f} ms, of {len(seconds)}")
        tell("a log taken, against 32 clients sending", visits / taken / crowd, 2, "times", True,
             f"{visits / taken:.0f} visits a second, tried in {tried:.0f} s, taken in {taken:.0f} s; "
             f"{crowd:.0f} sent a second")

    # ---- every page of every list ----

    def lists(self):
        with serve(self.big.data) as server:
            asked = lists.slowest(server, self.big.cookie)
        seconds, path, _ = asked[0]
        tell("slowest page of all lists, by each sort and each filter alone", seconds, lists.WANTED,
             "s", more=f"{path}, of {len(asked)}; {sum(a[0] > lists.WANTED for a in asked)} above")

    # ---- the program as it stands ----

    def start(self):
        took = []
        for _ in range(7):
            with serve(self.big.data) as server:
                self.big.get(server, "/api/due?line=2&limit=50")
                took.append((time.perf_counter() - server.began) * 1000)
        tell("start to the first answer", median(took), 100, "ms")

    def weights(self):
        tablet = {"inspect.html", "attach.html"}
        names = sorted(name for name in os.listdir(os.path.join(BUILD, "static"))
                       if name.endswith(".html"))
        with serve(self.big.data) as server:
            weight = {name: self.weigh(server, "/" + name) for name in names}
        for of, limit in ((set(names) - tablet, 100), (tablet, 60)):
            page = max(of, key=weight.get)
            tell(f"first load of {page}, compressed", weight[page], limit, "KB",
                 more=f"the heaviest of {len(of)}")

    def weigh(self, server, page):
        """All that a page names and what that imports, as it comes over the wire."""
        waiting, seen, total = [page], set(), 0
        while waiting:
            path = waiting.pop()
            if path in seen:
                continue
            seen.add(path)
            total += len(self.big.ask(server, "GET", path, headers={"Accept-Encoding": "gzip"}).bytes)
            text = self.big.ask(server, "GET", path).bytes.decode(errors="replace")
            if path == page:
                waiting += re.findall(r'(?:src|href)="(/[\w-]+\.(?:js|css|svg|wasm))"', text)
            elif path.endswith(".js"):
                waiting += ["/" + name for name in re.findall(r'(?:from|import)\s*"\./([^"]+)"', text)]
        return total / 1000

    def memory(self):
        tell("resident memory while serving, at its most", max(self.most_mb), 100, "MB")


def show():
    widths = [max(len(row[i]) for row in table) for i in range(4)]
    print()
    for row in table:
        print("  ".join(cell.ljust(width) for cell, width in zip(row, widths)), "", row[4])
    missed = sum(row[3] == "NO" for row in table)
    wanted = sum(row[3] != "" for row in table)
    print(f"\n{wanted - missed} of {wanted} figures reached")
    return 1 if missed else 0


def main():
    small, big, work, *names = sys.argv[1:]
    bench = Bench(small, big, work)
    everything = ["start", "due", "scale", "recompute", "repeat", "rulebook", "posting", "https", "reading",
                  "memory", "weights", "importing", "lists"]
    print(f"{PROGRAM}, {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}")
    for name in names or everything:
        getattr(bench, name)()
    return show()


sys.exit(main())
