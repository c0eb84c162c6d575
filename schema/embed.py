"""Writes the numbered .sql files into one C file, so that the program carries its own schema.

usage: embed.py OUTPUT.c 0001-first.sql 0002-second.sql ...
"""
import os
import sys

out, *inputs = sys.argv[1:]
with open(out, "w", encoding="utf-8") as f:
    f.write('#include "store/migrate.h"\n\nconst struct migration store_migrations[] = {\n')
    for path in sorted(inputs, key=os.path.basename):
        name = os.path.basename(path)
        number = int(name.split("-")[0])
        f.write(f'\t{{ {number}, "{name}",\n')
        with open(path, encoding="utf-8") as sql:
            for line in sql:
                text = line.rstrip("\n").replace("\\", "\\\\").replace('"', '\\"').replace("\t", "\\t")
                f.write(f'\t  "{text}\\n"\n')
        f.write("\t},\n")
    f.write("\t{ 0 }\n};\n")
