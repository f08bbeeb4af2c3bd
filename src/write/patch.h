/* What a new layout changes, line by line, as programs that apply patches read it. */
#ifndef WRITE_PATCH_H
#define WRITE_PATCH_H

#include "base/buffer.h"

/* Writes a unified diff of two texts that are one but for white space. Equal texts write nothing. */
void patch_write(Arena *arena, Buffer *out, const char *name, Slice old, Slice new);

#endif
