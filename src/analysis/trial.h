/* A text tried by itself: what check would find in a file that holds nothing else. */
#ifndef ANALYSIS_TRIAL_H
#define ANALYSIS_TRIAL_H

#include "base/note.h"

/* Reads and judges `text`, with no rule but its own; gives what was found. */
Notes *trial(Arena *arena, const char *text, ArenaExhausted *exhausted);

#endif
