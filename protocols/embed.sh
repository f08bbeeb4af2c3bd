#!/bin/sh
# Given rule files, writes the C source that carries them in the program; the contract is src/model/builtin.h.
# Bytes are written one by one, because a C compiler need not take a string of more than 4,095. A last row of nothing
# keeps the table lawful when there is no file.
set -eu

printf '#include "model/builtin.h"\n\n#include <stddef.h>\n\n'

count=0
for file; do
    printf 'static const char bytes_%d[] = {\n' "$count"
    od -An -v -to1 "$file" | sed "s/ *\([0-7][0-7][0-7]\)/'\\\\\1',/g"
    printf "0};\n\n"
    count=$((count + 1))
done

printf 'const struct BuiltinFile builtin_files[] = {\n'
count=0
for file; do
    printf '    {"rules/%s", bytes_%d, %d},\n' "${file##*/}" "$count" "$(wc -c < "$file")"
    count=$((count + 1))
done
printf '    {NULL, NULL, 0},\n};\n\nconst unsigned builtin_file_count = %d;\n' "$count"
