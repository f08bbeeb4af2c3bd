#!/usr/bin/env python3
"""Proves the rules that ship, and that their glossaries say nothing twice. They come into the program without their examples, so here their files are read as a house's
own, which prove themselves and are held against each other: nothing may be found in them. With breaking and passing examples
exchanged, each rule must be refused, and with each rule there a second time as a house's own, each must be found to be two, or
the proof would be none. What a rule does not prove it says: why, what to do instead, and the source.

    tests/shipped.py [--heelcut PROGRAM]
"""

import argparse
import glob
import json
import os
import re

from harness import Scratch, read, report, run_all

PROTOCOLS = os.path.join(os.path.dirname(__file__), "..", "protocols")
SHIPPED = os.path.join(PROTOCOLS, "rules")
WORDS = os.path.join(PROTOCOLS, "words")
OTHER = {"breaks": "passes", "passes": "breaks"}


def check(heelcut, change):
    """The findings in the files that ship, their text changed, and how many rules there are."""
    rules = 0
    with Scratch(heelcut) as scratch:
        for path in glob.glob(os.path.join(SHIPPED, "*.heel")) + glob.glob(os.path.join(WORDS, "*.heel")):
            text = read(path).decode()
            rules += len(re.findall(r"^rule ", text, re.MULTILINE))
            with open(os.path.join(scratch.folder, os.path.basename(path)), "w", encoding="utf-8") as copy:
                copy.write(change(text))
        result = scratch.run(["heelcut", "check", "--format", "json", "."], merged=False)
    if result.sanitizer:
        raise RuntimeError(result.sanitizer)
    return json.loads(result.stdout)["findings"], rules


def prove(heelcut):
    findings, rules = check(heelcut, lambda text: text)
    faults = [f"{finding['file']}:{finding['line']}: {finding['message']}" for finding in findings]
    return "\n".join(faults) or ("" if rules else "no rule ships")


def refuse_exchanged(heelcut):
    findings, rules = check(heelcut, lambda text: re.sub(r"\b(breaks|passes)(?=\s*\{)", lambda found: OTHER[found[1]], text))
    refused = {finding["subject"] for finding in findings if finding["name"] == "rule-example"}
    return "" if len(refused) == rules else f"{len(refused)} of {rules} rules are refused"


PARTS = {"because": r"^  because +\"", "a remedy": r"^  instead +\"", "a source": r"\"[^\"\n]*\" +\[\w+[^\]\n]*\]"}


def say_why(_):
    """Each rule teaches: why, what to do instead, and on what it rests; sources are declared beside it."""
    text = "\n".join(read(path).decode() for path in glob.glob(os.path.join(SHIPPED, "*.heel")))
    faults = []
    for rule in re.findall(r"^rule .*?^\}", text, re.MULTILINE | re.DOTALL):
        said = re.split(r"^  (?:breaks|passes|undecided)\b", rule, maxsplit=1, flags=re.MULTILINE)[0]
        faults += [f"{rule.split()[1]}: no {part}" for part, form in PARTS.items() if not re.search(form, said, re.MULTILINE)]
    return "\n".join(faults)


def twice(text):
    own = re.findall(r"^rule .*?^\}", text, re.MULTILINE | re.DOTALL)
    return "\n".join([text, *(rule.replace("rule ", "rule twin-of-", 1) for rule in own)])


def find_twins(heelcut):
    findings, rules = check(heelcut, twice)
    found = {finding["subject"].removeprefix("twin-of-") for finding in findings if finding["name"] == "rule-duplicate"}
    return "" if len(found) == rules else f"{len(found)} of {rules} twins are found"


def main():
    options = argparse.ArgumentParser(description="Proves the rules that ship.")
    options.add_argument("--heelcut", default="build/heelcut")
    heelcut = options.parse_args().heelcut
    tests = {"the rules that ship prove themselves": prove,
             "each says why, what to do instead and on what it rests": say_why,
             "with examples exchanged, each rule that ships is refused": refuse_exchanged,
             "there a second time, each rule that ships is found to be two": find_twins}
    report(run_all(list(tests), lambda name: tests[name](heelcut), str))


main()
