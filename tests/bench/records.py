#!/usr/bin/env python3
"""Measures what it costs to record one line and to tell how all batches stand, by how much is recorded already, in one run.

    tests/bench/records.py BUILD [LARGEST]

A nursery of 10,000 batches and 1,000 to LARGEST (500,000) lines of records, 100,000 in a file. Recording reads the nursery, judges
the line and adds it; so there are two figures. The whole command, beside `heelcut check` and beside `cat` of the files: it grows with
what is read. And adding itself, from the write to the end of the wait for the disk, with the lock around it: that must not grow.
The status of all batches is limited in time, and what memory it takes for each further line may not grow with their number.
The median of five, taken in turn. Ends with 1 when a limit is missed.
"""
import os
import shutil
import statistics
import subprocess
import sys
import tempfile

from measuring import limit, make_peak, measure, missed

HERE = os.path.dirname(os.path.abspath(__file__))
BATCHES = 10_000
IN_A_FILE = 100_000
SIZES = [1_000, 10_000, 100_000, 500_000]
ROUNDS = 5
TODAY = ["--today", "2027-12-01"]
GROWTH_LIMIT = 3     # times what adding takes in the smallest; a disk is not always equally quick
SECONDS_LIMIT = 2    # for one line in the largest, and for the status of all batches there
MEMORY_GROWTH = 1.2  # times the bytes that a further line takes between the two sizes before the largest
NURSERY = """nursery r "Invented" { language 1 }
site yard { latitude 52 deg }
place bench { site yard; enclosure bench }
protocol p {
  for Exemplum primum
  take { wood semi-hardwood; window all year }
  climate { enclosure bench }
  stage root { lasts 4 weeks; task look { say "Count."; every 1 week; count rooted } }
}
"""
LINES = ("done look {n}", "sample 20: rooted {n}, callused {m}", 'note "tray {n} is dry"', "culled {n}", "fed 60 ppm N")


def write_nursery(folder, lines):
    os.makedirs(folder)
    with open(os.path.join(folder, "nursery.heel"), "w", encoding="ascii") as file:
        file.write(NURSERY)
        for n in range(BATCHES):
            file.write(f"batch B{n:05} {{ follow p; plant Exemplum primum; stick 6 Sep 2027; count 5000; stands bench }}\n")
    for first in range(0, lines, IN_A_FILE):
        with open(os.path.join(folder, f"records-{first // IN_A_FILE}.heel"), "w", encoding="ascii") as file:
            for n in range(first, min(first + IN_A_FILE, lines)):
                line = LINES[n // BATCHES % len(LINES)].format(n=n // BATCHES % 9 + 1, m=n // BATCHES % 9 + 2)
                file.write(f"record B{n % BATCHES:05} {{ {8 + n // BATCHES % 20} Sep 2027 {line} }}\n")


def record(folder, number):
    """Seconds, KiB, microseconds under the lock, microseconds of adding; the line is a new one each time."""
    told = os.path.join(top, "append.txt")
    seconds, memory = measure(["env", f"LD_PRELOAD={library}", f"TELL={told}", heelcut, "record", *TODAY, f"B{number:05}",
                               f'1 Oct 2027 note "line {number}"'], folder, wanted=(0,))
    with open(told, encoding="ascii") as file:
        return seconds, memory, *map(float, file.read().split())


def main():
    make_peak(top)
    subprocess.run([os.environ.get("CC", "cc"), "-O2", "-shared", "-fPIC", "-o", library, os.path.join(HERE, "append.c")], check=True)
    print(f"{'lines of records':>17} {'MB':>6}   {'record: s':>9} {'KiB':>9}   {'locked ms':>9} {'adding ms':>9}   {'status: s':>9} {'KiB':>9}"
          f"   {'check s':>8} {'cat s':>6}")
    kept = {}
    adding = {}
    for size in sizes:
        folder = os.path.join(top, f"nursery-{size}")
        write_nursery(folder, size)
        files = sorted(os.listdir(folder))
        rounds = []
        for number in range(ROUNDS):
            rounds.append((*record(folder, number * 37), *measure([heelcut, "status", *TODAY], folder, wanted=(0,)),
                           measure([heelcut, "check", *TODAY], folder)[0], measure(["cat", *files], folder, wanted=(0,))[0]))
        seconds, memory, locked, adding[size], status, kept[size], check, cat = map(statistics.median, zip(*rounds))
        bytes_read = sum(os.path.getsize(os.path.join(folder, name)) for name in files)
        print(f"{size:17,} {bytes_read / 1e6:6.1f}   {seconds:9.3f} {int(memory):9,}   {locked / 1e3:9.2f} {adding[size] / 1e3:9.2f}   "
              f"{status:9.3f} {int(kept[size]):9,}   {check:8.3f} {cat:6.3f}")
        shutil.rmtree(folder)
    print()
    limit("adding, by the size of the file", max(adding.values()) / adding[sizes[0]], GROWTH_LIMIT, "{:.1f} times")
    limit("one line beside the most", seconds, SECONDS_LIMIT, "{:.2f} s")
    limit("status of all batches beside the most", status, SECONDS_LIMIT, "{:.2f} s")
    if len(sizes) > 2:
        before, last = ((kept[more] - kept[less]) * 1024 / (more - less) for less, more in (sizes[-3:-1], sizes[-2:]))
        limit(f"memory of a further line ({last:.0f} bytes)", last / before, MEMORY_GROWTH, "{:.2f} times")
    return 1 if missed else 0


if __name__ == "__main__":
    heelcut = os.path.join(os.path.abspath(sys.argv[1]), "heelcut")
    sizes = [size for size in SIZES if size <= int((sys.argv + [SIZES[-1]])[2])]
    with tempfile.TemporaryDirectory() as top:
        library = os.path.join(top, "append.so")
        status = main()
    sys.exit(status)
