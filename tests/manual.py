"""Runs the examples of the manual: every fenced block marked `heel`, `csv` or `console` in README.md and docs/*.md.

The words behind the mark say what is to be done with a block.

    ```heel                         a piece that must check clean: no finding at all. Where it holds no `nursery` block, one
                                    of two lines is put in a file beside it
    ```heel group=G file=NAME       blocks of one group lie in one folder and are checked together; without a file name
                                    they are called example-1.heel, example-2.heel … . A group belongs to its page
    ```heel expect=NAME,NAME        the checks must find these in this block, and no others
    ```heel inside=protocol/stick   clauses, shown without their block: they are put inside `protocol example { stick { … } }`.
                                    What is missing around them (findings `incomplete`) is passed over
    ```heel syntax                  only read, not understood: shows a form; findings other than `syntax` are passed over

    ```csv group=G file=NAME        a plan beside the other files of its group; without a group it is not looked at

    ```console group=G              what a person types and sees. Lines `$ heelcut …` (and others that call heelcut, as in
                                    `$ cat plan.csv | heelcut check -`) are run by sh in the folder of the group, other `$`
                                    lines are not. What follows a line must be what it writes, byte by byte; a line `...`
                                    stands for any number of lines. Without a group the folder is empty; in group=demo it
                                    is a copy of the demo nursery, in group=library a copy of the library lies in the folder
                                    library beside the group's files. The last status must be 0 or 1, or be said: status=2

Commands of a group run in the order of the page, in one folder, after all files of the group are written.

    tests/manual.py [--heelcut PROGRAM] [--demo FOLDER] [PAGE…]
"""

import argparse
import glob
import json
import os
import re
import shutil

from harness import Outcome, Scratch, difference, printable, read, report

ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
NURSERY = 'nursery example "An example" {\n    language 1\n}\n'
UNNAMED = ("take", "hold", "treat", "stick", "climate", "finish")  # blocks that carry no name of their own
OPTIONS = {
    "heel": {"group", "file", "expect", "inside", "syntax"},
    "csv": {"group", "file", "expect"},
    "console": {"group", "status"},
}


class Block:
    def __init__(self, page, line, words, body):
        self.kind, self.body = words[0], body
        self.name = f"{os.path.relpath(page, ROOT)}:{line}"
        self.options = dict(word.partition("=")[::2] for word in words[1:])
        unknown = set(self.options) - OPTIONS[self.kind]
        self.fault = f"unknown words behind ```{self.kind}: {', '.join(sorted(unknown))}" if unknown else ""
        self.group = self.options.get("group", "")

    def text(self):
        """The block as it is written into its file."""
        opened = self.options.get("inside", "").split("/") if "inside" in self.options else []
        heads = "".join(f"{word} {{ " if word in UNNAMED else f"{word} example {{ " for word in opened)
        return heads + ("\n" if heads else "") + self.body + "}\n" * len(opened)


def blocks_of(page):
    """The blocks of a page that are to be run."""
    found, opened, body = [], None, []
    with open(page, encoding="utf-8") as file:
        for number, line in enumerate(file, 1):
            fence = re.match(r"^(`{3,})(.*)$", line.rstrip("\n"))
            if opened is None and fence:
                opened, words, body = (number, fence[1]), fence[2].split(), []
            elif opened and fence and fence[1] == opened[1] and not fence[2].strip():
                lonely_plan = words[:1] == ["csv"] and not any(word.startswith("group=") for word in words)
                if words and words[0] in OPTIONS and not lonely_plan:
                    found.append(Block(page, opened[0], words, "".join(body)))
                opened = None
            elif opened:
                body.append(line)
    return found


def judge_files(scratch, blocks):
    """Checks the folder once; says for each block what is wrong."""
    lonely = not any(re.search(r"^\s*nursery\b", block.body, re.M) for block in blocks)
    if lonely:
        with open(os.path.join(scratch.folder, "nursery.heel"), "w", encoding="utf-8") as file:
            file.write(NURSERY)
    for number, block in enumerate(blocks, 1):
        block.file = block.options.get("file", f"example-{number}.{block.kind}")
        path = os.path.join(scratch.folder, block.file)
        os.makedirs(os.path.dirname(path), exist_ok=True)
        with open(path, "a", encoding="utf-8") as file:
            file.write(block.text())
    result = scratch.run(["heelcut", "check", "--format", "json", "."], merged=False)
    try:
        findings = json.loads(result.stdout)["findings"]
    except (ValueError, KeyError, TypeError):
        trouble = f"status {result.status}\n" + printable(result.stdout + result.stderr) + result.sanitizer
        return [(block, trouble) for block in blocks]
    names = {block.file for block in blocks}
    strays = [f for f in findings if os.path.normpath(f.get("file") or "") not in names]
    outcomes = []
    for block in blocks:
        mine = [f for f in findings if os.path.normpath(f.get("file") or "") == block.file]
        if "inside" in block.options:
            mine = [f for f in mine if f["name"] != "incomplete"]
        if "syntax" in block.options:
            mine = [f for f in mine if f["name"] == "syntax"]
        wanted = set(filter(None, block.options.get("expect", "").split(",")))
        got = {f["name"] for f in mine}
        fault = "".join(f"{name}: expected, not found\n" for name in sorted(wanted - got))
        fault += "".join(f"{f['file']}:{f['line']}: {f['severity']} {f['name']}: {f['message']}\n"
                         for f in mine if f["name"] not in wanted)
        if block is blocks[0] and not any("inside" in b.options or "syntax" in b.options for b in blocks):
            fault += "".join(f"{f.get('file')}: {f['name']}: {f['message']}\n" for f in strays)
        outcomes.append((block, fault + result.sanitizer))
    return outcomes


def commands_of(body):
    """A list of (command, what it should write)."""
    commands = []
    joined = re.sub(r"^(\$ .*)\\\n\s*", r"\1", body, flags=re.M)
    while joined != body:
        body, joined = joined, re.sub(r"^(\$ .*)\\\n\s*", r"\1", joined, flags=re.M)
    for line in body.splitlines(keepends=True):
        if line.startswith("$ "):
            commands.append((line[2:].strip(), []))
        elif commands:
            commands[-1][1].append(line)
    return [(command, "".join(lines)) for command, lines in commands]


def matches(wanted, got):
    """Equal, but for lines `...` in `wanted`, which stand for any lines."""
    pattern = "".join(r"(?:.*\n)*?" if line == "...\n" else re.escape(line) for line in wanted.splitlines(keepends=True))
    return re.fullmatch(pattern, got) is not None


def judge_console(scratch, block):
    commands = [pair for pair in commands_of(block.body) if re.search(r"\bheelcut\b", pair[0])]
    if not commands:
        return None
    fault = ""
    for command, wanted in commands:
        result = scratch.run(command)
        got = printable(result.stdout)
        if not matches(wanted, got):
            fault += f"$ {command}\n" + (difference(wanted.encode(), result.stdout, "output") or "output differs\n")
        fault += result.sanitizer
    allowed = [int(block.options["status"])] if "status" in block.options else [0, 1]
    if result.status not in allowed:
        fault += f"$ {command}\nstatus {result.status}, expected {' or '.join(map(str, allowed))}\n"
    return fault


def judge_page(heelcut, demo, page):
    outcomes = []
    groups = {}
    for block in blocks_of(page):
        if block.fault:
            outcomes.append(Outcome(block.name, block.fault))
        elif block.kind != "console" and not block.group:
            with Scratch(heelcut) as scratch:
                outcomes += [Outcome(b.name, fault) for b, fault in judge_files(scratch, [block])]
        else:
            groups.setdefault(block.group, []).append(block)
    for group, blocks in groups.items():
        with Scratch(heelcut) as scratch:
            files = [block for block in blocks if block.kind != "console"]
            if group == "demo":
                shutil.copytree(demo, scratch.folder, dirs_exist_ok=True)
            if group == "library":
                shutil.copytree(os.path.join(ROOT, "protocols", "library"), os.path.join(scratch.folder, "library"))
            if files:
                outcomes += [Outcome(b.name, fault) for b, fault in judge_files(scratch, files)]
            for block in blocks:
                if block.kind == "console":
                    fault = judge_console(scratch, block)
                    outcomes += [] if fault is None else [Outcome(block.name, fault)]
    return outcomes


def main():
    options = argparse.ArgumentParser(description="Runs the examples of the manual.")
    options.add_argument("--heelcut", default="build/heelcut")
    options.add_argument("--demo", default=os.environ.get("DEMO", "docs/demo"))
    options.add_argument("pages", nargs="*")
    chosen = options.parse_args()
    pages = chosen.pages or [page for page in [os.path.join(ROOT, "README.md")] + sorted(
        glob.glob(os.path.join(ROOT, "docs", "*.md"))) if os.path.exists(page)]
    report([outcome for page in pages for outcome in judge_page(chosen.heelcut, chosen.demo, page)])


main()
