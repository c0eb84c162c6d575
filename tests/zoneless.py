"""A register without a time zone, as all were before there was one: takes what init said of it out
of the file, past the triggers that keep the record.

usage: zoneless.py DIR
"""
import os
import sqlite3
import sys


def forget_zone(data):
    link = sqlite3.connect(os.path.join(data, "register.db"))
    triggers = link.execute("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger' "
                            "AND tbl_name = 'register_setting'").fetchall()
    for name, _ in triggers:
        link.execute("DROP TRIGGER " + name)
    link.execute("DELETE FROM register_setting")
    for _, sql in triggers:
        link.execute(sql)
    link.commit()
    link.close()


if __name__ == "__main__":
    forget_zone(sys.argv[1])
