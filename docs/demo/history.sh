#!/bin/sh
# Makes a git repository of two seasons of the invented nursery, to try `heelcut diff` on:
#
#   sh docs/demo/history.sh FOLDER        FOLDER must not be there yet
#
# HEAD is this folder. HEAD~1 is the season before: the same without its plan and what was recorded since, and with the changes of
# season-2027.patch taken back. Authors and dates are always the same, so the same files make the same commits. Who changes a protocol
# of the demo where the patch touches it makes the patch anew.
set -eu

here=$(cd "$(dirname "$0")" && pwd)
[ $# -eq 1 ] || { echo "usage: sh $0 FOLDER" >&2; exit 2; }
[ ! -e "$1" ] || { echo "$1 is there already" >&2; exit 2; }

unset GIT_DIR GIT_WORK_TREE GIT_INDEX_FILE
export GIT_CONFIG_NOSYSTEM=1 GIT_CONFIG_GLOBAL=/dev/null
export GIT_AUTHOR_NAME="Gossel Bank Nursery" GIT_AUTHOR_EMAIL="propagation@gossel.example"
export GIT_COMMITTER_NAME="$GIT_AUTHOR_NAME" GIT_COMMITTER_EMAIL="$GIT_AUTHOR_EMAIL"

commit() { # DAY MESSAGE
    export GIT_AUTHOR_DATE="$1T08:00:00+0000" GIT_COMMITTER_DATE="$1T08:00:00+0000"
    git add -A
    git commit -q -m "$2"
}

git init -q -b main "$1"
cd "$1"
cp "$here"/*.heel "$here"/*.csv .
rm plan-2027.heel plan-2027.csv records-2026.heel records-2027.heel
git apply -R "$here/season-2027.patch"
commit 2026-01-05 "Season 2026"
cp "$here"/*.heel "$here"/*.csv .
commit 2027-08-01 "Season 2027, as far as August"
