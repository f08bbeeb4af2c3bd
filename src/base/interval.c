/* Sets of exact numbers.
 *
 * Given intervals, makes sorted sets of them and answers how two sets lie. Between any two numbers lies a
 * third, so two intervals that meet in a point one of them owns are one interval, and two that both leave the
 * point out are two. Ends are compared as ends: of two low ends at one number the closed one comes first, of
 * two high ends the open one.
 */
#include "base/interval.h"

#include <stdlib.h>

static int low_compare(Bound a, Bound b)
{
    if (a.unbounded || b.unbounded) return (int)b.unbounded - (int)a.unbounded;
    int order = number_compare(a.at, b.at);
    return order ? order : (int)a.open - (int)b.open;
}

static int high_compare(Bound a, Bound b)
{
    if (a.unbounded || b.unbounded) return (int)a.unbounded - (int)b.unbounded;
    int order = number_compare(a.at, b.at);
    return order ? order : (int)b.open - (int)a.open;
}

/* Whether some number lies both below this high end and above this low end. */
static bool overlap(Bound high, Bound low)
{
    if (high.unbounded || low.unbounded) return true;
    int order = number_compare(low.at, high.at);
    return order < 0 || (order == 0 && !low.open && !high.open);
}

/* Whether no number lies between this high end and this low end. */
static bool joined(Bound high, Bound low)
{
    if (high.unbounded || low.unbounded) return true;
    int order = number_compare(low.at, high.at);
    return order < 0 || (order == 0 && !(low.open && high.open));
}

static bool is_empty(Interval interval)
{
    return !overlap(interval.high, interval.low);
}

/* ------------------------------------------------------------------ one interval */

static const Bound endless = {{0, 1}, false, true};

Interval interval_closed(Number low, Number high)
{
    return (Interval){{low, false, false}, {high, false, false}};
}

Interval interval_at_most(Number high)
{
    return (Interval){endless, {high, false, false}};
}

Interval interval_at_least(Number low)
{
    return (Interval){{low, false, false}, endless};
}

Interval interval_everything(void)
{
    return (Interval){endless, endless};
}

bool interval_has(Interval interval, Number number)
{
    return interval_within(interval_closed(number, number), interval);
}

bool interval_is_point(Interval interval)
{
    return !interval.low.unbounded && !interval.high.unbounded && !is_empty(interval) &&
           number_equal(interval.low.at, interval.high.at);
}

bool interval_within(Interval inner, Interval outer)
{
    return is_empty(inner) ||
           (low_compare(outer.low, inner.low) <= 0 && high_compare(inner.high, outer.high) <= 0);
}

bool interval_disjoint(Interval a, Interval b)
{
    return is_empty(a) || is_empty(b) || !overlap(a.high, b.low) || !overlap(b.high, a.low);
}

/* ------------------------------------------------------------------ sets */

/* A set being made, its intervals added with ascending low ends. */
typedef struct Growing {
    Interval *at;
    size_t count;
} Growing;

static Growing growing(Arena *arena, size_t most)
{
    return (Growing){ARENA_ARRAY(arena, Interval, most), 0};
}

static void grow(Growing *set, Interval interval)
{
    if (is_empty(interval)) return;
    Interval *last = set->count ? &set->at[set->count - 1] : NULL;
    if (last && joined(last->high, interval.low)) {
        if (high_compare(interval.high, last->high) > 0) last->high = interval.high;
    } else {
        set->at[set->count++] = interval;
    }
}

static IntervalSet grown(Growing set)
{
    return (IntervalSet){set.at, set.count};
}

static int by_low(const void *a, const void *b)
{
    return low_compare(((const Interval *)a)->low, ((const Interval *)b)->low);
}

IntervalSet intervals_of(Arena *arena, const Interval *intervals, size_t count)
{
    if (count == 0) return (IntervalSet){NULL, 0};
    Interval *sorted = ARENA_ARRAY(arena, Interval, count);
    for (size_t i = 0; i < count; i++) sorted[i] = intervals[i];
    qsort(sorted, count, sizeof *sorted, by_low);
    Growing set = {sorted, 0}; /* in place: it never grows past what was read */
    for (size_t i = 0; i < count; i++) grow(&set, sorted[i]);
    return grown(set);
}

bool intervals_has(IntervalSet set, Number number)
{
    for (size_t i = 0; i < set.count; i++)
        if (interval_has(set.at[i], number)) return true;
    return false;
}

bool intervals_within(IntervalSet inner, IntervalSet outer)
{
    size_t o = 0;
    for (size_t i = 0; i < inner.count; i++) {
        while (o < outer.count && high_compare(outer.at[o].high, inner.at[i].high) < 0) o++;
        if (o == outer.count || !interval_within(inner.at[i], outer.at[o])) return false;
    }
    return true;
}

bool intervals_disjoint(IntervalSet a, IntervalSet b)
{
    size_t i = 0, j = 0;
    while (i < a.count && j < b.count) {
        if (!interval_disjoint(a.at[i], b.at[j])) return false;
        if (high_compare(a.at[i].high, b.at[j].high) < 0)
            i++;
        else
            j++;
    }
    return true;
}

bool intervals_equal(IntervalSet a, IntervalSet b)
{
    return intervals_within(a, b) && intervals_within(b, a);
}

IntervalSet intervals_union(Arena *arena, IntervalSet a, IntervalSet b)
{
    Growing set = growing(arena, a.count + b.count);
    size_t i = 0, j = 0;
    while (i < a.count || j < b.count) {
        bool from_a = j == b.count || (i < a.count && low_compare(a.at[i].low, b.at[j].low) <= 0);
        grow(&set, from_a ? a.at[i++] : b.at[j++]);
    }
    return grown(set);
}

IntervalSet intervals_intersect(Arena *arena, IntervalSet a, IntervalSet b)
{
    Growing set = growing(arena, a.count + b.count);
    size_t i = 0, j = 0;
    while (i < a.count && j < b.count) {
        Interval x = a.at[i], y = b.at[j];
        bool a_ends_first = high_compare(x.high, y.high) < 0;
        grow(&set, (Interval){low_compare(x.low, y.low) < 0 ? y.low : x.low, a_ends_first ? x.high : y.high});
        if (a_ends_first)
            i++;
        else
            j++;
    }
    return grown(set);
}

/* The same number with the other side of it: where a set ends, its complement begins. */
static Bound turned(Bound bound)
{
    return (Bound){bound.at, !bound.open, false};
}

static IntervalSet complement(Arena *arena, IntervalSet set)
{
    Growing rest = growing(arena, set.count + 1);
    Bound low = endless;
    for (size_t i = 0; i < set.count; i++) {
        Interval next = set.at[i];
        if (!next.low.unbounded) grow(&rest, (Interval){low, turned(next.low)});
        if (next.high.unbounded) return grown(rest);
        low = turned(next.high);
    }
    grow(&rest, (Interval){low, endless});
    return grown(rest);
}

IntervalSet intervals_minus(Arena *arena, IntervalSet a, IntervalSet b)
{
    return intervals_intersect(arena, a, complement(arena, b));
}

Interval intervals_hull(IntervalSet set)
{
    return (Interval){set.at[0].low, set.at[set.count - 1].high};
}
