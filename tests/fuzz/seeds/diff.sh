#!/bin/sh
# Seeds for fuzz_diff, from the cases that compare two files: both, with a form feed between them.
set -eu
mkdir -p "$1"
for case in tests/cases/diff/*/; do
    [ -e "$case/old.heel" ] && [ -e "$case/new.heel" ] || continue
    { cat "$case/old.heel" && printf '\f' && cat "$case/new.heel"; } >"$1/$(basename "$case").heel"
done
