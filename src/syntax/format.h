/* The form of a file: the same pieces, with the white space between them as the house writes it. */
#ifndef SYNTAX_FORMAT_H
#define SYNTAX_FORMAT_H

#include "base/buffer.h"
#include "base/note.h"

enum {
    FORMAT_STEP = 2,      /* blanks a block is set in */
    FORMAT_CONTINUED = 4, /* at least, where a clause goes on in a further line */
    FORMAT_TAB = 8        /* columns, when a tab is read */
};

typedef enum FormatResult {
    FORMAT_DONE,
    FORMAT_UNREADABLE, /* the text has faults, now in `notes` */
    FORMAT_UNSURE      /* what was laid out would not read as the text does: a fault of this program */
} FormatResult;

/* Writes the text in its form into a buffer in memory. What it wrote counts only when it is done. */
FormatResult syntax_format(Arena *arena, const Text *text, Notes *notes, Buffer *out);

#endif
