"""What must hold of any nursery, tried on the demo.

- Blocks in another order, and in other files: nothing is different, and check finds the same.
- Quantities in other units, by the table in grammar/units.def: nothing is different, and check finds the same.
- Each clause taken out, one at a time: something is different, and backwards it is the mirror of it.

    tests/diff_properties.py [--heelcut PROGRAM] [--every N]

Every fifth clause is taken out, and of a sanitized program every fortieth; --every 1 takes out each.
"""

import argparse
import fractions
import glob
import json
import os
import random
import re
import shutil

from harness import Outcome, Scratch, report, run_all

HERE = os.path.dirname(os.path.abspath(__file__))
DEMO = os.path.join(HERE, "..", "docs", "demo")
TODAY = ["--today", "2027-06-01"]


# ---------------------------------------------------------------- text as tokens


def pieces(text):
    """Text parted into ("text" in quotes or comment: True, what stands between: False)."""
    at = 0
    for match in re.finditer(r'"(?:\\.|[^"\\\n])*"|#[^\n]*', text):
        yield False, text[at:match.start()]
        yield True, match.group()
        at = match.end()
    yield False, text[at:]


def blocks(text):
    """The blocks at the top of a file, each with the comments before it."""
    depth, block = 0, ""
    for quoted, piece in pieces(text):
        if quoted:
            block += piece
            continue
        for character in piece:
            block += character
            depth += {"{": 1, "}": -1}.get(character, 0)
            if character == "}" and depth == 0:
                yield block.strip()
                block = ""
    assert depth == 0 and not re.sub(r"#.*", "", block).strip(), block


def examples(text):
    """(begin, end) of each example of a rule: it proves the rule and is no part of what the rule says."""
    for match in re.finditer(r"\b(breaks|passes|undecided)\s*{", text):
        depth, end = 1, match.end()
        while depth:
            depth += {"{": 1, "}": -1}.get(text[end], 0)
            end += 1
        yield match.start(), end


def clauses(text):
    """(begin, end) of each clause and each line of a record: what has no block of its own, outside of examples."""
    begin, at, parted = 0, 0, []
    for quoted, piece in pieces(text):
        for character in piece:
            if not quoted and character in "{};\n":
                parted.append((begin, at, character))
                begin = at + 1
            at += 1
    spans = []
    for begin, end, mark in parted:
        words = re.sub(r"#.*", "", text[begin:end]).strip()
        goes_on = spans and (re.match(r"because|instead|\[|and\b|or\b", words) or spans[-1][2].endswith(","))
        if not words:
            continue
        if goes_on and mark != "{":
            spans[-1] = (spans[-1][0], end, words)
        elif mark != "{":
            spans.append((begin, end, words))
        else:
            spans.append((0, 0, ""))  # a block begins: what follows does not go on from before
    proofs = list(examples(text))
    return [(begin, end) for begin, end, words in spans
            if end and words and not any(first <= begin < last for first, last in proofs)]


# ---------------------------------------------------------------- the demo, changed


def read_demo():
    return {os.path.basename(path): open(path, encoding="utf-8", newline="").read() for path in glob.glob(os.path.join(DEMO, "*"))}


def write(folder, files):
    os.makedirs(folder, exist_ok=True)
    for name, text in files.items():
        with open(os.path.join(folder, name), "w", encoding="utf-8", newline="") as file:
            file.write(text)


def shuffled(files, seed):
    draw = random.Random(seed)
    names = [name for name in files if name.endswith(".heel") and name != "nursery.heel"]
    every = [block for name in sorted(names) for block in blocks(files[name])]
    draw.shuffle(every)
    dealt = {name: [] for name in names}
    for block in every:
        dealt[draw.choice(names)].append(block)
    return {**files, **{name: "\n\n".join(some) + "\n" for name, some in dealt.items()}}


def read_units():
    with open(os.path.join(HERE, "..", "grammar", "units.def"), encoding="utf-8") as file:
        rows = re.findall(r'^UNIT\("([^"]+)", (\w+), (-?\d+), (\d+), (-?\d+), (\d+)', file.read(), re.M)
    units = {}
    for spelling, dimension, *figures in rows:
        a, b, c, d = map(int, figures)
        units.setdefault(spelling, (dimension, fractions.Fraction(a, b), fractions.Fraction(c, d)))
    return units


# What may stand for what wherever the one does. A stage is counted in days or weeks, so hours do not stand for days.
OTHERS = {"mm": ["in", "cm"], "cm": ["in", "mm"], "m": ["cm"], "in": ["mm"], "weeks": ["days"], "week": ["days"],
          "days": ["weeks"], "day": ["weeks"], "h": ["min"], "min": ["s"], "mL": ["L"], "L": ["mL"], "C": ["F"], "F": ["C"],
          "ppm": ["g/L"], "g/L": ["ppm"]}
NUMBER = r"-?\d+(?:\.\d+)?"
QUANTITY = re.compile(rf"(?<![\w./+({{-])(?<!x )(?<!\.\. )({NUMBER})( \.\. )?((?<=\.\. ){NUMBER})? ({'|'.join(OTHERS)})(?![\w/%])")


def decimal(number):
    """A number as it may be written, or None when it has no short decimal."""
    scaled = number * 10**4
    return None if scaled.denominator != 1 else f"{float(number):.4f}".rstrip("0").rstrip(".")


def respelt(text, units):
    """Every quantity in another unit that says it exactly; how many there were."""
    count = 0

    def convert(match):
        nonlocal count
        low, dots, high, unit = match.groups()
        dimension, factor, offset = units[unit]
        for other in OTHERS[unit]:
            other_dimension, other_factor, other_offset = units[other]
            assert dimension == other_dimension
            numbers = [decimal((fractions.Fraction(figure) * factor + offset - other_offset) / other_factor)
                       for figure in (low, high) if figure]
            if None not in numbers:
                count += 1
                return (dots or "").join(numbers) + " " + other
        return match.group()

    lines = []
    for line in text.split("\n"):
        # The dial of a mist line is kept as it is written, tolerances of temperatures are differences, what stands in brackets
        # must agree with what it restates, and a record tells what was read off.
        if re.match(r"\s*(day \d|\d)|.*(\+-|\babout\b|record )", line):
            lines.append(line)
            continue
        lines.append("".join(piece if quoted else
                             "".join(part if part[:1] == "(" else QUANTITY.sub(convert, part)
                                     for part in re.split(r"(\([^)]*\))", piece))
                             for quoted, piece in pieces(line)))
    return "\n".join(lines), count


# ---------------------------------------------------------------- judging


def changes(scratch, old, new):
    result = scratch.run(["heelcut", "diff", "--format", "json", old, new], merged=False)
    assert not result.sanitizer, result.sanitizer
    assert result.status in (0, 1), f"status {result.status}\n{result.stderr.decode()}"
    return json.loads(result.stdout)["changes"]


def findings(scratch, folder, with_message):
    result = scratch.run(["heelcut", "check", "--format", "json", *TODAY, folder], merged=False)
    assert not result.sanitizer and result.status in (0, 1), result.stderr.decode() + result.sanitizer
    keys = ["name", "subject", "severity"] + (["message"] if with_message else [])
    return sorted(tuple(finding[key] or "" for key in keys) for finding in json.loads(result.stdout)["findings"])


def judge_same(heelcut, name, files, other, with_message):
    with Scratch(heelcut) as scratch:
        write(os.path.join(scratch.folder, "old"), files)
        write(os.path.join(scratch.folder, "new"), other)
        told = changes(scratch, "old", "new")
        if told:
            return "\n".join(f"{change['owner']['name']} {change['path']} {change['field']}: {change['was']} -> {change['is']}" for change in told)
        old, new = (findings(scratch, folder, with_message) for folder in ("old", "new"))
        if old != new:
            return f"{name}: other findings\n{sorted(set(old) ^ set(new))[:6]}"
    return ""


MIRRORED = {"low-raised": "low-lowered", "low-set": "low-unset", "high-lowered": "high-raised", "high-set": "high-unset",
            "member-added": "member-removed", "clause-added": "clause-removed", "stricter": "milder", "tightened": "loosened"}
MIRRORED.update({after: before for before, after in list(MIRRORED.items())})


def key(change, back):
    mirror = (lambda word: MIRRORED.get(word, word)) if back else (lambda word: word)
    was, now = (change["is"], change["was"]) if back else (change["was"], change["is"])
    return json.dumps([change["owner"], change["path"], change["kind"], change["field"], change["strength"], was, now,
                       mirror(change["direction"]), sorted(map(mirror, change["cells"])), sorted(change["reaches"])])


def judge_removal(heelcut, files, name, span):
    """What is wrong when the clause is gone; and whether nothing was told."""
    text = files[name]
    with Scratch(heelcut) as scratch:
        write(os.path.join(scratch.folder, "old"), files)
        write(os.path.join(scratch.folder, "new"), {**files, name: text[:span[0]] + text[span[1]:]})
        there, back = changes(scratch, "old", "new"), changes(scratch, "new", "old")
    if not there:
        return "nothing is told"
    if sorted(key(change, False) for change in there) != sorted(key(change, True) for change in back):
        return f"not the mirror:\n{there}\n{back}"
    return ""


def main():
    options = argparse.ArgumentParser(description="What must hold of any nursery.")
    options.add_argument("--heelcut", default="build/heelcut")
    options.add_argument("--every", type=int)
    chosen = options.parse_args()
    sanitized = "asan" in chosen.heelcut
    every = chosen.every or (40 if sanitized else 5)
    files, units = read_demo(), read_units()
    outcomes = run_all(range(1 if sanitized else 4), lambda seed: judge_same(chosen.heelcut, "shuffled", files, shuffled(files, seed), True),
                       lambda seed: f"properties: the demo shuffled, {seed}")
    converted = {name: respelt(text, units) if name.endswith(".heel") else (text, 0) for name, text in files.items()}
    count = sum(number for _, number in converted.values())
    other = {name: text for name, (text, _) in converted.items()}
    outcomes.append(Outcome("properties: enough of the demo is respelt", "" if count > 150 else f"{count} quantities"))
    outcomes += run_all([other], lambda other: judge_same(chosen.heelcut, "respelt", files, other, False),
                        lambda _: f"properties: {count} quantities of the demo in other units")
    removals = [(name, span) for name in sorted(files) if name.endswith(".heel") for span in clauses(files[name])][::every]
    outcomes += run_all(removals, lambda removal: judge_removal(chosen.heelcut, files, *removal),
                        lambda removal: f"properties: {removal[0]} without {' '.join(files[removal[0]][slice(*removal[1])].split())}")
    report(outcomes)


main()
