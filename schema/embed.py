"""Writes the numbered .sql files into one C file, so that the program carries its own schema.

usage: embed.py OUTPUT.c 0001-first.sql 0002-second.sql ...
"""
import os
import sys

out, *inputs = sys.argv[1:]
inputs.sort(key=os.path.basename)
with open(out, "w", encoding="utf-8") as f:
    f.write('#include "store/migrate.h"\n')
    # bytes, not strings: a C compiler need not take a string over 4095 bytes
    for i, path in enumerate(inputs):
        with open(path, "rb") as sql:
            data = [b - 256 if b > 127 else b for b in sql.read()] + [0]
        f.write(f"\nstatic const signed char sql_{i}[] = {{\n")
        for at in range(0, len(data), 20):
            f.write("\t" + ", ".join(map(str, data[at:at + 20])) + ",\n")
        f.write("};\n")
    f.write("\nconst struct migration store_migrations[] = {\n")
    for i, path in enumerate(inputs):
        name = os.path.basename(path)
        f.write(f'\t{{ {int(name.split("-")[0])}, "{name}", (const char *)sql_{i} }},\n')
    f.write("\t{ 0 }\n};\n")
