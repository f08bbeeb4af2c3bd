#!/usr/bin/env python3
"""Five checks of generate.py's plans, written by hand, to compare times and findings with.

    tests/bench/by_hand.py PLAN.csv

What the protocols of the demo say of these kinds is repeated here; nothing else reads it. Prints a line "NAME COUNT" for each check.
"""
import collections
import csv
import datetime
import sys

DEPTH = {"weigela-softwood": (12, 30), "geranium-cells": (8, 14)}
CELLS = {"tray-72": 72, "tray-128": 128}
WINDOWS = {"weigela-softwood": [("05-21", "07-20")], "geranium-cells": [("01-11", "03-31"), ("07-11", "08-31")]}
HORMONES = {"weigela-softwood": "IBA 1000 ppm talc", "geranium-cells": "none"}


def judge(row, found):
    protocol = row["follow"]
    low, high = DEPTH[protocol]
    if not low <= float(row["depth (mm)"]) <= high:
        found["depth"] += 1
    if int(row["count"]) > int(row["trays"]) * CELLS[row["into"]]:
        found["too-few-cells"] += 1
    take, stick = datetime.date.fromisoformat(row["take"]), datetime.date.fromisoformat(row["stick"])
    if not any(first <= take.isoformat()[5:] <= last for first, last in WINDOWS[protocol]):
        found["window"] += 1
    if not 0 <= (stick - take).days <= 1:
        found["lasts"] += 1
    if row["hormone"] != HORMONES[protocol]:
        found["hormone"] += 1


def main():
    found = collections.Counter()
    names = set()
    with open(sys.argv[1], encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            if row["batch"] in names:
                found["duplicate"] += 1
            names.add(row["batch"])
            judge(row, found)
    for name in sorted(found):
        print(name, found[name])


main()
