/* How wide a text stands on a terminal. */
#ifndef BASE_COLUMNS_H
#define BASE_COLUMNS_H

#include "base/slice.h"

/* Columns of one character: 2 for a wide one, 0 for one that is written over the last. */
size_t character_columns(uint32_t code);
/* Columns of a text as buffer_escaped writes it, on one line; a tab counts as one blank. */
size_t text_columns(Slice text);

#endif
