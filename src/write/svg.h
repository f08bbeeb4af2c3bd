/* What pictures share: SVG 1.1 in black, white and grey, so that a copier keeps it. */
#ifndef WRITE_SVG_H
#define WRITE_SVG_H

#include "base/buffer.h"

/* The head of a picture of this size, on white; its title, and what it shows in words, for those who hear it
 * read. */
void svg_begin(Buffer *out, int width, int height, const char *title, Slice told);
void svg_end(Buffer *out);
/* `anchor`: start, middle or end. */
void svg_text(Buffer *out, double x, double y, const char *anchor, Slice text);

#endif
