/* Sets of exact numbers: sorted, disjoint intervals whose ends may be open, closed or unbounded. */
#ifndef BASE_INTERVAL_H
#define BASE_INTERVAL_H

#include "base/arena.h"
#include "base/number.h"

typedef struct Bound {
    Number at;
    bool open;      /* the end itself is outside */
    bool unbounded; /* no end on this side; `at` has no meaning */
} Bound;

typedef struct Interval {
    Bound low, high;
} Interval;

typedef struct IntervalSet {
    const Interval *at; /* ascending, no two touch */
    size_t count;       /* 0: the empty set */
} IntervalSet;

Interval interval_closed(Number low, Number high);
Interval interval_at_most(Number high);
Interval interval_at_least(Number low);
Interval interval_everything(void);
bool interval_has(Interval interval, Number number);
bool interval_is_point(Interval interval);
bool interval_within(Interval inner, Interval outer);
bool interval_disjoint(Interval a, Interval b);

IntervalSet intervals_of(Arena *arena, const Interval *intervals, size_t count); /* any order, may overlap */
bool intervals_has(IntervalSet set, Number number);
bool intervals_within(IntervalSet inner, IntervalSet outer); /* the empty set is within every set */
bool intervals_disjoint(IntervalSet a, IntervalSet b);
bool intervals_equal(IntervalSet a, IntervalSet b);
IntervalSet intervals_union(Arena *arena, IntervalSet a, IntervalSet b);
IntervalSet intervals_intersect(Arena *arena, IntervalSet a, IntervalSet b);
IntervalSet intervals_minus(Arena *arena, IntervalSet a, IntervalSet b);
Interval intervals_hull(IntervalSet set); /* of a set that is not empty */

#endif
