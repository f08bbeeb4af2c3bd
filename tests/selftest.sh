#!/bin/sh
# Tests the tests: in a tree of its own it plants faults of each kind and demands that the runners report just these.
# The program in that tree is a few lines of shell that answer what the planted tests expect, or do not.
set -u
cd "$(dirname "$0")/.." || exit 2
top=$(mktemp -d) || exit 2
trap 'rm -rf "$top"' EXIT

worst=0
expect() { # expect NAME TEXT FILE: the file must hold the text, as a whole line where it begins with ^
    if grep -q -- "$2" "$3"; then
        echo "ok selftest: $1"
    else
        worst=1
        echo "not ok selftest: $1"
        sed 's/^/    /' "$3"
    fi
}

# ---------------------------------------------------------------- the tree

mkdir -p "$top/build/unit" "$top/tests/fuzz" "$top/src/base" "$top/src/cmd" "$top/grammar" "$top/docs"
cp tests/*.sh tests/*.py "$top/tests/"
cat >"$top/build/heelcut" <<'PROGRAM'
#!/bin/sh
case "$*" in
"check --format json"*) cat answer.json 2>/dev/null || sed -n 's/^# answer: //p' "$4"; exit 1 ;;
"say "*) echo "$2" ;;
"check silent.heel") exit 1 ;;
"check escape.heel") printf 'a \033[2J\n' ;;
"check leaves.heel") touch left ;;
"check changes.heel") date +%N ;;
"check dies.heel") kill -SEGV $$ ;;
"check "*) [ -s "$2" ] && printf 'a finding\n' && exit 1; exit 0 ;;
esac
PROGRAM
chmod +x "$top/build/heelcut"

plant_case() { # plant_case NAME WORD EXPECTED
    mkdir -p "$top/tests/cases/plant/$1"
    echo "heelcut say $2" >"$top/tests/cases/plant/$1/cmd"
    echo "$3" >"$top/tests/cases/plant/$1/expected"
}
plant_rule() { # plant_rule NAME "FINDINGS" "LINE"…
    mkdir -p "$top/tests/rules"
    file=$top/tests/rules/$1.heel
    echo "# answer: {\"version\":1,\"findings\":[$2]}" >"$file"
    shift 2
    for line; do echo "$line" >>"$file"; done
}
plant_unit() { # plant_unit NAME STATUS "LINE"…
    mkdir -p "$top/tests/unit"
    : >"$top/tests/unit/$1.c"
    { echo "#!/bin/sh" && printf "echo '%s'\n" "$3" && echo "exit $2"; } >"$top/build/unit/$1"
    chmod +x "$top/build/unit/$1"
}
run() { # run OUTPUT GROUP…
    output=$top/$1
    shift
    sh "$top/tests/run.sh" only build "$@" >"$output" 2>&1
    echo "status $?" >>"$output"
}
found='{"file":"%s.heel","line":%d,"severity":"warning","name":"depth","message":"depth 40 mm, 12 .. 25 mm allowed"}'

# ---------------------------------------------------------------- what is good is counted as good

plant_case holds yes yes
# shellcheck disable=SC2059 # the format is ours
plant_rule holds "$(printf "$found" holds 2)" 'depth 40 mm # expect: warning depth "12 .. 25"'
plant_unit holds_test 0 "ok 1 - adds"
run good unit cases rules
expect "three good tests pass" "^3 passed, 0 failed$" "$top/good"
expect "and the status is 0" "^status 0$" "$top/good"

# ---------------------------------------------------------------- each planted fault is reported, and only it

plant_case differs no yes
mkdir -p "$top/tests/cases/plant/status" "$top/tests/cases/plant/blank" "$top/tests/cases/plant/idle"
echo "heelcut say yes; exit 1" >"$top/tests/cases/plant/status/cmd"
echo "yes" >"$top/tests/cases/plant/status/expected"
echo "heelcut say yes" >"$top/tests/cases/plant/blank/cmd"
echo "true" >"$top/tests/cases/plant/idle/cmd"
: >"$top/tests/cases/plant/idle/expected"
run cases cases
expect "a case whose output differs" "^not ok tests/cases/plant/differs$" "$top/cases"
expect "with the difference" "^    +no$" "$top/cases"
expect "a case whose status differs" "^    status 0 expected, 1 got$" "$top/cases"
expect "a case that expects nothing yet" "^not ok tests/cases/plant/blank$" "$top/cases"
expect "a case that never calls the program" "^not ok tests/cases/plant/idle$" "$top/cases"
expect "four faults, one good" "^1 passed, 4 failed$" "$top/cases"
expect "cases: the status is 1" "^status 1$" "$top/cases"

plant_rule absent "" 'depth 40 mm # expect: warning depth'
# shellcheck disable=SC2059
plant_rule surplus "$(printf "$found" surplus 2)" 'depth 40 mm'
# shellcheck disable=SC2059
plant_rule line "$(printf "$found" line 3)" '# expect-next: warning depth' '# expect-next: warning length' 'depth 40 mm'
# shellcheck disable=SC2059
plant_rule message "$(printf "$found" message 2)" 'depth 40 mm # expect: warning depth "9 .. 10"'
plant_rule misspelt "" 'depth 40 mm # expect: depth'
run rules rules
for name in absent surplus line message misspelt; do
    expect "a rule expectation: $name" "^not ok tests/rules/$name.heel$" "$top/rules"
done
expect "rules: five faults, one good" "^1 passed, 5 failed$" "$top/rules"

plant_unit fails_test 1 "not ok 1 - subtracts"
plant_unit crashes_test 134 ""
plant_unit leaks_test 1 "ok 1 - leaks at its end"
plant_unit silent_test 0 ""
: >"$top/tests/unit/unbuilt_test.c"
run units unit
expect "a unit test that fails" "^not ok fails_test: subtracts$" "$top/units"
expect "one that crashes" "^not ok crashes_test ended with status 134$" "$top/units"
expect "one that ends badly after its tests" "^not ok leaks_test ended with status 1$" "$top/units"
expect "one that runs nothing" "^not ok silent_test ran no test$" "$top/units"
expect "one that was not built" "^not ok unbuilt_test was not built$" "$top/units"
expect "units: five faults" "^2 passed, 5 failed$" "$top/units"

# ---------------------------------------------------------------- what no case can hide from the sanitizers

mkdir -p "$top/sanitized"
cat >"$top/leaky.c" <<'PROGRAM'
#include <stdlib.h>
int main(int argc, char **argv)
{
    int *kept = malloc(40);
    if (argv[1][0] == 'o') return kept[9] = 2147483647 + argc, free(kept), 0;
    kept = NULL;
    return argv[1][0] == 'l' ? 0 : kept[argc];
}
PROGRAM
if ! gcc -O0 -w -fsanitize=address,undefined -fno-sanitize-recover=all -static-libasan -static-libubsan \
    -o "$top/sanitized/heelcut" "$top/leaky.c"; then
    echo "not ok selftest: the sanitizers do not compile"
    worst=1
fi
for kind in leak overflow null; do
    mkdir -p "$top/hidden/$kind"
    echo "heelcut $kind >/dev/null 2>&1 || true" >"$top/hidden/$kind/cmd"
    : >"$top/hidden/$kind/expected"
done
python3 "$top/tests/cases.py" --heelcut "$top/sanitized/heelcut" "$top/hidden" >"$top/hidden.out"
for kind in leak overflow null; do expect "a sanitizer speaks of: $kind" "^not ok .*hidden/$kind$" "$top/hidden.out"; done

# ---------------------------------------------------------------- broken input, no memory, no room, a door that falls

mkdir "$top/tests/broken"
for name in silent escape leaves changes dies good; do echo x >"$top/tests/broken/$name.heel"; done
run broken broken
for name in silent escape leaves changes dies; do
    expect "an input that makes the program fail: $name" "^not ok broken/$name.heel$" "$top/broken"
done
expect "broken: five faults" ", 5 failed$" "$top/broken"

cp -r tests/torture "$top/tests/"
run torture torture
expect "a program that never runs out of memory" "    no request for memory was seen" "$top/torture"
expect "a program that does not see that it cannot write" "^not ok cannot write: heelcut check . >/dev/full$" "$top/torture"
expect "torture: nothing is good" "^0 passed, [0-9]* failed$" "$top/torture"

cp tests/fuzz/run.sh "$top/tests/fuzz/"
for door in falls idles; do : >"$top/tests/fuzz/fuzz_$door.c"; done
printf '#!/bin/sh\necho it fell\nexit 77\n' >"$top/build/fuzz_falls"
printf '#!/bin/sh\necho "stat::number_of_executed_units: 1"\n' >"$top/build/fuzz_idles"
chmod +x "$top/build/fuzz_falls" "$top/build/fuzz_idles"
run fuzz fuzz
expect "a door that falls" "^not ok fuzz_falls$" "$top/fuzz"
expect "fuzz: two faults" "^0 passed, 2 failed$" "$top/fuzz"

# ---------------------------------------------------------------- nothing is not good

rm -r "$top/tests/cases" "$top/tests/rules" "$top/tests/unit"
mkdir "$top/tests/outside"
rm "$top"/tests/fuzz/fuzz_*.c
run empty unit cases rules manual outside fuzz
expect "six empty groups are six faults" "^0 passed, 6 failed$" "$top/empty"

# ---------------------------------------------------------------- the manual

fence='```'
page() { printf '%s\n' "$@" >"$top/docs/page.md"; }
page "${fence}console" '$ heelcut say one' one "$fence" "${fence}console" '$ heelcut say two' zwei "$fence" \
    "${fence}console" '$ heelcut say a; heelcut say b; heelcut say c' a ... c "$fence"
run manual manual
expect "an example that the program contradicts" "^not ok docs/page.md:5$" "$top/manual"
expect "manual: one fault, two good" "^2 passed, 1 failed$" "$top/manual"

page "${fence}heel expect=depth" '# answer: x' "$fence" "${fence}heel colour=red" 'depth' "$fence"
run heel manual
expect "an example that cannot be checked, and one marked with an unknown word" "^0 passed, 2 failed$" "$top/heel"

said='{"findings":[{"file":"./b.heel","line":1,"severity":"error","name":"depth","message":"m"}]}'
page "${fence}heel group=a file=answer.json" "$said" "$fence" "${fence}heel group=a file=b.heel expect=depth" 'x' "$fence" \
    "${fence}heel group=b file=answer.json" "$said" "$fence" "${fence}heel group=b file=b.heel expect=length" 'x' "$fence" \
    "${fence}heel group=c file=answer.json" "$said" "$fence" "${fence}csv group=c file=c.csv" 'x' "$fence"
run groups manual
expect "an example with another finding" "^not ok docs/page.md:10$" "$top/groups"
expect "a finding in no example" "^not ok docs/page.md:13$" "$top/groups"
expect "groups: two faults, four good" "^4 passed, 2 failed$" "$top/groups"

# ---------------------------------------------------------------- the source tree

printf '/* A file. */\n#include "cmd/options.h"\nvoid f(char *a) { strcpy(a, "b"); exit(1); } /* atoi( */\n' \
    >"$top/src/base/wrong.c"
printf '/* A file. */\nint main(void) { return 0; }\n' >"$top/src/cmd/main.c"
run layers layers
expect "an include that points right" "src/base/wrong.c:2: base includes cmd/options.h" "$top/layers"
expect "a banned function" "^not ok layers: no banned function$" "$top/layers"
expect "an exit below cmd" "^not ok layers: only cmd ends the program$" "$top/layers"
expect "layers: three faults" ", 3 failed$" "$top/layers"

mkdir -p "$top/tests/cases/plant/forgotten" "$top/tests/rules" "$top/tests/unit"
echo 'FINDING("never-made", ERROR, "Nobody makes it.")' >"$top/grammar/findings.def"
: >"$top/tests/unit/helper.c"
: >"$top/tests/orphan.sh"
run tree tree
expect "a folder without a command" "tests/cases/plant/forgotten: has no cmd" "$top/tree"
expect "a unit file that is no test" "    tests/unit/helper.c" "$top/tree"
expect "a script that nothing runs" "tests/orphan.sh: nothing runs it" "$top/tree"
expect "a finding without a test" "never-made: not in any test" "$top/tree"
expect "a finding without a page" "never-made: not in docs" "$top/tree"

exit $worst
