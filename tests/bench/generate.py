#!/usr/bin/env python3
"""Makes a nursery to measure on: the demo's, with a plan of as many batches as are asked for.

    tests/bench/generate.py FOLDER BATCHES [SEED]

The same seed makes the same bytes. Batches of all the demo's protocols lie in no order, each on a day its protocol likes; five
in a hundred carry one of the mistakes in FAULTS. limits.csv says what each protocol allows: it mirrors docs/demo, and serves
only to make plans and to judge them by hand.
"""
import csv
import datetime
import glob
import os
import random
import re
import shutil
import sys

HERE = os.path.dirname(os.path.abspath(__file__))
DEMO = os.path.join(HERE, "..", "..", "docs", "demo")
HEADER = "batch,follow,plant,take,stick,count,trays,into,stands,depth (mm),leaf-length (cm),hormone\n"
SEASON = 2027          # autumn belongs to it, and the winter after
DRAWN = 20_000         # different batches; a longer plan draws from them again under new names
PORTION = 50_000       # lines written at once
FAULTS = ("deep", "trays", "window", "place", "leaf", "plant")


def write_nursery(folder):
    """The demo without its plan and its records."""
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


def read_limits():
    with open(os.path.join(HERE, "limits.csv"), encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def days_between(first, last):
    """The days of a yearly window MMDD .. MMDD that begins in the season's year."""
    ends = []
    for text in (first, last):
        month, day = int(text[:2]), int(text[2:])
        ends.append((month, 28 if (month, day) == (2, 29) else day))
    begin = datetime.date(SEASON, *ends[0])
    end = datetime.date(SEASON + (ends[1] < ends[0]), *ends[1])
    return [begin + datetime.timedelta(n) for n in range((end - begin).days + 1)]


def good_days(limit):
    """Pairs of the day it is cut and the day it is stuck."""
    if limit["stick_from"]:  # cold-stored: six weeks and more in the bag, and stuck on a good day of spring
        preferred = limit["prefer_from"] != ""
        takes = days_between(limit["prefer_from"], limit["prefer_to"]) if preferred else days_between("0111", "0205")
        longest = 56 if preferred else 98
        return [(take, stick) for take in takes for stick in days_between("0322", "0402") if 42 <= (stick - take).days <= longest]
    windows = [(limit["prefer_from"] or limit["take_from"], limit["prefer_to"] or limit["take_to"])]
    if limit["again_from"]:
        windows.append((limit["again_from"], limit["again_to"]))
    return [(day, day) for window in windows for day in days_between(*window)]


def bad_days(limit):
    """A month after the last window has shut, where none is open."""
    last = days_between(limit["take_from"], limit["take_to"])[-1] + datetime.timedelta(30)
    return last, last


def one(draw, limit, days):
    """A batch without its name; with a mistake, now and then."""
    fault = FAULTS[draw.randrange(6)] if draw.random() < 0.07 else None
    count = draw.randint(60, 900)
    cells, depth, leaf = limit["cells"], "", limit["leaf"]
    take, stick = draw.choice(days)
    trays = -(-count // int(cells)) if cells else ""
    plant, place = limit["plant"], limit["place"]
    if limit["depth_least"]:
        low, high = int(limit["depth_least"]), int(limit["depth_most"])
        depth = high + 8 if fault == "deep" else (low + high) // 2 + draw.randint(-1, 1)
    if fault == "trays" and cells:
        trays -= 1
    if fault == "window" and not limit["stick_from"]:
        take, stick = bad_days(limit)
    if fault == "place":
        place = limit["misplace"]
    if fault == "leaf" and limit["enclosure"] == "mist":
        leaf = 13
    if fault == "plant":
        plant = limit["stray"]
    return (f",{limit['protocol']},{plant},{take},{stick},{count},{trays},{limit['into']},{place},{depth},{leaf},"
            f"{limit['hormone']}\n")


def write_plan(path, batches, seed):
    draw = random.Random(seed)
    kinds = [(limit, good_days(limit)) for limit in read_limits()]
    drawn = [one(draw, *draw.choice(kinds)) for _ in range(DRAWN)]
    with open(path, "w", encoding="utf-8") as file:
        file.write(HEADER)
        for first in range(0, batches, PORTION):
            size = min(PORTION, batches - first)
            file.write("".join([f"B{number:07}{rest}" for number, rest in
                                zip(range(first, first + size), draw.choices(drawn, k=size))]))


def write_one_each(path):
    """A batch of each protocol, as it should be, on the middle one of its good days."""
    with open(path, "w", encoding="utf-8") as file:
        file.write(HEADER)
        for limit in read_limits():
            days = good_days(limit)
            take, stick = days[len(days) // 2]
            trays = "1" if limit["cells"] else ""
            file.write(f"{limit['protocol']},{limit['protocol']},{limit['plant']},{take},{stick},"
                       f"{limit['cells'] or 100},{trays},{limit['into']},{limit['place']},,,{limit['hormone']}\n")


if __name__ == "__main__":
    write_nursery(sys.argv[1])
    write_plan(os.path.join(sys.argv[1], "plan.csv"), int(sys.argv[2]), int((sys.argv + ["1"])[3]))
