"""How long the slowest pages are that a person can ask of a register: home, repeat places, the
search, and of every list its first page, with each sort and each filter alone.

usage: lists.py FOLDER [PATH...]     a folder with a register; prints every one, slowest first; with
                                     paths (/api/due) these alone
"""
import http.client
import json
import sys
import time
import urllib.parse

import serving

LEAST_SHOWN = 0.2
WANTED = 1.0
PATIENCE = 20
# home asks for these, a person types those
HOME = ["/api/due?limit=1", "/api/lines?limit=1000", "/api/repeat-places?limit=5",
        "/api/better-by-correction?limit=5"]
SEARCHED = ["a", "1", "k", "x", "an", "12", "K1", "zz"]


def parameters(operation):
    return [p for p in operation.get("parameters", []) if p["in"] == "query"
            and p["name"] not in ("limit", "after")]


def list_paths(description):
    """Each list's path with what can be sent to it."""
    for path, methods in sorted(description["paths"].items()):
        operation = methods.get("get", {})
        if any(p["name"] == "after" for p in operation.get("parameters", [])):
            yield path, operation


def sorts(ask, path):
    """Their names, which the refusal of another one says."""
    said, = (e["detail"] for e in ask(path + "?sort=none")[1]["errors"] if e["field"] == "sort")
    return said.split("one of ")[1].split(", not")[0].split(", ")


def days(first):
    return ["1990-01-01", "2019-06-01", "2025-11-30", "2026-06-30", first, "2090-01-01"]


def values_of(parameter, words, today, row):
    """What a person may send for it: every word, or what the first row has, what few have, what none has."""
    schema, name = parameter["schema"], parameter["name"]
    if "x-words" in schema:
        return words.get(schema["x-words"], [])
    if "enum" in schema:
        return schema["enum"]
    if schema.get("format") == "date":
        return days(today)
    seen = [str(row[name])] if row.get(name) not in (None, "") else []
    if schema["type"] == "integer":
        return [*seen, "1", "7", "300", "100000", "900000000"]
    if schema["type"] == "number":
        return [*seen, "0.0", "7.5", "99999.5"]
    return [*seen, "1", "K", "zz"]


class Asking:
    def __init__(self, server, cookie):
        self.server, self.cookie = server, cookie
        self.took = []

    def ask(self, path):
        """(status, what was answered as JSON or nothing, seconds until the first byte)"""
        link = http.client.HTTPConnection("127.0.0.1", self.server.port, timeout=PATIENCE)
        began = time.perf_counter()
        link.request("GET", path, headers={"Cookie": self.cookie})
        try:
            answer = link.getresponse()
        except TimeoutError:
            link.close()
            return 0, None, float(PATIENCE)
        seconds = time.perf_counter() - began
        kind = answer.headers.get("Content-Type", "")
        got = json.loads(answer.read()) if kind.startswith("application/") and "json" in kind else None
        link.close()
        return answer.status, got, seconds

    def time(self, path):
        """The better of two: what is asked is what the register takes, not what the machine does."""
        status, got, seconds = self.ask(path)
        if LEAST_SHOWN < seconds < 3 * WANTED:
            seconds = min(seconds, self.ask(path)[2])
        self.took.append((seconds, path, status))
        return got

    def list(self, path, operation, words, today):
        first = self.time(path)
        row = (first or {}).get("rows") or [{}]
        for sort in sorts(self.ask, path):
            self.time(f"{path}?sort={sort}")
        for parameter in parameters(operation):
            if parameter["name"] == "sort":
                continue
            for value in values_of(parameter, words, today, row[0]):
                self.time(f"{path}?{parameter['name']}={urllib.parse.quote(value)}")


def slowest(server, cookie, only=()):
    """(seconds, path, status) of all, the slowest first."""
    a = Asking(server, cookie)
    words = {name: [w["code"] for w in all_of] if isinstance(all_of, list) else list(all_of)
             for name, all_of in a.ask("/api/words")[1].items()}
    today = a.ask("/api/register")[1]["today"]
    description = a.ask("/api")[1]
    for path, operation in list_paths(description):
        if not only or path in only:
            a.list(path, operation, words, today)
    if not only:
        for path in HOME + ["/api/report"]:
            a.time(path)
        for text in SEARCHED:
            a.time("/api/search?q=" + urllib.parse.quote(text))
    return sorted(a.took, reverse=True)


def main():
    register = serving.Register(sys.argv[1])
    with serving.serve(sys.argv[1]) as server:
        for seconds, path, status in slowest(server, register.cookie, sys.argv[2:]):
            print(f"{seconds:8.3f}  {status}  {path}", flush=True)


if __name__ == "__main__":
    main()
