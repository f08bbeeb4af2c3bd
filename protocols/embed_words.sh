#!/bin/sh
# Given the catalogues of protocols/words, es.po for Spanish, writes the C source that carries them in the program,
# compiled; the contract is src/write/worded.h. A catalogue that is faulty, or counts otherwise than "one, or more", ends
# the build.
set -eu

made=$(mktemp)
trap 'rm -f "$made"' EXIT

printf '#include "write/worded.h"\n\n'
for file; do
    if ! grep -q 'nplurals=2; *plural=(\{0,1\}n != 1)\{0,1\};' "$file"; then
        echo "$file: plurals are not \"one, or more\"" >&2
        exit 1
    fi
    msgfmt --check --endianness=little --no-hash -o "$made" "$file"
    printf 'static const char bytes_%s[] = {\n' "$(basename "$file" .po)"
    od -An -v -to1 "$made" | sed "s/ *\([0-7][0-7][0-7]\)/'\\\\\1',/g"
    printf '0};\n\n'
done

printf 'const Catalogue catalogues[] = {\n'
for file; do
    name=$(basename "$file" .po)
    printf '    {"%s", bytes_%s},\n' "$name" "$name"
done
printf '};\n\nconst size_t catalogue_count = sizeof catalogues / sizeof *catalogues;\n'
