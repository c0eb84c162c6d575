"""bondbook import as a person at a terminal meets it: what it prints and its exit codes.

usage: import.py BONDBOOK      the program's path
"""
import fcntl
import json
import os
import subprocess
import sys
import tempfile

BONDBOOK = os.path.abspath(sys.argv[1])
HOW = ["--set", "separator=semicolon", "--set", "encoding=utf_8", "--set", "decimal=comma",
       "--set", "day_order=dmy"]
BOND = HOW + ["--constant", "line=VAL", "--column", "label={A}-{B}", "--constant", "kind=rail_joint",
              "--column", "a_chainage=km", "--column", "note=Bemerkung"]


def run(folder, *args, code=0):
    p = subprocess.run([BONDBOOK, "import", *args], cwd=folder, capture_output=True, text=True,
                       encoding="utf-8")
    if p.returncode != code:
        sys.exit(f"{args}\nexit code {p.returncode}, not {code}\n{p.stdout}{p.stderr}")
    return p.stdout, p.stderr


def expect(text, *parts):
    for part in parts:
        if part not in text:
            sys.exit(f"no {part!r} in\n{text}")


def write(folder, name, text, encoding="utf-8"):
    with open(os.path.join(folder, name), "w", encoding=encoding, newline="") as f:
        f.write(text)


def read(folder, name):
    with open(os.path.join(folder, name), encoding="utf-8", newline="") as f:
        return f.read()


def lines(folder):
    write(folder, "lines.csv", "code,name,notation\nVAL,Vale line,km_m\n")
    settings, reasons = run(folder, "lines", "lines.csv", "--propose")
    expect(reasons, "separator  comma", "encoding   utf_8")
    write(folder, "lines.json", settings)
    json.loads(settings)
    out, _ = run(folder, "lines", "lines.csv", "--data", "reg", "--settings", "lines.json")
    expect(out, "1 new", "Import 1 is kept.")


def bonds(folder):
    write(folder, "bonds.csv", "A;B;km;Bemerkung\nJ;1;1+200;=1+1\nJ;2;nowhere;\"a \"\"b\"\";c\"\n"
          "J;3;1+300;-5\nJ;4;x;'=2\n")
    out, _ = run(folder, "bonds", "bonds.csv", "--data", "reg", *BOND, "--wrong", "wrong.csv",
                 code=65)
    expect(out, "2 wrong", 'row 3 (line 3), km "nowhere"', "Nothing was imported", "wrong.csv")
    wrong = read(folder, "wrong.csv").split("\n")
    expect(wrong[0], "A;B;km;Bemerkung;wrong: row;wrong: column;wrong: value;wrong: why")
    expect(wrong[1], 'J;2;nowhere;"a ""b"";c";3;km;nowhere;')
    expect(wrong[2], "J;4;x;\"'=2\";5;km;x;")
    out, _ = run(folder, "bonds", "bonds.csv", "--data", "reg", *BOND, "--dry-run",
                 "--leave-wrong-out")
    expect(out, "2 would be new", "Nothing was changed")
    out, _ = run(folder, "bonds", "bonds.csv", "--data", "reg", *BOND, "--leave-wrong-out",
                 "--save-mapping", "ours", "--wrong", "wrong.csv")
    expect(out, "2 new", "Import 2 is kept.")
    # mended where it was written, it goes in with the same mapping
    write(folder, "wrong.csv", read(folder, "wrong.csv").replace(";nowhere;", ";1+400;", 1)
          .replace("J;4;x;", "J;4;1+500;", 1))
    out, _ = run(folder, "bonds", "wrong.csv", "--data", "reg", "--mapping", "ours")
    expect(out, "2 new", "0 wrong")
    out, _ = run(folder, "bonds", "wrong.csv", "--data", "reg", "--mapping", "ours", "--only",
                 "B=2", "--dry-run")
    expect(out, "1 there already", "1 left out")


def odd(folder):
    """Columns that nothing takes, and a file without headings."""
    write(folder, "odd.csv", "A;B;km;Bemerkung;Pole\nJ;20;2+0;;17\n")
    _, err = run(folder, "bonds", "odd.csv", "--data", "reg", *BOND, code=65)
    expect(err, "The column Pole has numbers")
    out, _ = run(folder, "bonds", "odd.csv", "--data", "reg", *BOND, "--left-out", "Pole")
    expect(out, "1 new")
    write(folder, "bare.csv", "J30;2+10\nJ31;x\n")
    bare = HOW + ["--constant", "line=VAL", "--column", "label=Column 1", "--constant",
                  "kind=rail_joint", "--column", "a_chainage=Column 2"]
    _, err = run(folder, "bonds", "bare.csv", "--data", "reg", *bare, code=65)
    expect(err, "looks like data")
    bare += ["--set", "first_row=data"]
    run(folder, "bonds", "bare.csv", "--data", "reg", *bare, "--wrong", "wrong.csv", code=65)
    wrong = read(folder, "wrong.csv").split("\n")
    expect(wrong[0], "J31;x;", "wrong in row 2, Column 2: ")
    write(folder, "wrong.csv", wrong[0].replace(";x;", ";2+20;", 1) + "\n")
    out, _ = run(folder, "bonds", "wrong.csv", "--data", "reg", *bare)
    expect(out, "1 new", "0 wrong")


def known(folder):
    """What a file says otherwise of known bonds is listed, and taken where that is said."""
    how = ["bonds", "known.csv", "--data", "reg", *BOND, "--column", "length_m=L", "--unit",
           "length_m=m"]
    write(folder, "known.csv", "A;B;km;Bemerkung;L\nK;1;3+0;;0,5\n")
    out, _ = run(folder, *how)
    expect(out, "1 new")
    write(folder, "known.csv", "A;B;km;Bemerkung;L\nK;1;3+0;;0,7\n")
    out, _ = run(folder, *how, code=65)
    expect(out, "1 known bond with another Length of one cable (length_m)",
           "row 2, K-1, Length of one cable: 0.5 m; in the file 0.7 m\n")
    out, _ = run(folder, *how, "--set", "known=stays")
    expect(out, "1 there already\n")
    out, _ = run(folder, *how, "--take", "length_m")
    expect(out, "1 there already, 1 of them changed", "0.7 m, taken")
    out, _ = run(folder, *how)
    expect(out, "1 there already\n")


def stated(folder):
    """An old log: what a trial tells of it, and what an engineer states with it."""
    for login, role in (("ada", "manager"), ("bo", "planner")):
        subprocess.run([BONDBOOK, "person", "--data", os.path.join(folder, "reg"), "--login", login,
                        "--name", login.title(), "--role", role], input="twelve oak sleepers\n",
                       text=True, check=True, stdout=subprocess.DEVNULL)
    write(folder, "log.csv", "Bond;Day;R\nJ-1;01.05.2023;0,35\n")
    log = ["inspections", "log.csv", "--data", "reg", *HOW, "--constant", "line=VAL", "--column",
           "bond=Bond", "--column", "day=Day", "--constant", "quantity=end_to_end", "--constant",
           "method=four_wire", "--column", "shown_uohm=R"]
    _, err = run(folder, *log, code=65)
    expect(err, "State in which unit the column R is: uohm")
    log += ["--unit", "shown_uohm=mohm"]
    out, _ = run(folder, *log, "--dry-run")
    expect(out, "1 reading names no instrument, and proves nothing",
           "1 visit comes in as done in part")
    log += ["--set", "meter_percent=1", "--set", "meter_uohm=0.5", "--set", "row_meant=both_seen",
            "--set", "stated_reason=One meter, a tick for both ends."]
    _, err = run(folder, *log, code=65)
    expect(err, "for an engineer to state")
    _, err = run(folder, *log, "--stated-by", "bo", code=65)
    expect(err, "Nobody who signs in as bo may state")
    out, _ = run(folder, *log, "--stated-by", "ada")
    expect(out, "1 new")
    if "visit comes" in out or "no instrument" in out:
        sys.exit(out)


def refusals(folder):
    _, err = run(folder, "bonds", "bonds.csv", code=64)
    expect(err, "--data DIR")
    _, err = run(folder, "bond", "bonds.csv", "--data", "reg", code=64)
    expect(err, "cannot be imported", "inspections")
    _, err = run(folder, "bonds", "bonds.csv", "--data", "reg", "--set", "separator=dot", code=64)
    expect(err, "separator")
    _, err = run(folder, "bonds", "bonds.csv", "--data", "reg", "--column", "label", code=64)
    expect(err, "FIELD=HEADING")
    _, err = run(folder, "bonds", "bonds.csv", "--data", "reg", "--mapping", "theirs", code=65)
    expect(err, "No mapping is saved as theirs")
    _, err = run(folder, "bonds", "bonds.csv", "--data", "reg", code=65)
    expect(err, "State the separator", "gives Label")
    _, err = run(folder, "bonds", "none.csv", "--data", "reg", *BOND, code=74)
    expect(err, "none.csv")
    write(folder, "bad.json", '{"separator":"comma","colums":[]}')
    _, err = run(folder, "bonds", "bonds.csv", "--data", "reg", "--settings", "bad.json", code=65)
    expect(err, "colums")
    write(folder, "latin.csv", "A;B;km;Bemerkung\nJ;9;1+0;Bär\n", "cp1252")
    _, err = run(folder, "bonds", "latin.csv", "--data", "reg", "--mapping", "ours", code=65)
    expect(err, "line 2")
    with open(os.path.join(folder, "large.csv"), "wb") as f:
        f.truncate((1 << 30) + 1)
    _, err = run(folder, "bonds", "large.csv", "--data", "reg", "--mapping", "ours", code=65)
    expect(err, "1024 MB")
    lock = os.open(os.path.join(folder, "reg"), os.O_RDONLY)
    fcntl.flock(lock, fcntl.LOCK_EX)
    _, err = run(folder, "bonds", "bonds.csv", "--data", "reg", "--mapping", "ours", code=69)
    expect(err, "Another bondbook is writing")
    os.close(lock)


with tempfile.TemporaryDirectory() as made:
    subprocess.run([BONDBOOK, "init", "--data", os.path.join(made, "reg"), "--zone", "UTC"],
                   check=True)
    lines(made)
    bonds(made)
    odd(made)
    known(made)
    stated(made)
    refusals(made)
    expect(run(made, "--help")[0], "--propose", "Exit codes")
print("as expected")
