#!/usr/bin/env python3
"""Holds a calendar, and the calendar after it, against the CSV form of the same work.

    tests/outside/calendar_again.py BUILD

Two readers of other makers, python3-vobject (strict) and ical.js (meaning), have to find in the calendar the days that the
CSV names, and in the one written after a change of plan the SEQUENCE and STATUS that follow from comparing both tables
(RFC 5545, 3.8.7.4 and 3.8.1.11). A copy with a 30th of February has to be refused, so that the reader is known to read dates.
"""
import csv
import datetime
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile

import vobject

ROOT = os.path.abspath(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".."))
GONE, MOVED = "H27-64", "H27-35"  # batches of the demo's plan: one is taken out, the other stuck a week later
failed = False


def say(name, fault):
    global failed
    failed = failed or bool(fault)
    print(f"not ok {name}\n    {fault}" if fault else f"ok {name}")


def heelcut(folder, *words):
    environment = dict(os.environ, SOURCE_DATE_EPOCH="1800000000")
    result = subprocess.run([os.environ["HEELCUT"], "tasks", "--today", "2027-06-01", *words, "."], cwd=folder,
                            capture_output=True, env=environment)
    if result.returncode not in (0, 1):
        raise SystemExit(f"not ok {' '.join(words)}: status {result.returncode}\n    {result.stderr.decode()}")
    return result.stdout.decode()


def table(folder):
    rows = csv.DictReader(heelcut(folder, "--format", "csv").splitlines(keepends=True), strict=True)
    return {row["id"]: row for row in rows}


def days_of(row):
    """First day, and the first day behind it."""
    last = row["planned"] or row["latest"]
    return row["planned"] or row["earliest"], (datetime.date.fromisoformat(last) + datetime.timedelta(1)).isoformat()


def by_vobject(text):
    return {event.uid.value.rpartition("@")[0]: (event.dtstart.value.isoformat(), event.dtend.value.isoformat(),
                                                int(event.sequence.value), hasattr(event, "status"))
            for event in next(vobject.readComponents(text, validate=True)).contents["vevent"]}


def by_ical_js(path):
    script = os.path.join(ROOT, "tests/outside/calendar.mjs")
    lines = subprocess.run(["node", script, path], capture_output=True, text=True, check=True).stdout.splitlines()
    events = [json.loads(line) for line in lines]
    if not all(event["whole_day"] for event in events):
        return {"": "an event with an hour"}
    return {event["uid"].rpartition("@")[0]: (event["start"], event["end"], event["sequence"], event["status"] is not None)
            for event in events}


def difference(wanted, got):
    wrong = [key for key in sorted(wanted.keys() | got.keys()) if wanted.get(key) != got.get(key)]
    if wrong:
        return f"{len(wrong)} differ; {wrong[0]}: {got.get(wrong[0])} instead of {wanted.get(wrong[0])}"
    return "" if wanted else "there is no event"


def wanted_after(old, new):
    """What the second calendar has to say: changed or not by what the tables tell of an event."""
    told = [column for column in next(iter(new.values())) if column not in ("due", "count", "trays", "minutes_low", "minutes_high")]
    wanted = {}
    for key, row in new.items():
        same = key not in old or all(row[column] == old[key][column] for column in told)
        wanted[key] = (*days_of(row), 0 if same else 1, False)
    for key in old.keys() - new.keys():
        wanted[key] = (*days_of(old[key]), 1, True)
    return wanted


def change_plan(folder):
    path = os.path.join(folder, "plan-2027.csv")
    with open(path, encoding="utf-8", newline="") as file:
        lines = file.read().splitlines(keepends=True)
    kept = [line for line in lines if not line.startswith(GONE + ",")]
    moved = [line.replace("17 Aug 2027", "24 Aug 2027") if line.startswith(MOVED + ",") else line for line in kept]
    if len(kept) != len(lines) - 1 or moved == kept:
        raise SystemExit(f"not ok the demo's plan has {GONE} and {MOVED}")
    with open(path, "w", encoding="utf-8", newline="") as file:
        file.write("".join(moved))


def judge(name, text, folder, wanted):
    path = os.path.join(folder, name)
    with open(path, "w", encoding="utf-8", newline="") as file:
        file.write(text)
    uids = re.findall(r"^UID:.*(?:\r\n .*)*", text, re.M)
    say(f"{name}: each UID once", "" if len(uids) == len(set(uids)) == len(wanted) else f"{len(uids)} of {len(wanted)}")
    say(f"{name}: {len(wanted)} events by vobject as in the CSV", difference(wanted, by_vobject(text)))
    say(f"{name}: {len(wanted)} events by ical.js as in the CSV", difference(wanted, by_ical_js(path)))


def refused(text):
    broken = re.sub(r"(?m)^DTSTART;VALUE=DATE:\d{8}", "DTSTART;VALUE=DATE:20270230", text, count=1)
    try:
        by_vobject(broken)
    except (ValueError, vobject.base.ParseError):
        return ""
    return "vobject passes it" if broken != text else "nothing was spoilt"


with tempfile.TemporaryDirectory() as top:
    demo = os.path.join(top, "demo")
    shutil.copytree(os.path.join(ROOT, "docs/demo"), demo)
    before, first = table(demo), heelcut(demo, "--format", "calendar")
    judge("first.ics", first, top, {key: (*days_of(row), 0, False) for key, row in before.items()})
    say("a 30th of February is refused", refused(first))
    change_plan(demo)
    now = table(demo)
    second = heelcut(demo, "--format", "calendar", "--previous", os.path.join(top, "first.ics"))
    wanted = wanted_after(before, now)
    counts = [sum(event[2:] == kind for event in wanted.values()) for kind in ((0, False), (1, False), (1, True))]
    say(f"of its events {counts[0]} stay, {counts[1]} changed, {counts[2]} are gone", "" if all(counts) else "one kind is missing")
    judge("second.ics", second, top, wanted)
    third = heelcut(demo, "--format", "calendar", "--previous", os.path.join(top, "second.ics"))
    say("the same work again is the same calendar", "" if third == second else "it differs")
sys.exit(1 if failed else 0)
