/* base/interval: the algebra against brute force.
 *
 * Every interval here has whole ends from 0 to 5, open, closed or none. Such a set is known by the halves
 * from -1/2 to 5 1/2 that it holds: thirteen bits, on which union, intersection and difference are |, & and
 * &~. A maximal run of bits is one interval of the set.
 */
#include "check.h"

#include "base/interval.h"

enum { HIGHEST = 5, POINTS = 2 * HIGHEST + 3, ENDS = 2 * (HIGHEST + 1) + 1 };

static Number point(int i)
{
    Number number;
    assert_true(number_make(i - 1, 2, &number));
    return number;
}

/* The k-th of the ENDS possible ends: none, then each number closed and open. */
static Bound end(unsigned k)
{
    if (k == 0) return (Bound){NUMBER(77), true, true}; /* without meaning, and to be passed over */
    return (Bound){NUMBER((k - 1) / 2), k % 2 == 0, false};
}

static unsigned bits_of_ends(unsigned low, unsigned high)
{
    unsigned bits = 0;
    for (int i = 0; i < POINTS; i++) {
        int twice = i - 1, low_twice = ((int)low - 1) / 2 * 2, high_twice = ((int)high - 1) / 2 * 2;
        bool above = low == 0 || twice > low_twice || (twice == low_twice && low % 2 == 1);
        bool below = high == 0 || twice < high_twice || (twice == high_twice && high % 2 == 1);
        if (above && below) bits |= 1U << i;
    }
    return bits;
}

static unsigned bits_of(IntervalSet set)
{
    unsigned bits = 0;
    for (int i = 0; i < POINTS; i++) bits |= (unsigned)intervals_has(set, point(i)) << i;
    return bits;
}

static unsigned runs(unsigned bits)
{
    unsigned count = 0;
    for (int i = 0; i < POINTS; i++) count += (bits >> i & 1) && (i == 0 || !(bits >> (i - 1) & 1));
    return count;
}

static void is_set(IntervalSet set, unsigned bits)
{
    assert_int_equal(bits_of(set), bits);
    assert_int_equal(set.count, runs(bits));
    for (size_t i = 0; i + 1 < set.count; i++)
        assert_true(number_compare(set.at[i].high.at, set.at[i + 1].low.at) <= 0);
}

static void sets_agree(Arena *arena, IntervalSet a, unsigned a_bits, IntervalSet b, unsigned b_bits)
{
    is_set(intervals_union(arena, a, b), a_bits | b_bits);
    is_set(intervals_intersect(arena, a, b), a_bits & b_bits);
    is_set(intervals_minus(arena, a, b), a_bits & ~b_bits);
    assert_int_equal(intervals_within(a, b), (a_bits & ~b_bits) == 0);
    assert_int_equal(intervals_disjoint(a, b), (a_bits & b_bits) == 0);
    assert_int_equal(intervals_equal(a, b), a_bits == b_bits);
}

static void every_pair_of_intervals(void **state)
{
    Arena *arena = *state;
    for (unsigned i = 0; i < ENDS * ENDS; i++) {
        Interval a = {end(i / ENDS), end(i % ENDS)};
        unsigned a_bits = bits_of_ends(i / ENDS, i % ENDS);
        ArenaMark mark = arena_mark(arena);
        IntervalSet a_set = intervals_of(arena, &a, 1);
        is_set(a_set, a_bits);
        for (int k = 0; k < POINTS; k++) assert_int_equal(interval_has(a, point(k)), a_bits >> k & 1);
        bool one = a_bits && (a_bits & (a_bits - 1)) == 0 && i / ENDS && i % ENDS && i / ENDS == i % ENDS;
        assert_int_equal(interval_is_point(a), one);
        for (unsigned j = 0; j < ENDS * ENDS; j++) {
            Interval b = {end(j / ENDS), end(j % ENDS)};
            unsigned b_bits = bits_of_ends(j / ENDS, j % ENDS);
            assert_int_equal(interval_within(a, b), (a_bits & ~b_bits) == 0);
            assert_int_equal(interval_disjoint(a, b), (a_bits & b_bits) == 0);
            sets_agree(arena, a_set, a_bits, intervals_of(arena, &b, 1), b_bits);
        }
        arena_release(arena, mark);
    }
}

static IntervalSet random_set(Arena *arena, CheckRandom *random, unsigned *bits)
{
    Interval some[6];
    unsigned count = check_below(random, 7);
    *bits = 0;
    for (unsigned i = 0; i < count; i++) {
        unsigned low = check_below(random, ENDS), high = check_below(random, ENDS);
        if (check_below(random, 4)) low += low == 0, high += high == 0; /* few that have no end */
        some[i] = (Interval){end(low), end(high)};
        *bits |= bits_of_ends(low, high);
    }
    return intervals_of(arena, some, count);
}

static void random_sets(void **state)
{
    Arena *arena = *state;
    CheckRandom random = check_random("interval");
    for (int round = 0; round < 20000; round++) {
        ArenaMark mark = arena_mark(arena);
        unsigned a_bits, b_bits;
        IntervalSet a = random_set(arena, &random, &a_bits), b = random_set(arena, &random, &b_bits);
        is_set(a, a_bits);
        is_set(b, b_bits);
        sets_agree(arena, a, a_bits, b, b_bits);
        sets_agree(arena, a, a_bits, a, a_bits);
        if (a.count) {
            Interval hull = intervals_hull(a);
            IntervalSet hull_set = intervals_of(arena, &hull, 1);
            unsigned hull_bits = bits_of(hull_set);
            assert_true(hull_set.count == 1);
            for (int k = 0; k < POINTS; k++) {
                bool before = a_bits & ((1U << (k + 1)) - 1), after = a_bits >> k;
                assert_int_equal(hull_bits >> k & 1, before && after);
            }
        }
        arena_release(arena, mark);
    }
}

static void simple_intervals(void **state)
{
    Arena *arena = *state;
    assert_true(interval_has(interval_closed(NUMBER(1), NUMBER(2)), NUMBER(2)));
    assert_false(interval_has(interval_closed(NUMBER(1), NUMBER(2)), NUMBER(3)));
    assert_true(interval_has(interval_at_most(NUMBER(2)), NUMBER(-INT64_MAX)));
    assert_false(interval_has(interval_at_most(NUMBER(2)), (Number){5, 2}));
    assert_true(interval_has(interval_at_least(NUMBER(2)), NUMBER(INT64_MAX)));
    assert_false(interval_has(interval_at_least(NUMBER(2)), NUMBER(1)));
    assert_true(interval_has(interval_everything(), NUMBER(0)));
    assert_true(interval_is_point(interval_closed(NUMBER(3), NUMBER(3))));
    assert_false(interval_is_point(interval_closed(NUMBER(3), NUMBER(4))));
    assert_false(interval_is_point(interval_everything()));
    IntervalSet none = intervals_of(arena, NULL, 0);
    assert_int_equal(none.count, 0);
    assert_true(intervals_within(none, none));
    assert_true(intervals_disjoint(none, none));
    assert_int_equal(intervals_union(arena, none, none).count, 0);
    assert_int_equal(intervals_minus(arena, none, none).count, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        CHECK_WITH_ARENA(simple_intervals),
        CHECK_WITH_ARENA(every_pair_of_intervals),
        CHECK_WITH_ARENA(random_sets),
    };
    return cmocka_run_group_tests_name("base/interval", tests, NULL, NULL) != 0;
}
