#!/usr/bin/env python3
"""Measures checking and expanding plans, beside other programs, in one run.

    tests/bench/run.py BUILD [BATCHES...]

Prints wall time and peak memory of each program on plans of 1,000 to 1,000,000 batches, how they grow, what a small nursery costs
beside an empty program, and whether the limits hold. What by_hand.py and by_hand.sql find must be what heelcut finds.
Ends with 1 when a limit is missed or findings differ.
"""
import collections
import json
import os
import subprocess
import sys
import tempfile

HERE = os.path.dirname(os.path.abspath(__file__))
SIZES = [1_000, 10_000, 100_000, 1_000_000]
COMPARED = ("depth", "too-few-cells", "window", "lasts", "hormone", "duplicate")
TODAY = ["--today", "2027-01-01"]
MEMORY_LIMIT = 64 << 10  # KiB
ROUNDS = 60

build = os.path.abspath(sys.argv[1])
heelcut = os.path.join(build, "heelcut")
sizes = [int(word) for word in sys.argv[2:]] or SIZES
missed = []


def compile_c(source, program):
    subprocess.run([os.environ.get("CC", "cc"), "-O2", "-o", program, source], check=True)


def measure(command, folder, output=os.devnull):
    """Seconds and peak KiB of a command."""
    told = os.path.join(top, "peak.txt")
    with open(output, "wb") as out:
        status = subprocess.run([peak, told, *command], cwd=folder, stdout=out, stderr=subprocess.DEVNULL, check=False).returncode
    if status not in (0, 1):
        sys.exit(f"{' '.join(command)}: status {status}")
    with open(told, encoding="ascii") as file:
        seconds, memory = file.read().split()
    return float(seconds), int(memory)


def limit(name, value, most, form):
    met = value <= most
    print(f"limit {name}: {form.format(value)} of at most {form.format(most)} {'met' if met else 'MISSED'}")
    if not met:
        missed.append(name)


def import_and_query(folder):
    with open(os.path.join(folder, "script.sql"), "w", encoding="utf-8") as file:
        file.write(f".mode csv\n.import plan.csv plan\n.mode list\n.read {os.path.join(HERE, 'by_hand.sql')}\n")
    return ["sqlite3", "-init", "script.sql", ":memory:", ".quit"]


def counted(path):
    with open(path, encoding="utf-8") as file:
        return {name: int(count) for name, count in (line.split() for line in file)}


def compare_findings(folder):
    """What the three find; heelcut's own form keeps the first findings only, so this is done on a small plan."""
    path = os.path.join(folder, "found.json")
    measure([heelcut, "check", *TODAY, "--format", "json"], folder, path)
    with open(path, encoding="utf-8") as file:
        findings = json.load(file)["findings"]
    names = collections.Counter(name for finding in findings for name in [finding["name"], *finding["also"]])
    ours = {name: names[name] for name in COMPARED if names[name]}
    others = {}
    for name, command in (("Python", [sys.executable, os.path.join(HERE, "by_hand.py"), "plan.csv"]),
                          ("SQLite", import_and_query(folder))):
        measure(command, folder, os.path.join(folder, "found.txt"))
        others[name] = counted(os.path.join(folder, "found.txt"))
    same = ours and all(found == ours for found in others.values())
    print(f"findings: heelcut {ours}" + (", and so Python and SQLite" if same else f"; others {others}"))
    if not same:
        missed.append("findings")


def measure_size(batches, folder):
    subprocess.run([sys.executable, os.path.join(HERE, "generate.py"), folder, str(batches)], check=True)
    if batches == min(sizes):
        compare_findings(folder)
    tasks = os.path.join(folder, "tasks.csv")
    runs = [
        ("heelcut check", [heelcut, "check", *TODAY], os.devnull),
        ("  wc -l of the plan", ["wc", "-l", "plan.csv"], os.devnull),
        ("  cat of the plan", ["cat", "plan.csv"], os.devnull),
        ("  five checks in Python", [sys.executable, os.path.join(HERE, "by_hand.py"), "plan.csv"], os.devnull),
        ("  six queries in SQLite", import_and_query(folder), os.devnull),
        ("heelcut tasks, CSV", [heelcut, "tasks", *TODAY, "--format", "csv"], os.devnull),
        ("heelcut tasks, a week", [heelcut, "tasks", *TODAY, "--from", "2027-06-14", "--to", "2027-06-20", "--format", "csv"], tasks),
        ("  cat of that week", ["cat", "tasks.csv"], os.devnull),
    ]
    results = {}
    for name, command, output in runs:
        results[name] = min(measure(command, folder, output) for _ in range(3 if batches < 1_000_000 else 1))
    return results


def measure_start():
    """A nursery of one protocol and a hundred batches, and an empty program, in turn."""
    source, empty = os.path.join(top, "empty.c"), os.path.join(top, "empty")
    with open(source, "w", encoding="utf-8") as file:
        file.write("int main(void) { return 0; }\n")
    compile_c(source, empty)
    folder = os.path.join(top, "small")
    os.mkdir(folder)
    with open(os.path.join(folder, "nursery.heel"), "w", encoding="utf-8") as file:
        file.write('nursery small { language 1 }\nprotocol p { take { window all year } stick { must depth 12 .. 25 mm }\n'
                   '    stage root { lasts 4 weeks; losses 5 % } }\n')
        file.writelines(f"batch B{n} {{ follow p; take 1 Jun 2027; stick 1 Jun 2027; depth 20 mm }}\n" for n in range(100))
    times = {"heelcut": [], "empty": []}
    for _ in range(ROUNDS):
        times["heelcut"].append(measure([heelcut, "check", *TODAY], folder)[0])
        times["empty"].append(measure([empty], folder)[0])
    middle = {name: sorted(all_)[ROUNDS // 2] for name, all_ in times.items()}
    print(f"start: a small nursery {middle['heelcut'] * 1000:.2f} ms, an empty program {middle['empty'] * 1000:.2f} ms")
    limit("start beside an empty program", middle["heelcut"] / middle["empty"], 2, "{:.1f} times")


def main():
    compile_c(os.path.join(HERE, "peak.c"), peak)
    before = {}
    for batches in sizes:
        results = measure_size(batches, os.path.join(top, str(batches)))
        print(f"\n{batches:,} batches".ljust(34) + "seconds   peak KiB   times the size before")
        for name, (seconds, memory) in results.items():
            growth = f"{seconds / before[name][0]:9.1f} {memory / before[name][1]:6.1f}" if name in before else ""
            print(f"  {name:26} {seconds:9.3f} {memory:10,} {growth}", flush=True)
        before = results
    print()
    if sizes[-1] == SIZES[-1]:
        for name, most in (("heelcut check", 3), ("heelcut tasks, CSV", 8)):
            limit(f"{name} of a million", before[name][0], most, "{:.2f} s")
            limit(f"memory of {name}", before[name][1], MEMORY_LIMIT, "{:,} KiB")
    measure_start()
    return 1 if missed else 0


with tempfile.TemporaryDirectory() as top:
    peak = os.path.join(top, "peak")
    status = main()
sys.exit(status)
