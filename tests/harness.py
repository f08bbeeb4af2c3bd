"""What the runners in this folder share: a clean place to run the program in, and one way to report.

A runner makes a list of tests, runs each with `run_all`, and gets for each an Outcome: a name and what was wrong, ""
when nothing was. Reports are lines "ok NAME" and "not ok NAME", the latter followed by indented details; tests/run.sh
counts them. A runner leaves with 1 when a test failed or when there was none.
"""

import concurrent.futures
import difflib
import glob
import os
import shutil
import subprocess
import sys
import tempfile
import traceback
from typing import NamedTuple

LIMIT_SECONDS = 60  # for one command; the sanitizers are slow, a hang is slower
WORKERS = 2
DETAIL_LINES = 60
SANITIZED = 97  # the status of a program that a sanitizer stopped


class Outcome(NamedTuple):
    name: str
    fault: str


class Result(NamedTuple):
    status: int
    stdout: bytes
    stderr: bytes  # empty where both were asked for as one stream
    sanitizer: str


def run_all(tests, judge, name):
    """Calls judge(test), which returns what is wrong or "", for each test, two at a time; in the order given."""

    def guarded(test):
        try:
            return Outcome(name(test), judge(test))
        except Exception:  # a runner that trips over a test must not hide the others
            return Outcome(name(test), "the runner failed:\n" + traceback.format_exc())

    with concurrent.futures.ThreadPoolExecutor(WORKERS) as pool:
        return list(pool.map(guarded, tests))


def report(outcomes):
    """Prints every outcome and ends the process."""
    for outcome in outcomes:
        if not outcome.fault:
            print(f"ok {outcome.name}")
            continue
        print(f"not ok {outcome.name}")
        lines = outcome.fault.rstrip("\n").split("\n")
        for line in lines[:DETAIL_LINES]:
            print("    " + line)
        if len(lines) > DETAIL_LINES:
            print(f"    … and {len(lines) - DETAIL_LINES} lines more")
    if not outcomes:
        print("not ok there is no test in this group")
    sys.exit(1 if not outcomes or any(outcome.fault for outcome in outcomes) else 0)


class Scratch:
    """A folder of its own to run commands in, with `heelcut` on the PATH and no other environment."""

    def __init__(self, heelcut, files=None, without=()):
        self.top = tempfile.mkdtemp(prefix="heelcut-test-")
        self.folder = os.path.join(self.top, "work")
        if files:
            shutil.copytree(files, self.folder, symlinks=True, ignore=lambda _, names: set(names) & set(without))
        else:
            os.mkdir(self.folder)
        os.mkdir(os.path.join(self.top, "bin"))
        heelcut = os.path.abspath(heelcut)
        os.symlink(heelcut, os.path.join(self.top, "bin", "heelcut"))
        log = "log_path=" + os.path.join(self.top, "sanitizer")
        self.environment = {
            "PATH": os.path.join(self.top, "bin") + ":/usr/bin:/bin",
            "HEELCUT": heelcut,
            "ROOT": os.path.dirname(os.path.dirname(os.path.abspath(__file__))),
            "HOME": self.folder,
            "TZ": "UTC",
            "LC_ALL": "C.UTF-8",
            "SOURCE_DATE_EPOCH": "1800000000",  # what calendars are stamped with: two runs are equal
            "ASAN_OPTIONS": f"exitcode={SANITIZED}:detect_leaks=1:{log}",
            "UBSAN_OPTIONS": f"exitcode={SANITIZED}:print_stacktrace=1:{log}",
        }

    def __enter__(self):
        return self

    def __exit__(self, *_):
        shutil.rmtree(self.top, ignore_errors=True)

    def run(self, command, merged=True, stdin=b"", limit=LIMIT_SECONDS, more={}):
        """Runs a list of words, or a line for sh. What a sanitizer says goes to files, past any redirection."""
        words = ["sh", "-c", command] if isinstance(command, str) else command
        # Each command is a session of its own, so that a hanging child can be ended together with its shell.
        process = subprocess.Popen(words, cwd=self.folder, env={**self.environment, **more}, start_new_session=True,
                                   stdin=subprocess.PIPE, stdout=subprocess.PIPE,
                                   stderr=subprocess.STDOUT if merged else subprocess.PIPE)
        try:
            stdout, stderr = process.communicate(stdin, timeout=limit)
        except subprocess.TimeoutExpired:
            os.killpg(process.pid, 9)
            stdout, stderr = process.communicate()
            return Result(-9, stdout, (stderr or b"") + f"\nnot done after {limit} s".encode(), "")
        said = ""
        for path in sorted(glob.glob(os.path.join(self.top, "sanitizer*"))):
            with open(path, encoding="utf-8", errors="replace") as file:
                said += file.read()
            os.remove(path)
        return Result(process.returncode, stdout, stderr or b"", said)


def printable(data):
    """Bytes as text that a terminal shows and does not obey."""
    text = data.decode("utf-8", errors="backslashreplace")
    return "".join(c if c == "\n" or c == "\t" or c.isprintable() else f"\\x{ord(c):02x}" for c in text)


def difference(expected, got, what):
    """A unified diff of two byte strings, or "" when they are the same bytes."""
    if expected == got:
        return ""
    lines = list(difflib.unified_diff(printable(expected).splitlines(), printable(got).splitlines(),
                                      f"{what}, expected", f"{what}, got", lineterm=""))
    if not lines:  # only the last line's end differs
        lines = [f"{what}: the end of the last line differs"]
    return "\n".join(lines) + "\n"


def read(path, default=None):
    """The bytes of a file; the default where there is none."""
    try:
        with open(path, "rb") as file:
            return file.read()
    except FileNotFoundError:
        return default
