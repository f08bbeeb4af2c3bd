"""Runs inputs that no grower wrote: every file in tests/broken (each named after what it once did or might do), and some
that are too large or too strange to keep, made here.

Whatever the bytes are, `heelcut check FILE` must end within ten seconds with status 0, 1 or 2; say something where the status
is not 0; write at most 64 KiB, with no control character and no bidirectional override in it; leave no file behind; and do
the same when it is run again. The list follows what is known to break parsers: depth, length, number, bytes.

    tests/broken.py [--heelcut PROGRAM] [FOLDER]
"""

import argparse
import glob
import os
import re

from harness import Scratch, printable, read, report, run_all

SECONDS = 10
LARGEST = 64 * 1024
FORBIDDEN = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]")
MIB = 1024 * 1024

MADE = {
    "empty.heel": b"",
    "only-byte-order-mark.heel": b"\xef\xbb\xbf",
    "blocks-64-deep.heel": b"protocol a {" * 64 + b"}" * 64 + b"\n",
    "blocks-65-deep.heel": b"protocol a {" * 65 + b"}" * 65 + b"\n",
    "blocks-a-million-deep.heel": b"a{" * 1_000_000,
    "closing-braces.heel": b"}" * 100_000,
    "parentheses-a-million-deep.heel": b"rule a on batch { when " + b"(" * 1_000_000 + b"}\n",
    "not-a-million-times.heel": b"rule a on batch { when " + b"not " * 1_000_000 + b"depth > 3 cm }\n",
    "and-200000-times.heel": b"rule a on batch { when " + b"depth > 3 cm and " * 200_000 + b"depth > 3 cm }\n",
    "sum-of-200000.heel": b"rule a on batch { when depth > 1 cm " + b"+ 1 cm " * 200_000 + b"}\n",
    "word-of-a-mebibyte.heel": b"protocol " + b"a" * MIB + b" { }\n",
    "text-of-a-mebibyte.heel": b'protocol a "' + b"a" * MIB + b'" { }\n',
    "text-left-open.heel": b'protocol a "' + b"a\n" * 100_000,
    "a-line-of-16-mebibytes.heel": b"#" + b"a" * (16 * MIB - 2) + b"\n",
    "more-than-16-mebibytes.heel": b"#\n" * (8 * MIB + 1),
    "number-of-a-million-digits.heel": b"batch a { depth " + b"9" * 1_000_000 + b" mm }\n",
    "100000-errors.heel": b"batch a { depth depth = }\n" * 100_000,
    "100000-blocks.heel": b"".join(b"container c%d { cells 77 }\n" % n for n in range(100_000)),
    "utf-16.heel": "nursery a { language 1 }\n".encode("utf-16"),
    "every-byte.heel": bytes(range(256)),
    "carriage-returns.heel": b"nursery a {\rlanguage 1\r}\r",
    "format-string.heel": b'batch "%n%s%n%s" { depth %n%s%x mm }\n',
    "terminal-escapes.heel": b'batch \x1b]0;owned\x07 "\x1b[2J" { note "\xc2\x9b31m" }\n',
    "bidirectional-overrides.heel": 'batch a { note "\u202e\u2066 dna" } # \u2067\n'.encode(),
    "a-thousand-columns.csv": b",".join(b"c%d" % n for n in range(1_001)) + b"\n",
    "a-cell-of-a-mebibyte.csv": b"batch,note\na," + b"x" * MIB + b"\n",
    "quote-left-open.csv": b'batch,note\na,"' + b"x\n" * 100_000,
    "ragged.csv": b"batch,depth (mm)\na\nb,1,2,3\n\n,\n",
}


def judge(heelcut, test):
    name, data = test
    fault = ""
    with Scratch(heelcut) as scratch:
        with open(os.path.join(scratch.folder, name), "wb") as file:
            file.write(data)
        result = scratch.run(["heelcut", "check", name], limit=SECONDS)
        text = result.stdout.decode("utf-8", errors="replace")
        if result.status not in (0, 1, 2):
            fault += f"status {result.status}\n"
        if result.status != 0 and not text.strip():
            fault += f"status {result.status} without a word\n"
        if len(result.stdout) > LARGEST:
            fault += f"{len(result.stdout)} bytes of messages\n"
        forbidden = FORBIDDEN.search(text)
        if forbidden or "\ufffd" in text:
            fault += f"writes {ascii(forbidden[0]) if forbidden else 'bytes that are not UTF-8'}\n"
        if os.listdir(scratch.folder) != [name]:
            fault += f"leaves behind {sorted(os.listdir(scratch.folder))}\n"
        if not fault and scratch.run(["heelcut", "check", name], limit=SECONDS)[:2] != result[:2]:
            fault += "a second run differs\n"
    if fault:
        fault += printable(result.stdout[:2000])
    return fault + result.sanitizer


def main():
    options = argparse.ArgumentParser(description="Runs inputs that no grower wrote.")
    options.add_argument("--heelcut", default="build/heelcut")
    options.add_argument("folder", nargs="?", default=os.path.join(os.path.dirname(__file__), "broken"))
    chosen = options.parse_args()
    kept = [path for path in sorted(glob.glob(os.path.join(chosen.folder, "*"))) if os.path.isfile(path)]
    tests = [(os.path.basename(path), read(path)) for path in kept] + sorted(MADE.items())
    report(run_all(tests, lambda test: judge(chosen.heelcut, test), lambda test: "broken/" + test[0]))


main()
