"""Refuses what the build cannot see: an #include against the order of the layers, SQL outside
store/, a system header where it has no business, a banned call, a file that has grown too long, a
line that is too wide, a handler that has its register or its day otherwise than
from its view, a thread that waits for a time by a clock that can be set.

usage: layers.py ROOT     first proves on a made-up tree that it finds each of these, then looks
                          at the tree under ROOT; exit status 1 when anything is found
"""
import collections
import os
import re
import sys
import tempfile

# what a layer may include, written from server/
MAY = {
    "base": {"base"},
    "rules": {"base", "rules"},
    "wasm": {"base", "rules"},
    "store": {"base", "rules", "store"},
    "derived": {"base", "rules", "store", "derived"},
    "service": {"base", "rules", "store", "derived", "service"},
    "http": {"base", "http"},
    "encode": {"base", "encode"},
    "api": {"base", "rules", "store", "derived", "service", "http", "encode", "api"},
    "run": {"base", "rules", "store", "derived", "service", "http", "encode", "api", "run"},
    "cli": {"base", "rules", "store", "derived", "service", "http", "encode", "api", "run", "cli"},
}
MAIN = set(MAY)

# the one layer that may know this library
OWNED = {"sqlite3.h": "store", "microhttpd.h": "http"}

# rules take numbers and give numbers; they also run where nothing can be imported
RULES_HEADERS = {"float.h", "limits.h", "math.h", "stdbool.h", "stddef.h", "stdint.h", "stdlib.h",
                 "string.h"}
# and these of them, which the tablet does not need, may know the library of statistics
RULES_OF_SERVER = {"mean_time.c", "place_chance.c", "place_trend.c", "scatter.c", "share.c"}

# what a handler sees comes from its view: the thread's connection is for those who make that, and the
# day of today for the program's own acts
CONTEXT = re.compile(r"(?:->|\.)\s*context\b")
CONTEXT_OF_API = {"views.c"}
TODAY = re.compile(r"\bclock_today\s*\(")
TODAY_OF = {"base", "cli"}
TODAY_OF_RUN = {"keeper.c", "taker.c"}
# and what is asked of a list is asked with the view, which rows that the rules make are read through
QUERY = re.compile(r"\blist_query_read\s*\(")
QUERY_OF = {"server/derived/view.c"}

# what is made again of an entry stands in one table, derived/made_from.c, and is asked of it
TOUCH = re.compile(r"\b(act_touch_\w+|store_stale_\w+)\s*\(")
TOUCH_OF = {"derived", "store"}

# a clock that is set back must not keep anybody waiting: who waits for a time has a condition of his
# own file that goes by the monotonic clock
WAITS = re.compile(r"\bpthread_cond_timedwait\s*\(")
BY_MONOTONIC = re.compile(r"\bpthread_condattr_setclock\s*\([^;]*\bCLOCK_MONOTONIC\s*\)")
SETTABLE = re.compile(r"\b(CLOCK_REALTIME|gettimeofday)\b|\btime\s*\(\s*NULL")
SETTABLE_OF = "server/base/clock.c"

BANNED = "atoi atof strcpy strcat sprintf strtok gets localtime gmtime".split()
LONGEST = 500
WIDEST = 100      # columns, of which a tab takes four
# lines of C that are wider and were there before this was looked at: fewer, never more
WIDE_STILL = {"server": 246, "seed-demo": 11, "tests": 210}

TOKEN = re.compile(r'//(?:\\\n|[^\n])*|/\*.*?\*/|"(?:\\.|[^"\\\n])*"|\'(?:\\.|[^\'\\\n])*\'', re.S)
INCLUDE = re.compile(r'^[ \t]*#[ \t]*include[ \t]*(?:"([^"\n]*)"|<([^>\n]*)>)', re.M)
CALL = re.compile(r"(?<![\w.])(?<!->)(" + "|".join(BANNED) + r")\s*\(")
SQL = re.compile(r"\b(SELECT|INSERT\s+(OR|INTO)|UPDATE\s+\w+\s+SET|DELETE\s+FROM|PRAGMA|SAVEPOINT|"
                 r"(CREATE|DROP|ALTER)\s+(UNIQUE\s+)?(TABLE|INDEX|TRIGGER|VIEW)|"
                 r"BEGIN\s+IMMEDIATE)\b")


def line_of(text, at):
    return text.count("\n", 0, at) + 1


def blank(text):
    """The same text, lines kept, with comments and the insides of literals gone."""
    return TOKEN.sub(lambda m: "\n" * m.group().count("\n") if m.group()[0] == "/"
                     else m.group()[0] * 2, text)


def literals(text):
    """Each string, neighbours joined as the compiler does, with the place where it begins."""
    run, begin, end = [], 0, 0
    for m in TOKEN.finditer(text):
        if m.group()[0] == "/":
            continue
        if run and re.sub(TOKEN, "", text[end:m.start()]).strip():
            yield begin, "".join(run)
            run = []
        if m.group()[0] == '"':
            begin = begin if run else m.start()
            run.append(re.sub(r"\\.", " ", m.group()[1:-1]))
        end = m.end()
    if run:
        yield begin, "".join(run)


def includes(text):
    """The directives that are not inside a comment."""
    bare = TOKEN.sub(lambda m: m.group() if m.group()[0] == '"' else
                     "\n" * m.group().count("\n") if m.group()[0] == "/" else "''", text)
    for m in INCLUDE.finditer(bare):
        yield line_of(bare, m.start()), m.group(1), m.group(2)


def check_include(layer, name, own, system):
    """What is wrong with one directive in a file of the layer ("" for main.c), or None."""
    if system is not None:
        if system.startswith("gsl/"):
            return None if layer == "rules" and name in RULES_OF_SERVER else \
                f"<{system}> is for {', '.join(sorted(RULES_OF_SERVER))} of rules/ alone"
        if OWNED.get(system, layer) != layer:
            return f"<{system}> belongs to {OWNED[system]}/ alone"
        if layer == "rules" and system not in RULES_HEADERS:
            return f"rules/ are pure and may not include <{system}>"
        return None
    to = own.split("/")[0] if "/" in own else None
    if to not in MAY:
        return f'"{own}" is not written from server/'
    if to not in MAY.get(layer, MAIN):
        return f"{layer}/ may not include {to}/ (\"{own}\")"
    return None


def check_view(where, layer, bare):
    """Where something is read past the view."""
    name = os.path.basename(where)
    if layer == "api" and name not in CONTEXT_OF_API:
        for m in CONTEXT.finditer(bare):
            yield line_of(bare, m.start()), "the connection of the thread: a handler has its view"
    if layer not in TODAY_OF and not (layer == "run" and name in TODAY_OF_RUN):
        for m in TODAY.finditer(bare):
            yield line_of(bare, m.start()), "the clock: today is in the view"
    if layer != "store" and where not in QUERY_OF:
        for m in QUERY.finditer(bare):
            yield line_of(bare, m.start()), "a query without a view: view_list_query has it"
    if layer not in TOUCH_OF:
        for m in TOUCH.finditer(bare):
            yield line_of(bare, m.start()), "past the table of what is made from what: made_from.h"


def check_waiting(where, bare):
    """Where a thread waits, or reads the time, by a clock that can be set."""
    for m in WAITS.finditer(bare):
        if not BY_MONOTONIC.search(bare):
            yield line_of(bare, m.start()), "waits for a time, but not by the monotonic clock"
    for m in SETTABLE.finditer(bare):
        if where != SETTABLE_OF:
            yield line_of(bare, m.start()), "a clock that can be set: base/clock.h has the time"


def check_server(where, layer, text):
    """Problems of one file of the server, as (line, sentence)."""
    if layer != "" and layer not in MAY:
        yield 1, f"{layer}/ is not a layer"
    for line, own, system in includes(text):
        wrong = check_include(layer, os.path.basename(where), own, system)
        if wrong:
            yield line, wrong
    if layer != "store":
        for at, string in literals(text):
            sql = SQL.search(string)
            if sql:
                yield line_of(text, at), f"SQL outside store/: {sql.group()}"
    lines = text.count("\n")
    if lines > LONGEST:
        yield lines, f"{lines} lines are more than {LONGEST}: split it by noun"


def check_width(text):
    for number, line in enumerate(text.split("\n"), 1):
        columns = len(line.expandtabs(4))
        if columns > WIDEST:
            yield number, f"{columns} columns are more than {WIDEST}"


def check_file(where, text):
    parts = where.split("/")
    if parts[0] == "static":
        lines = text.count("\n")
        if lines > LONGEST:
            yield lines, f"{lines} lines are more than {LONGEST}: split it"
        return
    bare = blank(text)
    for m in CALL.finditer(bare):
        yield line_of(bare, m.start()), f"{m.group(1)}() is banned"
    if parts[0] == "server":
        layer = parts[1] if len(parts) > 2 else ""
        yield from check_server(where, layer, text)
        yield from check_view(where, layer, bare)
        yield from check_waiting(where, bare)


def check_tree(root, wide_still):
    """All problems as "path:line: sentence", and the number of files looked at."""
    found, files = [], 0
    wide = collections.defaultdict(list)
    for top, kinds in (("server", (".c", ".h")), ("seed-demo", (".c", ".h")),
                       ("tests", (".c", ".h")), ("static/js", (".js",))):
        for folder, _, names in sorted(os.walk(os.path.join(root, top))):
            if "node_modules" in folder:
                continue
            for name in sorted(n for n in names if n.endswith(kinds)):
                path = os.path.join(folder, name)
                where = os.path.relpath(path, root).replace(os.sep, "/")
                with open(path, encoding="utf-8") as f:
                    text = f.read()
                files += 1
                found += [f"{where}:{line}: {what}" for line, what in check_file(where, text)]
                wide[top] += [f"{where}:{line}: {what}" for line, what in check_width(text)]
    for top, lines in wide.items():
        most = wide_still.get(top, 0)
        if len(lines) > most:
            found += lines + [f"{top}: {len(lines)} lines are wide, {most} were"] * (most > 0)
    return found, files


# a made-up tree: path, text, and the lines that must be found wrong
MADE_UP = [
    ("server/base/good.c", '#include "base/good.h"\n#include <stdio.h>\n', []),
    ("server/base/up.c", '\n#include "rules/judge/due.h"\n', [2]),
    ("server/rules/good.c", '#include "base/day.h"\n#include "rules/judge/due.h"\n#include <math.h>\n', []),
    ("server/rules/up.c", '#include "store/store.h"\n#include "service/record/bond.h"\n', [1, 2]),
    ("server/rules/clock.c", "#include <string.h>\n#include <time.h>\n#include <stdio.h>\n", [2, 3]),
    ("server/wasm/up.c", '#include "rules/tablet/tablet.h"\n#include "store/store.h"\n', [2]),
    ("server/rules/statistics/share.c", "#include <gsl/gsl_cdf.h>\n#include <math.h>\n", []),
    ("server/rules/statistics/share.h", "#include <gsl/gsl_cdf.h>\n", [1]),
    ("server/service/share.c", "#include <gsl/gsl_cdf.h>\n", [1]),
    ("server/store/good.c", '#include <sqlite3.h>\n#include "rules/judge/due.h"\n'
     'static const char sql[] = "SELECT 1";\n', []),
    ("server/store/up.c", '#include "service/record/bond.h"\n#include "http/request.h"\n'
     '#include "encode/csv.h"\n', [1, 2, 3]),
    ("server/service/good.c", '#include "store/store.h"\n#include "rules/judge/due.h"\n', []),
    ("server/service/up.c", '#include "api/bond.h"\n#include "http/request.h"\n', [1, 2]),
    ("server/http/good.c", '#include <microhttpd.h>\n#include "base/text.h"\n', []),
    ("server/http/aside.c", '#include "rules/judge/due.h"\n#include "store/store.h"\n'
     '#include "encode/csv.h"\n#include "api/bond.h"\n', [1, 2, 3, 4]),
    ("server/encode/aside.c", '#include "base/table.h"\n#include "http/request.h"\n'
     '#include "rules/terms.h"\n', [2, 3]),
    ("server/api/good.c", "".join(f'#include "{layer}/x.h"\n' for layer in MAY["api"]), []),
    ("server/api/past_view.c", "store_get(req->context);\nint32_t day = clock_today();\n"
     "/* req->context */\nf(view_of(req)->store, view->today, context);\n", [1, 2]),
    ("server/api/past_query.c", "view_list_query(v, l);\nlist_query_read(l, today);\n", [2]),
    ("server/service/past_query.c", "list_query_read(l, today);\n", [1]),
    ("server/service/touch.c", "act_touch_bond(a, 1, w);\nact_touch_group (a, g, w);\n"
     "store_stale_all(s, w);\nchanged_of_bond(a, 1, 1, w);\n", [1, 2, 3]),
    ("server/derived/touch.c", "act_touch_bond(a, 1, w);\nstore_stale_all(s, w);\n", []),
    ("server/derived/view.c", "list_query_read(l, today);\n", []),
    ("server/store/query.c", "bool list_query_read(l)\n", []),
    ("server/api/wait.c", "pthread_cond_init(&c, NULL);\npthread_cond_timedwait(&c, &l, &u);\n", [2]),
    ("server/api/waits.c", "pthread_condattr_setclock(&a, CLOCK_MONOTONIC);\n"
     "pthread_cond_timedwait(&c, &l, &u);\nclock_gettime(CLOCK_REALTIME, &u);\n", [3]),
    ("server/api/waits_too.c", "pthread_condattr_setclock(&a, CLOCK_REALTIME);\n"
     "pthread_cond_timedwait(&c, &l, &u);\nx = time(NULL);\n", [1, 2, 3]),
    ("server/base/clock.c", "clock_gettime(CLOCK_REALTIME, &now);\n", []),
    ("server/api/views.c", "x = req->context;\n", []),
    ("server/http/context.c", "e->req.context = context;\n", []),
    ("server/service/clock.c", "return clock_today();\n", [1]),
    ("server/cli/clock.c", "view.today = clock_today();\n", []),
    ("server/api/up.c", '#include "cli/cli.h"\n', [1]),
    ("server/api/sql.c", '#include <sqlite3.h>\n#include <microhttpd.h>\n', [1, 2]),
    ("server/main.c", "".join(f'#include "{layer}/x.h"\n' for layer in MAY), []),
    ("server/extra/x.c", "int x;\n", [1]),
    ("server/base/path.c", '#include "day.h"\n#include "../rules/judge/due.h"\n  #  include "x/y.h"\n'
     '/*\n#include "rules/no.h"\n*/\n// #include "rules/no.h"\n', [1, 2, 3]),
    ("server/service/sql.c", 'const char *a = "SELECT id FROM bond";\n'
     'const char *b = "INSERT "\n\t/* two */ "INTO bond VALUES ($1)";\n'
     'const char *c = "UPDATE bond SET label = $1";\nconst char *d = "DELETE FROM bond";\n'
     'const char *e = "PRAGMA wal";\nconst char *f = "CREATE UNIQUE INDEX x";\n', [1, 2, 4, 5, 6, 7]),
    ("server/api/words.c", '/* SELECT id FROM bond */\nconst char *a = "DELETE", *b = "UPDATE",\n'
     '\t*c = "Select a line";\nint SELECT;\n', []),
    ("server/base/calls.c", "int a = atoi(x);\nint b = my_atoi(x), c = s->gets(x), d = t.gets(x);\n"
     'strcpy (a, "gets(b)"); // atof(x)\nsnprintf(a, 2, "%d", 1); gmtime_r(&t, &u);\n'
     "x = '\"'; strtok(a, b); y = '\"';\nint z = x>atof(y);\n", [1, 3, 5, 6]),
    ("seed-demo/calls.c", "struct tm *t = localtime(&now);\n", [1]),
    ("tests/base/calls.c", 'sprintf(to, "x");\n', [1]),
    ("tests/base/free.c", '#include <sqlite3.h>\n#include "case.h"\nconst char *a = "SELECT 1";\n', []),
    ("server/base/full.c", "\n" * 500, []),
    ("server/base/long.c", "\n" * 501, [501]),
    ("tests/base/long.c", "\n" * 501, []),
    ("tests/pages/node_modules/theirs.c", "gets(a);\n", []),
    ("server/base/table.txt", '#include "rules/judge/due.h"\n', []),
    ("static/js/logic/full.js", "x" * 100 + "\n\t" + "y" * 96 + "\n// ü" + "µ" * 96 + "\n", []),
    ("static/js/logic/wide.js", "x" * 101 + "\n\t" + "y" * 97 + "\n" + "\t" * 26 + "\n", [1, 2, 3]),
    ("static/js/parts/long.js", "\n" * 501, [501]),
    ("static/css/wide.css", "x" * 200 + "\n", []),
    ("server/base/wide.c", "//" + "x" * 98 + "\n\t//" + "y" * 95 + "\n", [2]),
    ("tests/base/wide.h", "//" + "µ" * 99 + "\n", [1]),
]


def prove():
    """True when the made-up tree gives just the problems that it was made to have."""
    with tempfile.TemporaryDirectory() as root:
        for where, text, _ in MADE_UP:
            path = os.path.join(root, where)
            os.makedirs(os.path.dirname(path), exist_ok=True)
            with open(path, "w", encoding="utf-8") as f:
                f.write(text)
        found, _ = check_tree(root, {})
    got = sorted(tuple(f.split(":")[:2]) for f in found)
    expected = sorted((where, str(line)) for where, _, lines in MADE_UP for line in lines)
    for where, line in sorted(set(expected) - set(got)):
        print(f"made-up tree: {where}:{line} is wrong and was not found")
    for where, line in sorted(set(got) - set(expected)):
        print(f"made-up tree: {where}:{line} is right and was refused")
    return got == expected


def main():
    if not prove():
        return 1
    found, files = check_tree(sys.argv[1], WIDE_STILL)
    for problem in found:
        print(problem)
    if files == 0:
        print(f"no source files under {sys.argv[1]}")
    return 1 if found or files == 0 else 0


sys.exit(main())
