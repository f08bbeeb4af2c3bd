/* Limits as sets: what a clause allows, and whether something stated lies inside.
 *
 * Works on readings of one field. Numbers are unions of exact intervals, words are sets, windows are sets of
 * days, doses are intervals of strength for each auxin and form; everything else is compared as a whole.
 */
#ifndef MODEL_LIMIT_H
#define MODEL_LIMIT_H

#include "model/reading.h"

typedef enum Truth { TRUTH_FALSE, TRUTH_UNSURE, TRUTH_TRUE } Truth;

static inline Truth truth_not(Truth a)
{
    return (Truth)(TRUTH_TRUE - a);
}
static inline Truth truth_and(Truth a, Truth b)
{
    return a < b ? a : b;
}
static inline Truth truth_or(Truth a, Truth b)
{
    return a > b ? a : b;
}

/* Every value of `inner` is in `outer`. Unsure where the two cannot be compared without a site or another
 * value. */
Truth limit_within(const Field *field, const Reading *inner, const Reading *outer);
/* No value is in both. */
Truth limit_disjoint(const Field *field, const Reading *a, const Reading *b);
/* What is in both; NULL: nothing is. Where the two cannot be compared the second is given. */
const Reading *limit_both(Arena *arena, const Field *field, const Reading *a, const Reading *b);
/* What of `limit` is left without `never`; NULL: nothing is. */
const Reading *limit_without(Arena *arena, const Field *field, const Reading *limit, const Reading *never);
/* A list without some words; NULL: nothing is left. */
const Reading *limit_less(Arena *arena, const Reading *list, const Word *words, size_t count);
/* The members of two lists together. */
const Reading *limit_united(Arena *arena, const Reading *a, const Reading *b);
/* It admits one value only: a batch need not state it. */
bool limit_is_one_value(const Reading *limit);

/* A taxon leads another: Hydrangea leads Hydrangea macrophylla. */
bool taxon_leads(const Word *general, size_t general_count, const Word *special, size_t special_count);

#endif
