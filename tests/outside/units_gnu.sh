#!/bin/sh
# Compares every row of grammar/units.def with the program GNU units, which works from definitions of its own.
#
#   sh tests/outside/units_gnu.sh BUILD
#
# BUILD is where the printer of the table is compiled. A factor must agree to 1e-11 of its size. Scales of temperature
# are compared at three readings each. Money has no rate to compare: its rows must convert nothing.
set -u
cd "$(dirname "$0")/../.." || exit 2
build=${1:?"which build folder?"}
mkdir -p "$build/outside" || exit 2
export LC_ALL=C

if ! command -v units >/dev/null; then
    echo "not ok units.def - GNU units is not installed"
    exit 1
fi
printer=$build/outside/print_units
if ! ${CC:-cc} -std=c11 -Isrc -Igrammar -o "$printer" tests/outside/print_units.c \
    src/base/unit.c src/base/number.c src/base/digits.c; then
    echo "not ok units.def - the printer of the table does not compile"
    exit 1
fi

# Numbers for GNU units to turn, and what our table makes of each: name|from|to|wanted.
"$printer" | awk -F'|' '
    function value(fraction, part) { split(fraction, part, "/"); return part[1] / part[2] }
    !($2 in base) { base[$2] = $5 }
    {
        name = $1 " (" $2 ")"
        if ($5 == "") {
            print name "|||" (value($3) == 1 && value($4) == 0 ? "same" : "converts")
        } else if ($5 ~ /^temp/) {
            for (reading = -40; reading <= 104; reading += 72)
                printf "%s at %d|%s(%d)|%s|%.17g\n", name, reading, $5, reading, base[$2],
                       reading * value($3) + value($4)
        } else {
            printf "%s|%s|%s|%.17g\n", name, $5, base[$2], value($3)
        }
    }' >"$build/outside/units.asked"

if [ ! -s "$build/outside/units.asked" ]; then
    echo "not ok units.def - the table is empty"
    exit 1
fi

while IFS='|' read -r name from to wanted; do
    if [ -z "$from" ]; then
        echo "$name|same|$wanted"
    else
        echo "$name|$(units -t -o '%.17g' -- "$from" "$to" 2>&1 | tr '\n|' '  ')|$wanted"
    fi
done <"$build/outside/units.asked" | awk -F'|' '
    function size(x) { return x < 0 ? -x : x }
    function close_to(a, b) { return size(a - b) <= 1e-11 * (b == 0 ? 1 : size(b)) }
    {
        given = $2
        sub(/ +$/, "", given)
        number = given ~ /^-?[0-9.]+(e[-+]?[0-9]+)?$/
        if (given == "same" ? $3 == "same" : number && close_to(given + 0, $3 + 0)) {
            print "ok " $1
        } else {
            print "not ok " $1 " - GNU units says " given ", the table " $3
            bad = 1
        }
    }
    END { exit bad }'
