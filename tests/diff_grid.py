"""Runs the grid of changes: tests/diff/grid.txt, one change of one clause in each row.

Of each row two small nurseries are made that differ in that clause; `heelcut diff --format json` compares them there and back.
There it must tell what the row says, back the mirror of it. Then the grid itself is judged: each row of grammar/changes.def must
be met by each of its cells that a field it fits can show at all, and alone, so that no other cell hides what it means; an end that
is set or unset may have company. A row of the grid counts with its mirror.

    tests/diff_grid.py [--heelcut PROGRAM]
"""

import argparse
import json
import os
import re

from harness import Outcome, Scratch, report, run_all

HERE = os.path.dirname(os.path.abspath(__file__))
GRAMMAR = os.path.join(HERE, "..", "grammar")

MIRRORED = {"low-raised": "low-lowered", "low-set": "low-unset", "high-lowered": "high-raised", "high-set": "high-unset",
            "member-added": "member-removed", "clause-added": "clause-removed", "stricter": "milder",
            "tightened": "loosened", "narrower": "wider", "higher": "lower", "later": "earlier", "longer": "shorter"}
MIRRORED.update({after: before for before, after in list(MIRRORED.items())})

# What rows mention by name, the same on both sides.
MENTIONED = """container tray-77 { cells 77 }
container tray-105 { cells 105 }
place frame { enclosure frame }
place bench { enclosure bench }
skill spraying
skill grafting
protocol p1 { for Deutzia }
protocol p2 { for Deutzia }
"""
# Where the clauses of a row stand. Two of a kind of block never stand in one row, so one name will do.
FRAMES = {
    "protocol": "protocol p {{ {} }}",
    "stage": "protocol p {{ for Deutzia; stage callus {{ lasts 2 weeks }}; stage root {{ {} }} }}",
    "task": "protocol p {{ for Deutzia; stage root {{ lasts 4 weeks; task look {{ {} }} }} }}",
    "act": "protocol p {{ for Deutzia; stage root {{ lasts 4 weeks; task look {{ act {{ when gnats > 10; {} }} }} }} }}",
    "schedule": "protocol p {{ for Deutzia; stage root {{ lasts 4 weeks; schedule mist {{ {} }} }} }}",
    "species": "species Deutzia {{ {} }}",
    **{block: "protocol p {{ for Deutzia; " + block + " {{ {} }} }}"
       for block in ("take", "hold", "treat", "stick", "climate", "finish")},
    **{block: block + " n {{ {} }}"
       for block in ("practice", "batch", "place", "container", "site", "variety", "source", "stock", "crew", "nursery")},
}


UNREAD = ("syntax", "value", "unknown-word", "unknown-field", "unknown-block", "restated-value")  # findings

# ---------------------------------------------------------------- rows


class Row:
    def __init__(self, number, line):
        self.number = number
        place, self.old, self.new, self.direction, shape, cells, self.chapter = [cell.strip() for cell in line.split("|")]
        self.block, self.field = place.split()
        self.shape = None if shape == "-" else shape
        self.cells = [] if cells == "-" else cells.split()

    def name(self):
        return f"grid.txt:{self.number}: {self.block} {self.field} {self.old} -> {self.new}"

    def clauses(self, values):
        """`must 10 mm` of the field depth is `must depth 10 mm`."""
        if values == "-":
            return ""
        parted = [re.fullmatch(r"(must |prefer |never |keep )?(.*)", value.strip()).groups() for value in values.split(" & ")]
        return "; ".join(f"{strength or ''}{self.field} {value}" for strength, value in parted)

    def nursery(self, values):
        inside = self.clauses(values)
        if self.block == "nursery":
            inside = "language 1; " + inside
        return MENTIONED + FRAMES[self.block].format(inside).replace("; }", " }") + "\n"

    def expected(self, back):
        if self.direction == "same":
            return []
        mirror = (lambda word: MIRRORED.get(word, word)) if back else (lambda word: word)
        return [{"field": self.field, "direction": mirror(self.direction), "shape": mirror(self.shape),
                 "cells": sorted(map(mirror, self.cells)), "chapter": self.chapter}]


def read_rows():
    with open(os.path.join(HERE, "diff", "grid.txt"), encoding="utf-8") as file:
        return [Row(number, line) for number, line in enumerate(file, 1) if line.strip() and line[0] != "#"]


def judge(heelcut, row):
    with Scratch(heelcut) as scratch:
        for name, values in (("old", row.old), ("new", row.new)):
            with open(os.path.join(scratch.folder, name + ".heel"), "w", encoding="utf-8") as file:
                file.write(row.nursery(values))
        for name in ("old.heel", "new.heel"):
            found = json.loads(scratch.run(["heelcut", "check", "--format", "json", name], merged=False).stdout)["findings"]
            unread = [finding["message"] for finding in found if finding["name"] in UNREAD]
            if unread:
                return f"{name} cannot be read: {unread[0]}"
        for back in (False, True):
            pair = ["new.heel", "old.heel"] if back else ["old.heel", "new.heel"]
            result = scratch.run(["heelcut", "diff", "--format", "json", *pair], merged=False)
            if result.sanitizer or result.status not in (0, 1):
                return f"status {result.status}\n{row.nursery(row.new)}{result.stderr.decode()}{result.sanitizer}"
            told = [{"field": change["field"], "direction": change["direction"], "shape": change["shape"],
                     "cells": sorted(change["cells"]), "chapter": change["chapter"]}
                    for change in json.loads(result.stdout)["changes"]]
            if told != row.expected(back):
                return f"{'back' if back else 'there'}\n  expected {row.expected(back)}\n  got      {told}"
            if result.status != bool(told):
                return f"status {result.status} with {len(told)} changes"
    return ""


# ---------------------------------------------------------------- whether the grid is whole

LOW, HIGH = ["low-raised", "low-lowered"], ["high-lowered", "high-raised"]
OPEN = ["low-set", "low-unset", "high-set", "high-unset"]
MEMBER, CLAUSE = ["member-added", "member-removed"], ["clause-added", "clause-removed"]
WORDS = MEMBER + CLAUSE
# The cells that two values of a type can show. A text, an accept and a taxon are members of their list, each for itself.
CELLS_OF_TYPE = {
    "QUANTITY": LOW + HIGH + OPEN + CLAUSE, "RATE": LOW + HIGH + CLAUSE, "RATED": LOW + HIGH + OPEN + CLAUSE,
    "HOURS": LOW + HIGH + CLAUSE, "DILUTION": LOW + HIGH + CLAUSE, "DOSE": LOW + HIGH + WORDS,
    "WINDOW": LOW + HIGH + OPEN + WORDS + ["replaced"], "LASTS": LOW + HIGH + CLAUSE + ["replaced"],
    "SLACK": LOW + HIGH + CLAUSE, "WORDS": WORDS, "FREE": WORDS, "COUNTS": WORDS + ["replaced"], "NAME": WORDS,
    "FIELDS": WORDS, "TEXT": MEMBER + ["replaced"], "TAXON": MEMBER, "ACCEPT": MEMBER, "ROW": MEMBER, "MOVE": MEMBER,
    "DROP": MEMBER, "JUDGE": [],
}
OTHERWISE = CLAUSE + ["replaced"]  # of a type that is compared as a whole
# Fields whose values cannot show all of it: `every` is one length, there is one version of the language; what is told among the rules or as a rename,
# or is only how a protocol came to be what it is, and of a caution another wording is one gone and one new.
NOT_SHOWN = {"language": LOW + HIGH + OPEN + CLAUSE, "error": MEMBER + ["replaced"], "warning": MEMBER + ["replaced"],
             "was": WORDS, "based-on": WORDS, "with": WORDS, "drop": MEMBER, "caution": ["replaced"], "duty": MEMBER,
             "every": OPEN}

POINTS = ("every",)  # one number: both its ends move at once


def rows_of(path, macro):
    with open(os.path.join(GRAMMAR, path), encoding="utf-8") as file:
        for match in re.finditer(rf"^{macro}\((.*)\)", file.read(), re.M):
            yield [cell.strip() for cell in re.split(r",(?=(?:[^\"]*\"[^\"]*\")*[^\"]*$)", match.group(1))]


class Field:
    def __init__(self, cells):
        self.name, self.blocks = cells[1].strip('"'), set(re.findall(r"\w+", cells[2].replace("IN(", "")))
        self.type, self.dimension, self.role, self.flags = cells[3], cells[4], cells[5], set(re.findall(r"\w+", cells[6]))

    def row(self, table, never=False):
        for number, (role, kind, dimension, flag, *_) in enumerate(table):
            if (role in ("ANY", "NEVER" if never else self.role) and kind in ("ANY", self.type)
                    and dimension in ("ANY", self.dimension) and (flag == "0" or flag in self.flags)):
                return number
        raise SystemExit(f"no row fits {self.name}")

    def cells(self):
        return set(CELLS_OF_TYPE.get(self.type, OTHERWISE)) - set(NOT_SHOWN.get(self.name, []))


SECTIONS = {"TAKE", "HOLD", "TREAT", "STICK", "CLIMATE", "STAGE", "FINISH"}
GROUPS = {"SECTIONS": SECTIONS, "CONDITIONS": {"HOLD", "CLIMATE", "STAGE", "PLACE", "BATCH"}, "TOPS": {"PROTOCOL", "NURSERY"}}


def field_of(fields, row):
    block = row.block.upper()
    for field in fields:
        blocks = set().union(*(GROUPS.get(name, {name}) for name in field.blocks))
        if field.name == row.field and block in blocks:
            return field
    raise SystemExit(f"{row.name()}: no such field")


def judge_grid(rows):
    """What no row of the grid meets."""
    table = list(rows_of("changes.def", "CHANGE"))
    fields = [Field(cells) for cells in rows_of("vocabulary.def", "FIELD")]
    wanted, met = {}, {}
    for field in fields:
        wanted.setdefault(field.row(table), set()).update(field.cells())
    wanted[0] = set(LOW + HIGH + OPEN + MEMBER + CLAUSE + ["replaced"])  # of never
    for row in rows:
        one_never = "never " in row.old + row.new
        number = field_of(fields, row).row(table, one_never and not re.search(r"&|must|prefer|^\d", row.old + row.new))
        cells = [cell for cell in row.cells if cell in OPEN or len(row.cells) == 1 or row.field in POINTS]
        met.setdefault(number, set()).update(cells, (MIRRORED.get(cell, cell) for cell in cells))
    missing = [f"CHANGE({', '.join(table[number][:4])}): {', '.join(sorted(cells - met.get(number, set())))}"
               for number, cells in wanted.items() if cells - met.get(number, set())]
    missing += [f"CHANGE({', '.join(row[:4])}) fits no field" for number, row in enumerate(table) if number not in wanted]
    return "\n".join(missing)


def main():
    options = argparse.ArgumentParser(description="Runs the grid of changes.")
    options.add_argument("--heelcut", default="build/heelcut")
    chosen = options.parse_args()
    rows = read_rows()
    outcomes = run_all(rows, lambda row: judge(chosen.heelcut, row), Row.name)
    report(outcomes + [Outcome("the grid meets every cell of grammar/changes.def", judge_grid(rows))])


main()
