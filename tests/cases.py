"""Runs the cases: one behaviour of the program in each folder tests/cases/FEATURE/NAME.

A case holds
    cmd                 a line, or a few, for sh; it must call heelcut
    expected            what it writes, standard output and error in one; or, where the two are to be told apart,
    stdout, stderr      one file each (a missing one means: nothing)
    status              the exit status, where it is not 0
and any input beside them. The command runs in a copy of the folder, without those files, with `heelcut` on the PATH, HEELCUT
its path, ROOT the project's folder, HOME the copy, TZ=UTC, LC_ALL=C.UTF-8, SOURCE_DATE_EPOCH set, nothing on standard input and no other
environment. Output is compared byte by byte.

    tests/cases.py [--heelcut PROGRAM] [--update] [FOLDER…]

--update writes what the program does now into the files, to be read in the diff before it is kept.
"""

import argparse
import os
import re
import sys

from harness import Scratch, difference, printable, read, report, run_all

OWN = ("cmd", "expected", "stdout", "stderr", "status")


def find(folders):
    """Every folder below these that holds a file called cmd."""
    return sorted(path for folder in folders for path, _, files in os.walk(folder) if "cmd" in files)


def run(heelcut, case):
    command = read(os.path.join(case, "cmd")).decode()
    merged = not any(os.path.exists(os.path.join(case, name)) for name in ("stdout", "stderr"))
    with Scratch(heelcut, case, OWN) as scratch:
        return scratch.run(command, merged), merged


def judge(heelcut, case):
    """What is wrong with the case, or ""."""
    if not re.search(rb"heelcut|HEELCUT", read(os.path.join(case, "cmd"))):
        return "its cmd never calls heelcut"
    result, merged = run(heelcut, case)
    if merged and not os.path.exists(os.path.join(case, "expected")):
        return "nothing is expected yet: `make update-cases` writes it, to be read before it is kept"
    if merged:
        fault = difference(read(os.path.join(case, "expected")), result.stdout, "output")
    else:
        fault = difference(read(os.path.join(case, "stdout"), b""), result.stdout, "stdout")
        fault += difference(read(os.path.join(case, "stderr"), b""), result.stderr, "stderr")
    status = int(read(os.path.join(case, "status"), b"0"))
    if result.status != status:
        fault += f"status {status} expected, {result.status} got\n"
    return fault + result.sanitizer


def update(heelcut, case):
    """Writes what the program does now; returns which files changed."""
    result, merged = run(heelcut, case)
    wanted = {"expected": result.stdout} if merged else {"stdout": result.stdout, "stderr": result.stderr}
    if result.status != 0:
        wanted["status"] = b"%d\n" % result.status
    changed = []
    for name in OWN[1:]:
        path = os.path.join(case, name)
        old, new = read(path), wanted.get(name)
        if new == b"" and old is None and name != "expected":
            continue  # a missing stdout or stderr already means nothing
        if old != new:
            changed.append(name)
            if new is None:
                os.remove(path)
            else:
                with open(path, "wb") as file:
                    file.write(new)
    return ", ".join(changed) + (f"; SANITIZER: {result.sanitizer}" if result.sanitizer else "")


def main():
    options = argparse.ArgumentParser(description="Runs the cases.")
    options.add_argument("--heelcut", default="build/heelcut")
    options.add_argument("--update", action="store_true")
    options.add_argument("folders", nargs="*", default=[os.path.join(os.path.dirname(__file__), "cases")])
    chosen = options.parse_args()
    cases = find(chosen.folders)
    if chosen.update:
        for outcome in run_all(cases, lambda case: update(chosen.heelcut, case), os.path.relpath):
            if outcome.fault:
                print(printable(f"{outcome.name}: {outcome.fault}".encode()))
        sys.exit(0)
    report(run_all(cases, lambda case: judge(chosen.heelcut, case), os.path.relpath))


main()
