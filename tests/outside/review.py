#!/usr/bin/env python3
"""Holds `heelcut review` against counts and figures that others published, from the record's line to the table.

    tests/outside/review.py BUILD

- Plum root cuttings of 1935, long or short, planted at once or in spring: 156, 107, 84 and 31 of 240 lived (Bartlett, Supplement to the
  Journal of the Royal Statistical Society 2, 1935, 248-252). Their shares, Wilson's intervals and Newcombe's intervals of the
  differences are those of tests/outside/vectors/binom_ci.csv and two_proportions.csv.
- Seeds that germinated on 21 plates (Crowder, Applied Statistics 27, 1978, 34-37): the chance that plates of one share come so far
  apart is that of R's VGAM in tests/outside/vectors/spread.csv, and the range that nine of ten plates lie in is that of the beta
  distribution which VGAM fitted, worked out by scipy.
- Batches drawn by a generator, of many spreads: scipy's beta-binomial likelihood, made largest by scipy, gives the same chance that batches
  of one share come so far apart, and the same range.
- 21 patients, week by week, eleven of whom were still well when they were last seen (Freireich and others, Blood 21, 1963, 699-716): of
  plants that are followed as long the course is the survival curve that textbooks print of it (Collett, Modelling Survival Data in
  Medical Research; Kleinbaum and Klein, Survival Analysis).
"""
import csv
import datetime
import os
import subprocess
import sys
import tempfile

import numpy
import scipy.optimize
import scipy.stats

VECTORS = os.path.join(os.path.dirname(os.path.abspath(__file__)), "vectors")
NURSERY = """nursery y "Invented" {{ language 1 }}
site yard {{ latitude 51 deg }}
{places}
protocol roots {{
  for Exemplum primum
  take {{ wood root; window all year }}
  climate {{ enclosure frame }}
  stage root {{ lasts 4 weeks; losses {losses} }}
}}
"""
PLUM = [("long-at-once", 156), ("short-at-once", 107), ("long-in-spring", 84), ("short-in-spring", 31)]
LEUKAEMIA_LOST = [6, 6, 6, 7, 10, 13, 16, 22, 23]
LEUKAEMIA_WELL = [6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35]
LEUKAEMIA_LEFT = {5: 1, 6: 0.8571, 7: 0.8067, 10: 0.7529, 13: 0.6902, 16: 0.6275, 22: 0.5378, 23: 0.4482, 35: 0.4482}
failed = False


def say(name, faults):
    global failed
    failed = failed or bool(faults)
    print(f"{'not ok' if faults else 'ok'} review: {name}")
    for fault in faults[:10]:
        print(f"    {fault}")


def vectors(name):
    with open(os.path.join(VECTORS, name), encoding="utf-8", newline="") as file:
        return {row["id"]: row for row in csv.DictReader(file)}


def reviewed(batches, losses, *words):
    """Rows of rooted ones; a batch is its place, how many rooted and of how many."""
    with tempfile.TemporaryDirectory() as folder:
        with open(os.path.join(folder, "nursery.heel"), "w", encoding="utf-8") as file:
            places = "\n".join(f"place {place} {{ site yard; enclosure frame }}" for place in dict.fromkeys(p for p, _, _ in batches))
            file.write(NURSERY.format(places=places, losses=losses))
            for i, (place, rooted, of) in enumerate(batches):
                file.write(f"batch B{i} {{ follow roots; plant Exemplum primum; stick 1 Mar 2026; count {of}; stands {place} }}\n"
                           f"record B{i} {{ 1 Mar 2026 stuck {of}; 1 Jul 2026 counted rooted {rooted}, dead {of - rooted} of {of} }}\n")
        told = subprocess.run([heelcut, "review", "--today", "2026-12-01", "--format", "csv", *words], cwd=folder, check=True,
                              capture_output=True, text=True).stdout
    return [row for row in csv.DictReader(told.splitlines()) if row["measure"] == "rooted"]


def unlike(row, **wanted):
    """To a tenth, which is what is printed."""
    return [f"{row['value'] or row['protocol']}: {key} is {row[key]}, {value:.4f} was published"
            for key, value in wanted.items() if abs(float(row[key]) - value) > 0.0501]


def judge_plums():
    intervals, pairs = vectors("binom_ci.csv"), vectors("two_proportions.csv")
    rows = {row["value"]: row for row in reviewed([(f"{'abcd'[n]}-{place}", lived, 240) for n, (place, lived) in enumerate(PLUM)], "10 .. 70 %",
                                                  "--by", "place")}
    faults = []
    for n, (place, lived) in enumerate(PLUM):
        published = next(row for row in intervals.values() if row["source"] == "BARTLETT35" and row["x"] == str(lived))
        faults += unlike(rows[f"{'abcd'[n]}-{place}"], share_pct=lived / 2.4, low_pct=100 * float(published["wilson_lo"]),
                         high_pct=100 * float(published["wilson_hi"]))
    say("plum root cuttings: shares and intervals", faults)
    faults = []
    for before, after in ((0, 1), (2, 3)):  # each beside the one before: it is less by what the other is more
        pair = next(row for row in pairs.values() if (row["x1"], row["x2"]) == (str(PLUM[before][1]), str(PLUM[after][1])))
        faults += unlike(rows[f"{'abcd'[after]}-{PLUM[after][0]}"], difference_points=-100 * float(pair["diff"]),
                         difference_low_points=-100 * float(pair["newcombe_hi"]), difference_high_points=-100 * float(pair["newcombe_lo"]))
    say("plum root cuttings: differences and intervals", faults)


def judge_plates():
    published = vectors("spread.csv")["sp001"]
    batches = [("frame", int(hits), int(of)) for hits, of in zip(published["hits"].split(), published["of"].split())]
    row = reviewed(batches, "30 .. 70 %")[0]
    mean, together = float(published["mean"]), float(published["together"])
    both = 1 / together - 1
    low, high = scipy.stats.beta.ppf([0.05, 0.95], mean * both, (1 - mean) * both)
    faults = unlike(row, supported_low_pct=100 * low, supported_high_pct=100 * high)
    if abs(float(row["spread_chance"]) - float(published["chance"])) > 1e-6:
        faults.append(f"the chance is {row['spread_chance']}, {published['chance']} was published")
    if int(row["counted"]) != sum(hits for _, hits, _ in batches) or int(row["batches"]) != len(batches):
        faults.append(f"{row['counted']} are counted in {row['batches']} batches")
    say("germination on 21 plates: spread, and the range it supports", faults)


def fitted(hits, of):
    """Mean and likeness of two cuttings, where the likelihood is largest, and the chance of half a chi-square of one degree."""
    def loss(at):
        mean, both = 1 / (1 + numpy.exp(-at[0])), numpy.exp(at[1])
        return -scipy.stats.betabinom.logpmf(hits, of, mean * both, (1 - mean) * both).sum()
    best = min((scipy.optimize.minimize(loss, (0.1, start), method="Nelder-Mead", options={"xatol": 1e-10, "fatol": 1e-12, "maxiter": 4000})
                for start in (1, 3, 5)), key=lambda found: found.fun)
    alone = -scipy.stats.binom.logpmf(hits, of, hits.sum() / of.sum()).sum()
    mean, both = 1 / (1 + numpy.exp(-best.x[0])), numpy.exp(best.x[1])
    return mean * both, (1 - mean) * both, scipy.stats.chi2.sf(2 * max(0, alone - best.fun), 1) / 2


def judge_fits():
    lots = numpy.random.default_rng(1935)
    sets, batches = {}, []
    for n, (mean, both) in enumerate([(0.5, 4), (0.8, 8), (0.9, 6), (0.7, 15), (0.3, 10), (0.6, 2.5)]):
        of = lots.integers(40, 400, 12)
        hits = lots.binomial(of, lots.beta(mean * both, (1 - mean) * both, 12))
        sets[f"place-{n}"] = hits, of
        batches += [(f"place-{n}", int(h), int(o)) for h, o in zip(hits, of)]
    faults = []
    for row in reviewed(batches, "10 .. 70 %", "--by", "place"):
        alpha, beta, chance = fitted(*sets[row["value"]])
        low, high = scipy.stats.beta.ppf([0.05, 0.95], alpha, beta)
        faults += unlike(row, supported_low_pct=100 * low, supported_high_pct=100 * high)
        if abs(float(row["spread_chance"]) - chance) > 1e-6:
            faults.append(f"{row['value']}: the chance is {row['spread_chance']}, {chance} by scipy")
    say(f"{len(sets)} sets of 12 batches: fits by scipy", faults)


def judge_course():
    """Each patient is a batch of one plant, stuck so long ago as he was followed."""
    today = datetime.date(2026, 12, 1)
    lines = []
    for i, (week, lost) in enumerate([(week, True) for week in LEUKAEMIA_LOST] + [(week, False) for week in LEUKAEMIA_WELL]):
        stuck = today - datetime.timedelta(weeks=40 if lost else week)
        died = f"{stuck + datetime.timedelta(weeks=week):%Y-%m-%d} died 1" if lost else ""
        lines.append(f"batch B{i} {{ follow roots; plant Exemplum primum; stick {stuck}; count 1; stands frame }}\n"
                     f"record B{i} {{ {stuck} stuck 1; {died} }}\n")
    with tempfile.TemporaryDirectory() as folder:
        with open(os.path.join(folder, "nursery.heel"), "w", encoding="utf-8") as file:
            file.write(NURSERY.format(places="place frame { site yard; enclosure frame }", losses="10 .. 70 %") + "".join(lines))
        told = subprocess.run([heelcut, "review", "--course", "--today", str(today), "--format", "csv"], cwd=folder, check=True,
                              capture_output=True, text=True).stdout
    alive = {int(row["week"]): float(row["alive_pct"]) for row in csv.DictReader(told.splitlines())}
    say("21 patients followed for 6 to 35 weeks: the curve that is printed of them",
        [f"week {week}: {alive.get(week)} %, {100 * left:.2f} % was published"
         for week, left in LEUKAEMIA_LEFT.items() if week in alive and abs(alive[week] - 100 * left) > 0.0501]
        or ([] if 23 in alive else [f"the course ends at week {max(alive)}"]))


heelcut = os.path.join(os.path.abspath(sys.argv[1]), "heelcut")
judge_plums()
judge_plates()
judge_fits()
judge_course()
sys.exit(failed)
