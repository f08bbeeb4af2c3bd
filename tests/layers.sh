#!/bin/sh
# Holds the source tree to what docs/design.md says of it; looks at text only. Each check is one verdict, with the
# offending lines behind it. Comments do not count, so that they may speak of what the code must not do.
set -u
cd "$(dirname "$0")/.." || exit 2

faulty=$(mktemp) || exit 2 # a verdict at the end of a pipe is a shell of its own: only a file tells the others
trap 'rm -f "$faulty"' EXIT
verdict() { # verdict NAME: the faults are on standard input, one a line
    faults=$(cat)
    if [ -z "$faults" ]; then
        echo "ok layers: $1"
    else
        echo "$1" >>"$faulty"
        echo "not ok layers: $1"
        echo "$faults" | sed 's/^/    /'
    fi
}

files=$(find src -name '*.[ch]' | sort)
grammar=$(find grammar -name '*.[ly]' | sort)
[ -n "$files" ] || { echo "not ok layers: there is no source" && exit 1; }

# Everything as FILE:LINE:TEXT without comments. Strings stay; none of the words below is wanted in one either.
bare=$(mktemp) || exit 2
trap 'rm -f "$faulty" "$bare"' EXIT
# shellcheck disable=SC2086 # file names are words here
awk 'FNR == 1 { inside = 0 }
{
    rest = $0; kept = ""
    while (rest != "") {
        if (inside) {
            end = index(rest, "*/")
            if (!end) break
            inside = 0; rest = substr(rest, end + 2)
        } else if (match(rest, /"([^"\\]|\\.)*"|\/\*|\/\//)) {
            found = substr(rest, RSTART, RLENGTH)
            kept = kept substr(rest, 1, RSTART - 1); rest = substr(rest, RSTART + RLENGTH)
            if (found == "/*") inside = 1
            else if (found == "//") rest = ""
            else kept = kept found
        } else { kept = kept rest; rest = "" }
    }
    print FILENAME ":" FNR ":" kept
}' $files $grammar >"$bare"

# The order of the folders; grammar/ is compiled as a part of syntax/.
awk 'BEGIN { count = split("base syntax model analysis write cmd", order, " "); for (i = 1; i <= count; i++) place[order[i]] = i }
match($0, /:[ \t]*#[ \t]*include[ \t]*"[^"]*"/) {
    split($0, part, ":")
    split(part[1], path, "/")
    folder = path[1] == "grammar" ? "syntax" : path[2]
    name = $0; sub(/^[^"]*"/, "", name); sub(/".*/, "", name)
    if (!(folder in place)) { print part[1] ": a folder without a place in the order"; next }
    if (split(name, to, "/") == 1) {
        if (name ~ /^(scan|parse)\.h$/) to[1] = "syntax"
        else if (name ~ /\.def$/) next
        else { print part[1] ":" part[2] ": " name " is not written from src"; next }
    }
    if (!(to[1] in place)) print part[1] ":" part[2] ": " name " is in no folder of src"
    else if (place[to[1]] > place[folder]) print part[1] ":" part[2] ": " folder " includes " name
}' "$bare" | verdict "includes point to the left"

grep -E ':[ \t]*#[ \t]*include[ \t]*"(scan|parse)\.h"' "$bare" | grep -Ev '^(src/syntax/|grammar/)' |
    verdict "scanner and parser are hidden in syntax"

# called WORDS: lines that call one of these functions
called() { grep -E "(^|[^A-Za-z0-9_.>])($1)[ \t]*\(" "$bare"; }

called 'v?sprintf|strn?cpy|strn?cat|ato[ifl]|atoll|gets|strto[dfl]|strtold|longjmp|setjmp|setlocale|system|popen|alloca|strtok' |
    verdict "no banned function"
# The arena may abort: a handler that returns, which its contract forbids, leaves nothing to go on with.
{
    called 'exit|_exit|_Exit|quick_exit' | grep -v '^src/cmd/'
    called 'abort' | grep -Ev '^src/(cmd/|base/arena\.c:)'
} | verdict "only cmd ends the program"
called 'malloc|calloc|realloc|free|strn?dup|aligned_alloc|mmap|munmap' | grep -Ev '^(src/base/arena\.c):' |
    verdict "only the arena asks for memory"
called 'time|clock|clock_gettime|gettimeofday|localtime(_r)?|gmtime(_r)?|mktime|getenv|isatty' | grep -v '^src/cmd/' |
    verdict "only cmd looks at the clock and the surroundings"
called 'f?printf|f?puts|putchar|putc|fputc|fwrite|perror' | grep -v '^src/cmd/' | verdict "only cmd prints"
grep -E '(^|[^A-Za-z_])REJECT([^A-Za-z_]|$)|%expect[ \t]+[1-9]' "$bare" | verdict "the grammar has no expected conflict"

for file in $files $grammar; do
    lines=$(wc -l <"$file")
    if [ "$lines" -gt 600 ] && ! head -n 30 "$file" | grep -q 'long because:'; then
        echo "$file: $lines lines, and no \"long because:\" in its head"
    fi
done | verdict "no file is too long without a reason"

for file in $files $grammar; do
    case $(basename "$file") in util*) echo "$file: say what it is for" ;; esac
    case $file in
    *.l | *.y) ;;
    *) head -n 1 "$file" | grep -q '^/\*' || echo "$file: does not open with what it is" ;;
    esac
done | verdict "files say what they are"

# shellcheck disable=SC2086
grep -nE 'TODO|FIXME|XXX' $files $grammar | verdict "nothing is left for later"

[ ! -s "$faulty" ]
