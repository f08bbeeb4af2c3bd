/* Spans as files, lines and columns. Private to src/write. */
#ifndef WRITE_PLACE_H
#define WRITE_PLACE_H

#include "base/text.h"

typedef struct Place {
    const char *file; /* "" without a place */
    bool built_in;
    uint32_t line, column;         /* from 1; 0 without a place */
    uint32_t end_line, end_column; /* of the character behind the last */
} Place;

Place place_of(Span span);

#endif
