#!/usr/bin/env python3
"""Works yields out in other ways, and holds analysis/survival and analysis/yield against them.

    tests/outside/yield_exact.py BUILD [SEED]

BUILD is where the printer of yields is compiled. Four other ways, none of which shares a formula with ours:

- mpmath at 30 digits: the betas as roots of a series of the incomplete beta function, small batches as sums of beta-binomial chances
  from factorials (ours grow from Polya's urn, or come from a contour integral);
- fractions of whole numbers where all is fixed or uniform, so that ties are ties;
- scipy 1.10: quantiles and tails of beta, binomial and beta-binomial at random parameters, and large batches of two stages as
  Gauss-Legendre sums over both shares;
- a simulation that draws shares and then cuttings, with its error: four times sqrt(p (1 - p) / draws).
"""
import os
import random
import subprocess
import sys
from fractions import Fraction

import mpmath
import numpy
import scipy.special
import scipy.stats
from mpmath import mpf

os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".."))
mpmath.mp.dps = 30
A, B, C = (1000, 3000), (500, 1000), (0, 1000)  # lost, in hundredths of a percent
failed = False


def say(name, faults):
    global failed
    failed = failed or bool(faults)
    print(f"not ok yield: {name}" if faults else f"ok yield: {name}")
    for fault in faults[:10]:
        print(f"    {fault}")


# ---------------------------------------------------------------- ours


def compile_printer(build):
    printer = os.path.join(build, "outside", "print_yields")
    os.makedirs(os.path.dirname(printer), exist_ok=True)
    ours = ["survival", "yield", "yield_chain", "yield_contour", "yield_counted", "yield_search"]
    sources = ["tests/outside/print_yields.c", *(f"src/analysis/{name}.c" for name in ours), "src/base/number.c", "src/base/digits.c",
               "src/base/interval.c", "src/base/arena.c"]
    command = [os.environ.get("CC", "cc"), "-std=c11", "-O2", "-Isrc", "-o", printer, *sources, "-lgsl", "-lgslcblas", "-lm"]
    return printer if subprocess.run(command).returncode == 0 else None


def ask(questions):
    """The answers to [(verb, numbers, stages)]; a stage is the losses of a range, ("beta", a, b) or ("fixed", share)."""
    lines = []
    for verb, numbers, stages in questions:
        words = [stage if isinstance(stage[0], str) else ("range", *stage) for stage in stages]
        lines.append(" ".join(str(word) for word in (verb, *numbers, ":", *(word for stage in words for word in stage))))
    told = subprocess.run([printer], input="\n".join(lines) + "\n", capture_output=True, text=True, check=True).stdout.split()
    assert len(told) == len(lines)
    return [float("nan") if word == "none" else float(word) for word in told]


def compare(name, cases, within):
    """cases: [(question, value)]; a difference may be `within`, and for whole numbers nothing."""
    got = ask([question for question, _ in cases])
    faults = []
    for (question, wanted), ours in zip(cases, got):
        if not abs(ours - float(wanted)) <= (0 if isinstance(wanted, int) else within):
            faults.append(f"{question}: {ours!r} instead of {mpmath.nstr(mpf(wanted), 13)}")
    say(f"{name} ({len(cases)})", faults if cases else ["no case"])


# ---------------------------------------------------------------- mpmath


def lower_tail(a, b, x):
    """The incomplete beta function for x below the mean: x^a (1 - x)^b / (a B(a, b)) sum (a + b)_n / (a + 1)_n x^n, all
    terms positive (NIST Digital Library of Mathematical Functions, 8.17.8)."""
    term, total, n = mpf(1), mpf(0), 0
    while term > total * mpf(10) ** -32:
        total += term
        term *= (a + b + n) / (a + 1 + n) * x
        n += 1
    return mpmath.exp(a * mpmath.log(x) + b * mpmath.log(1 - x) + mpmath.loggamma(a + b) - mpmath.loggamma(a + 1) - mpmath.loggamma(b)) * total


def fitted(losses):
    """The beta of which one twentieth lies on either side of the range."""
    most, least = (1 - mpf(end) / 10000 for end in losses)
    if most == 1:
        return mpmath.log(mpf(1) / 20) / mpmath.log(least), mpf(1)

    def missed(at):
        a, b = mpmath.exp(at[0]), mpmath.exp(at[1])
        return mpmath.matrix([mpmath.log(20 * lower_tail(a, b, least)), mpmath.log(20 * lower_tail(b, a, 1 - most))])

    middle, h = (least + most) / 2, mpf(10) ** -10
    size = middle * (1 - middle) / ((most - least) / mpf("3.29")) ** 2
    at = mpmath.matrix([mpmath.log(size * middle), mpmath.log(size * (1 - middle))])
    for _ in range(40):
        here = missed(at)
        slopes = mpmath.matrix(2)
        for i in range(2):
            aside = at.copy()
            aside[i] += h
            slopes[:, i] = (missed(aside) - here) / h
        step = mpmath.lu_solve(slopes, here)
        at -= step / max(1, mpmath.norm(step))
        if mpmath.norm(step) < mpf(10) ** -22:
            return mpmath.exp(at[0]), mpmath.exp(at[1])
    raise SystemExit(f"not ok yield: no beta for {losses}")


def rising(a, most):
    """a (a + 1) ... for 0 .. most factors"""
    product = [mpf(1)]
    for i in range(most):
        product.append(product[-1] * (a + i))
    return product


class BetaBinomial:
    """Chances from factorials: C(n, y) (a)_y (b)_(n-y) / (a + b)_n."""

    def __init__(self, shape, most):
        a, b = shape
        self.lived, self.died, self.all, self.ways = rising(a, most), rising(b, most), rising(a + b, most), rising(mpf(1), most)
        self.alive = [x / y for x, y in zip(self.lived, self.ways)]
        self.dead = [x / y for x, y in zip(self.died, self.ways)]
        self.total = [y / x for x, y in zip(self.all, self.ways)]

    def chance(self, y, n):
        return self.alive[y] * self.dead[n - y] * self.total[n]


def chances_ahead(stages, wanted, most):
    """P(X >= wanted) of each 0 .. most that enter these stages."""
    ahead = [mpf(x >= wanted) for x in range(most + 1)]
    for stage in reversed(stages):
        part = BetaBinomial(stage, most)
        ahead = [part.total[n] * mpmath.fdot(part.alive[wanted:n + 1], [part.dead[n - y] * ahead[y] for y in range(wanted, n + 1)])
                 for n in range(most + 1)]
    return ahead


def worked_examples():
    shapes = {losses: fitted(losses) for losses in (A, B, C, (500, 9500), (20, 400), (4000, 5500), (9000, 9990))}
    compare("alpha, beta and mean by mpmath",
            [((verb, [], [losses]), value) for losses, (a, b) in shapes.items()
             for verb, value in (("alpha", a), ("beta", b), ("mean", a / (a + b)))], 1e-9)
    a, b, c = shapes[A], shapes[B], shapes[C]

    ahead = chances_ahead([a, b], 200, 341)
    other = chances_ahead([a, b], 220, 308)
    cases = [(("chance", [n, 200], [A, B]), ahead[n]) for n in (200, 250, 299, 300, 308, 340, 341)]
    cases.append((("chance", [308, 220], [A, B]), other[308]))
    cases.append((("chance", [20, 20], [A, B]), chances_ahead([a, b], 20, 20)[20]))
    compare("chances of two stages by sums of factorials", cases, 1e-11)
    compare("how many to stick for 200", [(("needed", [200, sure], [A, B]), next(n for n in range(342) if ahead[n] >= mpf(sure) / 100))
                                          for sure in (50, 80, 90, 95, 99)], 0)
    compare("how many on average", [(("average", [200], [A, B]), int(mpmath.ceil(200 / (a[0] / sum(a) * b[0] / sum(b)))))], 0)

    cases = []
    for losses, shape, wanted in ((A, a, 100), (C, c, 100)):
        chances = chances_ahead([shape], wanted, 150)
        least = next(n for n in range(151) if chances[n] >= mpf(9) / 10)
        cases += [(("needed", [wanted, 90], [losses]), least), (("chance", [least, wanted], [losses]), chances[least]),
                  (("chance", [least - 1, wanted], [losses]), chances[least - 1])]
    compare("one stage", cases, 1e-11)

    # Points of the distribution: the least x with P(X > x) <= 1 - part
    tail = {x: chances_ahead([a, b], x, 308)[308] for x in (197, 198, 232, 233, 260, 261)}
    cases = [(("point", [308, part], [A, B]), x) for part, x in ((0.05, 197), (0.5, 232), (0.95, 260))
             if tail[x + 1] <= 1 - mpf(part) < tail[x]]
    compare("5, 50 and 95 % points", cases if len(cases) == 3 else [], 0)

    # A count within the first stage: 231 of 308 made it, 40 are dead or rotted
    first = BetaBinomial(a, 308)
    cases = []
    for wanted in (200, 220):
        rest = chances_ahead([b], wanted, 268)
        seen = [first.chance(x, 308) for x in range(231, 269)]
        cases.append((("counted", [308, wanted, 231, 268], [A, B]), mpmath.fdot(seen, rest[231:]) / mpmath.fsum(seen)))
        cases.append((("chance", [231, wanted], [B]), rest[231]))
    compare("after a count within a stage", cases, 1e-11)

    ahead = chances_ahead([a, b, c], 500, 781)
    least = next(n for n in range(782) if ahead[n] >= mpf(9) / 10)
    compare("three stages, more than the chain takes",
            [(("needed", [500, 90], [A, B, C]), least)] +
            [(("chance", [n, 500], [A, B, C]), ahead[n]) for n in (500, 501, 560, 640, 700, 780, 781)], 1e-10)


def by_fractions():
    """All fixed: a binomial of whole numbers. Uniform: n + 1 counts, one as likely as the other."""
    share = Fraction(8, 10) * Fraction(9, 10) * Fraction(95, 100)
    lived, all_ = share.numerator, share.denominator

    def tail(n, wanted):
        ways, chances = 1, 0
        for x in range(n, wanted - 1, -1):
            chances += ways * lived ** x * (all_ - lived) ** (n - x)
            ways = ways * x // (n - x + 1)
        return Fraction(chances, all_ ** n)

    fixed = [(2000, 2000), (1000, 1000), (500, 500)]
    before, reached = tail(1494, 1000), tail(1495, 1000)
    assert before < Fraction(9, 10) <= reached
    cases = [(("needed", [1000, 90], fixed), 1495), (("average", [1000], fixed), -(-1000 * all_ // lived)),
             (("chance", [1495, 1000], fixed), float(reached)), (("chance", [1494, 1000], fixed), float(before))]
    compare("fixed stages by fractions", cases, 1e-11)
    cases = [(("needed", [10, 90], [(0, 10000)]), 99)]
    cases += [(("chance", [n, w], [(0, 10000)]), float(Fraction(n - w + 1, n + 1))) for n in (98, 99, 400, 401, 5000) for w in (1, 10, 90)]
    compare("an exact tie, and a uniform share", cases, 1e-10)


# ---------------------------------------------------------------- scipy


def by_quadrature(shapes, stuck, wanted):
    """P(X >= wanted) = E[P(S1 >= T / S2)], T ~ beta(wanted, stuck - wanted + 1); Gauss-Legendre over T and S2."""
    def nodes(a, b, count):
        low, high = (scipy.special.betaincinv(a, b, part) for part in (1e-17, 0.5))
        high = 1 - scipy.special.betaincinv(b, a, 1e-17)
        x, weight = numpy.polynomial.legendre.leggauss(count)
        x = low + (high - low) * (x + 1) / 2
        density = numpy.exp((a - 1) * numpy.log(x) + (b - 1) * numpy.log1p(-x) - scipy.special.betaln(a, b))
        weight = weight * density
        return x, weight / weight.sum()

    (a1, b1), (a2, b2) = shapes
    t, of_t = nodes(wanted, stuck - wanted + 1, 200)
    s, of_s = nodes(a2, b2, 400)
    above = scipy.special.betainc(b1, a1, numpy.clip(1 - t[:, None] / s[None, :], 0, 1))
    return float(of_t @ above @ of_s)


def by_scipy():
    shapes = [tuple(float(x) for x in fitted(losses)) for losses in (A, B)]
    cases = [(("chance", [n, w], [A, B]), by_quadrature(shapes, n, w))
             for n, w in ((100_000, 72_000), (118_992, 80_000), (118_993, 80_000), (100_000, 60_000), (5_000, 3_800), (1_000, 700))]
    compare("large batches by sums over both shares", cases, 1e-9)
    least = by_quadrature(shapes, 118_992, 80_000) < 0.9 <= by_quadrature(shapes, 118_993, 80_000)
    compare("how many for 80,000", [(("needed", [80_000, 90], [A, B]), 118_993)] if least else [], 0)

    draw = random.Random(seed)
    points, tails, shares = [], [], []
    for _ in range(300):
        a, b, part = 10 ** draw.uniform(-0.5, 3.5), 10 ** draw.uniform(-0.5, 3.5), draw.uniform(0.001, 0.999)
        points.append((("share-point", [part], [("beta", a, b)]), float(scipy.stats.beta.ppf(part, a, b))))
        n = draw.randint(1, 3000)
        w = draw.randint(1, n)
        tails.append((("chance", [n, w], [("beta", a, b)]), float(scipy.stats.betabinom.sf(w - 1, n, a, b))))
        tails.append((("chance", [n, w], [("fixed", part)]), float(scipy.stats.binom.sf(w - 1, n, part))))
        share = draw.uniform(0.05, 0.95)
        shares.append((("share", [share], [("beta", a, b)]), float(scipy.special.betainc(b, a, 1 - share))))
    compare("beta quantiles by scipy", points, 1e-10)
    compare("beta tails by scipy", shares, 1e-11)
    compare("binomial and beta-binomial tails by scipy", tails, 1e-9)


# ---------------------------------------------------------------- simulation


def by_simulation():
    draws = 1_000_000
    generator = numpy.random.default_rng(seed)
    shapes = {losses: tuple(float(x) for x in fitted(losses)) for losses in (A, B, C)}
    cases = [(308, 200, (A, B)), (308, 220, (A, B)), (781, 500, (A, B, C)), (139, 100, (A,)), (100_000, 72_000, (A, B))]
    ours = ask([("chance", [n, w], list(stages)) for n, w, stages in cases])
    faults = []
    for (n, w, stages), got in zip(cases, ours):
        left = numpy.full(draws, n)
        for losses in stages:
            left = generator.binomial(left, generator.beta(*shapes[losses], draws))
        seen = float((left >= w).mean())
        error = 4 * (seen * (1 - seen) / draws) ** 0.5
        if not abs(seen - got) <= error:
            faults.append(f"{w} of {n}: {got} where {draws} draws give {seen} within {error:.2g}")
    say(f"chances by simulation, within four standard errors ({len(cases)})", faults)

    # The product of three shares, whatever is stuck
    product = numpy.ones(draws)
    for losses in (A, B, C):
        product *= generator.beta(*shapes[losses], draws)
    faults = []
    for part in (0.05, 0.5, 0.95):
        got = ask([("share-point", [part], [A, B, C])])[0]
        seen, error = float((product <= got).mean()), 4 * (part * (1 - part) / draws) ** 0.5
        if not abs(seen - part) <= error:
            faults.append(f"{part} of shares: {got}, where {seen} of {draws} draws lie below it")
    say("points of a product of shares by simulation (3)", faults)


seed = int((sys.argv + ["20270618"])[2])
print(f"seed {seed}")
printer = compile_printer(sys.argv[1])
if printer is None:
    print("not ok yield: the printer of yields does not compile")
    sys.exit(1)
worked_examples()
by_fractions()
by_scipy()
by_simulation()
sys.exit(1 if failed else 0)
