"""Runs the rule expectations: tests/rules/NAME.heel, each a whole small nursery in one file.

What the checks must find stands in the file itself, in a comment on the line that must be pointed at, or above it:

    depth 40 mm            # expect: warning depth "12 .. 25 mm"
    # expect-next: error wet-big-leaves
    enclosure mist

A severity, the name of the finding and, if it matters, a part of its message. One comment may hold several, each with its
own `expect:`; lines with nothing but `# expect-next:` may follow one another and all mean the next other line.
The errors and warnings of the file, as `heelcut check --format json` gives them, must be these and no others; notes may
come beside them, and a file without any expectation has no error and no warning. The exit status must agree: 1 when there is an error, 0 when there is no finding.

    tests/rules.py [--heelcut PROGRAM] [FOLDER]
"""

import argparse
import glob
import json
import os
import re

from harness import Scratch, printable, read, report, run_all

EXPECT = re.compile(r'#\s*expect(-next)?:\s*(error|warning|note)\s+([^\s#"]+)(?:\s+"((?:[^"\\]|\\.)*)")?')
LOOKS_LIKE = re.compile(r"#\s*expect")


def expectations(text):
    """A list of (line, severity, name, part of the message); ValueError for a comment that cannot be read."""
    found, waiting = [], []
    for number, line in enumerate(text.split("\n"), 1):
        here = [(match[1], match[2], match[3], (match[4] or "").replace('\\"', '"')) for match in EXPECT.finditer(line)]
        if len(here) != len(LOOKS_LIKE.findall(line)):
            raise ValueError(f'line {number}: an expectation reads `# expect: SEVERITY NAME "part of the message"`')
        only_comment = line.lstrip().startswith("#")
        if not (here and only_comment):
            found += [(number, *rest) for rest in waiting]
            waiting = []
        for following, *rest in here:
            if following:
                waiting.append(rest)
            else:
                found.append((number, *rest))
    if waiting:
        raise ValueError("an expect-next has no line behind it")
    return found


def compare(expected, findings, file):
    """What was expected and not found, and the other way round; one line each."""
    left = list(findings)
    faults = []
    for line, severity, name, part in expected:
        for finding in left:
            place = (finding.get("file"), finding.get("line"), finding.get("severity"), finding.get("name"))
            if place == (file, line, severity, name) and part in finding.get("message", ""):
                left.remove(finding)
                break
        else:
            wanted = f' "{part}"' if part else ""
            faults.append(f"{file}:{line}: {severity} {name}{wanted}: expected, not found")
    for finding in left:
        if finding.get("severity") == "note":
            continue
        faults.append("{file}:{line}: {severity} {name}: found, not expected: {message}".format_map(
            {key: finding.get(key) for key in ("file", "line", "severity", "name", "message")}))
    return "\n".join(faults)


def judge(heelcut, path):
    file = os.path.basename(path)
    try:
        expected = expectations(read(path).decode())
    except ValueError as error:
        return str(error)
    with Scratch(heelcut) as scratch:
        with open(os.path.join(scratch.folder, file), "wb") as copy:
            copy.write(read(path))
        result = scratch.run(["heelcut", "check", "--format", "json", file, "--today", "2028-01-01"], merged=False)
    if result.sanitizer:
        return result.sanitizer
    try:
        answer = json.loads(result.stdout)
        findings = answer["findings"]
    except (ValueError, KeyError, TypeError) as error:
        return f"status {result.status}, no findings in JSON: {error}\n" + printable(result.stdout + result.stderr)
    fault = compare(expected, findings, file)
    severities = {finding.get("severity") for finding in findings}
    if result.status not in (0, 1) or ("error" in severities and result.status != 1) or (
            not severities and result.status != 0):
        fault += f"\nstatus {result.status} does not agree with the findings: {printable(result.stderr)}"
    return fault


def main():
    options = argparse.ArgumentParser(description="Runs the rule expectations.")
    options.add_argument("--heelcut", default="build/heelcut")
    options.add_argument("folder", nargs="?", default=os.path.join(os.path.dirname(__file__), "rules"))
    chosen = options.parse_args()
    files = sorted(glob.glob(os.path.join(chosen.folder, "*.heel")))
    report(run_all(files, lambda path: judge(chosen.heelcut, path), os.path.relpath))


main()
