#!/usr/bin/env python3
"""Holds the protocols that ship against what was published.

    tests/outside/library.py BUILD

Each row is one published figure, with the source it was seen in, and what the library is to say of it: `inside`, all of the
published figure lies within the library's clause, and the clause cites that source; or a reason why the library deliberately
says something else, and then it must not hold the figure. The library's value is the effective one, after bases and
practices: it is asked of the program (`heelcut why PROTOCOL SECTION/FIELD --format json`), and read here by a reader of its own.
"""
import functools
import json
import os
import re
import subprocess
import sys
from fractions import Fraction

HEELCUT = os.path.join(os.path.abspath(sys.argv[1]), "heelcut")
LIBRARY = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "..", "protocols", "library")
INSIDE = "inside"

# protocol, section/field, what was published, the key of its source, what the library does with it
ROWS = [
    # boxwood
    ("boxwood", "take/length", "6 cm", "BUX-BR", INSIDE),
    ("boxwood", "take/length", "2.5 .. 4 in", "BUX-ABS", "2.5 in is 63.5 mm and 4 in is 101.6 mm: rounded to 10 cm above"),
    ("boxwood", "take/leaves", "2", "BUX-BR", INSIDE),
    ("boxwood", "treat/hormone", "none", "BUX-BR", INSIDE),
    ("boxwood", "treat/hormone", "IBA 1500 .. 6000 ppm quick-dip 10 s", "BUX-BR", INSIDE),
    ("boxwood", "root/lasts", "116 days", "BUX-BR", INSIDE),
    ("boxwood", "root/lasts", "2 .. 3 months", "BUX-ABS", INSIDE),
    ("boxwood", "root/losses", "2.5 %", "BUX-BR", INSIDE),
    ("boxwood", "root/losses", "86 %", "BUX-IQ", INSIDE),
    ("boxwood", "take/window", "Jul .. Dec", "BUX-ABS", "stuck after October it is not rooted before spring"),
    # hollies
    ("american-holly", "take/part", "tip", "LPPI-189", INSIDE),
    ("american-holly", "treat/hormone", "IBA 8000 ppm talc", "LPPI-189", INSIDE),
    ("american-holly", "root/medium-temperature", "75 .. 80 F", "LPPI-189", INSIDE),
    ("american-holly", "root/lasts", "6 .. 8 weeks", "LPPI-189", INSIDE),
    ("english-holly", "treat/hormone", "IBA 8000 ppm talc", "LPPI-182", INSIDE),
    ("english-holly", "root/medium-temperature", "65 F", "LPPI-182", INSIDE),
    ("english-holly", "root/lasts", "4 .. 6 weeks", "LPPI-182", INSIDE),
    ("english-holly", "treat/wound", "light, deep", "LPPI-182", INSIDE),
    ("english-holly", "take/window", "Jun", "LPPI-182", "early winter is meant: June is a finding"),
    ("dwarf-chinese-holly", "treat/hormone", "IBA 3000 ppm talc", "LPPI-185", INSIDE),
    ("dwarf-chinese-holly", "root/lasts", "16 .. 20 weeks", "LPPI-185", INSIDE),
    ("yaupon-holly", "treat/hormone", "IBA 3000 ppm talc", "LPPI-191", INSIDE),
    ("yaupon-holly", "root/lasts", "12 .. 16 weeks", "LPPI-191", INSIDE),
    ("yaupon-holly", "stick/pH", "5.0 .. 6.0", "LPPI-191", INSIDE),
    # needles and scales
    ("creeping-juniper", "root/lasts", "6 .. 12 weeks", "LPPI-216", INSIDE),
    ("creeping-juniper", "treat/hormone", "none", "LPPI-216", INSIDE),
    ("procumbent-juniper", "root/lasts", "8 .. 16 weeks", "LPPI-217", INSIDE),
    ("spreading-juniper", "treat/hormone", "IBA 8000 ppm talc", "MSU-58", INSIDE),
    ("spreading-juniper", "stick/medium", "3 perlite : 1 peat", "MSU-58", INSIDE),
    ("yew", "treat/hormone", "IBA 8000 ppm talc", "LPPI-371", INSIDE),
    ("yew", "root/medium-temperature", "70 .. 75 F", "LPPI-371", INSIDE),
    ("yew", "root/lasts", "10 .. 14 weeks", "LPPI-372", INSIDE),
    ("plum-yew", "take/window", "Dec .. Feb", "HS-31", INSIDE),
    ("plum-yew", "take/window", "Jul", "HS-31", "June to November was poorest"),
    ("plum-yew", "treat/hormone", "K-IBA 10000 ppm quick-dip 1 .. 5 s", "HS-31", INSIDE),
    ("plum-yew", "root/losses", "15 %", "HS-31", INSIDE),
    ("loblolly-pine", "root/losses", "20 %", "VPD-LP", INSIDE),
    # azaleas and rhododendrons
    ("indica-azalea", "treat/hormone", "IBA 8000 ppm talc", "LPPI-325", INSIDE),
    ("indica-azalea", "root/medium-temperature", "70 .. 75 F", "LPPI-325", INSIDE),
    ("indica-azalea", "root/lasts", "8 .. 12 weeks", "LPPI-325", INSIDE),
    ("indica-azalea", "treat/wound", "none", "LPPI-325", INSIDE),
    ("native-azalea", "treat/hormone", "none", "NPJ-6", INSIDE),
    ("native-azalea", "treat/hormone", "K-IBA 7500 .. 10000 ppm quick-dip 1 .. 5 s", "NPJ-6", INSIDE),
    ("large-rhododendron", "root/medium-temperature", "15 .. 21 C", "RHODO-ED", INSIDE),
    ("large-rhododendron", "root/medium-temperature", "27 C", "RHODO-ED", "above 25 C the base rots"),
    ("large-rhododendron", "take/leaves", "3", "JARS-57", INSIDE),
    ("large-rhododendron", "treat/wound-length", "3 cm", "RHODO-ED", INSIDE),
    ("large-rhododendron", "treat/wound", "deep", "RHODO-ED", "a heavy wound rots"),
    ("camellia", "treat/hormone", "IBA 8000 ppm talc", "LPPI-061", INSIDE),
    ("camellia", "root/medium-temperature", "72 .. 75 F", "LPPI-061", INSIDE),
    ("camellia", "root/lasts", "6 .. 8 weeks", "LPPI-061", INSIDE),
    ("pittosporum", "stick/medium", "1 vermiculite : 1 coir", "PIT-MX", INSIDE),
    ("pittosporum", "root/losses", "50 %", "PIT-MX", INSIDE),
    # shrubs
    ("sweet-viburnum", "root/lasts", "6 .. 12 weeks", "LPPI-397", INSIDE),
    ("walters-viburnum", "treat/hormone", "IBA 2500 .. 5000 ppm quick-dip 1 .. 5 s", "VIB-FL", INSIDE),
    ("walters-viburnum", "root/losses", "25 .. 40 %", "VIB-FL", INSIDE),
    ("common-lilac", "stick/medium", "1 peat : 2 sand", "LIL-HN", INSIDE),
    ("common-lilac", "root/medium-temperature", "68 F", "LIL-HN", INSIDE),
    ("common-lilac", "treat/hormone", "IBA 12000 ppm talc", "LIL-HN", "stronger than 10,000 ppm, and read second-hand"),
    ("amur-lilac", "treat/hormone", "IBA 8000 ppm talc", "LPPI-364", INSIDE),
    ("amur-lilac", "root/medium-temperature", "65 .. 70 F", "LPPI-364", INSIDE),
    ("amur-lilac", "root/lasts", "4 .. 6 weeks", "LPPI-364", INSIDE),
    ("weigela", "root/lasts", "3 .. 5 weeks", "WEI-IL", INSIDE),
    ("weigela", "take/window", "Jun .. Jul", "WEI-IL", INSIDE),
    ("mixed-shrubs", "take/length", "4 .. 6 in", "IA-SOFT", INSIDE),
    ("mixed-shrubs", "take/window", "21 May .. 10 Jul", "IA-SOFT", INSIDE),
    ("florists-hydrangea", "treat/hormone", "IBA 5000 .. 10000 ppm talc", "HYD-AB", INSIDE),
    ("florists-hydrangea", "treat/hormone", "IBA 20000 ppm talc", "HYD-AB", "stronger than 10,000 ppm: a label hardly goes so far"),
    ("florists-hydrangea", "root/medium-temperature", "22 C", "HYD-AB", INSIDE),
    ("florists-hydrangea", "root/lasts", "4 .. 5 weeks", "HYD-AB", INSIDE),
    ("florists-hydrangea", "treat/hormone", "IBA 500 .. 1000 ppm quick-dip 1 .. 5 s", "HYD-KR", INSIDE),
    ("abelia", "treat/hormone", "IBA 1000 .. 2000 ppm talc", "PP-20", INSIDE),
    # roses and herbs
    ("damask-rose", "treat/hormone", "IBA 100 ppm soak 29 min", "ROSE-BG", INSIDE),
    ("damask-rose", "root/losses", "18 .. 34 %", "ROSE-BG", INSIDE),
    ("garden-rose", "treat/hormone", "IBA 1500 .. 4500 ppm quick-dip 1 .. 5 s", "ROSE-FU", INSIDE),
    ("garden-rose", "take/length", "20 .. 35 cm", "ROSE-SB", INSIDE),
    ("garden-rose", "stick/medium", "1 coir : 1 perlite", "ROSE-FU", INSIDE),
    ("multiflora-stock", "treat/hormone", "IBA 750 .. 1500 ppm quick-dip 1 .. 5 s", "ROSE-NZ", INSIDE),
    ("lavandin", "treat/hormone", "NAA 500 .. 1000 ppm quick-dip 1 .. 5 s", "JEH-39", INSIDE),
    ("rosemary", "treat/hormone", "IBA 8000 ppm talc", "ROS-HS", "it is eaten: without a label that names it, none"),
    ("rosemary", "root/lasts", "3 .. 4 weeks", "ROS-HS", INSIDE),
    ("woodland-salvia", "hold/lasts", "18 h", "SAL-GM", INSIDE),
    ("woodland-salvia", "root/medium-temperature", "70 .. 72 F", "SAL-GM", INSIDE),
    ("woodland-salvia", "root/medium-temperature", "24 C", "SAL-GM", "the article's own conversion is wrong: 72 F is 22.2 C"),
    ("zonal-geranium", "hold/lasts", "4 h", "HRV-150", INSIDE),
    ("coleus", "take/length", "2 .. 5 cm", "HRV-121", "the shortest dry out before they drink: from 3 cm"),
    # trees, willows, dormant wood
    ("stewartia", "winter/losses", "34.4 %", "STEW", INSIDE),
    ("stewartia", "winter/medium-temperature", "5 C", "STEW", INSIDE),
    ("stewartia", "winter/medium-temperature", "-12.2 C", "STEW", "colder than that did harm, and young roots are not tried so far"),
    ("bottlebrush-buckeye", "treat/hormone", "IBA 2500 ppm quick-dip 1 .. 5 s", "IPPS-44", INSIDE),
    ("bottlebrush-buckeye", "take/window", "Jul", "IPPS-44", "May did better"),
    ("small-willow", "take/length", "3 in", "SAL-RN", INSIDE),
    ("small-willow", "treat/soak", "3 days", "SAL-RN", INSIDE),
    ("small-willow", "root/losses", "1 %", "SAL-RN", INSIDE),
    ("hard-poplar", "root/losses", "50 .. 71 %", "POP-CJ", INSIDE),
    ("hard-poplar", "take/length", "20 cm", "POP-CJ", INSIDE),
    ("redosier-dogwood", "take/length", "6 .. 8 in", "COR-RN", INSIDE),
    ("redosier-dogwood", "treat/hormone", "IBA 3000 ppm talc", "COR-RN", INSIDE),
    ("redosier-dogwood", "take/window", "21 May .. 10 Jun", "COR-RN", INSIDE),
    ("hardwood-forsythia", "take/thickness", "0.25 .. 1 in", "IA-HARD", INSIDE),
    ("hardwood-forsythia", "take/length", "4 .. 12 in", "IA-HARD", INSIDE),
    ("hardwood-forsythia", "take/discard-tip", "8 .. 10 in", "PNW-152", INSIDE),
    ("grape", "take/length", "16 .. 18 in", "GRAPE-UC", INSIDE),
    # what is eaten
    ("fig-hardwood", "root/losses", "0 .. 7.5 %", "FIG-AH", INSIDE),
    ("fig-hardwood", "root/lasts", "90 days", "FIG-AH", INSIDE),
    ("fig-hardwood", "stick/medium", "3 soil : 2 sand", "FIG-AH", INSIDE),
    ("fig-softwood", "treat/hormone", "none", "FIG-RCA", INSIDE),
    ("fig-softwood", "treat/hormone", "IBA 1000 ppm quick-dip 5 s", "FIG-RCA", "it lowered the results"),
    ("highbush-hardwood", "root/losses", "27.5 .. 48 %", "BB-KS", INSIDE),
    ("highbush-hardwood", "take/length", "5 .. 6 in", "BB-HI", INSIDE),
    ("highbush-hardwood", "take/length", "10 .. 13 cm", "BB-NC", "10 cm is 3.9 in: the span in inches begins at 4"),
    ("highbush-hardwood", "climate/shade", "40 .. 70 %", "BB-HI", INSIDE),
    ("highbush-hardwood", "stick/filled", "15 .. 18 cm", "BB-NC", INSIDE),
    ("highbush-softwood", "take/leaves", "2 .. 3", "BB-HI", INSIDE),
    ("highbush-softwood", "take/length", "4 .. 5 in", "BB-HI", INSIDE),
    ("elliotts-blueberry", "take/length", "10 .. 20 cm", "NPJ-21", INSIDE),
    ("elliotts-blueberry", "root/losses", "22.2 .. 50 %", "NPJ-21", INSIDE),
    ("lowbush-blueberry", "take/window", "21 Jun .. 10 Jul", "BB-LOW", INSIDE),
]

# ---------------------------------------------------------------- what the program says


@functools.cache
def told(protocol, path):
    """The clauses in force, without preferences: their texts and their sources."""
    asked = subprocess.run([HEELCUT, "why", protocol, path, LIBRARY, "--format", "json"], capture_output=True, text=True)
    if asked.returncode:
        raise ValueError(asked.stderr.strip())
    steps = json.loads(asked.stdout)["answers"][0]["steps"]
    own = [step for step in steps if step["depth"] == 0 and step.get("place") and not step["text"].startswith(("prefer ", "never "))]
    if not own:
        raise ValueError(f"{protocol} says nothing of {path}")
    field = path.split("/")[-1]
    return [re.sub(rf"^(must )?{re.escape(field)} ", "", step["text"]) for step in own], [step.get("source") or "" for step in own]


# ---------------------------------------------------------------- a reader of ranges

MONTHS = {name: number for number, name in enumerate("Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec".split())}
LENGTH = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
FACTORS = {"in": Fraction(254, 10), "cm": 10, "mm": 1, "%": 1, "weeks": 7, "week": 7, "days": 1, "months": Fraction(61, 2), "h": Fraction(1, 24),
           "s": 1, "min": 60, "ppm": 1, "": 1}
FOREVER = Fraction(10) ** 9


def quantity(text):
    """low and high in one unit for each kind: mm, days, C; a bound that is not said is very far."""
    open_low, open_high = text.startswith("at most "), text.startswith("at least ")
    text = re.sub(r"^(at most|at least) ", "", text)
    found = re.fullmatch(r"(-?[\d.]+)(?: \.\. (-?[\d.]+))? ?([A-Za-z%]*)", text)
    if not found:
        raise ValueError(f"cannot read {text!r}")
    low, high, unit = Fraction(found[1]), Fraction(found[2] or found[1]), found[3]
    if unit == "F":
        low, high = (low - 32) * 5 / 9, (high - 32) * 5 / 9
    elif unit != "C":
        low, high = low * FACTORS[unit], high * FACTORS[unit]
    return (-FOREVER if open_low else low), (FOREVER if open_high else high)


def day_of(text, last):
    """The first or last day of the year that a moment of a window means."""
    word, month = text.split() if " " in text else ("", text)
    first, end = sum(LENGTH[: MONTHS[month]]), LENGTH[MONTHS[month]]
    spans = {"early": (1, 10), "mid": (11, 20), "late": (21, end), "": (1, end), "start": (1, 1), "end": (end, end)}
    span = spans.get(word) or (int(word), int(word))
    return first + span[last]


def days(text):
    """All days of a list of windows."""
    all_of_them = set()
    for window in text.split(", "):
        if window == "all year":
            return set(range(1, 366))
        begin, _, end = window.partition(" .. ")
        low, high = day_of(begin, 0), day_of(end or begin, 1)
        all_of_them |= set(range(low, high + 1)) if low <= high else set(range(low, 366)) | set(range(1, high + 1))
    return all_of_them


def dose(text):
    """Substance and form, strength, time in seconds."""
    if text == "none":
        return "none", (Fraction(0), Fraction(0)), None
    found = re.fullmatch(r"([A-Z][A-Za-z -]*?) ([\d.]+(?: \.\. [\d.]+)?) (ppm|%) ([a-z-]+)(?: ([\d.]+(?: \.\. [\d.]+)? (?:s|min|h)))?", text)
    if not found:
        raise ValueError(f"cannot read {text!r}")
    strength = quantity(found[2])
    if found[3] == "%":
        strength = strength[0] * 10000, strength[1] * 10000
    seconds = quantity(found[5]) if found[5] else None
    return f"{found[1]} {found[4]}", strength, seconds


def within(inner, outer):
    return outer[0] <= inner[0] and inner[1] <= outer[1]


def holds(field, library, published):
    """Whether all of the published figure lies in what the library says."""
    if field == "window":
        return days(published) <= set().union(*(days(text) for text in library))
    if field == "medium":
        return published in library
    if field in ("wound", "part", "wood"):
        return set(published.split(", ")) <= set(library[0].split(", "))
    if field == "hormone":
        kind, strength, time = dose(published)
        for text in library[0].split(", "):
            its_kind, its_strength, its_time = dose(text)
            if kind == its_kind and within(strength, its_strength) and (not time or not its_time or within(time, its_time)):
                return True
        return False
    return any(within(quantity(published), quantity(text)) for text in library)


def judge(protocol, path, published, key, verdict):
    """What is wrong with the row, or ""."""
    library, sources = told(protocol, path)
    inside = holds(path.split("/")[1], library, published)
    if verdict != INSIDE:
        return f"the library holds {published} though it is not meant to: {verdict}" if inside else ""
    if not inside:
        return f"{published} [{key}] is not inside {'; '.join(library)}"
    if not any(re.search(rf"(^|; ){re.escape(key)}: ", source) for source in sources):
        return f"{'; '.join(library)} does not cite {key}, but {'; '.join(sources)}"
    return ""


# ---------------------------------------------------------------- every figure says where it is from

# Fields whose figures claim something of plants or of work.
CLAIMS = set("""window hour length thickness leaves nodes leaf-trim bare base-cut top-cut base-below-node top-above-node stem-below stem-above
    discard-tip root-share work lasts soak unpack in-bag hormone dilution wound wound-length medium pH depth depth-top cover spacing filled per-cell
    rows apart medium-temperature air-temperature night-low humidity shade light-sum chill losses pays dose deep day""".split())


def unsourced():
    """Clauses of the library that give a figure and say nothing of where it is from."""
    for folder, _, names in os.walk(LIBRARY):
        for name in sorted(set(names) - {"rules.heel"}):
            with open(os.path.join(folder, name), encoding="utf-8") as file:
                text = re.sub(r'"(\\.|[^"\\])*"', '""', file.read())
            text = re.sub(r"#.*", "", text)
            text = re.sub(r",\n\s*|\n\s*(?=\[|because|instead)", " ", text)  # a clause on several lines
            for line in re.split(r"[\n{};]", text):
                clause = re.sub(r"^\s*((must|prefer|keep|never) )*", "", line)
                field, _, value = clause.partition(" ")
                if field == "day":
                    value = re.sub(r"^\d+ \.\. (\d+|end)", "", value)
                if field in CLAIMS and re.search(r"\d", value.split("[")[0]) and "[" not in value:
                    yield f"{name}: {' '.join(line.split())}"


# ---------------------------------------------------------------- what can hurt is said, in both languages

ALWAYS = ("protected?", "local lists", "Knife", "Alcohol", "Bleach", "Dust")
WHERE = ("residual-current",)  # where water and current meet


def protocols():
    for folder, _, names in os.walk(os.path.join(LIBRARY, "plants")):
        for name in sorted(names):
            with open(os.path.join(folder, name), encoding="utf-8") as file:
                for block in re.split(r"^(?=protocol )", file.read(), flags=re.M)[1:]:
                    if not re.search(r"^  base +yes", block, re.M):
                        yield block.split(" ")[1]


@functools.cache
def spanish():
    """The texts that the library's glossary translates."""
    with open(os.path.join(LIBRARY, "shared", "words-es.heel"), encoding="utf-8") as file:
        return set(re.findall(r'^  text "([^"]*)" "[^"]+"$', file.read(), re.M))


def uncautioned(protocol):
    """What a protocol's cautions leave out."""
    texts, _ = told(protocol, "caution")
    english = " ".join(texts)
    wanted = set(ALWAYS)
    if told(protocol, "hormone")[0] != ["none"]:
        wanted |= {"its label decides", "Goggles", "Dips in alcohol"}
    if re.search("mist|fog|case", told(protocol, "enclosure")[0][0]):
        wanted |= set(WHERE)
    missing = [f"no caution speaks of {word}" for word in sorted(wanted) if word not in english]
    return missing + [f"no Spanish for: {text}" for text in texts if text.strip('"') not in spanish()]


def main():
    bad = 0
    for protocol in protocols():
        missing = uncautioned(protocol)
        bad += bool(missing)
        print(f"{'not ok' if missing else 'ok'} {protocol} says what can hurt" + "".join(f"\n    {fault}" for fault in missing))
    for row in ROWS:
        try:
            fault = judge(*row)
        except ValueError as error:
            fault = str(error)
        bad += bool(fault)
        print(f"{'not ok' if fault else 'ok'} {row[0]} {row[1]}: {row[2]} [{row[3]}]" + (f"\n    {fault}" if fault else ""))
    bare = list(unsourced())
    print("not ok a figure says where it is from\n    " + "\n    ".join(bare) if bare else "ok a figure says where it is from")
    sys.exit(1 if bad or bare else 0)


main()
