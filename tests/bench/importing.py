"""bondbook import against sqlite3's .import of the same rows into the same tables and indices."""
import csv
import os
import random
import re
import shutil
import sqlite3
import subprocess
import tempfile

from serving import PROGRAM, timed

BONDS_OF_LINE = 2000
KINDS = ("rail_joint", "structure", "protective_earth")


def write_files(folder, bonds):
    """Tracks and bonds as a railway's export has them; the lines first."""
    draw = random.Random(20260331)
    lines = [f"N{n:03}" for n in range(1, bonds // BONDS_OF_LINE + 1)]
    with open(os.path.join(folder, "lines.csv"), "w", newline="") as file:
        out = csv.writer(file)
        out.writerow(("code", "name", "notation", "electrification"))
        out.writerows((line, "Line " + line, "km_m", "ac") for line in lines)
    with open(os.path.join(folder, "tracks.csv"), "w", newline="") as file:
        out = csv.writer(file)
        out.writerow(("line", "name"))
        out.writerows((line, track) for line in lines for track in ("Up", "Down"))
    with open(os.path.join(folder, "bonds.csv"), "w", newline="") as file:
        out = csv.writer(file)
        out.writerow(("line", "label", "kind", "criticality", "a_chainage", "a_track", "a_rail",
                      "installed_day", "material", "area_mm2", "length_m", "cables"))
        for line in lines:
            for n in range(BONDS_OF_LINE):
                metres = n * 45 + draw.randrange(30)
                out.writerow((line, f"{line}-{n + 1:04}", draw.choice(KINDS),
                              "high" if n % 10 == 0 else "normal",
                              f"{metres // 1000}+{metres % 1000:03}", ("Up", "Down")[n % 2],
                              draw.choice(("left", "right")),
                              f"{draw.randint(2000, 2024)}-{draw.randint(1, 12):02}-15", "copper",
                              draw.choice((70, 95, 120)), f"{draw.randint(6, 90) / 10}", 1))


def import_file(kind, folder, data):
    """Imports KIND.csv as the program proposes; (wall, processor) seconds of the import."""
    file, settings = os.path.join(folder, kind + ".csv"), os.path.join(folder, kind + ".json")
    command = [PROGRAM, "import", kind, file, "--data", data]
    with open(settings, "w") as out:
        subprocess.run([*command, "--propose"], check=True, stdout=out, stderr=subprocess.DEVNULL)
    return timed([*command, "--settings", settings], stderr=subprocess.DEVNULL)


def counts(db):
    names = [name for name, in db.execute(
        "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite%'")]
    return {name: db.execute(f"SELECT count(*) FROM {name}").fetchone()[0] for name in names}


def plain_table(db, name):
    """The table with its columns, keys and indices, without what .import's empty texts would break
    (STRICT, CHECK) and without references: less to do than ours."""
    columns = db.execute(f"PRAGMA table_info({name})").fetchall()
    keys = [column[1] for column in sorted(columns, key=lambda c: c[5]) if column[5] > 0]
    whole = len(keys) == 1 and next(c[2] for c in columns if c[1] == keys[0]) == "INTEGER"
    parts = [f"{c[1]} {c[2]}" + (" PRIMARY KEY" if whole and c[1] == keys[0] else "") for c in columns]
    if keys and not whole:
        parts.append(f"PRIMARY KEY ({', '.join(keys)})")
    for row in db.execute(f"PRAGMA index_list({name})").fetchall():
        if row[3] == "u":
            of = [c[2] for c in db.execute(f"PRAGMA index_info({row[1]})")]
            parts.append(f"UNIQUE ({', '.join(of)})")
    made = db.execute("SELECT sql FROM sqlite_schema WHERE name = ?", (name,)).fetchone()[0]
    rowid = " WITHOUT ROWID" if re.search(r"WITHOUT ROWID\s*$", made) else ""
    indices = [sql for sql, in db.execute(
        "SELECT sql FROM sqlite_schema WHERE type = 'index' AND tbl_name = ? AND sql IS NOT NULL",
        (name,))]
    # (an empty text is not NULL: a partial index would hold what ours leaves out)
    indices = [re.sub(r"\bWHERE (\w+) IS NOT NULL", r"WHERE \1 <> ''", sql) for sql in indices]
    return ";\n".join([f"CREATE TABLE {name} ({', '.join(parts)}){rowid}", *indices]) + ";\n"


def dump(path, before, folder):
    """Writes each table that got rows as CSV, and a script that imports them all."""
    db = sqlite3.connect(f"file:{path}?mode=ro", uri=True)
    filled = [name for name, count in counts(db).items() if count > before[name] + 1]
    script = "PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; PRAGMA cache_size = -32768;\n"
    for name in filled:
        file = os.path.join(folder, name + ".csv")
        with open(file, "w", newline="") as out:
            csv.writer(out).writerows(db.execute(f"SELECT * FROM {name}"))
        script += plain_table(db, name)
    script += ".mode csv\nBEGIN;\n" + "".join(
        f".import '{os.path.join(folder, name)}.csv' {name}\n" for name in filled) + "COMMIT;\n"
    total = {name: counts(db)[name] for name in filled}
    db.close()
    return script, total


def measure(work, bonds):
    """(wall, processor) ratio and words about it."""
    folder = tempfile.mkdtemp(dir=work)
    write_files(folder, bonds)
    data, other = os.path.join(folder, "ours"), os.path.join(folder, "theirs.db")
    subprocess.run([PROGRAM, "init", "--data", data, "--zone", "UTC"], check=True,
                   stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    import_file("lines", folder, data)
    import_file("tracks", folder, data)
    db = sqlite3.connect(f"file:{data}/register.db?mode=ro", uri=True)
    before = counts(db)
    db.close()
    took = import_file("bonds", folder, data)
    script, total = dump(os.path.join(data, "register.db"), before, folder)
    theirs = timed(["sqlite3", "-batch", other], input=script.encode())
    db = sqlite3.connect(other)
    if counts(db) != total:
        raise SystemExit(f"sqlite3 took {counts(db)}, not {total}")
    db.close()
    shutil.rmtree(folder)
    return (took[0] / theirs[0], took[1] / theirs[1],
            f"{bonds:,} bonds: {took[0]:.1f} s against {theirs[0]:.1f}; tables "
            + ", ".join(sorted(total)))
