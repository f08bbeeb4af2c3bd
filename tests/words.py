#!/usr/bin/env python3
"""Holds the program's words in other languages to what they translate.

Each catalogue in protocols/words has every word of the sheets, none in doubt and none that is no longer said: the tools of
GNU gettext (xgettext, msgmerge, msgattrib, msgfmt) read the sources and say so. With a word taken out, marked as doubtful or
changed in the source, the same question must find fault, or the answer would be worth nothing. And the glossary that ships
lacks no text of the library nor of the files that a nursery begins with.

    tests/words.py [--heelcut PROGRAM]
"""

import argparse
import glob
import json
import os
import re
import subprocess
import tempfile

from harness import Scratch, report, run_all

ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
WORDS = os.path.join(ROOT, "protocols", "words")
EXTRACT = ["xgettext", "--language=C", "--from-code=UTF-8", "--no-location", "--omit-header", "--keyword",
           "--keyword=worded:2", "--keyword=say:2", "--keyword=worded_count:2,3", "--keyword=WORDED:1",
           "--flag=worded:2:pass-c-format", "--flag=say:2:pass-c-format",
           "--flag=worded_count:2:pass-c-format", "--flag=worded_count:3:pass-c-format"]


def tool(*words):
    return subprocess.run(words, capture_output=True, text=True, check=True, env={**os.environ, "LC_ALL": "C.UTF-8"}).stdout


def faults_of(sources, catalogue):
    """What a catalogue lacks of the words in the sources, or has too much."""
    with tempfile.TemporaryDirectory() as folder:
        said, merged = os.path.join(folder, "said.pot"), os.path.join(folder, "merged.po")
        tool(*EXTRACT, "-o", said, *sources)
        tool("msgfmt", "--check", "-o", os.devnull, catalogue)
        tool("msgmerge", "--quiet", "--no-fuzzy-matching", "-o", merged, catalogue, said)
        faults = ""
        for kind in ("untranslated", "only-fuzzy", "only-obsolete"):
            found = re.findall(r'^(?:#~ )?msgid (.*)$', tool("msgattrib", f"--{kind}", merged), re.M)
            faults += "".join(f"{os.path.basename(catalogue)}: {kind}: {text}\n" for text in found if text != '""')
    return faults


def sources():
    return sorted(glob.glob(os.path.join(ROOT, "src", "*", "*.c")))


def complete(_):
    catalogues = glob.glob(os.path.join(WORDS, "*.po"))
    return "".join(faults_of(sources(), path) for path in catalogues) if catalogues else "there is no catalogue"


def spoilt(_):
    """Each way in which a catalogue can fall behind is found."""
    with open(os.path.join(WORDS, "es.po"), encoding="utf-8") as file:
        text = file.read()
    ways = {"a word is missing": text.replace('msgid "keep to: "\nmsgstr "respete: "\n', ""),
            "a word is empty": text.replace('msgstr "respete: "', 'msgstr ""'),
            "a word is in doubt": text.replace('msgid "keep to: "', '#, fuzzy\nmsgid "keep to: "'),
            "a word is no longer said": text.replace('msgid "keep to: "', 'msgid "stick to: "')}
    faults = ""
    with tempfile.TemporaryDirectory() as folder:
        for name, changed in ways.items():
            path = os.path.join(folder, "es.po")
            with open(path, "w", encoding="utf-8") as file:
                file.write(changed)
            faults += "" if changed != text and faults_of(sources(), path) else f"not found: {name}\n"
    return faults


def covered(heelcut, prepare):
    """What a nursery of files that ship lacks in Spanish once it prints its sheets in Spanish too."""
    with Scratch(heelcut) as scratch:
        scratch.run(prepare)
        result = scratch.run("sed -i 's/^  language .*/&\\n  sheets en, es/' nursery/nursery.heel && grep -q '^  sheets' "
                             "nursery/nursery.heel && heelcut check --format json nursery", merged=False)
        if result.sanitizer or not result.stdout:
            raise RuntimeError(result.sanitizer or result.stderr.decode())
    found = json.loads(result.stdout)["findings"]
    return "".join(f"{finding['file']}:{finding['line']}: {finding['message']}\n" for finding in found
                   if finding["name"] in ("untranslated", "stale-translation"))


def library(heelcut):
    return covered(heelcut, 'cp -r "$ROOT/protocols/library" nursery')


def begun(heelcut):
    return covered(heelcut, "heelcut new nursery nursery")


def main():
    options = argparse.ArgumentParser(description="Holds the words in other languages to what they translate.")
    options.add_argument("--heelcut", default="build/heelcut")
    heelcut = options.parse_args().heelcut
    tests = {"the catalogues have every word of the sheets": complete,
             "a catalogue that falls behind is found": spoilt,
             "the library can be printed in Spanish": library,
             "what a nursery begins with can be printed in Spanish": begun}
    report(run_all(list(tests), lambda name: tests[name](heelcut), str))


main()
