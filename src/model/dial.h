/* The lines of a schedule: what a dial is set to, by the days of a stage. */
#ifndef MODEL_DIAL_H
#define MODEL_DIAL_H

#include "model/block.h"

/* The lines that could be read, in the order of their days; of two that begin on one day only the one that
 * was written first. Gives their number. */
size_t dial_lines(Arena *arena, const Block *schedule, const Clause ***lines);

/* Tells of lines that set the dial twice on one day, and of days between two lines of which none says what it
 * is set to. */
void dial_check(Notes *notes, const Block *schedule);

#endif
