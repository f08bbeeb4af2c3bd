#!/bin/sh
# Fuzzes each door for some seconds: tests/fuzz/run.sh BUILD SECONDS.
# A door is a program tests/fuzz/fuzz_NAME.c. It starts from the files in tests/fuzz/seeds/NAME, from those that the script
# tests/fuzz/seeds/NAME.sh makes, or where there are none from the rule expectations, and from what earlier runs kept in
# BUILD/corpus/NAME. An input that breaks it is kept in BUILD/crash and belongs in tests/broken, with a name that says what it did.
set -u
cd "$(dirname "$0")/../.." || exit 2
build=$1
seconds=$2
mkdir -p "$build/crash"

worst=0
for source in tests/fuzz/fuzz_*.c; do
    [ -e "$source" ] || continue
    door=$(basename "$source" .c)
    name=${door#fuzz_}
    corpus=$build/corpus/$name
    mkdir -p "$corpus"
    seeds=tests/fuzz/seeds/$name
    if [ -e "$seeds.sh" ]; then
        sh "$seeds.sh" "$build/seeds/$name"
        seeds=$build/seeds/$name
    fi
    [ -d "$seeds" ] || seeds=tests/rules
    dictionary=
    [ -e tests/fuzz/heel.dict ] && dictionary=-dict=tests/fuzz/heel.dict
    if "$build/$door" -max_total_time="$seconds" -max_len=4096 -timeout=10 -rss_limit_mb=1024 -seed=1 -print_final_stats=1 \
        -artifact_prefix="$build/crash/$name-" $dictionary "$corpus" "$seeds" >"$build/$door.log" 2>&1; then
        # A door that ran nothing has been tested for nothing.
        runs=$(sed -n 's/^stat::number_of_executed_units: *//p' "$build/$door.log")
        if [ "${runs:-0}" -gt 100 ]; then
            echo "ok $door ($runs inputs)"
            continue
        fi
    fi
    worst=1
    echo "not ok $door"
    grep -v '^#' "$build/$door.log" | tail -n 40 | sed 's/^/    /'
done
exit $worst
