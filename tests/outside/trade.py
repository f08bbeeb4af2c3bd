#!/usr/bin/env python3
"""Figures that were published, or that everybody in the trade reckons the same way, put through the whole program.

    tests/outside/trade.py BUILD

Each check states the input, what is to come out, and whose figure it is: a bulletin, a paper, a handbook, or `rule of the trade`.
Where the source prints a slip of its own (72 F as 24 C, 15 October + 30 days as 15 November) the right value is asked for and the
printed one must be refused. Nothing is reckoned here that the program could get wrong in the same way: the right side is the
published number.
"""
import json
import os
import subprocess
import sys
import tempfile

HEELCUT = os.path.join(os.path.abspath(sys.argv[1]), "heelcut")
TODAY = "2025-01-01"
HEAD = 'nursery t "Invented" {{ language 1; settling 15 %; wage {1} EUR per hour }}\nsite yard {{ latitude 45 deg; first-frost 15 Oct }}\n{0}\n'
CARD = """protocol p {{
  for Exemplum primum
  take {{ window all year; wood softwood; {take} }}
  treat {{ {treat} }}
  stick {{ {stick} }}
  climate {{ enclosure bench; keep shade 50 % }}
  {stages}
  finish {{ {finish} }}
}}
batch B {{ follow p; plant Exemplum primum; {batch} }}
"""
ROOT = 'stage root {{ lasts {0}; {1} task look {{ say "Count."; every 1 week; count rooted }}; task out {{ say "Rooted."; at end }} }}'


def run(command, text, *options, form="json", wage="0"):
    with tempfile.TemporaryDirectory() as folder:
        with open(os.path.join(folder, "nursery.heel"), "w", encoding="utf-8") as file:
            file.write(HEAD.format(text, wage))
        asked = subprocess.run([HEELCUT, command, "--today", TODAY, *options, *(["--format", form] if form else [])], cwd=folder,
                               capture_output=True, text=True)
    if asked.returncode > 1 or not asked.stdout:
        raise ValueError(asked.stderr + asked.stdout)
    return json.loads(asked.stdout) if form == "json" else asked.stdout


def card(lasts="4 weeks", losses="", batch="stick 2 Jun 2025", take="", treat="", stick="", stages="", finish=""):
    loss = f"losses {losses};" if losses else ""
    return CARD.format(take=take, treat=treat, stick=stick, stages=stages or ROOT.format(lasts, loss), finish=finish, batch=batch)


def found(text):
    """The names of all findings."""
    return {finding["name"] for finding in run("check", text)["findings"]}


# ---------------------------------------------------------------- yields


def staged(*losses):
    rest = "".join(f" stage s{i} {{ lasts 1 week; losses {loss} }}" for i, loss in enumerate(losses[1:]))
    return ROOT.format("4 weeks", f"losses {losses[0]};") + rest


def yields(losses, count=100, want=None):
    wanted = f"; want {want} by 1 Jun 2027" if want else ""
    rows = run("yield", card(stages=staged(*losses), batch=f"stick 2 Jun 2025; count {count}{wanted}"))["rows"]
    return rows[-1]


def to_stick(want, *losses):
    return yields(losses, want=want)["needed_on_average"]


def finished(count, *losses):
    return yields(losses, count=count)["finished_expected"]


# ---------------------------------------------------------------- findings


PLANT = """protocol p {{
  for {plant}
  take {{ window {window}; wood softwood{take} }}
  climate {{ enclosure bench; keep shade 50 % }}
  {stages}
  {more}
}}
batch B {{ follow p; plant {plant}; {batch} }}
"""


def told(finding, plant="Exemplum primum", window="all year", take="", stages="", more="", batch="stick 2 Jun 2025", **winter):
    """Whether a planned batch of a real plant, with what ships of it, is told so."""
    rest = f" stage winter {{ lasts until mid Mar; {winter['winter']} }}" if winter else ""
    text = PLANT.format(plant=plant, window=window, take=take, stages=(stages or ROOT.format("4 weeks", "")) + rest, more=more, batch=batch)
    return finding in found(text)


# ---------------------------------------------------------------- amounts


def amounts(kind, text):
    return [row for row in run("amounts", text)["rows"] if row["kind"] == kind]


def solution(substance, dose):
    shelf = f'substance jar "A jar" {{ {substance}; caution "Goggles." }}\n'
    rows = amounts("solution", shelf + card(batch=f"stick 2 Jun 2025; count 10; hormone {dose}"))
    return rows[0]["what"].split(": ")[1], rows[0]["low"]


def concentrate(ppm, dose, contains="IBA", makes="quick-dip, soak"):
    return solution(f"contains {contains}; concentration {ppm} ppm; makes {makes}", dose)[0].split(" of ")[0]


def grams(purity, dose, contains="IBA", more=""):
    return solution(f"contains {contains}; purity {purity} %; makes quick-dip, soak{more}", dose)[1]


def trays(count, cells):
    row = amounts("containers", f"container t {{ cells {cells} }}\n" + card(batch=f"stick 2 Jun 2025; count {count}; into t"))[0]
    return row["low"]


def mix(parts, litres):
    """Litres of each component when so many are filled, the settling counted out again."""
    box = f"container t {{ cells 1; volume {litres} L }}\n"
    rows = amounts("medium", box + card(stick=f"medium {parts}", batch="stick 2 Jun 2025; count 1; trays 1; into t"))
    return [round(row["low"] / 1.15) for row in rows]  # told to a tenth of a litre


def medium(count, cells, millilitres):
    box = f"container t {{ cells {cells}; volume {millilitres} mL }}\n"
    rows = amounts("medium", box + card(stick="medium 1 peat", batch=f"stick 2 Jun 2025; count {count}; into t"))
    return rows[0]["low"]


def plants(count, gives):
    stock = f"stock row {{ gives {gives} per plant }}\n"
    return amounts("stock plants", stock + card(batch=f"stick 2 Jun 2025; count {count}; material row"))[0]["low"]


def hours(count, work):
    row = amounts("hours", card(stick=f"work {work} per hour", batch=f"stick 2 Jun 2025; count {count}"))[0]
    return row["low"], row["high"]


def fits(count, box, spacing):
    text = f"container t {{ inside {box} }}\n" + card(batch=f"stick 2 Jun 2025; count {count}; trays 1; into t; spacing {spacing}")
    return "too-few-cells" not in found(text)


def bench_holds(count):
    text = (f"container t {{ cells 1; footprint 0.28 x 0.54 m }}\nplace bench {{ site yard; enclosure bench; inside 1.8 x 30 m }}\n" +
            card(batch=f"stick 2 Jun 2025; count {count}; trays {count}; into t; stands bench"))
    return "over-full" not in found(text)


def each_costs(price, losses):
    text = ("variety v { species Exemplum primum; protected no; cutting-price " + price + " EUR per cutting }\n" +
            card(losses=losses, batch="stick 2 Jun 2025; count 1000").replace("plant Exemplum primum", "plant v"))
    return run("cost", text)["rows"][0]["each"]


def labour(pace, wage, count):
    """What the work of sticking costs for all and for one, at a pace and a wage of an hour."""
    text = card(losses="0 %", stick=f"work {pace} per hour", batch=f"stick 2 Jun 2025; count {count}")
    row = run("cost", text, wage=wage)["rows"][0]
    return row["work_high"], row["each"]


def pays(losses):
    text = card(losses=losses, finish="pays at least 50 % rooted", batch="stick 2 Jun 2025; count 1000")
    return run("cost", text)["rows"][0]["verdict"] != "does not pay"


# ---------------------------------------------------------------- days


def rooted(stuck, lasts, before="", after=""):
    stages = ROOT.format(lasts, "") + after
    tasks = run("tasks", before + card(stages=stages, batch=f"stick {stuck}"), "--from", "2025-01-01", "--to", "2029-12-31")["tasks"]
    return {task["task"]: (task["earliest"], task["latest"]) for task in tasks}


def out(stuck, lasts):
    return rooted(stuck, lasts)["out"]


def frost(days):
    return rooted("2 Jun 2025", "4 weeks", after=f' stage grow {{ lasts 30 weeks; task cover {{ say "Cover."; at {days} days after first-frost }} }}')["cover"]


def stick_until(by, lasts):
    return run("yield", card(lasts=lasts, losses="0 %", batch="stick 2 Feb 2026; count 10; want 10 by " + by))["rows"][-1]["stick_latest"]


# ---------------------------------------------------------------- pairs of units and limits


def agrees(clause, inside="stick"):
    return "restated-value" not in found(card(**{inside: clause}))


def allows(section, limit, said, more=""):
    """A batch that says so is inside what the protocol says, to the last digit."""
    names = found(more + card(**{section: limit}, batch=f"stick 2 Jun 2025; {said}"))
    return not names & {limit.split()[0].removeprefix("must "), said.split()[0]}


def deep_in(cell, length, depth):
    text = f"container t {{ cells 1; deep {cell} }}\n" + card(batch=f"stick 2 Jun 2025; count 1; into t; length {length}; depth {depth}")
    return "deeper-than-cell" not in found(text.replace("wood softwood", "wood hardwood; top-cut 45 deg; base-cut 90 deg"))


# what, what comes out, what is to come out, whose figure
CHECKS = [
    ("0.8 % talc is 8,000 ppm", lambda: allows("treat", "hormone IBA 8000 ppm talc", "hormone IBA 0.8 % talc"), True, "carriers of auxin"),
    ("0.3 % talc is 3,000 ppm", lambda: allows("treat", "hormone IBA 3000 ppm talc", "hormone IBA 0.3 % talc"), True, "carriers of auxin"),
    ("0.8 % talc is not 800 ppm", lambda: allows("treat", "hormone IBA 800 ppm talc", "hormone IBA 0.8 % talc"), False, "carriers of auxin"),
    ("5,000 mg/kg talc is 0.5 %", lambda: allows("treat", "hormone IBA 0.5 % talc", "hormone IBA 5000 mg/kg talc"), True, "florists' hydrangea"),
    ("10,000 ppm to 2,500", lambda: concentrate(10000, "IBA 2500 ppm quick-dip 5 s"), "1 + 3", "rule of the trade"),
    ("10,000 ppm at 1 + 9", lambda: concentrate(10000, "IBA 1000 ppm quick-dip 5 s"), "1 + 9", "rule of the trade"),
    ("1 + 10 is 1 in 11", lambda: allows("treat", "dilution 1 in 11", "dilution 1 + 10"), True, "rule of the trade"),
    ("1 + 10 is not 1 in 10", lambda: allows("treat", "dilution 1 in 10", "dilution 1 + 10"), False, "rule of the trade"),
    ("a bare 1:10 is refused", lambda: "value" in found(card(treat="dilution 1:10")), True, "rule of the trade"),
    ("1.0 % IBA with 0.5 % NAA at 1 + 9", lambda: concentrate(15000, "IBA NAA 1500 ppm quick-dip 5 s", "IBA, NAA"), "1 + 9", "rule of the trade"),
    ("the same at 1 + 19", lambda: concentrate(15000, "IBA NAA 750 ppm quick-dip 5 s", "IBA, NAA"), "1 + 19", "rule of the trade"),
    ("5,000 ppm, pure, half a litre", lambda: grams(100, "IBA 5000 ppm quick-dip 5 s") / 2, 2.5, "rule of the trade"),
    ("5,000 ppm, 98 %, half a litre", lambda: round(grams(98, "IBA 5000 ppm quick-dip 5 s") / 2, 3), 2.551, "rule of the trade"),
    ("1,000 mg/L of acid as its potassium salt, mg", lambda: round(grams(100, "K-IBA 1000 ppm quick-dip 5 s", "K-IBA", "; acid-factor 1.1874") * 1000),
     1187, "molar masses 241.33 and 203.24"),
    ("60 ppm soak, 10 litres", lambda: round(grams(100, "IBA 60 ppm soak 3 h") * 10, 3), 0.6, "IBA for rooting rosemary"),
    ("5.25 % down to 0.525 %", lambda: concentrate(52500, "IBA 5250 ppm soak 1 min"), "1 + 9", "sanitising tools, the same reckoning"),
    ("8.25 % down to 0.525 %", lambda: concentrate(82500, "IBA 5250 ppm soak 1 min"), "1 + 14 5/7", "sanitising tools, the same reckoning"),
    ("70 .. 75 F is 21.1 .. 23.9 C", lambda: agrees("} climate { keep medium-temperature 70 .. 75 F (21.1 .. 23.9 C)"), True, "database record 371"),
    ("75 .. 80 F is 23.9 .. 26.7 C", lambda: agrees("} climate { keep medium-temperature 75 .. 80 F (23.9 .. 26.7 C)"), True, "database record 189"),
    ("65 .. 70 F is 18.3 .. 21.1 C", lambda: agrees("} climate { keep medium-temperature 65 .. 70 F (18.3 .. 21.1 C)"), True, "database record 364"),
    ("40 F is 4.4 C", lambda: agrees("} climate { keep medium-temperature 40 F (4.4 C)"), True, "container stock in cold weather"),
    ("40 F is not 7.2 C, as printed", lambda: agrees("} climate { keep medium-temperature 40 F (7.2 C)"), False, "container stock in cold weather"),
    ("70 .. 72 F is 21 .. 22.2 C", lambda: agrees("} climate { keep medium-temperature 70 .. 72 F (21.1 .. 22.2 C)"), True, "article on a salvia"),
    ("70 .. 72 F is not 21 .. 24 C, as printed", lambda: agrees("} climate { keep medium-temperature 70 .. 72 F (21 .. 24 C)"), False, "article on a salvia"),
    ("22 C is 71.6 F", lambda: agrees("} climate { keep medium-temperature 22 C (71.6 F)"), True, "florists' hydrangea"),
    ("-9 F is -22.8 C", lambda: agrees("} climate { keep medium-temperature -9 F (-22.8 C)"), True, "cold injury, Georgia"),
    ("16 .. 18 in, printed as 40 .. 45 cm", lambda: agrees("length 16 .. 18 in (40 .. 45 cm)", "take"), True, "making grape cuttings"),
    ("3 in, printed as 7.5 cm", lambda: agrees("length 3 in (7.5 cm)", "take"), True, "small willows"),
    ("3 in is not 8.5 cm", lambda: agrees("length 3 in (8.5 cm)", "take"), False, "small willows"),
    ("6.5 cu in, printed as 107 mL", lambda: "restated-value" in found("container t { volume 6.5 cu in (107 mL) }\n" + card()), False, "protocol listing"),
    ("20.5 cu in, printed as 336 mL", lambda: "restated-value" in found("container t { volume 20.5 cu in (336 mL) }\n" + card()), False, "small willows"),
    ("10 cu in is 163.9 mL", lambda: "restated-value" in found("container t { volume 10 cu in (163.9 mL) }\n" + card()), False, "redosier dogwood"),
    ("10 cu in is not 180 mL", lambda: "restated-value" in found("container t { volume 10 cu in (180 mL) }\n" + card()), True, "redosier dogwood"),
    # counts
    ("1,000 after 0.80, 0.90, 0.95", lambda: to_stick(1000, "20 %", "10 %", "5 %"), 1462, "rule of the trade"),
    ("1,000 at a shrink of 4.5 %", lambda: to_stick(1000, "4.5 %"), 1048, "starter plants"),
    ("1,000 at a shrink of 0.7 %", lambda: to_stick(1000, "0.7 %"), 1008, "starter plants"),
    ("1,000 at a shrink of 11.9 %, not 1,119", lambda: to_stick(1000, "11.9 %"), 1136, "starter plants"),
    ("what 1,119 come to at 11.9 %", lambda: round(finished(1119, "11.9 %"), 1), 985.8, "starter plants"),
    ("1,000 at 85 %", lambda: to_stick(1000, "15 %"), 1177, "plum yew"),
    ("1,000 at 62.4 %", lambda: to_stick(1000, "37.6 %"), 1603, "Elliott's blueberry"),
    ("1,000 at 50 %", lambda: to_stick(1000, "50 %"), 2000, "Elliott's blueberry"),
    ("1,000 at 77.8 %", lambda: to_stick(1000, "22.2 %"), 1286, "Elliott's blueberry"),
    ("1,000 blueberries of January", lambda: to_stick(1000, "27.5 %"), 1380, "highbush blueberry in store"),
    ("1,000 blueberries of February", lambda: to_stick(1000, "32.5 %"), 1482, "highbush blueberry in store"),
    ("1,000 blueberries of March", lambda: to_stick(1000, "48 %"), 1924, "highbush blueberry in store"),
    ("1,000 viburnums without hormone", lambda: to_stick(1000, "39 %"), 1640, "Walter's viburnum"),
    ("1,000 viburnums at 2,500 ppm", lambda: to_stick(1000, "36 %"), 1563, "Walter's viburnum"),
    ("1,000 viburnums at 5,000 ppm", lambda: to_stick(1000, "25 %"), 1334, "Walter's viburnum"),
    ("March beside January, more cuttings for 1,000", lambda: to_stick(1000, "48 %") - to_stick(1000, "27.5 %"), 544, "highbush blueberry in store"),
    ("1,000 when losses of three stages are added up, not multiplied", lambda: to_stick(1000, "35 %"), 1539, "rule of the trade"),
    ("1,119 for 1,000 at 11.9 % are too few, 1,136 are not",
     lambda: [finished(count, "11.9 %") >= 1000 for count in (1119, 1136)], [False, True], "starter plants"),
    ("10,000 willows at 99 %", lambda: to_stick(10000, "1 %"), 10102, "small willows"),
    ("stools for them, 30 cuttings each", lambda: plants(10102, 30), 337, "small willows"),
    ("stools for 4,500", lambda: plants(4500, 30), 150, "small willows"),
    ("40 figs at 92.5 %", lambda: finished(40, "7.5 %"), 37, "fig cuttings"),
    ("40 figs at 100 %", lambda: finished(40, "0 %"), 40, "fig cuttings"),
    ("240 long plum roots at once", lambda: round(finished(240, "84/240")), 156, "plum roots, 1935"),
    ("240 short plum roots in spring", lambda: round(finished(240, "209/240")), 31, "plum roots, 1935"),
    ("240 long plum roots in spring", lambda: round(finished(240, "156/240")), 84, "plum roots, 1935"),
    ("240 short plum roots at once", lambda: round(finished(240, "133/240")), 107, "plum roots, 1935"),
    ("960 plum roots in all", lambda: round(finished(960, "582/960")), 378, "plum roots, 1935"),
    ("1,000 stewartias from a winter at 5 C", lambda: to_stick(1000, "34.4 %"), 1525, "stewartia"),
    ("1,000 stewartias without cold", lambda: to_stick(1000, "78.1 %"), 4567, "stewartia"),
    ("357 poplars at 29 %", lambda: round(finished(357, "71 %"), 1), 103.5, "hard poplar"),
    ("357 poplars at 50 %", lambda: round(finished(357, "50 %"), 1), 178.5, "hard poplar"),
    ("1,462 into 72 cells", lambda: trays(1462, 72), 21, "rule of the trade"),
    ("1,462 into 50 cells", lambda: trays(1462, 50), 30, "rule of the trade"),
    ("21 x 72 cells of 40 mL and 15 %", lambda: round(medium(1462, 72, 40), 1), 69.6, "rule of the trade"),
    ("100 L of 3 peat : 1 sand", lambda: mix("3 peat : 1 sand", 100), [75, 25], "long cuttings"),
    ("90 L of 1 peat : 2 sand", lambda: mix("1 peat : 2 sand", 90), [30, 60], "a lilac record of 1956"),
    ("80 L of 75 perlite : 25 peat", lambda: mix("75 perlite : 25 peat", 80), [60, 20], "thesis of 1958"),
    ("50 at 2 x 2 in in a flat", lambda: (fits(50, "10 x 20 in", "2 x 2 in"), fits(51, "10 x 20 in", "2 x 2 in")), (True, False), "rule of the trade"),
    ("78 at 1.5 x 1.5 in", lambda: (fits(78, "10 x 20 in", "1.5 x 1.5 in"), fits(79, "10 x 20 in", "1.5 x 1.5 in")), (True, False), "rule of the trade"),
    ("400 at 5 x 5 cm in a square metre", lambda: (fits(400, "1 x 1 m", "5 x 5 cm"), fits(401, "1 x 1 m", "5 x 5 cm")), (True, False), "rule of the trade"),
    ("330 trays on a bench, the better way round", lambda: (bench_holds(330), bench_holds(331)), (True, False), "rule of the trade"),
    ("5 in stuck by half, 6 in by two thirds",
     lambda: (allows("stick", "depth 1/2 .. 2/3 of length", "length 5 in; depth 2.5 in"), allows("stick", "depth 1/2 .. 2/3 of length", "length 6 in; depth 4 in"),
              "depth" in found(card(stick="depth 1/2 .. 2/3 of length", batch="stick 2 Jun 2025; length 6 in; depth 4.01 in"))),
     (True, True, True), "growing blueberries"),
    ("6 in by two thirds in a cell of 3 in", lambda: (deep_in("3 in", "6 in", "4 in"), deep_in("4 in", "6 in", "4 in")), (False, True), "growing blueberries"),
    # money and pace
    ("0.10 stuck is 0.20 rooted at 50 %", lambda: each_costs("0.10", "50 %"), 0.2, "nursery manual, chapter 9"),
    ("45 % does not pay where 50 does", lambda: (pays("55 %"), pays("50 %")), (False, True), "nursery manual, chapter 9"),
    ("10,000 at 282 .. 1,360 an hour", lambda: hours(10000, "282 .. 1360"), (7.4, 35.5), "efficiency of sticking: 7.35 and 35.46 h"),
    ("1,316,111 in 2,109 h for 26,392", lambda: (round(labour(624, "12.5142", 1316111)[0], -2), labour(624, "12.5142", 1316111)[1]),
     (26400, 0.02), "labour of 14 firms: 26,392, 0.0201 each"),
    ("10,000 at 0.018, and at 0.008 and 0.043", lambda: [labour(1000, wage, 10000)[0] for wage in ("18", "8", "43")], [180, 80, 430], "efficiency of sticking"),
    ("2,000 an hour was never timed", lambda: ("impossible-pace" in found(card(stick="work 2000 per hour")), "impossible-pace" in found(card(stick="work 1360 per hour"))),
     (True, False), "efficiency of sticking"),
    # days
    ("Amur lilac, 4 .. 6 weeks", lambda: out("2 Jun 2025", "4 .. 6 weeks"), ("2025-06-30", "2025-07-14"), "database record 364"),
    ("boxwood, 116 days", lambda: out("1 Sep 2025", "116 days"), ("2025-12-26", "2025-12-26"), "IBA on boxwood"),
    ("yew, 10 .. 14 weeks", lambda: out("15 Nov 2025", "10 .. 14 weeks"), ("2026-01-24", "2026-02-21"), "database record 371"),
    ("yaupon, 12 .. 16 weeks", lambda: out("1 Oct 2025", "12 .. 16 weeks"), ("2025-12-24", "2026-01-21"), "database record 191"),
    ("dwarf Chinese holly, 16 .. 20 weeks", lambda: out("1 Jul 2025", "16 .. 20 weeks"), ("2025-10-21", "2025-11-18"), "database record 185"),
    ("American holly, 6 .. 8 weeks", lambda: out("15 Jul 2025", "6 .. 8 weeks"), ("2025-08-26", "2025-09-09"), "database record 189"),
    ("Indica azalea, 8 .. 12 weeks", lambda: out("1 Jul 2025", "8 .. 12 weeks"), ("2025-08-26", "2025-09-23"), "database record 325"),
    ("redosier dogwood, 15 weeks", lambda: out("2 Jun 2025", "15 weeks"), ("2025-09-15", "2025-09-15"), "redosier dogwood"),
    ("plum yew, 16 weeks", lambda: out("15 Dec 2025", "16 weeks"), ("2026-04-06", "2026-04-06"), "plum yew"),
    ("salvia, mist off after 12 .. 15 days", lambda: out("2 Feb 2026", "12 .. 15 days"), ("2026-02-14", "2026-02-17"), "article on a salvia"),
    ("salvia, potted after 5 .. 6 weeks", lambda: out("2 Feb 2026", "5 .. 6 weeks"), ("2026-03-09", "2026-03-16"), "article on a salvia"),
    ("6 .. 8 weeks of cold are 42 .. 56 days", lambda: out("2 Jun 2025", "6 .. 8 weeks") == out("2 Jun 2025", "42 .. 56 days"), True, "container stock in cold weather"),
    ("14 days over a leap day", lambda: out("20 Feb 2028", "14 days"), ("2028-03-05", "2028-03-05"), "the calendar"),
    ("30 days after 15 October, printed as 15 November", lambda: frost(30), ("2025-11-14", "2025-11-14"), "how cold is too cold"),
    ("45 days after 15 October, printed as 30 November", lambda: frost(45), ("2025-11-29", "2025-11-29"), "how cold is too cold"),
    ("7 weeks back from 15 May", lambda: stick_until("15 May 2026", "7 weeks"), "2026-03-27", "rule of the trade"),
    ("alive 90 %, rooted 50 %: counted alive only", lambda: told("survival-is-not-rooting", stages=ROOT.format("4 weeks", "").replace("count rooted", "count alive")), True, "mock orange"),
    ("rooted counted too: nothing to tell", lambda: told("survival-is-not-rooting"), False, "mock orange"),
    ("boxwood potted on 4 Nov, 64 days after sticking", lambda: told("potted-unrooted", "Buxus sempervirens", batch="stick 1 Sep 2025", stages='stage root { lasts 116 days; task look { say "Count."; every 1 week; count rooted }; task pot { say "Pot."; at day 64 } }'), True, "IBA on boxwood"),
    ("a medium of 27 C", lambda: told("hot-medium", "Rhododendron", stages='stage root { lasts 8 weeks; keep medium-temperature 27 C }'), True, "growing rhododendrons"),
    ("a medium of 25 C", lambda: told("hot-medium", "Rhododendron", stages='stage root { lasts 8 weeks; keep medium-temperature 25 C }'), False, "growing rhododendrons"),
    ("boxwood, medium not below -8 C", lambda: told("killed-roots", "Buxus sempervirens", winter="must keep medium-temperature at least -8 C"), True, "cold injury, Georgia"),
    ("catawba rhododendron, medium not below -8 C", lambda: told("killed-roots", "Rhododendron catawbiense", winter="must keep medium-temperature at least -8 C"), False, "cold injury, Georgia"),
    ("stewartia, a winter at 18 C", lambda: told("no-winter-cold", "Stewartia pseudocamellia", winter="keep medium-temperature 18 C"), True, "stewartia"),
    ("stewartia, a winter at 5 C", lambda: told("no-winter-cold", "Stewartia pseudocamellia", winter="keep medium-temperature 5 C"), False, "stewartia"),
    ("geranium, stuck the day after", lambda: told("held-too-long", "Pelargonium hortorum", batch="take 1 Jun 2025; stick 2 Jun 2025"), True, "unrooted cuttings, p. 150"),
    ("geranium, stuck the same day", lambda: told("held-too-long", "Pelargonium hortorum", batch="take 2 Jun 2025; stick 2 Jun 2025"), False, "unrooted cuttings, p. 150"),
    ("lavender, stuck the day after", lambda: told("held-too-long", "Lavandula angustifolia", batch="take 1 Jun 2025; stick 2 Jun 2025"), True, "unrooted cuttings, p. 150"),
    ("impatiens, held 21 days", lambda: told("held-too-long", "Impatiens walleriana", batch="take 2 Jun 2025; stick 23 Jun 2025"), True, "unrooted cuttings, p. 138"),
    ("a tropical cutting at 4 C", lambda: told("held-at-wrong-warmth", "Mandevilla sanderi", more="hold { lasts at most 24 h }", batch="stick 2 Jun 2025; hold-temperature 4 C"), True, "unrooted cuttings, p. 138"),
    ("a tropical cutting at 13 C", lambda: told("held-at-wrong-warmth", "Mandevilla sanderi", more="hold { lasts at most 24 h }", batch="stick 2 Jun 2025; hold-temperature 13 C"), False, "unrooted cuttings, p. 138"),
    ("camellia shipped without a permit", lambda: told("no-permit", "Camellia japonica", batch="stick 2 Jun 2025; leaves-area yes"), True, "list of regulated hosts, June"),
    ("camellia that stays", lambda: told("no-permit", "Camellia japonica", batch="stick 2 Jun 2025; leaves-area no"), False, "list of regulated hosts, June"),
    ("figs without a word of sap and sun", lambda: told("hazard-untold", "Ficus carica"), True, "burns from fig sap"),
    ("figs with one", lambda: told("hazard-untold", "Ficus carica", more='caution "Sap and sun blister: sleeves."'), False, "burns from fig sap"),
    ("English holly of early winter, cut in June", lambda: told("window", "Ilex aquifolium", window="early Nov .. mid Jan"), True, "database record 182"),
    ("English holly, cut in December", lambda: told("window", "Ilex aquifolium", window="early Nov .. mid Jan", batch="stick 10 Dec 2025"), False, "database record 182"),
    ("Indica azalea, wounded", lambda: told("wound", "Rhododendron indicum", more="treat { must wound none }", batch="stick 2 Jun 2025; wound deep"), True, "database record 325"),
]


def main():
    bad = 0
    for what, reckon, wanted, whose in CHECKS:
        try:
            got = reckon()
        except (ValueError, KeyError, IndexError) as error:
            got = f"{type(error).__name__}: {error}"
        bad += got != wanted
        print(f"{'ok' if got == wanted else 'not ok'} {what}, {whose}" + ("" if got == wanted else f"\n    {wanted} wanted, {got} got"))
    sys.exit(bool(bad))


main()
