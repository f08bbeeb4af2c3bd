#!/usr/bin/env python3
"""Measures yields: how many to stick for 10,000 wants, and for wants from 100 to 100,000 plants, in one run.

    tests/bench/yields.py BUILD [BATCHES]

Every batch wants another number, so that nothing is remembered from one to the next. With one stage the answer is a beta-binomial
point, which scipy knows: the same search with its distribution is taken in turn, and both must find the same numbers. With three stages
there is nothing to set beside it but the clock. A want of a thousand times the plants may not take as many times as long.
Ends with 1 when a limit is missed or a number differs.
"""
import csv
import os
import statistics
import subprocess
import sys
import tempfile

import scipy.stats

from measuring import limit, make_peak, measure, missed

HERE = os.path.dirname(os.path.abspath(__file__))
ROUNDS = 3
SECONDS_LIMIT = 5        # for 10,000 batches
GROWTH_LIMIT = 20        # times the time of a want of 100 plants, for one of 100,000
ALPHA, BETA = 32.6506457066, 7.7197134034  # of 10 .. 30 % lost, from tests/unit/yield_test.c
NURSERY = """nursery y "Invented" {{
  language 1
  sure 90 %
  use "plan.csv"
}}
protocol p {{
  for Exemplum primum
  take {{ wood softwood }}
{stages}
}}
"""
STAGES = ["10 .. 30 %", "5 .. 10 %", "at most 10 %"]


def write(folder, stages, wants):
    os.makedirs(folder)
    with open(os.path.join(folder, "nursery.heel"), "w", encoding="utf-8") as file:
        file.write(NURSERY.format(stages="\n".join(f"  stage s{n} {{ lasts 4 weeks; losses {loss} }}" for n, loss in enumerate(STAGES[:stages]))))
    with open(os.path.join(folder, "plan.csv"), "w", encoding="utf-8") as file:
        file.write("batch,follow,plant,stick,want\n")
        file.writelines(f"B{n},p,Exemplum primum,1 Jun 2027,{want}\n" for n, want in enumerate(wants))
    return folder


def needed(wants):
    """The least number stuck of which so many are alive with 90 %, by scipy."""
    for want in wants:
        low, high = want - 1, want
        while scipy.stats.betabinom.sf(want - 1, high, ALPHA, BETA) < 0.9:
            low, high = high, 2 * high + 1
        while low + 1 < high:
            middle = (low + high) // 2
            if scipy.stats.betabinom.sf(want - 1, middle, ALPHA, BETA) >= 0.9:
                high = middle
            else:
                low = middle
        yield high


def found(folder):
    text = subprocess.run([heelcut, "yield", "--format", "csv", "."], cwd=folder, capture_output=True, text=True, check=False).stdout
    return [int(row["needed"]) for row in csv.DictReader(text.splitlines()) if row["needed"]]


def main():
    make_peak(top)
    wants = range(20, 20 + number)
    few = wants[: number // 100]
    path = lambda name: os.path.join(top, name)
    run = [heelcut, "yield", "--format", "csv", "."]
    theirs = [sys.executable, os.path.abspath(__file__), "--by-scipy", str(few[-1] + 1)]
    runs = [(f"heelcut yield, {number:,} batches, one stage", run, write(path("one"), 1, wants)),
            (f"heelcut yield, {number:,} batches, three stages", run, write(path("three"), 3, wants)),
            (f"heelcut yield, {len(few):,} batches, one stage", run, write(path("few"), 1, few)),
            (f"  scipy, {len(few):,} batches, one stage", theirs, top)]
    sizes = [100, 1_000, 10_000, 100_000]
    runs += [(f"heelcut yield, 100 of {size:,} plants, three stages", run, write(path(str(size)), 3, range(size, size + 100)))
             for size in sizes]
    taken = {name: [] for name, *_ in runs}
    for _ in range(ROUNDS):
        for name, command, folder in runs:
            taken[name].append(measure(command, folder))
    print("\nyields".ljust(57) + "seconds   peak KiB")
    middle = {name: statistics.median(t for t, _ in pairs) for name, pairs in taken.items()}
    for name, pairs in taken.items():
        print(f"  {name:52} {middle[name]:9.3f} {max(m for _, m in pairs):10,}")
    print()
    if found(path("few")) != list(needed(few)):
        missed.append("the numbers")
    limit(f"yields of {number:,} batches", middle[runs[1][0]], SECONDS_LIMIT, "{:.2f} s")
    limit("100,000 plants beside 100", middle[runs[-1][0]] / middle[runs[4][0]], GROWTH_LIMIT, "{:.1f} times")
    for name in missed:
        print(f"missed: {name}")
    return 1 if missed else 0


if __name__ == "__main__":
    if sys.argv[1] == "--by-scipy":
        sys.exit(0 if list(needed(range(20, int(sys.argv[2])))) else 2)
    heelcut = os.path.join(os.path.abspath(sys.argv[1]), "heelcut")
    number = int((sys.argv + [10_000])[2])
    with tempfile.TemporaryDirectory() as top:
        status = main()
    sys.exit(status)
