#!/bin/sh
# Holds the tests and the manual to the tables: every test file is run by something, every finding and every field stands
# in the manual, and every finding is made by some test.
set -u
cd "$(dirname "$0")/.." || exit 2

faulty=$(mktemp) || exit 2 # a verdict at the end of a pipe is a shell of its own: only a file tells the others
trap 'rm -f "$faulty"' EXIT
verdict() { # verdict NAME: the faults are on standard input, one a line
    faults=$(cat)
    if [ -z "$faults" ]; then
        echo "ok tree: $1"
    else
        echo "$1" >>"$faulty"
        echo "not ok tree: $1"
        echo "$faults" | sed 's/^/    /'
    fi
}

names() { # names FILE MACRO…: the first text of each row, behind an ID if there is one
    table=$1
    shift
    for macro; do sed -n "s/^[ \t]*$macro([A-Z0-9_, \t]*\"\([^\"]*\)\".*/\1/p" "$table"; done | sort -u
}

# ---------------------------------------------------------------- every test file is run

{
    find tests/cases -mindepth 1 -maxdepth 1 ! -type d
    find tests/cases -mindepth 2 -maxdepth 2 | while read -r case; do [ -f "$case/cmd" ] || echo "$case: has no cmd"; done
} | verdict "every folder in cases is a case"

find tests/rules -mindepth 1 ! -name '*.heel' | verdict "every file in rules is a rule expectation"
find tests/unit -mindepth 1 -maxdepth 1 -type f ! -name '*_test.c' ! -name '*.h' | verdict "every file in unit is a test"
find tests/fuzz -mindepth 1 -maxdepth 1 -type f ! -name 'fuzz_*.c' ! -name heel.dict ! -name run.sh |
    verdict "every file in fuzz is a door"
find tests/fuzz/seeds -mindepth 1 -maxdepth 1 2>/dev/null | while read -r seeds; do
    [ -e "tests/fuzz/fuzz_$(basename "$seeds" .sh).c" ] || echo "$seeds: there is no such door"
done | verdict "every folder of seeds has its door"

# used PATH PLACE…: some file of these places, other than itself, calls it by its name
used() {
    path=$1
    shift
    grep -rlF -- "$(basename "$path")" "$@" 2>/dev/null | grep -qvxF "$path"
}

find tests/outside -type f ! -name '*.sh' ! -name '*.py' ! -name package.json | while read -r file; do
    used "$file" tests/outside tests/unit || echo "$file: nothing names it"
done | verdict "every file in outside is used"
find tests/unit -type f ! -name '*_test.c' | while read -r file; do
    used "$file" tests/unit || echo "$file: nothing names it"
done | verdict "every file beside the unit tests is used"
find tests -maxdepth 1 -type f ! -name harness.py | while read -r file; do
    used "$file" Makefile tests/run.sh .ci/run || echo "$file: nothing runs it"
done | verdict "every script is run"
find tests -mindepth 1 -maxdepth 1 -type d ! -name __pycache__ | while read -r folder; do
    case $(basename "$folder") in
    bench | broken | cases | diff | fuzz | outside | rules | torture | unit) ;;
    *) echo "$folder: nothing runs what is in it" ;;
    esac
done | verdict "every folder is run"

# ---------------------------------------------------------------- tables, manual and tests agree

manual=$(mktemp) && tests=$(mktemp) || exit 2
trap 'rm -f "$faulty" "$manual" "$tests"' EXIT
cat docs/*.md >"$manual" 2>/dev/null
find tests/cases tests/rules tests/unit tests/broken -type f -exec cat {} + >"$tests"

# missing FILE WHERE: the names on standard input that this file does not hold as a word
missing() {
    while read -r name; do
        grep -qE -- "(^|[^A-Za-z0-9-])$name([^A-Za-z0-9-]|\$)" "$1" || echo "$name: not in $2"
    done
}

names grammar/findings.def FINDING | missing "$manual" docs | verdict "every finding stands in the manual"
names grammar/findings.def FINDING | missing "$tests" "any test" | verdict "every finding is made by a test"
if [ -e grammar/vocabulary.def ]; then
    names grammar/vocabulary.def FIELD BLOCK | missing "$manual" docs | verdict "every field stands in the manual"
else
    echo "grammar/vocabulary.def: is not there" | verdict "every field stands in the manual"
fi
[ -n "$(names grammar/findings.def FINDING)" ] || echo "no row was read" | verdict "the table of findings can be read"
ls protocols/rules/*.heel >/dev/null 2>&1 || echo "no rule ships" | verdict "there are rules that ship"
for rule in protocols/rules/*.heel; do
    [ -e "$rule" ] || continue
    sed -n 's/^[ \t]*rule[ \t]\{1,\}\([a-z0-9-]\{1,\}\).*/\1/p' "$rule"
done | sort -u | missing "$tests" "any test" | verdict "every rule that ships is made by a test"

[ ! -s "$faulty" ]
