/* A text tried by itself: what check would find in a file that holds nothing else. */
#ifndef ANALYSIS_TRYOUT_H
#define ANALYSIS_TRYOUT_H

#include "base/note.h"

/* Reads and judges `text`, with no rule but its own; gives what was found. */
Notes *tryout(Arena *arena, const char *text, ArenaExhausted *exhausted);

#endif
