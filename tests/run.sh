#!/bin/sh
# The one test command. Ends with the line "N passed, N failed", and with 0 only if something ran and nothing failed.
#
#   tests/run.sh                    everything: the plain build, the sanitized one, the other compiler, a short fuzz
#   tests/run.sh quick              unit tests, cases and rule expectations of the plain build
#   tests/run.sh only BUILD GROUP…  these groups of a build that is there already
#
# A group is a command that prints "ok NAME" and "not ok NAME" lines, a fault's details behind the latter. Its whole output
# stays in build/log. A group that says nothing has failed, and so has one that ends badly without naming a fault: no test
# that cannot fail.
set -u
cd "$(dirname "$0")/.." || exit 2
PATH=/usr/bin:/bin:/usr/sbin:/sbin:$PATH # the packages' own Python before any other
export PATH
HEELCUT_TESTS=$PWD/tests
export HEELCUT_TESTS
export LC_ALL=C.UTF-8 TZ=UTC CMOCKA_MESSAGE_OUTPUT=TAP
# The unit tests run sanitized too; a crash is the sanitizer's to report, not cmocka's.
export ASAN_OPTIONS=detect_leaks=1:handle_segv=2 UBSAN_OPTIONS=print_stacktrace=1
export PYTHONDONTWRITEBYTECODE=1

log=build/log
mkdir -p $log
passed=0
failed=0

# ---------------------------------------------------------------- one group

# group NAME COMMAND…: runs it, shows its faults, adds up.
group() {
    name=$1
    shift
    file="$log/$(echo "$name" | tr ' /' '--').log"
    began=$(date +%s)
    ("$@") >"$file" 2>&1 </dev/null # in a shell of its own, so that its variables are its own
    status=$?
    good=$(grep -c '^ok ' "$file")
    bad=$(grep -c '^not ok ' "$file")
    # A fault's details go on to the next verdict; sixty lines of them are enough to begin with.
    awk '/^ok / { shown = 0 } /^not ok / { shown = 60 } shown > 0 { print; shown-- }' "$file"
    if [ "$bad" -eq 0 ] && { [ "$status" -ne 0 ] || [ "$good" -eq 0 ]; }; then
        bad=1
        if [ "$status" -ne 0 ]; then why="ended with status $status"; else why="no test ran"; fi
        echo "not ok $name: $why"
        tail -n 40 "$file" | sed 's/^/    /'
    fi
    echo "$name: $good passed, $bad failed ($(($(date +%s) - began)) s)"
    passed=$((passed + good))
    failed=$((failed + bad))
}

# ---------------------------------------------------------------- what the groups run

# compile BUILD TARGET…: one test, that it compiles without a warning.
compile() {
    build=$1
    shift
    if ${MAKE:-make} --no-print-directory -j"$(nproc)" BUILD="$build" WERROR=1 "$@"; then
        echo "ok $build compiles"
    else
        # The errors stand among the commands that make printed: show those, and the end.
        echo "not ok $build compiles"
        grep -E '(error|warning|undefined reference)' "$log/compile-$(echo "$build" | tr / -).log" | head -n 30 | sed 's/^/    /'
        return 1
    fi
}

# units BUILD: one program for each tests/unit/*_test.c; its name goes before the names of its tests.
units() {
    for source in tests/unit/*_test.c; do
        name=$(basename "$source" .c)
        [ -e "$source" ] || continue
        if [ ! -x "$1/unit/$name" ]; then
            echo "not ok $name was not built"
            continue
        fi
        timeout 300 "$1/unit/$name" >"$log/unit.out" 2>&1
        status=$?
        sed -E "s/^((not )?ok) [0-9]+ - /\1 $name: /" "$log/unit.out"
        if [ $status -ne 0 ] && ! grep -q '^not ok ' "$log/unit.out"; then
            echo "not ok $name ended with status $status"
            tail -n 40 "$log/unit.out" | sed 's/^/    /'
        elif ! grep -q '^\(not \)\?ok ' "$log/unit.out"; then
            echo "not ok $name ran no test"
        fi
    done
}

# script NAME COMMAND…: a script that prints its own verdicts; to end badly or without one is a fault of its own.
script() {
    name=$1
    shift
    "$@" >"$log/script.out" 2>&1
    status=$?
    cat "$log/script.out"
    if [ $status -ne 0 ] && ! grep -q '^not ok ' "$log/script.out"; then
        echo "not ok $name ended with status $status"
        tail -n 20 "$log/script.out" | sed 's/^/    /'
    elif ! grep -q '^\(not \)\?ok ' "$log/script.out"; then
        echo "not ok $name made no check"
    fi
}

# outside BUILD: what other makers' programs and tables say.
outside() {
    NODE_PATH=$PWD/build/npm/node_modules
    HEELCUT=$PWD/$1/heelcut
    export NODE_PATH HEELCUT
    for script in tests/outside/*.sh tests/outside/*.py; do
        [ -e "$script" ] || continue
        case $script in
        *.sh) script "$script" sh "$script" "$1" ;;
        *.py) script "$script" python3 "$script" "$1" ;;
        esac
    done
}

# torture BUILD: what becomes of the program, and of files, when something is taken away.
torture() {
    for script in tests/torture/*.py; do script "$script" python3 "$script" "$1"; done
}

# diffs BUILD: what the comparison of seasons tells, held against a table, a repository and itself.
diffs() {
    for test in tests/diff_grid.py tests/diff_git.py tests/diff_properties.py; do
        script "$test" python3 "$test" --heelcut "$1/heelcut"
    done
}

# run_group BUILD GROUP: a group by its name.
run_group() {
    case $2 in
    unit) group "unit $1" units "$1" ;;
    cases) group "cases $1" python3 tests/cases.py --heelcut "$1/heelcut" ;;
    rules) group "rules $1" python3 tests/rules.py --heelcut "$1/heelcut" ;;
    shipped) group "shipped $1" python3 tests/shipped.py --heelcut "$1/heelcut" ;;
    words) group "words $1" python3 tests/words.py --heelcut "$1/heelcut" ;;
    explain) group "explain $1" python3 tests/explain.py --heelcut "$1/heelcut" ;;
    diff) group "diff $1" diffs "$1" ;;
    manual) group "manual $1" python3 tests/manual.py --heelcut "$1/heelcut" ;;
    broken) group "broken $1" python3 tests/broken.py --heelcut "$1/heelcut" ;;
    outside) group "outside $1" outside "$1" ;;
    torture) group "torture $1" torture "$1" ;;
    layers) group layers sh tests/layers.sh ;;
    tree) group tree sh tests/tree_check.sh ;;
    selftest) group selftest sh tests/selftest.sh ;;
    fuzz) group "fuzz $1" sh tests/fuzz/run.sh "$1" 5 ;;
    *) echo "run.sh: there is no group \"$2\"" >&2 && exit 2 ;;
    esac
}

build_and_run() { # BUILD "TARGETS" GROUP…
    variant=$1
    targets=$2
    shift 2
    # shellcheck disable=SC2086 # the targets are words
    group "compile $variant" compile "$variant" $targets
    # What was built before would only mislead.
    if [ "$bad" -gt 0 ]; then echo "left out, as $variant does not compile: $*" && return; fi
    for one; do run_group "$variant" "$one"; done
}

# ---------------------------------------------------------------- which groups

case ${1:-full} in
full)
    for one in selftest layers tree; do run_group build $one; done
    build_and_run build "all units torture" unit cases rules shipped words explain diff manual broken outside torture
    build_and_run build/asan "all units" unit cases rules shipped explain diff manual broken
    build_and_run build/clang "all units"
    build_and_run build/fuzz fuzzers fuzz
    ;;
quick)
    build_and_run build "all units" unit cases rules shipped words
    ;;
only)
    variant=$2
    shift 2
    for one; do run_group "$variant" "$one"; done
    ;;
*)
    echo "run.sh: full, quick or only, not \"$1\"" >&2
    exit 2
    ;;
esac

echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
