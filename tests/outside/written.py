#!/usr/bin/env python3
"""Holds what heelcut writes against readers and schemas of other makers, on the demo nursery and on one full of faults.

    tests/outside/written.py BUILD

- SARIF by the published schema (version 2.1.0, errata 01, as packed in @microsoft/jest-sarif), judged by ajv, and by what
  hosts require beyond it (https://docs.github.com/en/code-security/code-scanning: SARIF support).
- JSON of findings, tasks, explanations, reasons, figures and differences by docs/*.schema.json, judged by ajv.
- Calendars (RFC 5545) by python3-vobject and by ical.js, whose events must be those of the JSON form.
- CSV (RFC 4180) by Python's reader, whose rows must be those of the JSON form.

Each check is made a second time on a spoilt document, which has to be refused.
"""
import csv
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile

import vobject

ROOT = os.path.abspath(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".."))
SARIF_SCHEMA = os.path.join(os.environ["NODE_PATH"], "@microsoft/jest-sarif/lib/schemas/sarif-2.1.0-rtm.5.json")
RESULTS = 5000  # that hosts keep of one run
FAULTS = 6000
failed = False


def say(name, fault):
    global failed
    failed = failed or bool(fault)
    print(f"not ok {name}\n    {fault}" if fault else f"ok {name}")


def written(folder, *words):
    """What a heelcut command writes to standard output, as bytes."""
    result = subprocess.run([os.environ["HEELCUT"], *words, "--today", "2027-06-01", "."], cwd=folder, capture_output=True)
    if result.returncode not in (0, 1):
        raise SystemExit(f"not ok {' '.join(words)}: status {result.returncode}\n    {result.stderr.decode()}")
    return result.stdout


def by_schema(schema, path):
    """What ajv says against a document: "" when nothing."""
    line = subprocess.run(["node", os.path.join(ROOT, "tests/outside/validate.mjs"), schema, path],
                          capture_output=True, text=True)
    answer = (line.stdout or line.stderr).strip()
    return "" if answer == f"{path}: ok" else answer or "no answer"


def keep(folder, name, content):
    path = os.path.join(folder, name)
    with open(path, "wb") as file:
        file.write(content)
    return path


def judge_document(name, schema, folder, document, spoil):
    say(f"{name} passes its schema", by_schema(schema, keep(folder, name, document)))
    broken = json.loads(document)
    spoil(broken)
    refused = by_schema(schema, keep(folder, name + ".spoilt", json.dumps(broken).encode()))
    say(f"{name}, spoilt, does not", "" if refused else "ajv passes it")


# ---------------------------------------------------------------- what hosts require of SARIF beyond the schema

def host_faults(document):
    runs = document["runs"]
    if len(runs) != 1:
        yield "more than one run"
    rules = runs[0]["tool"]["driver"]["rules"]
    if len({rule["id"] for rule in rules}) != len(rules):
        yield "a rule stands there twice"
    for rule in rules:
        for part in ("shortDescription", "fullDescription", "help"):
            if not rule.get(part, {}).get("text"):
                yield f"rule {rule['id']}: no {part}"
        if rule.get("defaultConfiguration", {}).get("level") not in ("error", "warning", "note"):
            yield f"rule {rule['id']}: no level"
    results = runs[0]["results"]
    if len(results) > RESULTS:
        yield f"{len(results)} results"
    fingerprints = set()
    degree = ["error", "warning", "note"]
    order = [degree.index(result["level"]) for result in results]
    if order != sorted(order):
        yield "the most severe do not come first"
    for result in results:
        if rules[result["ruleIndex"]]["id"] != result["ruleId"]:
            yield f"{result['ruleId']}: another rule at its index"
        fingerprint = result["partialFingerprints"].get("primaryLocationLineHash")
        if not fingerprint:
            yield f"{result['ruleId']}: no fingerprint"
        if fingerprint in fingerprints:
            yield f"{result['ruleId']}: the fingerprint of another, {fingerprint}"
        fingerprints.add(fingerprint)
        first = re.split(r"(?<=[.!?])\s", result["message"]["text"])[0]
        if not re.search(r"[^.][.!?]$", first):
            yield f"{result['ruleId']}: the first sentence is '{first}'"
        if not result["locations"]:
            yield f"{result['ruleId']}: no place"
        for place in result["locations"] + result["relatedLocations"]:
            where = place["physicalLocation"]
            uri, region = where["artifactLocation"]["uri"], where["region"]
            if not uri or uri.startswith(("/", "./", "../")) or ":" in uri.split("/")[0]:
                yield f"{uri}: not relative to the root"
            start = (region["startLine"], region["startColumn"])
            if min(start) < 1 or start > (region["endLine"], region["endColumn"]):
                yield f"{uri}: region {region}"


def lost_findings(sarif, findings):
    """What the SARIF neither lists nor says that it left out, beside the counts of the JSON; and what the JSON lacks."""
    summary = findings["summary"]
    total = summary["errors"] + summary["warnings"] + summary["notes"]
    if total != len(findings["findings"]) + findings["dropped"]:
        return f"{total} counted, {len(findings['findings'])} listed, {findings['dropped']} dropped"
    run = sarif["runs"][0]
    if len(run["results"]) != min(total, RESULTS):
        return f"{total} findings, {len(run['results'])} results"
    told = [note["message"]["text"] for note in run["invocations"][0].get("toolExecutionNotifications", [])]
    wanted = [f"{total - RESULTS} more"] if total > RESULTS else []
    return "" if [" ".join(text.split()[:2]) for text in told] == wanted else f"left out: {wanted}, told: {told}"


def spoil_sarif(document):
    del document["runs"][0]["results"][0]["message"]


def spoil_for_hosts():
    """What no host takes, one fault at a time: a name, and what makes it of the results and rules of a document."""
    def place(results):
        return results[0]["locations"][0]["physicalLocation"]
    return {
        "a rule without full description": lambda results, rules: rules[0]["fullDescription"].update(text=""),
        "a rule without help": lambda results, rules: rules[0].pop("help"),
        "a rule twice": lambda results, rules: rules.append(rules[0]),
        "too many results": lambda results, rules: results.extend(results[-1:] * RESULTS),
        "a note first": lambda results, rules: results[0].update(level="note"),
        "a wrong index": lambda results, rules: results[0].update(ruleIndex=(results[0]["ruleIndex"] + 1) % len(rules)),
        "no fingerprint": lambda results, rules: results[0]["partialFingerprints"].clear(),
        "one fingerprint twice": lambda results, rules: results[0].update(partialFingerprints=results[1]["partialFingerprints"]),
        "half a sentence": lambda results, rules: results[0]["message"].update(text="depth is not 12 .. 25 mm."),
        "no place": lambda results, rules: results[0]["locations"].clear(),
        "an absolute path": lambda results, rules: place(results)["artifactLocation"].update(uri="/srv/plan.heel"),
        "a column 0": lambda results, rules: place(results)["region"].update(startColumn=0),
        "an end before the begin": lambda results, rules: place(results)["region"].update(endLine=0),
    }


def judge_reports(name, folder):
    sarif = written(folder, "check", "--format", "sarif")
    judge_document(f"{name}.sarif", SARIF_SCHEMA, folder, sarif, spoil_sarif)
    say(f"{name}.sarif keeps the rules of hosts", "; ".join(list(host_faults(json.loads(sarif)))[:5]))
    unnoticed = []
    for what, spoil in spoil_for_hosts().items():
        broken = json.loads(sarif)
        spoil(broken["runs"][0]["results"], broken["runs"][0]["tool"]["driver"]["rules"])
        if not list(host_faults(broken)):
            unnoticed.append(what)
    say(f"{name}.sarif, spoilt for hosts in {len(spoil_for_hosts())} ways, does not", ", ".join(unnoticed))
    findings = written(folder, "check", "--format", "json")
    say(f"{name}: both forms tell of every finding", lost_findings(json.loads(sarif), json.loads(findings)))
    schema = os.path.join(ROOT, "docs/findings.schema.json")
    judge_document(f"{name}.findings.json", schema, folder, findings, lambda d: d["findings"][0].update(severity="bad"))


# ---------------------------------------------------------------- tasks

def judge_csv(tasks, folder):
    text = written(folder, "tasks", "--format", "csv").decode()
    rows = list(csv.DictReader(text.splitlines(keepends=True), strict=True))
    fault = "" if len(rows) == len(tasks) else f"{len(rows)} rows of {len(tasks)} tasks"
    for row, task in zip(rows, tasks):
        wanted = {"id": task["id"], "plant": task["plant"] or "", "planned": task["planned"] or "", "latest": task["latest"],
                  "count": "" if task["count"] is None else str(task["count"]), "state": task["state"],
                  "say": task["say"].get("", "")}
        wrong = {key: (row[key], value) for key, value in wanted.items() if row[key] != value}
        fault = fault or (f"{task['id']}: {wrong}" if wrong else "")
        if None in row or any(cell and cell[0] in "=+@-\t" for cell in row.values()):
            fault = fault or f"{task['id']}: a cell too many, or one that a spreadsheet would calculate"
    say(f"csv of {len(tasks)} tasks by Python's reader", fault)


def judge_calendar(tasks, folder):
    path = keep(folder, "tasks.ics", written(folder, "tasks", "--format", "calendar"))
    wanted = {task["id"]: task["planned"] or task["earliest"] for task in tasks}
    with open(path, encoding="utf-8", newline="") as file:
        text = file.read()
    events = next(vobject.readComponents(text, validate=True)).contents["vevent"]
    theirs = {event.uid.value.rpartition("@")[0]: event.dtstart.value.isoformat() for event in events}
    say(f"calendar of {len(wanted)} events by vobject", difference(wanted, theirs))
    long = [line for line in text.split("\r\n") if len(line.encode()) > 75]
    say("calendar lines have at most 75 bytes and end with CR LF", long[0] if long else "" if "\n" not in text.replace("\r\n", "") else "LF")

    script = os.path.join(ROOT, "tests/outside/calendar.mjs")
    lines = subprocess.run(["node", script, path], capture_output=True, text=True, check=True).stdout.splitlines()
    read = [json.loads(line) for line in lines]
    say(f"calendar of {len(wanted)} events by ical.js", difference(wanted, {e["uid"].rpartition("@")[0]: e["start"] for e in read}))
    said = {task["id"]: task["say"].get("", "") for task in tasks}
    lost = [e["uid"] for e in read if not e["description"].startswith(said[e["uid"].rpartition("@")[0]])]
    say("ical.js reads the texts as they were written", lost[0] if lost else "")


def difference(wanted, got):
    for key in wanted.keys() | got.keys():
        if wanted.get(key) != got.get(key):
            return f"{key}: {got.get(key)} instead of {wanted.get(key)}"
    return "" if wanted else "there is no event"


def judge_tasks(folder):
    document = written(folder, "tasks", "--format", "json")
    judge_document("tasks.json", os.path.join(ROOT, "docs/tasks.schema.json"), folder, document,
                   lambda d: d["tasks"][0].update(planned="1 Jun"))
    tasks = json.loads(document)["tasks"]
    judge_csv(tasks, folder)
    judge_calendar(tasks, folder)


def judge_explanations(folder):
    schema = os.path.join(ROOT, "docs/explain.schema.json")
    for words, spoil in ((["count"], lambda d: d["pages"][0].update(kind="bad")),
                         (["mist-shrubs"], lambda d: d["pages"].append({})), ([], lambda d: d["names"][0].update(kind="bad"))):
        document = subprocess.run([os.environ["HEELCUT"], "explain", *words, "--format", "json"], cwd=folder,
                                  capture_output=True, check=True).stdout
        judge_document("-".join(["explain", *words]) + ".json", schema, folder, document, spoil)


def judge_figures(folder):
    schema = os.path.join(ROOT, "docs/figures.schema.json")
    for words, key in ((["yield"], "left_pct"), (["cost"], "each"), (["amounts"], "low"), (["amounts", "--explain"], "formula"),
                       (["load"], "sure_pct"), (["work"], "hours_low"), (["status"], "alive"), (["review"], "share_pct"),
                       (["review", "--by", "year"], "beside"), (["review", "--course"], "alive_pct"), (["check", "--sources"], "seen")):
        document = written(folder, *words, "--format", "json")
        name = "-".join(words) + ".json"
        judge_document(name, schema, folder, document, lambda d: d["rows"][0].update({key: {}}))
        judge_document(name, schema, folder, document, lambda d: d["rows"][0].update(other=1))
        rows = list(csv.DictReader(written(folder, *words, "--format", "csv").decode().splitlines(keepends=True), strict=True))
        told = json.loads(document)["rows"]
        unlike = [key for row, cells in zip(told, rows) for key in row
                  if str("" if row[key] is None else row[key]) != cells[key]
                  and not (isinstance(row[key], float) and float(cells[key]) == row[key])]
        say(f"{name}: CSV has the same {len(told)} rows", "" if len(rows) == len(told) and not unlike else f"{unlike[:3]}")


def judge_reasons(folder):
    schema = os.path.join(ROOT, "docs/why.schema.json")
    for words in (["H27-05", "depth"], ["H27-05", "finish"], ["blueberry-tent", "losses"]):
        document = subprocess.run([os.environ["HEELCUT"], "why", *words, "--format", "json", "--today", "2027-06-01"], cwd=folder,
                                  capture_output=True, check=True).stdout
        judge_document("-".join(["why", *words]) + ".json", schema, folder, document, lambda d: d["answers"][0].pop("title"))


def faulty_nursery(folder):
    """More findings than hosts keep, on names and texts that need escaping, with empty reasons and equal mistakes."""
    os.mkdir(folder)
    rows = "".join(f'"B{i}","p",{i % 7 + 1},{20 + i % 40}\n' for i in range(FAULTS))
    keep(folder, "plan of \u00e4lder, 50 %.csv", ("batch,follow,count,depth (mm)\n" + rows).encode())
    keep(folder, "nursery.heel", (
        'nursery n "N \\"quoted\\" \\\\" { language 1; use "plan of \u00e4lder, 50 %.csv", "p.heel" }\n').encode())
    keep(folder, "p.heel", ('protocol p "Ünïcode, \\"quotes\\", back\\\\slash" { for Alnus glutinosa\n'
                            '  stick { must depth 5 .. 15 mm because "line\\n, \\"quote\\" and ümlaut" }\n'
                            '  stage root { lasts 3 weeks; losses 5 % }\n}\n'
                            'protocol q "Q" { for Alnus glutinosa\n  bogus 1; bogus 1\n'
                            '  stick { must depth-top 5 .. 15 mm because "" instead "Do so." }\n'
                            '  stage root { lasts 3 weeks; losses 5 % }\n}\n'
                            'rule few-trays on batch {\n  when trays > 2\n  error "Too many trays."\n  because ""\n'
                            '  breaks { trays 3 }\n  passes { trays 2 }\n}\n'
                            'batch Q1 { follow q; count 5; depth-top 30 mm; trays 3 }\n').encode())
    return folder


# ---------------------------------------------------------------- differences

def judge_differences(top):
    """The cases' pairs of files, and a plan under one of them."""
    cases = os.path.join(ROOT, "tests/cases/diff")
    schema = os.path.join(ROOT, "docs/diff.schema.json")
    unlike = []
    for name in sorted(os.listdir(cases)):
        pair = [os.path.join(cases, name, side + ".heel") for side in ("old", "new")]
        if not all(map(os.path.exists, pair)):
            continue
        result = subprocess.run([os.environ["HEELCUT"], "diff", "--format", "json", *pair], capture_output=True)
        if result.stdout:
            fault = by_schema(schema, keep(top, "diff.json", result.stdout))
            unlike += [f"{name}: {fault}"] if fault else []
    say("diff.json of all cases passes its schema", "; ".join(unlike[:3]))
    case = os.path.join(cases, "plan-json")
    result = subprocess.run([os.environ["HEELCUT"], "diff", "--format", "json", "--plan", "plan.heel", "--today", "2027-06-01",
                             "old.heel", "new.heel"], cwd=case, capture_output=True)
    judge_document("diff-of-a-plan.json", schema, top, result.stdout, lambda d: d["changes"][0].update(direction="sideways"))
    spoilt = json.loads(result.stdout)
    spoilt["plan"]["batches"][0]["tasks"][0]["sooner"] = 1
    say("diff-of-a-plan.json with a key too many does not",
        "" if by_schema(schema, keep(top, "spoilt.json", json.dumps(spoilt).encode())) else "ajv passes it")


with tempfile.TemporaryDirectory() as top:
    demo = os.path.join(top, "demo")
    shutil.copytree(os.path.join(ROOT, "docs/demo"), demo)
    judge_reports("demo", demo)
    judge_tasks(demo)
    judge_explanations(demo)
    judge_figures(demo)
    judge_reasons(demo)
    judge_differences(top)
    faulty = faulty_nursery(os.path.join(top, "faulty"))
    judge_reports("faulty", faulty)
    errors = json.loads(written(faulty, "check", "--format", "json"))["summary"]["errors"]
    say(f"faulty has over {FAULTS} errors", "" if errors > FAULTS else f"it has {errors}")
sys.exit(1 if failed else 0)
