#!/usr/bin/env python3
"""Reckons yields again, from the definitions alone and by trying, and holds heelcut's figures against both.

    tests/outside/yields.py BUILD

A range of losses a .. b is the beta distribution of survival with one twentieth below 1 - b and one above 1 - a; the finished of N are
binomial given the product of the shares. Here the distribution function of the beta is the continued fraction of the Digital Library
of Mathematical Functions (dlmf.nist.gov, 8.17.22), the points are found by halving, and the chances by a chain of beta-binomials: no
library, and nothing of heelcut's. A simulation of 200,000 batches with a fixed seed is the second opinion; it may be off by four
standard errors.
"""
import csv
import io
import math
import os
import random
import subprocess
import sys
import tempfile

HEELCUT = os.path.join(os.path.abspath(sys.argv[1]), "heelcut")
TRIALS = 200_000
NURSERY = """nursery y "Invented" {{
  language 1
  sure {sure} %
}}
container tray {{ cells 50 }}
protocol p {{
  for Exemplum primum
{stages}
}}
batch B {{ follow p; plant Exemplum primum; stick 1 Jun 2027; count {count}; into tray; want {want} }}
"""
# losses of the stages in percent, stuck, wanted, how sure
CASES = [
    ([(10, 30)], 139, 100, 90), ([(10, 30)], 138, 100, 90), ([(0, 10)], 109, 100, 90),
    ([(10, 30), (5, 10)], 308, 200, 90), ([(10, 30), (5, 10)], 308, 220, 95), ([(10, 30), (5, 10), (0, 10)], 781, 500, 90),
    ([(20, 20), (10, 10), (5, 5)], 1495, 1000, 90), ([(2, 8), (20, 60)], 90, 40, 80), ([(0, 100)], 99, 10, 90), ([(40, 95)], 60, 10, 50),
]


def fraction(a, b, x):
    """The continued fraction, by Lentz's method."""
    tiny = 1e-300
    c, d = 1.0, 1 - (a + b) * x / (a + 1)
    d = 1 / (d if abs(d) > tiny else tiny)
    result = d
    for m in range(1, 2000):
        for term in (m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m)), -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))):
            d = 1 + term * d
            c = 1 + term / c
            d = 1 / (d if abs(d) > tiny else tiny)
            c = c if abs(c) > tiny else tiny
            result *= d * c
        if abs(d * c - 1) < 1e-16:
            break
    return result


def below(x, a, b):
    """P(beta(a, b) < x)."""
    if x <= 0 or x >= 1:
        return float(x >= 1)
    front = math.exp(math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(x) + b * math.log1p(-x))
    return front * fraction(a, b, x) / a if x < (a + 1) / (a + b + 2) else 1 - front * fraction(b, a, 1 - x) / b


def halve(low, high, falls):
    for _ in range(100):
        middle = (low + high) / 2
        low, high = (middle, high) if falls(middle) else (low, middle)
    return (low + high) / 2


def fit(low, high):
    """alpha and beta for losses in percent; None for a fixed share."""
    a, b = low / 100, high / 100
    if a == b:
        return None
    if (a, b) == (0, 1):
        return 1.0, 1.0
    if a == 0:
        return math.log(0.05) / math.log(1 - b), 1.0

    def beta_for(alpha):
        return math.exp(halve(-10, 16, lambda ln: below(1 - b, alpha, math.exp(ln)) < 0.05))

    alpha = math.exp(halve(-6, 14, lambda ln: 1 - below(1 - a, math.exp(ln), beta_for(math.exp(ln))) > 0.05))
    return alpha, beta_for(alpha)


def spread(there, stage, share):
    """P(left = j of there)."""
    for j in range(there + 1):
        ln = math.lgamma(there + 1) - math.lgamma(j + 1) - math.lgamma(there - j + 1)
        if stage is None:
            yield math.exp(ln + j * math.log(share) + (there - j) * math.log(1 - share))
        else:
            a, b = stage
            yield math.exp(ln + math.lgamma(a + j) + math.lgamma(b + there - j) - math.lgamma(a + b + there)
                           + math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b))


def chances(stuck, stages, shares):
    left = {stuck: 1.0}
    for stage, share in zip(stages, shares):
        after = [0.0] * (stuck + 1)
        for there, weight in left.items():
            if weight > 1e-18:
                for j, chance in enumerate(spread(there, stage, share)):
                    after[j] += weight * chance
        left = dict(enumerate(after))
    return [left.get(j, 0.0) for j in range(stuck + 1)]


def simulate(draw, stuck, stages, shares, wanted):
    reached = 0
    for _ in range(TRIALS):
        share = 1.0
        for stage, fixed in zip(stages, shares):
            share *= fixed if stage is None else draw.betavariate(*stage)
        reached += draw.gauss(stuck * share, math.sqrt(max(stuck * share * (1 - share), 1e-12))) >= wanted - 0.5
    return reached / TRIALS


def ask(losses, count, want, sure):
    stages = "\n".join(f"  stage s{i} {{ lasts 4 weeks; losses {a} .. {b} % }}" if a != b else f"  stage s{i} {{ lasts 4 weeks; losses {a} % }}"
                       for i, (a, b) in enumerate(losses))
    with tempfile.TemporaryDirectory() as folder:
        with open(os.path.join(folder, "nursery.heel"), "w", encoding="utf-8") as file:
            file.write(NURSERY.format(sure=sure, stages=stages, count=count, want=want))
        out = subprocess.run([HEELCUT, "yield", "--format", "csv", "--today", "2027-01-01"], cwd=folder, capture_output=True, check=False).stdout
    return list(csv.DictReader(io.StringIO(out.decode())))[-1]


def judge(losses, count, want, sure):
    row = ask(losses, count, want, sure)
    stages, shares = [fit(a, b) for a, b in losses], [1 - a / 100 for a, _ in losses]
    finished = chances(count, stages, shares) if count <= 400 else None
    faults = []
    if finished:
        chance = sum(finished[want:])
        if abs(float(row["chance_pct"]) - 100 * chance) > 1e-3:
            faults.append(f"chance {row['chance_pct']} %, here {100 * chance:.4f} %")
        mean = sum(j * weight for j, weight in enumerate(finished))
        if abs(float(row["finished_expected"]) - mean) > 0.006:
            faults.append(f"{row['finished_expected']} finished on average, here {mean:.3f}")
        for part, name in ((0.05, "finished_low"), (0.95, "finished_high")):
            total, point = 0.0, 0
            for point, weight in enumerate(finished):
                total += weight
                if total >= part:
                    break
            if int(row[name]) != point:
                faults.append(f"{name} {row[name]}, here {point}")
        needed = int(row["needed"])
        if needed <= 400:
            enough, fewer = (sum(chances(n, stages, shares)[want:]) for n in (needed, needed - 1))
            if not (enough >= sure / 100 - 1e-9 > fewer):
                faults.append(f"needed {needed}: {enough:.9f}, and {fewer:.9f} with one fewer")
    tried = simulate(random.Random(20270601), count, stages, shares, want)
    error = 4 * math.sqrt(max(tried * (1 - tried), 1e-6) / TRIALS) + 0.004  # and the normal curve for the binomial
    if abs(float(row["chance_pct"]) / 100 - tried) > error:
        faults.append(f"chance {row['chance_pct']} %, tried {100 * tried:.2f} %")
    return faults


worst = 0
for case in CASES:
    found = judge(*case)
    print(f"{'not ok' if found else 'ok'} yield {case}")
    for fault in found:
        worst = 1
        print(f"    {fault}")
sys.exit(worst)
