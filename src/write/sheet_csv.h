/* CSV with a memory of a size of one's own, which shows in no byte. Private to src/write, and for tests. */
#ifndef WRITE_SHEET_CSV_H
#define WRITE_SHEET_CSV_H

#include "write/sheet.h"

/* As sheet_csv begins; `room`: as of stencils_new. */
Sheet *sheet_csv_begin(Arena *arena, Buffer *out, const SheetOptions *options, size_t room);

#endif
