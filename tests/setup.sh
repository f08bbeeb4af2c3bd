#!/bin/sh
# Finds which tools are missing and installs them.
#
#   tests/setup.sh [build|check] [--tell]
#
# `build` is what `make` needs, `check` (the default) what the tests need as well. Where the tools are all there it only
# looks, and is done at once. It installs with apt-get as root, or through sudo where that asks for no password; elsewhere,
# and always with --tell, it prints the one line to type and ends with 2.
set -u
cd "$(dirname "$0")/.." || exit 2
PATH=/usr/bin:/bin:/usr/sbin:/sbin:$PATH # the packages' own Python before any other

level=check
tell=no
for word; do
    case $word in
    build | check) level=$word ;;
    --tell) tell=yes ;;
    *) echo "setup.sh: build, check or --tell, not \"$word\"" >&2 && exit 2 ;;
    esac
done

missing=
need() { # need PACKAGE COMMAND…: the package is missing when the command fails
    package=$1
    shift
    "$@" >/dev/null 2>&1 || missing="$missing $package"
}
tool() { need "$1" command -v "$2"; }
header() { need "$1" sh -c "echo '#include <$2>' | ${CC:-gcc} -E -include stdarg.h -include stddef.h -include stdint.h \
    -include setjmp.h -"; }
fuzzer_library() { test -e "$(clang -print-file-name=libclang_rt.fuzzer-"$(uname -m)".a)"; }

tool gcc "${CC:-gcc}"
tool make make
tool flex flex
tool bison bison
tool gettext msgfmt
header libc6-dev stdio.h
header libgit2-dev git2.h
header libgsl-dev gsl/gsl_version.h
if [ "$level" = check ]; then
    header libcmocka-dev cmocka.h
    tool clang clang
    need libclang-rt-14-dev fuzzer_library
    tool python3 python3
    need python3-vobject python3 -c 'import vobject'
    need python3-mpmath python3 -c 'import mpmath'
    need python3-scipy python3 -c 'import scipy.stats'
    tool nodejs node
    tool npm npm
    tool units units
    tool jq jq
    tool sqlite3 sqlite3
    tool git git
fi

if [ -n "$missing" ]; then
    as_root=
    if [ "$(id -u)" -ne 0 ]; then
        if sudo -n true 2>/dev/null; then as_root="sudo -n"; else tell=yes; fi
    fi
    command -v apt-get >/dev/null 2>&1 || tell=yes
    if [ "$tell" = yes ]; then
        echo "Some tools are missing. On Debian 12 this line installs them:" >&2
        echo "    sudo apt-get update && sudo apt-get install -y --no-install-recommends$missing" >&2
        exit 2
    fi
    echo "installing$missing"
    install="$as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -q --no-install-recommends$missing"
    # A machine that has its package lists is spared the update; a fresh one has none, and says so at once.
    mkdir -p build
    if ! $install >build/setup.log 2>&1; then
        if ! { $as_root apt-get update -q && $install; } >>build/setup.log 2>&1; then
            tail -n 20 build/setup.log >&2
            echo "setup.sh: apt-get could not install$missing" >&2
            exit 2
        fi
    fi
fi

# The readers written in JavaScript, at the versions that package.json pins; kept out of the source tree.
if [ "$level" = check ] && ! cmp -s tests/outside/package.json build/npm/installed.json; then
    if [ "$tell" = yes ]; then
        echo "Some tools are missing. This line installs them:" >&2
        echo "    sh tests/setup.sh check" >&2
        exit 2
    fi
    mkdir -p build/npm && cp tests/outside/package.json build/npm/package.json || exit 2
    if ! npm install --prefix build/npm --no-package-lock --no-audit --no-fund --silent >build/setup.log 2>&1; then
        tail -n 20 build/setup.log >&2
        echo "setup.sh: npm could not install what tests/outside/package.json lists" >&2
        exit 2
    fi
    cp tests/outside/package.json build/npm/installed.json
fi
