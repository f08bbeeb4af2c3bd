#!/usr/bin/env python3
"""Measures what is done to files: laying out a nursery of 2,000 protocols, beside other programs, in one run.

    tests/bench/files.py BUILD [PROTOCOLS]

The protocols of the demo, ten in a file, under new names: once in form, and once with each line pushed out of it. Wall time and peak
memory of `heelcut format --check` on both and of `heelcut format` that writes all of them, taken in turn with `cat` and `sed` on the
same bytes; the median of five. sed squeezes runs of blanks, which is less than half of the work, and its -i puts nothing safely
on the disk. Ends with 1 when a limit is missed or a result is wrong.
"""
import glob
import os
import re
import shutil
import statistics
import subprocess
import sys
import tempfile

from measuring import limit, make_peak, measure, missed

HERE = os.path.dirname(os.path.abspath(__file__))
DEMO = os.path.join(HERE, "..", "..", "docs", "demo")
IN_A_FILE = 10
ROUNDS = 5
CHECK_LIMIT = 4         # times what sed takes for the same bytes
MEMORY_LIMIT = 16 << 10  # KiB, whatever the number of files
SQUEEZE = ["sed", "-E", r"s/[ \t]+/ /g"]


def protocols():
    """The text of each protocol of the demo, without what stands around it."""
    found = []
    for path in sorted(glob.glob(os.path.join(DEMO, "*.heel"))):
        with open(path, encoding="utf-8") as file:
            found += re.findall(r"^protocol .*?^\}\n", file.read(), flags=re.M | re.S)
    return found


def out_of_form(text):
    return re.sub(r"^(.+)$", r"   \1 ", text, flags=re.M)


def write_files(folder, number, change):
    os.makedirs(folder)
    texts = protocols()
    for first in range(0, number, IN_A_FILE):
        with open(os.path.join(folder, f"protocols-{first:05}.heel"), "w", encoding="utf-8") as file:
            for n in range(first, min(first + IN_A_FILE, number)):
                file.write(change(re.sub(r"^protocol (\S+)", rf"protocol \1-{n}", texts[n % len(texts)])) + "\n" * (n % IN_A_FILE != 9))


def expanded(command, folder):
    """The words of a command; {} stands for all files."""
    return [word for one in command for word in (sorted(os.listdir(folder)) if one == "{}" else [one])]


def fresh():
    """A copy of the files out of form, as writing puts them in form."""
    shutil.rmtree(copy, ignore_errors=True)
    shutil.copytree(untidy, copy)
    return copy


def main():
    make_peak(top)
    write_files(tidy, number, lambda text: text)
    write_files(untidy, number, out_of_form)
    runs = [("heelcut format --check, all in form", [heelcut, "format", "--check"], lambda: tidy, 0),
            ("heelcut format --check, nothing in form", [heelcut, "format", "--check"], lambda: untidy, 1),
            ("heelcut format --diff, nothing in form", [heelcut, "format", "--diff"], lambda: untidy, 1),
            ("  cat of the files", ["cat", "{}"], lambda: tidy, 0),
            ("  sed of the files", [*SQUEEZE, "{}"], lambda: tidy, 0),
            ("heelcut format, all are written", [heelcut, "format"], fresh, 0),
            ("  sed -i, all are written", [*SQUEEZE, "-i", "{}"], fresh, 0)]
    taken = {name: [] for name, *_ in runs}
    for _ in range(ROUNDS):
        for name, command, folder, wanted in runs:
            where = folder()
            taken[name].append(measure(expanded(command, where), where, wanted=[wanted]))
    middle = {name: (statistics.median(t for t, _ in pairs), max(m for _, m in pairs)) for name, pairs in taken.items()}
    size = sum(os.path.getsize(os.path.join(tidy, name)) for name in os.listdir(tidy))
    print(f"\n{number:,} protocols in {len(os.listdir(tidy))} files ({size / 1e6:.1f} MB)".ljust(52) + "seconds   peak KiB     MB a second")
    for name, (seconds, memory) in middle.items():
        print(f"  {name:47} {seconds:9.3f} {memory:10,} {size / 1e6 / seconds:15.0f}")
    print()
    measure([heelcut, "format"], fresh(), wanted=[0])
    measure([heelcut, "format", "--check"], copy, wanted=[0])
    if subprocess.run(["diff", "-r", copy, tidy], check=False).returncode:
        missed.append("the form")
    limit("format --check beside sed", middle["heelcut format --check, all in form"][0] / middle["  sed of the files"][0], CHECK_LIMIT,
          "{:.1f} times")
    limit("memory of format", max(memory for name, (_, memory) in middle.items() if name.startswith("heelcut")), MEMORY_LIMIT, "{:,} KiB")
    return 1 if missed else 0


if __name__ == "__main__":
    heelcut = os.path.join(os.path.abspath(sys.argv[1]), "heelcut")
    number = int((sys.argv + [2000])[2])
    with tempfile.TemporaryDirectory() as top:
        tidy, untidy, copy = (os.path.join(top, name) for name in ("tidy", "untidy", "copy"))
        status = main()
    sys.exit(status)
