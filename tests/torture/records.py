"""Disturbs `heelcut record` in every way that can happen to a file that is added to, and looks at what it holds then.

Disturbed: each call that changes a file is refused in turn, or finds the disk full, or is the last before the process dies; and
the process is killed before each of its system calls, whatever they are. The file must hold the old or the new as a whole, what
is told as recorded must be there, and recording the line again must leave it there once.

Torn: the process dies in the midst of the write. The next line must be read, what is left of the torn one must count for
nothing, and be told.

Full: a disk that takes so many bytes and no more, by the limit on the size of files.

Together: eight who record fifty lines each at once lose none. Locked: who cannot get the file says so after ten seconds.

    tests/torture/records.py BUILD
"""

import concurrent.futures
import ctypes
import fcntl
import os
import signal
import subprocess
import sys
import threading
import time

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
from harness import Outcome, Scratch, printable, read, report  # noqa: E402

NURSERY = b"""nursery r "Invented" { language 1 }
site yard { latitude 52 deg }
place bench { site yard; enclosure bench }
protocol p {
  for Exemplum primum
  take { wood semi-hardwood; window all year }
  climate { enclosure bench }
  stage root { lasts 4 weeks; task look { say "Count."; every 1 week; count rooted } }
}
batch A-1 { follow p; plant Exemplum primum; stick 6 Sep 2027; count 5000; stands bench }
"""
OLD = b"".join(b'record A-1 { 7 Sep 2027 note "%d" }\n' % number for number in range(20))
NEW = b"record A-1 { 13 Sep 2027 sample 16: rooted 3, callused 12, rotted 1 }\n"
RECORD = "heelcut record --today 2027-12-01 A-1 '13 Sep 2027 sample 16: rooted 3, callused 12, rotted 1'"
FILE = "records-2027.heel"
MOST_CALLS = 3000
WRITERS, LINES = 8, 50


def put(scratch, old):
    """The nursery, with this in its file of records; None: without one."""
    for name in os.listdir(scratch.folder):
        os.remove(os.path.join(scratch.folder, name))
    for name, data in (("nursery.heel", NURSERY), (FILE, old)):
        if data is not None:
            with open(os.path.join(scratch.folder, name), "wb") as file:
                file.write(data)


def path_of(scratch):
    return os.path.join(scratch.folder, FILE)


def again(scratch, old):
    """What is wrong when the line is recorded once more, undisturbed."""
    result = scratch.run(RECORD)
    found = read(path_of(scratch), b"")
    fault = "" if result.status == 0 else f"recording it again: status {result.status}: {printable(result.stdout)}\n"
    return fault if found == (old or b"") + NEW else f"{fault}recording it again leaves {printable(found[-300:])}\n"


def whole(scratch, old):
    """What is wrong with a file that may have been added to."""
    found = read(path_of(scratch), b"")
    return "" if found in (old or b"", (old or b"") + NEW) else f"neither old nor new: {printable(found[-300:])}\n"


# ---------------------------------------------------------------- calls that change files

def judge(scratch, old, how, result):
    fault = whole(scratch, old)
    added = read(path_of(scratch), b"") == (old or b"") + NEW
    if how != "kill":
        doubtful = b"may be lost" in result.stderr or b"the output cannot be written" in result.stderr
        if result.status not in (0, 2) or (result.status == 2 and not result.stderr.strip()):
            fault += f"status {result.status}: {printable(result.stderr)}\n"
        if added != (result.status == 0 or doubtful):
            fault += f"status {result.status}, and it is {'there' if added else 'not there'}: {printable(result.stderr)}\n"
        if set(os.listdir(scratch.folder)) - {"nursery.heel", FILE}:
            fault += f"leaves behind {os.listdir(scratch.folder)}\n"
    return fault + again(scratch, old)


def disturb(scratch, build, old, how):
    tell = os.path.join(scratch.top, "struck")
    library = os.path.abspath(os.path.join(build, "fail_file.so"))
    seen = set()
    for number in range(1, MOST_CALLS):
        put(scratch, old)
        result = scratch.run(f"exec env LD_PRELOAD={library} FAIL_AT={number} FAIL_HOW={how} FAIL_TELL={tell} {RECORD}", merged=False)
        if not os.path.exists(tell):
            return "" if len(seen) > 1 else f"only {seen} was seen: no call in the midst of the work"
        os.remove(tell)
        seen.add(len(read(path_of(scratch), b"")))
        fault = judge(scratch, old, how, result)
        if fault:
            return f"with call {number} disturbed:\n{fault}"
    return f"still calls after {MOST_CALLS}"


def tear(scratch, build):
    """Dies in the midst of the write, with every length that may be left of it."""
    for length in range(1, len(NEW)):
        put(scratch, OLD + NEW[:length])
        result = scratch.run("heelcut record --today 2027-12-01 A-1 '14 Sep 2027 culled 7'")
        found = read(path_of(scratch))
        check = scratch.run("heelcut check --today 2027-12-01")
        dumped = scratch.run(f"heelcut check --dump tree {FILE}").stdout
        if result.status != 0 or b"look at it" not in result.stdout or not found.startswith(OLD + NEW[:length]):
            return f"with {length} bytes left: status {result.status}: {printable(result.stdout)}"
        if b"\n  dated 2027-09-14 = culled 7\n" not in dumped or (b"{" in NEW[:length] and length < len(NEW) - 2) and check.status == 0:
            return f"with {length} bytes left the file reads\n{printable(check.stdout)}{printable(dumped[-300:])}"
        if b"2027-09-13" in dumped and length < len(NEW) - 2:
            return f"with {length} bytes left, they count: {printable(dumped[-300:])}"
    return ""


# ---------------------------------------------------------------- every system call

LIBC = ctypes.CDLL(None, use_errno=True)
TRACE_ME, SYSCALL, KILL_WITH_TRACER, SET_OPTIONS = 0, 24, 1 << 20, 0x4200


def run_to_call(scratch, words, number):
    """Runs a program up to the begin of this system call, its own first, and kills it there. False: it ended before."""
    child = os.fork()
    if child == 0:
        try:
            os.chdir(scratch.folder)
            nothing = os.open(os.devnull, os.O_RDWR)
            for file in range(3):
                os.dup2(nothing, file)
            LIBC.ptrace(TRACE_ME, 0, None, None)
            os.execve(words[0], words, scratch.environment)
        finally:
            os._exit(127)
    os.waitpid(child, 0)
    LIBC.ptrace(SET_OPTIONS, child, None, ctypes.c_void_p(KILL_WITH_TRACER))
    stops = 0
    while True:
        LIBC.ptrace(SYSCALL, child, None, None)
        _, status = os.waitpid(child, 0)
        if not os.WIFSTOPPED(status):
            return False
        stops += os.WSTOPSIG(status) == signal.SIGTRAP
        if stops == 2 * number - 1:  # a stop where each call begins, and one where it ends
            os.kill(child, signal.SIGKILL)
            os.waitpid(child, 0)
            return True


def kill_everywhere(scratch, build, old):
    words = [os.path.abspath(os.path.join(build, "heelcut")), "record", "--today", "2027-12-01", "A-1",
             RECORD.split("'")[1]]
    seen = set()
    for number in range(1, MOST_CALLS):
        put(scratch, old)
        if not run_to_call(scratch, words, number):
            return "" if len(seen) > 1 else f"no call in {number} in the midst of the work"
        seen.add(len(read(path_of(scratch), b"")))
        fault = whole(scratch, old)
        if fault or number % 8 == 0:
            fault += again(scratch, old)
        if fault:
            return f"killed before call {number}:\n{fault}"
    return f"still calls after {MOST_CALLS}"


# ---------------------------------------------------------------- full, together, locked

def fill(scratch):
    """Room for a part of the line only; sh counts in blocks of 512 bytes."""
    for room in (0, 1, len(NEW) // 2, len(NEW) - 1, len(NEW)):
        old = OLD + b"#" * (2047 - len(OLD) - room) + b"\n"
        put(scratch, old)
        result = scratch.run(f"ulimit -f 4; {RECORD}")
        fits = room == len(NEW)
        if read(path_of(scratch)) != old + (NEW if fits else b""):
            return f"with room for {room} bytes: {printable(read(path_of(scratch))[-200:])}"
        if result.status != (0 if fits else 2) or (not fits and b"it is as it was" not in result.stdout):
            return f"with room for {room} bytes: status {result.status}: {printable(result.stdout)}"
    return ""


def together(scratch, old):
    """Everybody at once, each line by a process of its own."""
    put(scratch, old)

    def write(writer):
        said = ""
        for line in range(LINES):
            result = scratch.run(["heelcut", "record", "--today", "2027-12-01", "A-1", f'14 Sep 2027 note "{writer} {line}"'])
            if result.status != 0:
                said += f"writer {writer}, line {line}: status {result.status}: {printable(result.stdout)}"
        return said

    with concurrent.futures.ThreadPoolExecutor(WRITERS) as pool:
        fault = "".join(pool.map(write, range(WRITERS)))
    wanted = {b'record A-1 { 14 Sep 2027 note "%d %d" }' % (writer, line) for writer in range(WRITERS) for line in range(LINES)}
    lines = read(path_of(scratch))[len(old or b""):].split(b"\n")
    if sorted(lines[:-1]) != sorted(wanted) or lines[-1]:
        fault += f"{len(lines) - 1} lines for {len(wanted)}; not wanted: {sorted(set(lines[:-1]) - wanted)[:3]}\n"
    return fault


def same_line(scratch):
    """One line by all at once: it stands there once."""
    put(scratch, None)
    with concurrent.futures.ThreadPoolExecutor(WRITERS) as pool:
        results = list(pool.map(lambda _: scratch.run(RECORD), range(WRITERS)))
    fault = "".join(f"status {result.status}: {printable(result.stdout)}" for result in results if result.status != 0)
    found = read(path_of(scratch), b"")
    return fault if found == NEW else f"{fault}the file holds {printable(found)}"


def locked(scratch):
    """Somebody holds the file: for half a second, and for ever."""
    put(scratch, OLD)
    with open(path_of(scratch), "rb+") as held:
        fcntl.flock(held, fcntl.LOCK_EX)
        threading.Timer(0.5, lambda: fcntl.flock(held, fcntl.LOCK_UN)).start()
        short = scratch.run(RECORD)
        fcntl.flock(held, fcntl.LOCK_EX)
        begin = time.monotonic()
        long = scratch.run("heelcut record --today 2027-12-01 A-1 '14 Sep 2027 culled 7'")
        waited = time.monotonic() - begin
    fault = "" if short.status == 0 else f"after half a second: {printable(short.stdout)}"
    if long.status != 2 or b"somebody else is adding to it" not in long.stdout or not 9 < waited < 30:
        fault += f"after {waited:.1f} s: status {long.status}: {printable(long.stdout)}"
    return fault if read(path_of(scratch)) == OLD + NEW else f"{fault}the file holds {printable(read(path_of(scratch))[-200:])}"


def main():
    build = sys.argv[1] if len(sys.argv) > 1 else "build"
    outcomes = []
    with Scratch(os.path.join(build, "heelcut")) as scratch:
        for name, old in (("a file", OLD), ("no file", None)):
            for how in ("error", "full", "kill"):
                outcomes.append(Outcome(f"recording disturbed, {name}: {how}", disturb(scratch, build, old, how)))
            outcomes.append(Outcome(f"recording killed before each call, {name}", kill_everywhere(scratch, build, old)))
            outcomes.append(Outcome(f"{WRITERS} record {LINES} lines at once, {name}", together(scratch, old)))
        outcomes.append(Outcome("a line that was torn", tear(scratch, build)))
        outcomes.append(Outcome("a disk that is full", fill(scratch)))
        outcomes.append(Outcome("one line at once", same_line(scratch)))
        outcomes.append(Outcome("a file that somebody holds", locked(scratch)))
    report(outcomes)


main()
