"""Runs `heelcut explain` on every name that there is, and every finding's examples through `heelcut check`.

Each name has a page, each page a meaning and two examples (units that no field takes, and what a nursery named, have none).
The good example of a finding makes no finding at all, the bad one this finding and no other. What the pages of the other
kinds show is tried by tests/unit/example_test.c, and the examples of rules by the rules' own runs.

    tests/explain.py [--heelcut PROGRAM]
"""

import argparse
import json
import os
import re

from harness import Scratch, report, run_all

WITHOUT_EXAMPLE = {"area", "weight"}  # measures that no field takes
BESIDE = {"accept": {"no-licence"}, "rule-dead": {"rule-example"}}  # what cannot be accepted away is found too; nothing can show the breach
OF_BASELINES = {"baseline", "stale-baseline"}  # their examples are a list of known findings, and no nursery
TOLD_WITH_WORK = {"undated", "too-much-work", "does-not-pay", "dearer-than-bought"}  # by `tasks`, `work`, `cost`, on standard error
SAID_ELSEWHERE = OF_BASELINES | TOLD_WITH_WORK | {"use", "accept", "record-ahead"}  # which take more than a text to be found: a folder, a day
CLEAN = 'rule too-deep on batch { when depth > 9 cm; note "deep"; breaks { depth 10 cm }; passes { depth 9 cm } }\n'


def explain(scratch, *words):
    result = scratch.run(["heelcut", "explain", *words, "--format", "json"], merged=False)
    if result.status != 0:
        raise RuntimeError(f"explain {' '.join(words)}: status {result.status}: {result.stderr.decode()}{result.sanitizer}")
    return json.loads(result.stdout)


def judge_name(heelcut, name, kinds):
    with Scratch(heelcut) as scratch:
        pages = explain(scratch, name)["pages"]
    fault = "" if sorted(page["kind"] for page in pages) == sorted(kinds) else f"pages of other kinds than {kinds}\n"
    for page in pages:
        fault += "".join(f"{page['kind']} {name} has no {part}\n" for part in ("what", "meaning") if not page[part])
        if page["kind"] == "unit" and page["what"].split()[-1] in WITHOUT_EXAMPLE:
            continue
        fault += "".join(f"{page['kind']} {name} has no {part} example\n" for part in ("good", "bad") if not page[part])
        if not page["told"] and name not in SAID_ELSEWHERE:
            fault += f"{page['kind']} {name} does not say what check says\n"
    return fault


def findings_of(heelcut, name, text):
    """The names of what is found in a nursery of this one file."""
    files = {"nursery.heel": CLEAN, "known.txt": text} if name in OF_BASELINES else {"nursery.heel": text}
    with Scratch(heelcut) as scratch:
        for file, content in files.items():
            with open(os.path.join(scratch.folder, file), "w", encoding="utf-8") as opened:
                opened.write(content)
        baseline = "--baseline known.txt" if name in OF_BASELINES else ""
        check = scratch.run(f"heelcut check --format json --today 2027-06-01 {baseline}", merged=False)
        found = json.loads(check.stdout)["findings"]
        said = "".join(scratch.run(f"heelcut {command} --format csv --today 2027-06-01 2>&1 >/dev/null").stdout.decode()
                       for command in ("tasks", "work", "cost"))
    return {finding["name"] for finding in found} | (TOLD_WITH_WORK & set(re.findall(r"\[([a-z-]+)\]$", said, re.M)))


def judge_finding(heelcut, name):
    with Scratch(heelcut) as scratch:
        page = next(page for page in explain(scratch, name)["pages"] if page["kind"] == "finding")
    good, bad = findings_of(heelcut, name, page["good"]), findings_of(heelcut, name, page["bad"])
    fault = f"the good example makes {sorted(good)}\n" if good else ""
    if bad != {name} | BESIDE.get(name, set()):
        fault += f"the bad example makes {sorted(bad)}\n"
    return fault


def main():
    options = argparse.ArgumentParser(description="Runs the pages of explain.")
    options.add_argument("--heelcut", default="build/heelcut")
    heelcut = options.parse_args().heelcut
    kinds = {}
    with Scratch(heelcut) as scratch:
        for row in explain(scratch)["names"]:
            kinds.setdefault(row["name"], []).append(row["kind"])
    findings = sorted(name for name, of in kinds.items() if "finding" in of)
    outcomes = run_all(sorted(kinds), lambda name: judge_name(heelcut, name, kinds[name]), lambda name: f"page {name}")
    outcomes += run_all(findings, lambda name: judge_finding(heelcut, name), lambda name: f"examples of {name}")
    report(outcomes)


main()
