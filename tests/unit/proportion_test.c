/* analysis/proportion beside published tables and what other programs say of them.
 *
 * tests/outside/vectors/binom_ci.csv and two_proportions.csv hold the rows of Newcombe's two papers of 1998,
 * Fisher's tea and convictions, and the plum root cuttings of 1935 (M. S. Bartlett, Contingency table
 * interactions, J. R. Stat. Soc. Suppl. 2, 248-252), worked out by mpmath at 40 digits; R, scipy and GSL
 * agree to `max_rel_diff`. needed.csv holds what R's power.prop.test says before the correction, and the
 * power that the exact test has with the number needed, added up over all tables with scipy. */
#include "check.h"

#include "analysis/proportion.h"

#include <math.h>

static double number(const CheckRow *row, size_t column)
{
    assert_true(*row->column[column] != '\0');
    return strtod(row->column[column], NULL);
}

static Tally tally(const CheckRow *row, size_t column)
{
    return (Tally){(int64_t)number(row, column), (int64_t)number(row, column + 1)};
}

/* To the ten digits that are given. */
static void is_near(const char *what, double got, double wanted)
{
    if (!(fabs(got - wanted) <= 1e-9 * fabs(wanted) + 1e-15))
        fail_msg("%s: %.12g instead of %.12g", what, got, wanted);
}

static void intervals_of_one(void **state)
{
    (void)state;
    FILE *file = check_vectors("binom_ci.csv");
    CheckRow row;
    int rows = 0;
    for (; check_row(file, &row); rows++) {
        Bounds bounds = proportion_interval(tally(&row, 1), 1, number(&row, 3));
        is_near(row.column[0], bounds.low, number(&row, 6));
        is_near(row.column[0], bounds.high, number(&row, 7));
    }
    fclose(file);
    assert_int_equal(rows, 39);
}

static void two_shares(void **state)
{
    (void)state;
    FILE *file = check_vectors("two_proportions.csv");
    CheckRow row;
    int rows = 0;
    for (; check_row(file, &row); rows++) {
        Tally first = tally(&row, 1), second = tally(&row, 3);
        Bounds bounds = proportion_difference(first, 1, second, 1, number(&row, 5));
        is_near(row.column[0], proportion_exact_test(first, second), number(&row, 7));
        is_near(row.column[0], bounds.low, number(&row, 10));
        is_near(row.column[0], bounds.high, number(&row, 11));
    }
    fclose(file);
    assert_int_equal(rows, 21);
}

/* 240 root cuttings in each of four ways; alive: long ones planted at once 156, in spring 84, short ones 107
 * and 31. */
static void plum_root_cuttings(void **state)
{
    (void)state;
    Tally long_now = {156, 240}, long_spring = {84, 240}, short_now = {107, 240}, short_spring = {31, 240};
    is_near("long, at once", tally_share(long_now), 0.65);
    is_near("long, in spring", tally_share(long_spring), 0.35);
    assert_true(fabs(tally_share(short_now) - 0.4458) < 5e-5);
    assert_true(fabs(tally_share(short_spring) - 0.1292) < 5e-5);
    Bounds bounds = proportion_difference(long_now, 1, long_spring, 1, 0.95);
    assert_true(fabs(bounds.low - 0.2119) < 5e-5 && fabs(bounds.high - 0.3814) < 5e-5);
    assert_true(proportion_exact_test(long_now, long_spring) < 1e-10);
}

/* An effect of two is half the cuttings. */
static void effects(void **state)
{
    (void)state;
    Bounds all = proportion_interval((Tally){300, 400}, 2, 0.95),
           half = proportion_interval((Tally){150, 200}, 1, 0.95);
    is_near("low", all.low, half.low);
    is_near("high", all.high, half.high);
    Bounds wide = proportion_difference((Tally){300, 400}, 4, (Tally){200, 400}, 4, 0.95),
           few = proportion_difference((Tally){75, 100}, 1, (Tally){50, 100}, 1, 0.95);
    is_near("low", wide.low, few.low);
    is_near("high", wide.high, few.high);
}

/* The test with its two groups, and with hits and misses, exchanged says the same; as do all tables. */
static void exact_test_of_small_tables(void **state)
{
    (void)state;
    enum { MOST = 9 };
    for (int64_t n = 1; n <= MOST; n++)
        for (int64_t m = 1; m <= MOST; m++)
            for (int64_t x = 0; x <= n; x++)
                for (int64_t y = 0; y <= m; y++) {
                    double chance = proportion_exact_test((Tally){x, n}, (Tally){y, m});
                    assert_true(chance > 0 && chance <= 1);
                    is_near("groups", proportion_exact_test((Tally){y, m}, (Tally){x, n}), chance);
                    is_near("misses", proportion_exact_test((Tally){n - x, n}, (Tally){m - y, m}), chance);
                }
    is_near("all alike", proportion_exact_test((Tally){5, 5}, (Tally){7, 7}), 1);
    is_near("one each", proportion_exact_test((Tally){0, 1}, (Tally){1, 1}), 1);
}

/* Large tables take no time to speak of, and what is nearly impossible comes out as nothing. */
static void exact_test_of_large_tables(void **state)
{
    (void)state;
    const int64_t many = 100 * 1000 * 1000;
    assert_true(proportion_exact_test((Tally){many / 2, many}, (Tally){many / 2, many}) == 1);
    assert_true(proportion_exact_test((Tally){many, many}, (Tally){0, many}) == 0);
    double close = proportion_exact_test((Tally){50000000, many}, (Tally){50010000, many});
    assert_true(fabs(close - 0.1573) < 1e-3); /* z = 1.4142 */
}

static void numbers_needed(void **state)
{
    (void)state;
    FILE *file = check_vectors("needed.csv");
    CheckRow row;
    int rows = 0;
    for (; check_row(file, &row); rows++) {
        double first = number(&row, 1), second = number(&row, 2), power = number(&row, 7);
        int64_t needed = proportion_needed(first, second, number(&row, 3), number(&row, 4));
        if (needed != (int64_t)number(&row, 6)) fail_msg("%s: %d needed", row.column[0], (int)needed);
        assert_int_equal(needed, proportion_needed(second, first, 0.05, 0.8));
        assert_true(power >= 0.8 && power < 0.83);
    }
    fclose(file);
    assert_int_equal(rows, 10);
    assert_int_equal(proportion_needed(0.5, 0.5, 0.05, 0.8), 0);
    assert_true(proportion_needed(0, 1, 0.05, 0.8) > 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(intervals_of_one),
        cmocka_unit_test(two_shares),
        cmocka_unit_test(plum_root_cuttings),
        cmocka_unit_test(effects),
        cmocka_unit_test(exact_test_of_small_tables),
        cmocka_unit_test(exact_test_of_large_tables),
        cmocka_unit_test(numbers_needed),
    };
    return cmocka_run_group_tests_name("analysis/proportion", tests, NULL, NULL) != 0;
}
