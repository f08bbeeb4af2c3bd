#!/usr/bin/env python3
"""Compares rows, cells and line numbers of model/plan_rows with those of Python's csv reader, on random tables.

    tests/outside/csv_python.py BUILD [SEED]

BUILD is where the printer of rows is compiled. The same seed draws the same tables. Python takes some quotes that a plan refuses;
so where quotes stand wrong, only that both readers refuse the table is compared.
"""
import csv
import io
import os
import random
import subprocess
import sys

os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".."))
ROWS = 20_000
PIECES = ["a", "bb", "Öl", "5", ";", "'", "a b", "\t", "2027-06-18", ""]
QUOTED = PIECES + [",", '""', "\n", "\r\n", '"",', "\n\n"]
WRONG = ['"a"b', '"a" ', '"a""b"c']  # between two good rows


def compile_printer(build):
    printer = os.path.join(build, "outside", "print_rows")
    os.makedirs(os.path.dirname(printer), exist_ok=True)
    sources = ["tests/outside/print_rows.c", "src/model/plan_rows.c", "src/base/slice.c", "src/base/arena.c"]
    command = [os.environ.get("CC", "cc"), "-std=c11", "-Isrc", "-Igrammar", "-o", printer, *sources]
    return printer if subprocess.run(command).returncode == 0 else None


def draw_cell(draw):
    if draw.random() < 0.4:
        return '"' + "".join(draw.choices(QUOTED, k=draw.randrange(5))) + '"'
    return "".join(draw.choices(PIECES, k=draw.randrange(4)))


def draw_table(draw):
    lines = []
    for _ in range(ROWS):
        cells = [draw_cell(draw) for _ in range(draw.randint(1, 9))]
        lines.append(",".join(cells) + draw.choice(["\n", "\r\n"]))
    return "".join(lines) + "a,b"  # and no line end behind the last


def theirs(text):
    """Each row that is not an empty line: its first line, and its cells without the blanks around them."""
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    rows, line = [], 1
    for cells in reader:
        if cells:
            rows.append([str(line)] + [cell.strip(" \t") for cell in cells])
        line = reader.line_num + 1
    return rows


def ours(printer, text):
    out = subprocess.run([printer], input=text.encode(), capture_output=True, check=True).stdout.decode()
    return [row.split("\x1f") for row in out.split("\x1e")[:-1]]


def first_difference(a, b):
    for i, (x, y) in enumerate(zip(a, b)):
        if x != y:
            return f"row {i}: Python reads {x}, plan_rows {y}"
    return "" if len(a) == len(b) else f"Python reads {len(a)} rows, plan_rows {len(b)}"


def refused_by_python(text):
    try:
        theirs(text)
    except csv.Error:
        return True
    return False


def refused_wrongly(printer):
    for cell in WRONG:
        text = f"1,2\nx,{cell},y\n3,4\n"
        if not refused_by_python(text):
            return f"Python takes {cell}"
        if ours(printer, text) != [["1", "1", "2"], ["2"], ["3", "3", "4"]]:
            return f"plan_rows does not leave out the row with {cell} alone"
    return ""


def verdict(name, why):
    print(f"not ok {name} - {why}" if why else f"ok {name}")
    return bool(why)


def main():
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 20270618
    print(f"seed {seed}")
    printer = compile_printer(sys.argv[1])
    if not printer:
        return verdict("csv", "the printer of rows does not compile")
    text = draw_table(random.Random(seed))
    bad = verdict(f"csv rows as Python reads them ({ROWS})", first_difference(theirs(text), ours(printer, text)))
    return verdict(f"csv quotes that both refuse ({len(WRONG)})", refused_wrongly(printer)) or bad


sys.exit(main())
