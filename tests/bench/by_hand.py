#!/usr/bin/env python3
"""What heelcut does with generate.py's plans, written by hand for these plans alone, to compare times and findings with.

    tests/bench/by_hand.py check PLAN.csv
    tests/bench/by_hand.py tasks PLAN.csv TEMPLATES.csv [FROM TO]

`check` judges every batch by about twenty checks with the limits of limits.csv, and prints a line for each finding, then
"NAME COUNT" for each check that found something. `tasks` takes the tasks of one batch of each protocol, as run.py had heelcut
make them, and lays them at the same distance from the day of sticking; it knows no closed days, no seasons and no records.
FROM and TO are days as 2027-06-14.
"""
import collections
import csv
import datetime
import os
import sys

LIMITS = os.path.join(os.path.dirname(os.path.abspath(__file__)), "limits.csv")
BIG_LEAF = 10
SEVERITY = {"depth": "error", "lasts": "error", "too-few-cells": "error"}


def number(text, empty):
    return float(text) if text else empty


def in_window(first, last, day):
    """MMDD texts; a window may reach over New Year."""
    return first <= day <= last if first <= last else day >= first or day <= last


def read_limits():
    """For each protocol one flat tuple, so that a batch costs one look-up; the days of its windows as sets."""
    year = [(datetime.date(2028, 1, 1) + datetime.timedelta(n)).strftime("%m%d") for n in range(366)]

    def days(*windows):
        spans = [window for window in windows if window[0]]
        return frozenset(day for day in year if not spans or any(in_window(*span, day) for span in spans))

    limits, cells, deep, places = {}, {}, {}, {}
    with open(LIMITS, encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            if row["into"]:
                cells[row["into"]], deep[row["into"]] = int(row["cells"]), int(row["deep"])
            places[row["place"]] = row["enclosure"]
            limits[row["protocol"]] = (
                row["plant"], row["enclosure"], row["hormone"], number(row["depth_least"], 0.0), number(row["depth_most"], 1e9),
                days((row["take_from"], row["take_to"]), (row["again_from"], row["again_to"])),
                days((row["prefer_from"], row["prefer_to"])), days((row["stick_from"], row["stick_to"])),
                int(row["hold_least"]), int(row["hold_most"]))
    places.update({"shade-yard": "shade", "cold-frame": "frame", "plug-bench": "bench"})
    return limits, cells, deep, places


class Days(dict):
    """MMDD and the number of a day, worked out once for each."""

    def __missing__(self, text):
        day = datetime.date.fromisoformat(text)
        self[text] = found = (text[5:7] + text[8:10], day.toordinal())
        return found


def check(path):
    limits, cells, deep, places = read_limits()
    days, names, found = Days(), set(), []
    with open(path, encoding="utf-8", newline="") as file:
        rows = csv.reader(file)
        next(rows)
        for line, row in enumerate(rows, 2):
            if len(row) != 12:
                found.append((line, "cells"))
                continue
            batch, protocol, plant, take, stick, count, trays, into, stands, depth, leaf, hormone = row
            if batch in names:
                found.append((line, "duplicate"))
            names.add(batch)
            limit = limits.get(protocol)
            if not limit:
                found.append((line, "unknown-protocol"))
                continue
            its_plant, enclosure, its_hormone, least, most, window, preferred, stick_window, hold_least, hold_most = limit
            if plant != its_plant:
                found.append((line, "wrong-plant"))
            try:
                (take_day, taken), (stick_day, stuck), cuttings = days[take], days[stick], int(count)
            except ValueError:
                found.append((line, "unreadable"))
                continue
            if cuttings < 1:
                found.append((line, "no-cuttings"))
            if take_day not in window:
                found.append((line, "window"))
            elif take_day not in preferred:
                found.append((line, "preferred-window"))
            if stick_day not in stick_window:
                found.append((line, "stick-window"))
            if stuck < taken:
                found.append((line, "order"))
            elif not hold_least <= stuck - taken <= hold_most:
                found.append((line, "lasts"))
            if trays:
                room = cells.get(into)
                if room is None:
                    found.append((line, "unknown-container"))
                elif cuttings > int(trays) * room:
                    found.append((line, "too-few-cells"))
            elif into:
                found.append((line, "no-trays"))
            place = places.get(stands)
            if place is None:
                found.append((line, "unknown-place"))
            elif place != enclosure:
                found.append((line, "enclosure"))
            if depth:
                set_in = float(depth)
                if not least <= set_in <= most:
                    found.append((line, "depth"))
                if set_in > deep.get(into, 1e9):
                    found.append((line, "deeper-than-cell"))
            if leaf and place == "mist" and float(leaf) > BIG_LEAF:
                found.append((line, "wet-big-leaves"))
            if not hormone:
                found.append((line, "hormone-missing"))
            elif hormone != its_hormone:
                found.append((line, "hormone"))
    write = sys.stdout.write
    for line, name in found:
        write(f"{path}:{line}: {SEVERITY.get(name, 'warning')}: {name}\n")
    for name, faults in sorted(collections.Counter(name for _, name in found).items()):
        write(f"{name} {faults}\n")


def quoted(text):
    return '"' + text.replace('"', '""') + '"' if any(mark in text for mark in ',"\r\n') else text


def read_templates(path):
    """For each protocol its tasks: days from sticking, and between the cells that change what does not, as text."""
    templates = collections.defaultdict(list)
    with open(path, encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            def joined(*names):
                return ",".join(quoted(row[name]) for name in names)
            days = [int(row[name]) if row[name] else None for name in ("earliest", "planned", "latest", "due")]
            templates[row["protocol"]].append((row["path"], joined("protocol", "stage", "task", "number"), days,
                                               joined("sure", "watch", "state", "done", "record"), row["move"],
                                               joined("minutes_low", "minutes_high", "duty", "say")))
    return templates


def tasks(path, templates_path, first, last):
    """What all batches of a protocol, a place and a day share is put together once; a batch adds its name and amounts."""
    templates, pieces = read_templates(templates_path), {}
    write, out = sys.stdout.write, []
    write("id,batch,plant,protocol,stage,task,number,earliest,planned,latest,due,sure,watch,state,done,record,place,move,count,trays,"
          "minutes_low,minutes_high,duty,say\r\n")
    with open(path, encoding="utf-8", newline="") as file:
        rows = csv.reader(file)
        next(rows)
        for batch, protocol, plant, _, stick, count, trays, _, stands, *_ in rows:
            key = (protocol, plant, stick, stands)
            made = pieces.get(key)
            if made is None:
                made = pieces[key] = make_pieces(templates[protocol], plant, stick, stands, first, last)
            amounts = f"{count},{trays},"
            for id_rest, middle, tail in made:
                out.append(f"{batch}{id_rest}{batch},{middle}{amounts}{tail}")
            if len(out) > 5000:
                write("".join(out))
                out.clear()
    write("".join(out))


def make_pieces(templates, plant, stick, stands, first, last):
    stuck, pieces = datetime.date.fromisoformat(stick), []
    for path, head, days, state, move, tail in templates:
        earliest, planned, latest, due = ["" if day is None else (stuck + datetime.timedelta(day)).isoformat() for day in days]
        if not (planned or latest) >= first or not (planned or earliest) <= last:
            continue
        pieces.append((f"{path},", f"{plant},{head},{earliest},{planned},{latest},{due},{state},{stands},{move},", f"{tail}\r\n"))
    return pieces


if sys.argv[1] == "check":
    check(sys.argv[2])
else:
    tasks(sys.argv[2], sys.argv[3], *(sys.argv[4:6] or ("", "9999")))
