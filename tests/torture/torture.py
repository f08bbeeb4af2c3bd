"""Takes from the program what every program takes for granted: memory, and a place to write to.

Memory: each command runs with its first request for memory refused, then its second, and so on, until a run in which none
was left to refuse. Each of these runs must end as if nothing had happened (the C library can often do without), or with
status 2 and a word on standard error that memory is lacking, and with nothing or all of its output on standard output: never
a part that could be taken for the whole.

Writing: each command writes to /dev/full, which refuses every byte, and to a closed output; it must end with status 2 and
say so on standard error.

Files: `heelcut format` runs with its first call that changes a file refused, then its second, and so on; then it is killed
before each, and in the middle of each write. Whatever happens, each file is as it was or in its form as a whole. A refused
call must be told with status 2, unless nothing was lost by it, and leave nothing behind; and a file that is told as
written is written.

    tests/torture/torture.py BUILD
"""

import os
import sys

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
from harness import Outcome, Scratch, printable, read, report  # noqa: E402

HERE = os.path.dirname(os.path.abspath(__file__))
CHECK = "heelcut check ."
TASKS = "heelcut tasks --today 2027-06-01 ."
MEMORY = [CHECK, "heelcut check --format json .", "heelcut check --format sarif .", TASKS, f"{TASKS} --format json",
          f"{TASKS} --format csv", f"{TASKS} --format calendar", "heelcut format --diff ."]
REFUSED = "heelcut record S1 '1 Jun 2027 smaple 3' ."  # writes nothing to standard output
WRITING = MEMORY + ["heelcut --help", "heelcut --version"]
MOST_REQUESTS = 5000
FILES = {"a.heel": b"take {\nwood softwood\n}\n", "b.heel": b"stick {\n" + b"depth   12 .. 25 mm\n" * 10_000 + b"}\n",
         "c.heel": b"treat { wound none }"}


def refuse_memory(scratch, build, command):
    """What goes wrong when requests for memory are refused one at a time."""
    tell = os.path.join(scratch.top, "refused")
    well = scratch.run(f"exec {command}", merged=False)
    if well.status not in (0, 1):
        return f"status {well.status} with all the memory there is: {printable(well.stderr)}"
    for number in range(1, MOST_REQUESTS + 1):
        # Through env, so that the shell's own requests are not counted.
        library = os.path.abspath(os.path.join(build, "fail_memory.so"))
        result = scratch.run(f"exec env LD_PRELOAD={library} FAIL_AT={number} FAIL_TELL={tell} {command}", merged=False)
        if not os.path.exists(tell):
            if number == 1:
                return "no request for memory was seen: the library was not loaded"
            return "" if result == well else f"the run with nothing refused differs:\n{printable(result.stderr)}"
        os.remove(tell)
        if result[:2] == well[:2]:
            continue
        fault = ""
        if result.status != 2:
            fault += f"status {result.status}\n"
        if b"memory" not in result.stderr:
            fault += f'standard error without the word "memory": {printable(result.stderr)}\n'
        if result.stdout not in (b"", well.stdout):
            fault += f"a part of the output: {printable(result.stdout[:500])}\n"
        if fault:
            return f"with request {number} refused:\n{fault}"
    return f"still requests after {MOST_REQUESTS}"


def refuse_writing(scratch, command, where):
    """What goes wrong when standard output cannot be written to."""
    result = scratch.run(f"{command} {where}", merged=False)
    fault = ""
    if result.status != 2:
        fault += f"status {result.status}, expected 2\n"
    if not result.stderr.strip():
        fault += "nothing on standard error\n"
    return fault + result.sanitizer


def files_in_form(scratch):
    """The files of FILES after a run in which nothing goes wrong."""
    put_files(scratch)
    result = scratch.run("heelcut format .", merged=False)
    return result, get_files(scratch)


def put_files(scratch):
    for name in os.listdir(scratch.folder):
        os.remove(os.path.join(scratch.folder, name))
    for name, data in FILES.items():
        with open(os.path.join(scratch.folder, name), "wb") as file:
            file.write(data)


def get_files(scratch):
    return {name: read(os.path.join(scratch.folder, name)) for name in sorted(os.listdir(scratch.folder))}


def judge_files(result, how, found, form):
    """What is wrong with the files after a run that was disturbed."""
    fault = ""
    for name, old in FILES.items():
        if found.get(name) not in (old, form[name]):
            fault += f"{name} is neither old nor new: {printable(found.get(name, b'(gone)')[:200])}\n"
    if how != "error":
        return fault
    written = result.stdout.decode().split()
    fault += "".join(f"{name} is told as written, and is not\n" for name in written if found.get(name) != form[name])
    if sorted(found) != sorted(FILES):
        fault += f"leaves behind {sorted(set(found) - set(FILES))}\n"
    if result.status == 0 and found != form:
        fault += "status 0, and not all is in form\n"
    if result.status not in (0, 2) or (result.status == 2 and found == form and not result.stderr.strip()):
        fault += f"status {result.status}: {printable(result.stderr)}\n"
    return fault


def disturb_files(scratch, build, how):
    """What goes wrong when calls that change files go wrong one at a time."""
    tell = os.path.join(scratch.top, "struck")
    library = os.path.abspath(os.path.join(build, "fail_file.so"))
    well, form = files_in_form(scratch)
    if well.status != 0 or any(form[name] == old for name, old in FILES.items()):
        return f"status {well.status}, or a file that had its form: {printable(well.stderr)}"
    seen = set()
    for number in range(1, MOST_REQUESTS + 1):
        put_files(scratch)
        result = scratch.run(f"exec env LD_PRELOAD={library} FAIL_AT={number} FAIL_HOW={how} FAIL_TELL={tell} heelcut format .",
                             merged=False)
        found = get_files(scratch)
        if not os.path.exists(tell):
            return "" if len(seen) > 1 else "no call in the midst of the work was seen"
        os.remove(tell)
        seen.add(tuple(found.get(name) == form[name] for name in FILES))
        fault = judge_files(result, how, found, form)
        if fault:
            return f"with call {number} disturbed:\n{fault}"
    return f"still calls after {MOST_REQUESTS}"


def main():
    build = sys.argv[1] if len(sys.argv) > 1 else "build"
    outcomes = []
    with Scratch(os.path.join(build, "heelcut"), os.path.join(HERE, "nursery")) as scratch:
        for command in [*MEMORY, REFUSED]:
            outcomes.append(Outcome(f"memory refused: {command}", refuse_memory(scratch, build, command)))
        for command in WRITING:
            for where in (">/dev/full", ">&-"):
                outcomes.append(Outcome(f"cannot write: {command} {where}", refuse_writing(scratch, command, where)))
    with Scratch(os.path.join(build, "heelcut")) as scratch:
        for how in ("error", "kill", "half"):
            outcomes.append(Outcome(f"files disturbed: {how}", disturb_files(scratch, build, how)))
    report(outcomes)


main()
