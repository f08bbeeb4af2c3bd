"""Takes from the program what every program takes for granted: memory, and a place to write to.

Memory: each command runs with its first request for memory refused, then its second, and so on, until a run in which none
was left to refuse. Each of these runs must end as if nothing had happened (the C library can often do without), or with
status 2 and a word on standard error that memory is lacking, and with nothing or all of its output on standard output: never
a part that could be taken for the whole.

Writing: each command writes to /dev/full, which refuses every byte, and to a closed output; it must end with status 2 and
say so on standard error.

    tests/torture/torture.py BUILD
"""

import os
import sys

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
from harness import Outcome, Scratch, printable, report  # noqa: E402

HERE = os.path.dirname(os.path.abspath(__file__))
CHECK = "heelcut check ."
TASKS = "heelcut tasks --today 2027-06-01 ."
MEMORY = [CHECK, "heelcut check --format json .", "heelcut check --format sarif .", TASKS, f"{TASKS} --format json",
          f"{TASKS} --format csv", f"{TASKS} --format calendar"]
WRITING = MEMORY + ["heelcut --help", "heelcut --version"]
MOST_REQUESTS = 5000


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


def main():
    build = sys.argv[1] if len(sys.argv) > 1 else "build"
    outcomes = []
    with Scratch(os.path.join(build, "heelcut"), os.path.join(HERE, "nursery")) as scratch:
        for command in MEMORY:
            outcomes.append(Outcome(f"memory refused: {command}", refuse_memory(scratch, build, command)))
        for command in WRITING:
            for where in (">/dev/full", ">&-"):
                outcomes.append(Outcome(f"cannot write: {command} {where}", refuse_writing(scratch, command, where)))
    report(outcomes)


main()
