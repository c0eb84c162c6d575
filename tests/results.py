"""What meson's tests came to, for tests/run.

usage: results.py suites BUILD           the suites of a build, the quick ones first
       results.py tests BUILD SUITE      the names of a suite's tests
       results.py programs BUILD SUITE   those of them that are programs of ours
       results.py sum FOLDER             a table of all that is in FOLDER, and the sum as last line;
                                         exit status 1 when anything failed
"""
import glob
import json
import os
import subprocess
import sys

# a suite that is named here and has no tests is missing, and that is a failure
MUST = ["unit", "outside", "fuzz", "server", "api", "pages", "faults", "demo", "open-data"]
ORDER = MUST
PASSED, SKIPPED = {"OK", "EXPECTEDFAIL"}, {"SKIP"}


def tests_of(build):
    """The tests as (suite, name, program); a test counts in its first suite alone."""
    out = subprocess.run(["meson", "introspect", "--tests", build], check=True,
                         capture_output=True, text=True).stdout
    return [(t["suite"][0].split(":")[-1], t["name"], t["cmd"][0]) for t in json.loads(out)]


def suites(build):
    found = {suite for suite, _, _ in tests_of(build)} | set(MUST)
    return [s for s in ORDER if s in found] + sorted(found - set(ORDER))


def rows(folder):
    """Each check as (suite, name, result, seconds, what it said last)."""
    for path in sorted(glob.glob(os.path.join(folder, "*.json")), key=os.path.getmtime):
        suite = os.path.basename(path)[:-len(".json")]
        with open(path, encoding="utf-8") as f:
            for line in f:
                test = json.loads(line)
                yield suite, test["name"].split(" / ")[-1], test["result"], test["duration"], \
                    (test.get("stdout") or "").strip().split("\n")[-1]
    notes = os.path.join(folder, "notes")
    if os.path.exists(notes):
        with open(notes, encoding="utf-8") as f:
            for line in f:
                suite, name, result, seconds = line.rstrip("\n").split("\t")
                yield suite, name, result, float(seconds), ""


def sum_up(folder):
    table, skipped, failed = {}, [], []
    for suite, name, result, seconds, said in rows(folder):
        counts = table.setdefault(suite, [0, 0, 0, 0.0])
        kind = 0 if result in PASSED else 2 if result in SKIPPED else 1
        counts[kind] += 1
        counts[3] += seconds
        if kind == 2:
            skipped.append(f"{suite}: {name}" + (f": {said}" if said else ""))
        if kind == 1:
            failed.append(f"{suite}: {name} ({result})")
    for suite in MUST:
        if suite not in table:
            table[suite] = [0, 1, 0, 0.0]
            failed.append(f"{suite}: has no tests")
    print(f"\n{'':12}{'passed':>8}{'failed':>8}{'skipped':>8}{'seconds':>9}")
    for suite, (ok, bad, not_run, seconds) in table.items():
        print(f"{suite:12}{ok:8}{bad:8}{not_run:8}{seconds:9.1f}")
    for name in skipped:
        print(f"skipped: {name}")
    for name in failed:
        print(f"failed: {name}")
    ok, bad, not_run = (sum(counts[i] for counts in table.values()) for i in range(3))
    print(f"{ok} passed, {bad} failed" + (f", {not_run} skipped" if not_run else ""))
    return 1 if bad or not ok else 0


def main():
    what, where = sys.argv[1], sys.argv[2]
    if what == "sum":
        return sum_up(where)
    if what == "suites":
        print("\n".join(suites(where)))
        return 0
    home = os.path.realpath(where) + os.sep
    for suite, name, program in tests_of(where):
        if suite == sys.argv[3] and (what == "tests" or os.path.realpath(program).startswith(home)):
            print(name)
    return 0


sys.exit(main())
