/* The nearest known word to a misspelt one. */
#ifndef BASE_NEAR_H
#define BASE_NEAR_H

#include "base/slice.h"

/* Edits between two words: insert, delete, replace, swap of neighbours (optimal string alignment); capital
 * and small letters are one. Words longer than 64 bytes count as far apart. */
unsigned near_distance(Slice a, Slice b);

typedef struct Nearest {
    Slice typed;
    Slice best; /* "" until something is near enough */
    unsigned distance;
    bool tied; /* another is as near: no slip can be told from the other */
} Nearest;

void nearest_start(Nearest *nearest, Slice typed);
void nearest_try(
    Nearest *nearest,
    Slice candidate); /* keeps it if nearer than a third of the typed letters (at least 1, at most 3) */
static inline bool nearest_found(const Nearest *nearest)
{
    return nearest->best.length > 0;
}

/* The words, parted by blanks, that two texts have in common and in one order; of each the first 128 are
 * looked at. With *longer the number of words of the longer text. */
size_t near_words(Slice a, Slice b, size_t *longer);

#endif
