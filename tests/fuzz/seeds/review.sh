#!/bin/sh
# Seeds of the door `review`: the nurseries of the cases that have records to look into.
set -eu
rm -rf "$1" && mkdir -p "$1"
for nursery in tests/cases/review/*/nursery.heel tests/cases/trial/*/nursery.heel tests/cases/records/*/*.heel; do
    cp "$nursery" "$1/$(echo "$nursery" | tr / -)"
done
