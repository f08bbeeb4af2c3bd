#!/usr/bin/env python3
"""Measures checking and expanding plans, beside other programs, in one run.

    tests/bench/run.py BUILD [LARGEST]

For plans of 1,000 to LARGEST (1,000,000) batches over the demo's protocols: wall time and peak memory of heelcut, of `wc -l`
and `cat` on the same bytes, and of the same work by hand in Python and in SQLite, taken in turn, the median of three; and how
they grow. Then what a small nursery costs beside an empty program, and whether the limits hold. What is found by hand must be
what heelcut finds. By hand goes up to 100,000 batches, with FULL=1 in the environment to the end. Ends with 1 when a limit is
missed or findings differ.

Work is measured twice: the tasks of one month, which are about fifteen a batch, and all tasks there are, which are more than a
hundred a batch. The limit is on all of them; what a task costs in both stands in the tables.
"""
import collections
import csv
import datetime
import json
import os
import shutil
import statistics
import subprocess
import sys
import tempfile

import generate
from measuring import compile_c, limit, make_peak, measure, missed

HERE = os.path.dirname(os.path.abspath(__file__))
SIZES = [1_000, 10_000, 100_000, 1_000_000]
BY_HAND = 1_000_000 if os.environ.get("FULL") else 100_000  # the largest plan that is judged and expanded by hand
ALL_BY_HAND = 10_000                                        # all its tasks, as this is long
COMPARED = ("depth", "duplicate", "enclosure", "hormone", "lasts", "too-few-cells", "wet-big-leaves", "window", "wrong-plant")
COMPARED_SIZE = 10_000
TODAY = ["--today", "2027-01-01"]
MONTH = ["2027-07-01", "2027-07-31"]
ROUNDS = 3
STARTS = 151
SECONDS_LIMIT = {"check": 3, "all tasks": 8}
MEMORY_LIMIT = 64 << 10  # KiB
START_LIMIT = 2          # times an empty program


# ---------------------------------------------------------------- measuring


def measure_in_turn(runs, folder, rounds):
    """All runs, then all again: what slows the machine down for a while slows each of them."""
    taken = {name: [] for name, _ in runs}
    for _ in range(rounds):
        for name, command in runs:
            taken[name].append(measure(command, folder))
    return {name: (statistics.median(t for t, _ in pairs), max(m for _, m in pairs)) for name, pairs in taken.items()}


# ---------------------------------------------------------------- the same by hand


def offset(text, stuck):
    return (datetime.date.fromisoformat(text) - stuck).days if text else ""


def write_templates(path):
    """The tasks of one batch of each protocol, as heelcut makes them, told in days from sticking."""
    folder = os.path.join(top, "one-each")
    generate.write_nursery(folder)
    generate.write_one_each(os.path.join(folder, "plan.csv"))
    measure([heelcut, "tasks", *TODAY, "--format", "csv"], folder, os.path.join(folder, "tasks.csv"))
    with open(os.path.join(folder, "plan.csv"), encoding="utf-8", newline="") as file:
        stuck = {row["batch"]: datetime.date.fromisoformat(row["stick"]) for row in csv.DictReader(file)}
    names = ("protocol path stage task number earliest planned latest due sure watch state done record move minutes_low minutes_high "
             "duty say").split()
    with open(os.path.join(folder, "tasks.csv"), encoding="utf-8", newline="") as source, \
         open(path, "w", encoding="utf-8", newline="") as target:
        writer = csv.DictWriter(target, names, extrasaction="ignore")
        writer.writeheader()
        for row in csv.DictReader(source):
            days = {name: offset(row[name], stuck[row["batch"]]) for name in ("earliest", "planned", "latest", "due")}
            writer.writerow({**row, **days, "path": row["id"].removeprefix(row["batch"])})


def python(*words):
    return [sys.executable, os.path.join(HERE, "by_hand.py"), *words]


def query(folder, name, *tables, before="", mode="list"):
    """Reads tables from CSV, then a file of queries."""
    script = os.path.join(folder, f"{name}.{mode}{len(before)}.sql")
    imports = "".join(f".import '{path}' {table}\n" for table, path in tables)
    with open(script, "w", encoding="utf-8") as file:
        file.write(f".mode csv\n{imports}{before}\n.mode {mode}\n.headers {'on' if mode == 'csv' else 'off'}\n"
                   f".read '{os.path.join(HERE, name)}'\n")
    return ["sqlite3", "-init", script, ":memory:", ".quit"]


def check_in_sqlite(folder):
    return query(folder, "by_hand_check.sql", ("plan", "plan.csv"), ("limits", os.path.join(HERE, "limits.csv")))


def tasks_in_sqlite(folder, first, last):
    # An empty number of days is no day, and not the day of sticking.
    empty = ", ".join(f"{day} = nullif({day}, '')" for day in ("earliest", "planned", "latest", "due"))
    before = f"UPDATE templates SET {empty};\nCREATE TABLE span AS SELECT '{first}' AS first, '{last}' AS last;"
    return query(folder, "by_hand_tasks.sql", ("plan", "plan.csv"), ("templates", templates), before=before, mode="csv")


def compare_findings(folder):
    """What the three find of what they all look for."""
    path = os.path.join(folder, "found.json")
    measure([heelcut, "check", *TODAY, "--format", "json"], folder, path)
    with open(path, encoding="utf-8") as file:
        findings = json.load(file)["findings"]
    names = collections.Counter(name for finding in findings for name in [finding["name"], *finding["also"]])
    ours = {name: names[name] for name in COMPARED if names[name]}
    others = {}
    for name, command in (("Python", python("check", "plan.csv")), ("SQLite", check_in_sqlite(folder))):
        path = os.path.join(folder, "found.txt")
        measure(command, folder, path)
        with open(path, encoding="utf-8") as file:
            counted = [line.split() for line in file if ":" not in line]
        others[name] = {name: int(count) for name, count in counted}
    same = ours and all(found == ours for found in others.values())
    print(f"findings: heelcut {ours}" + (", and so Python and SQLite" if same else f"; others {others}"))
    if not same:
        missed.append("findings")


# ---------------------------------------------------------------- tables


def print_table(title, results, before, unit_name="batch", units=1):
    print(f"\n{title}".ljust(52) + f"seconds   peak KiB   us a {unit_name:7}" + ("times the size before" if before else ""))
    for name, (seconds, memory) in results.items():
        growth = f"{seconds / before[name][0]:10.1f} {memory / before[name][1]:6.1f}" if name in before else ""
        print(f"  {name:47} {seconds:9.3f} {memory:10,} {seconds / units * 1e6:10.2f} {growth}", flush=True)


def lines_and_bytes(path):
    with open(path, "rb") as file:
        return sum(block.count(b"\n") for block in iter(lambda: file.read(1 << 20), b"")), os.path.getsize(path)


def work_of(folder, batches, span, name):
    """Runs that write tasks, and how many there are; the floor reads a smaller plan's output several times over."""
    words = [word for pair in zip(("--from", "--to"), span or ()) for word in pair]
    command = [heelcut, "tasks", *TODAY, *words, "--format", "csv"]
    if batches <= COMPARED_SIZE:
        measure(command, folder, os.path.join(top, f"{name}.csv"))
        written[name] = (batches, *lines_and_bytes(os.path.join(top, f"{name}.csv")))
    of, lines, size = written[name]
    copies = batches // of
    runs = [("heelcut tasks", command), ("  cat of as many bytes", ["cat", *[os.path.join(top, f"{name}.csv")] * copies])]
    if batches <= (BY_HAND if span else ALL_BY_HAND):
        first, last = span or ("", "9999")
        runs += [("  by hand in Python", python("tasks", "plan.csv", templates, first, last)),
                 ("  by hand in SQLite", tasks_in_sqlite(folder, first, last))]
    return runs, (lines - 1) * copies, size * copies


def measure_size(batches, before):
    folder = os.path.join(top, str(batches))
    generate.write_nursery(folder)
    generate.write_plan(os.path.join(folder, "plan.csv"), batches, 1)
    if batches == min(COMPARED_SIZE, max(sizes)):
        compare_findings(folder)
    many = batches >= 1_000_000
    results = {}

    runs = [("heelcut check", [heelcut, "check", *TODAY]), ("  wc -l of the plan", ["wc", "-l", "plan.csv"]),
            ("  cat of the plan", ["cat", "plan.csv"])]
    if batches <= BY_HAND:
        runs += [("  by hand in Python", python("check", "plan.csv")), ("  by hand in SQLite", check_in_sqlite(folder))]
    results["check"] = measure_in_turn(runs, folder, 1 if many and BY_HAND >= batches else ROUNDS)
    size = os.path.getsize(os.path.join(folder, "plan.csv"))
    print_table(f"{batches:,} batches ({size / 1e6:,.1f} MB), check", results["check"], before.get("check", {}), "batch", batches)

    for name, span in (("tasks of a month", MONTH), ("all tasks", None)):
        runs, lines, size = work_of(folder, batches, span, name)
        results[name] = measure_in_turn(runs, folder, 1 if many and BY_HAND >= batches else ROUNDS)
        print_table(f"{batches:,} batches, {lines:,} {name} ({size / 1e6:,.0f} MB)", results[name], before.get(name, {}),
                    "task", lines)
    return results


def measure_start():
    """A nursery of one protocol and a hundred batches, the demo's protocols and a hundred rows, and an empty program, in turn."""
    source, empty, installed, small, demo = (os.path.join(top, name) for name in ("empty.c", "empty", "heelcut", "small", "demo"))
    with open(source, "w", encoding="utf-8") as file:
        file.write("int main(void) { return 0; }\n")
    compile_c(source, empty)
    shutil.copy(heelcut, installed)  # as `make install` does: what a linker has left on the disk in pieces starts slower
    os.mkdir(small)
    with open(os.path.join(small, "nursery.heel"), "w", encoding="utf-8") as file:
        file.write('nursery small { language 1 }\nprotocol p { take { window all year }; stick { must depth 12 .. 25 mm }\n'
                   '    stage root { lasts 4 weeks; losses 5 % } }\n')
        file.writelines(f"batch B{n} {{ follow p; take 1 Jun 2027; stick 1 Jun 2027; depth 20 mm }}\n" for n in range(100))
    if subprocess.run([heelcut, "check", *TODAY], cwd=small, stdout=subprocess.DEVNULL, check=False).returncode:
        sys.exit("the small nursery has a fault: what it costs would be that of telling it")
    generate.write_nursery(demo)
    generate.write_plan(os.path.join(demo, "plan.csv"), 100, 1)
    runs = [("an empty program", [empty], top), ("heelcut --version", [installed, "--version"], top),
            ("a small nursery, 100 batches", [installed, "check", *TODAY], small),
            ("the demo's protocols, 100 rows", [installed, "check", *TODAY], demo)]
    taken = {name: [] for name, _, _ in runs}
    for _ in range(STARTS):
        for name, command, folder in runs:
            taken[name].append(measure(command, folder))
    middle = {name: (statistics.median(t for t, _ in pairs), max(m for _, m in pairs)) for name, pairs in taken.items()}
    floor = middle["an empty program"][0]
    print("\nstart".ljust(52) + "     ms   peak KiB   times an empty program")
    for name, (seconds, memory) in middle.items():
        print(f"  {name:47} {seconds * 1000:9.2f} {memory:10,} {seconds / floor:10.1f}")
    return middle["a small nursery, 100 batches"][0] / floor


def main():
    make_peak(top)
    write_templates(templates)
    before = {}
    for batches in sizes:
        before = measure_size(batches, before)
    start = measure_start()
    print()
    if sizes[-1] == SIZES[-1]:
        for name, most in SECONDS_LIMIT.items():
            limit(f"{name}, a million batches", next(iter(before[name].values()))[0], most, "{:.2f} s")
        memory = max(next(iter(results.values()))[1] for results in before.values())  # heelcut comes first in each table
        limit("memory of both", memory, MEMORY_LIMIT, "{:,} KiB")
    limit("a small nursery beside an empty program", start, START_LIMIT, "{:.1f} times")
    return 1 if missed else 0


if __name__ == "__main__":
    heelcut = os.path.join(os.path.abspath(sys.argv[1]), "heelcut")
    largest = int((sys.argv + [SIZES[-1]])[2])
    sizes = [size for size in SIZES if size <= largest] or SIZES[:1]
    written = {}
    with tempfile.TemporaryDirectory() as top:
        templates = os.path.join(top, "templates.csv")
        status = main()
    sys.exit(status)
