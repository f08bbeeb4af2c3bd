#!/bin/sh
# Compares days, ISO weeks and written dates of base/date with GNU date, in one run of it.
#
#   sh tests/outside/dates_gnu.sh BUILD [SEED]
#
# BUILD is where the printer of days is compiled. The same seed draws the same days.
set -u
cd "$(dirname "$0")/../.." || exit 2
build=${1:?"which build folder?"}
seed=${2:-20270618}
mkdir -p "$build/outside" || exit 2
export LC_ALL=C

printer=$build/outside/print_dates
if ! ${CC:-cc} -std=c11 -Isrc -o "$printer" tests/outside/print_dates.c \
    src/base/date.c src/base/digits.c src/base/slice.c src/base/arena.c; then
    echo "not ok dates - the printer of days does not compile"
    exit 1
fi
echo "seed $seed"
ours=$build/outside/dates.ours
theirs=$build/outside/dates.gnu
"$printer" "$seed" >"$ours" || exit 1
cut -d'|' -f1 "$ours" >"$build/outside/dates.asked"
if ! date -u -f "$build/outside/dates.asked" '+%F|%s|%G-W%V-%u|%a %-d %b %Y' >"$theirs"; then
    echo "not ok dates - GNU date refuses one of ours"
    exit 1
fi

paste -d'|' "$ours" "$theirs" | awk -F'|' '
    BEGIN { split("written as ISO dates|counted in days|ISO weeks and weekdays|written in words", what, "|") }
    {
        for (i = 1; i <= 4; i++)
            if ($i != $(i + 4) && !why[i]) why[i] = $1 ": GNU date says " $(i + 4) ", base/date " $i
    }
    END {
        for (i = 1; i <= 4; i++) {
            name = "days " what[i] " (" NR ")"
            bad = bad || why[i] || NR < 3000
            print why[i] ? "not ok " name " - " why[i] : NR < 3000 ? "not ok " name " - too few days" : "ok " name
        }
        exit bad ? 1 : 0
    }'
