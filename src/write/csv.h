/* Cells of a CSV file (RFC 4180) that no program takes for a formula. Private to src/write. */
#ifndef WRITE_CSV_H
#define WRITE_CSV_H

#include "base/buffer.h"

/* Quoted where it must be; a text that begins like a formula gets an apostrophe, so that no program reckons
 * it. */
void csv_text(Buffer *out, Slice text);

#endif
