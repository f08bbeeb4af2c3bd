#!/usr/bin/env python3
"""Measures the comparison of seasons: a nursery of 2,000 protocols against changed copies of it, beside `diff -r`, in one run.

    tests/bench/diff.py BUILD [PROTOCOLS]

The demo's house and bases, and its protocols under new names, ten in a file. Copies differ in one figure in each hundredth
protocol; in a base that all build on; in the names of all, said and unsaid; and, with 100,000 batches in a table, in the order of
its rows and one cell in a hundred. Wall time and peak memory, taken in turn, the median of three. `diff -r` reads the same bytes and
tells lines; it is what people have now. Ends with 1 when a limit is missed or a result is wrong.
"""
import os
import random
import re
import statistics
import subprocess
import sys
import tempfile

import files
import generate
from measuring import limit, make_peak, measure, missed

HERE = os.path.dirname(os.path.abspath(__file__))
ROUNDS = 3
BATCHES = 100_000
SECONDS_LIMIT = 2        # for whatever change of the protocols
ROWS_LIMIT = 4           # seconds for the table

# How the last line ends.
WANTED = {"few": "15 moved", "base": ": 1 tightened", "said": ": {number} editorial", "unsaid": "moved", "table": f": {BATCHES // 100} moved"}


def few(text, n):
    return text.replace(" .. ", " .. 1", 1) if n % 100 == 0 else text


def said(text, n):
    return re.sub(r"^protocol (\S+)(.*)$", r"protocol \1-again\2\n  was \1", text, count=1, flags=re.M)


def unsaid(text, n):
    return re.sub(r"^protocol (\S+)", r"protocol \1-again", text, count=1, flags=re.M)


def write_nursery(folder, change=lambda text, n: text, base=lambda text: text):
    generate.write_nursery(folder)
    texts = files.protocols()
    path = os.path.join(folder, "nursery.heel")
    with open(path, encoding="utf-8") as file:
        text = re.sub(r"^  use .*\n", "", file.read(), flags=re.M)
    with open(path, "w", encoding="utf-8") as file:
        file.write(text)
    path = os.path.join(folder, "softwood-mist.heel")
    with open(path, encoding="utf-8") as file:
        text = base(file.read())
    with open(path, "w", encoding="utf-8") as file:
        file.write(text)
    for first in range(0, number, files.IN_A_FILE):
        with open(os.path.join(folder, f"protocols-{first:05}.heel"), "w", encoding="utf-8") as file:
            for n in range(first, min(first + files.IN_A_FILE, number)):
                file.write(change(re.sub(r"^protocol (\S+)", rf"protocol \1-{n}", texts[n % len(texts)]), n) + "\n")


def write_table(folder, seed=None):
    """A nursery whose plan is a table; with a seed, in another order and with a cell in a hundred changed."""
    generate.write_nursery(folder)
    path = os.path.join(folder, "plan.csv")
    generate.write_plan(path, BATCHES, 1)
    if seed is None:
        return
    draw = random.Random(seed)
    with open(path, encoding="utf-8") as file:
        heading, *rows = file.readlines()
    draw.shuffle(rows)
    for at in range(0, len(rows), 100):
        cells = rows[at].split(",")
        cells[5] = str(int(cells[5]) + 1)
        rows[at] = ",".join(cells)
    with open(path, "w", encoding="utf-8") as file:
        file.write(heading + "".join(rows))


def last_line(copy):
    result = subprocess.run([heelcut, "diff", "old-table" if copy == "table" else "old", copy], cwd=top, capture_output=True, text=True, check=False)
    return result.stdout.strip().split("\n")[-1]


def main():
    make_peak(top)
    folder = lambda name: os.path.join(top, name)
    write_nursery(folder("old"))
    copies = {"few": "one protocol in a hundred", "base": "a base of all", "said": "all called otherwise, and said", "unsaid": "all called otherwise, unsaid"}
    write_nursery(folder("few"), few)
    write_nursery(folder("base"), base=lambda text: text.replace("must depth      12 .. 30 mm", "must depth      12 .. 25 mm"))
    write_nursery(folder("said"), said)
    write_nursery(folder("unsaid"), unsaid)
    write_table(folder("old-table"))
    write_table(folder("table"), 7)
    pairs = [(copies[name], "old", name) for name in copies] + [(f"{BATCHES:,} batches, shuffled, 1 % changed", "old-table", "table")]
    runs = [(name, command, (old, new)) for name, old, new in pairs
            for command in ([heelcut, "diff", old, new], ["diff", "-r", old, new])]
    taken = {}
    for _ in range(ROUNDS):
        for name, command, sides in runs:
            taken.setdefault((name, os.path.basename(command[0])), []).append(measure(command, top, wanted=[1]))
    print(f"\n{number:,} protocols".ljust(46) + "seconds   peak KiB   last line")
    for (name, program), pairs_of in taken.items():
        seconds, memory = statistics.median(t for t, _ in pairs_of), max(m for _, m in pairs_of)
        copy = next(new for label, _, new in pairs if label == name)
        print(f"  {name + ', ' + program:44} {seconds:7.3f} {memory:10,}   {last_line(copy) if program == 'heelcut' else ''}")
        if program != "heelcut":
            continue
        if not last_line(copy).endswith(WANTED[copy].format(number=number)):
            missed.append(f"what is told of {name}")
        limit(name, seconds, ROWS_LIMIT if copy == "table" else SECONDS_LIMIT, "{:.2f} s")
    for name in missed:
        print(f"missed: {name}")
    return 1 if missed else 0


if __name__ == "__main__":
    heelcut = os.path.join(os.path.abspath(sys.argv[1]), "heelcut")
    number = int((sys.argv + [2000])[2])
    with tempfile.TemporaryDirectory() as top:
        status = main()
    sys.exit(status)
