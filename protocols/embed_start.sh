#!/bin/sh
# Given the files of protocols/start, writes the C source that carries them in the program; the contract is
# src/write/start.h. Bytes are written one by one, because a C compiler need not take a string of more than 4,095.
set -eu

printf '#include "write/start.h"\n\n#include <stddef.h>\n\n'

count=0
for file; do
    printf 'static const char bytes_%d[] = {\n' "$count"
    od -An -v -to1 "$file" | sed "s/ *\([0-7][0-7][0-7]\)/'\\\\\1',/g"
    printf "0};\n\n"
    count=$((count + 1))
done

printf 'const struct StartFile start_files[] = {\n'
count=0
for file; do
    printf '    {"%s", {bytes_%d, %d}},\n' "${file#protocols/start/}" "$count" "$(wc -c < "$file")"
    count=$((count + 1))
done
printf '};\n\nconst size_t start_file_count = sizeof start_files / sizeof *start_files;\n'
