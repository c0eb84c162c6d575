"""Files of visits to import, for the tests over HTTP."""
import datetime
import json
import threading
from urllib.parse import quote

import program

CSV = {"Content-Type": "text/csv"}
SETTINGS = {"separator": "comma", "encoding": "utf_8", "decimal": "point", "day_order": "ymd",
            "columns": [{"field": "line", "constant": "VAL"}, {"field": "bond", "column": "bond"},
                        {"field": "day", "column": "day"}, {"field": "seen_a", "constant": "good"},
                        {"field": "seen_b", "constant": "good"},
                        {"field": "quantity", "column": "quantity"},
                        {"field": "method", "constant": "four_wire"},
                        {"field": "shown_uohm", "column": "shown", "unit": "uohm"},
                        {"field": "reference", "column": "log"}]}


def visits(bonds, each, log, first=datetime.date(2021, 1, 1)):
    """A file of `each` visits with two readings, day by day, to each of B00001, B00002 ..."""
    rows = ["bond,day,quantity,shown,log"]
    for n in range(each):
        day = first + datetime.timedelta(days=n)
        for b in range(1, bonds + 1):
            rows += [f"B{b:05},{day},{quantity},5,{log}"
                     for quantity in ("contact_a", "contact_b")]
    return ("\n".join(rows) + "\n").encode()


BOND_SETTINGS = {**{name: SETTINGS[name] for name in SETTINGS if name != "columns"},
                 "columns": [{"field": "line", "constant": "VAL"},
                             {"field": "label", "column": "label"},
                             {"field": "kind", "constant": "rail_joint"},
                             {"field": "a_chainage", "column": "at"},
                             {"field": "a_track", "constant": "Up"},
                             {"field": "a_rail", "constant": "left"},
                             {"field": "installed_day", "constant": "2020-03-31"}]}


def bonds(count, prefix, km):
    """A file of so many rail joint bonds, a metre apart from this kilometre on."""
    return ("label,at\n" + "".join(f"{prefix}-{n:04},{km + n // 1000}+{n % 1000:03}\n"
                                   for n in range(count))).encode()


def path(name, dry=False, progress=None, kind="inspections", settings=None):
    return (f"/api/imports?kind={kind}&file_name={name}&settings="
            + quote(json.dumps(settings or SETTINGS)) + ("&dry_run=1" if dry else "")
            + (f"&progress={progress}" if progress else ""))


class Sending(threading.Thread):
    """An import that is sent on a connection of its own; its answer, None when it came to none."""

    def __init__(self, server, cookie, file, *args, **more):
        super().__init__()
        self.client = program.Client(server, cookie=cookie)
        self.file, self.where = file, path(*args, **more)
        self.answer = None
        self.start()

    def run(self):
        try:
            self.answer = self.client.ask("POST", self.where, self.file, CSV)
        except OSError:
            pass
        except Exception as e:    # a killed server answers with half a line
            self.answer = None
            self.failed = e
        finally:
            self.client.close()
