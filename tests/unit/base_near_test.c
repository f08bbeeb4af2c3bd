/* base/near: the distance against the definition written out, and what counts as near. */
#include "check.h"

#include "base/near.h"

#include <limits.h>

static unsigned least(unsigned a, unsigned b)
{
    return a < b ? a : b;
}

/* The definition of the optimal string alignment distance, read from the ends of both words, without a table.
 */
static unsigned slow_distance(const char *a, size_t i, const char *b, size_t j)
{
    if (i == 0) return (unsigned)j;
    if (j == 0) return (unsigned)i;
    unsigned best = slow_distance(a, i - 1, b, j - 1) + (a[i - 1] != b[j - 1]);
    best = least(best, slow_distance(a, i - 1, b, j) + 1);
    best = least(best, slow_distance(a, i, b, j - 1) + 1);
    if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
        best = least(best, slow_distance(a, i - 2, b, j - 2) + 1);
    return best;
}

static void the_distance_is_the_defined_one(void **state)
{
    (void)state;
    CheckRandom random = check_random("near");
    for (int round = 0; round < 4000; round++) {
        char word[2][6];
        size_t length[2];
        for (int w = 0; w < 2; w++) {
            length[w] = check_below(&random, 7);
            for (size_t i = 0; i < length[w]; i++) word[w][i] = (char)('a' + (char)check_below(&random, 3));
        }
        unsigned distance = near_distance((Slice){word[0], length[0]}, (Slice){word[1], length[1]});
        assert_int_equal(distance, slow_distance(word[0], length[0], word[1], length[1]));
    }
}

static void known_distances(void **state)
{
    (void)state;
    assert_int_equal(near_distance(SLICE("kitten"), SLICE("sitting")), 3);
    assert_int_equal(near_distance(SLICE("ca"), SLICE("abc")),
                     3); /* optimal alignment; unrestricted swaps give 2 */
    assert_int_equal(near_distance(SLICE("detph"), SLICE("depth")), 1);
    assert_int_equal(near_distance(SLICE("DETPH"), SLICE("depth")), 1);
    assert_int_equal(near_distance(SLICE("@["), SLICE("`{")), 2); /* no letters, 32 apart all the same */
    assert_int_equal(near_distance(SLICE(""), SLICE("")), 0);
    char longest[65];
    memset(longest, 'x', sizeof longest);
    assert_int_equal(near_distance((Slice){longest, 64}, (Slice){longest, 64}), 0);
    assert_int_equal(near_distance((Slice){longest, 64}, (Slice){longest, 0}), 64);
    assert_true(near_distance((Slice){longest, 65}, SLICE("x")) == UINT_MAX);
}

static Slice best_of(Slice typed, const char *const *words, size_t count)
{
    Nearest nearest;
    nearest_start(&nearest, typed);
    assert_false(nearest_found(&nearest));
    for (size_t i = 0; i < count; i++) nearest_try(&nearest, slice_of(words[i]));
    assert_true(nearest_found(&nearest) == (nearest.best.length > 0));
    return nearest.best;
}

static void the_nearest_is_kept_if_near_enough(void **state)
{
    (void)state;
    static const char *const words[] = {"", "depth", "stage", "stand", "length", "medium-temperature"};
    size_t count = CHECK_COUNT(words);
    assert_true(slice_is(best_of(SLICE("detph"), words, count), "depth"));
    assert_true(slice_is(best_of(SLICE("lenght"), words, count), "length"));
    assert_true(slice_is(best_of(SLICE("stabe"), words, count), "stage"));
    assert_true(slice_is(best_of(SLICE("depths"), words, count), "depth"));
    assert_true(slice_is(best_of(SLICE("dept"), words, count), "depth"));
    assert_true(slice_is(best_of(SLICE("dpeht"), words, count), "")); /* two slips in five letters */
    assert_true(slice_is(best_of(SLICE("medum-tempratur"), words, count), "medium-temperature"));
    assert_true(slice_is(best_of(SLICE("medum-tempratu"), words, count), "")); /* four slips */
    assert_true(slice_is(best_of(SLICE("x"), words, 1), ""));
}

static void of_equals_the_first_is_kept(void **state)
{
    (void)state;
    static const char *const words[] = {"cat", "bat", "rat"};
    assert_true(slice_is(best_of(SLICE("hat"), words, 3), "cat"));
    assert_true(slice_is(best_of(SLICE("rat"), words, 3), "rat"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_distance_is_the_defined_one),
        cmocka_unit_test(known_distances),
        cmocka_unit_test(the_nearest_is_kept_if_near_enough),
        cmocka_unit_test(of_equals_the_first_is_kept),
    };
    return cmocka_run_group_tests_name("base/near", tests, NULL, NULL) != 0;
}
