#!/usr/bin/env python3
"""Makes a nursery to measure on: the demo's, with a plan of as many batches as are asked for.

    tests/bench/generate.py FOLDER BATCHES [SEED]

The same seed makes the same bytes. Two batches in a hundred are stuck too deep, two have a tray too few, one is taken outside
its window; by_hand.py and by_hand.sql find the same ones.
"""
import datetime
import glob
import os
import random
import re
import shutil
import sys

DEMO = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "..", "docs", "demo")
KINDS = [  # protocol, plant, first and last good day, a day outside, cells, tray, place, depth, too deep, hormone
    ("weigela-softwood", "plain-weigela", "2027-06-01", "2027-07-10", "2027-08-16", 72, "tray-72", "mist-shrubs", 20, 38,
     "IBA 1000 ppm talc"),
    ("geranium-cells", "red-geranium", "2027-01-11", "2027-03-31", "2027-05-20", 128, "tray-128", "mist-dry", 12, 22, "none"),
]


def write_nursery(folder):
    os.makedirs(folder, exist_ok=True)
    for path in glob.glob(os.path.join(DEMO, "*.heel")):
        name = os.path.basename(path)
        if not re.match(r"(plan|records)-", name):
            shutil.copy(path, os.path.join(folder, name))
    path = os.path.join(folder, "nursery.heel")
    with open(path, encoding="utf-8") as file:
        text = re.sub(r'^  use +"plan-.*$', '  use "plan.csv"', file.read(), flags=re.M)
    with open(path, "w", encoding="utf-8") as file:
        file.write(text)


def days(first, last):
    begin, end = datetime.date.fromisoformat(first), datetime.date.fromisoformat(last)
    return [(begin + datetime.timedelta(n)).isoformat() for n in range((end - begin).days + 1)]


def rows(batches, seed):
    draw = random.Random(seed)
    kinds = [(kind, days(kind[2], kind[3])) for kind in KINDS]
    for number in range(batches):
        kind, good = kinds[draw.randrange(len(kinds))]
        protocol, plant, _, _, outside, cells, tray, place, depth, deep, hormone = kind
        count = draw.randint(60, 900)
        trays = -(-count // cells)
        fault = draw.randrange(100)
        day = outside if fault == 4 else draw.choice(good)
        yield (f"B{number:07},{protocol},{plant},{day},{day},{count},{trays - (2 <= fault <= 3)},{tray},{place},"
               f"{deep if fault < 2 else depth},{hormone}\n")


def main():
    folder, batches, seed = sys.argv[1], int(sys.argv[2]), int((sys.argv + ["1"])[3])
    write_nursery(folder)
    with open(os.path.join(folder, "plan.csv"), "w", encoding="utf-8") as file:
        file.write("batch,follow,plant,take,stick,count,trays,into,stands,depth (mm),hormone\n")
        file.writelines(rows(batches, seed))


main()
