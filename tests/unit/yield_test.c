/* Losses, chances and numbers to stick, against values worked out elsewhere.
 *
 * The values were computed from the definitions alone, by chains of beta-binomials in exact rational
 * arithmetic and by quadrature at forty digits; tests/outside/yields.py computes them again with another
 * program each time the tests run.
 */
#include "analysis/yield.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

static Number percent(int64_t value)
{
    Number number;
    assert_true(number_divide(NUMBER(value), NUMBER(100), &number));
    return number;
}

static Survival losses(int64_t low, int64_t high)
{
    Survival survival;
    assert_true(survival_of_losses(interval_closed(percent(low), percent(high)), &survival) <
                SURVIVAL_NONE_LEFT);
    return survival;
}

static void near(double value, double expected, double tolerance)
{
    if (fabs(value - expected) > tolerance) fail_msg("%.13g instead of %.13g", value, expected);
}

/* 10 .. 30 %, 5 .. 10 %, 0 .. 10 % lost. */
typedef struct Three {
    Survival at[3];
} Three;

static Three three(void)
{
    return (Three){{losses(10, 30), losses(5, 10), losses(0, 10)}};
}

static double chance_of(const Survival *at, size_t count, int64_t stuck, int64_t wanted)
{
    YieldBatch batch = yield_batch((YieldStages){at, count}, stuck);
    double chance;
    assert_int_equal(yield_chance(&batch, wanted, &chance), YIELD_COMPUTED);
    return chance;
}

static int64_t needed_of(const Survival *at, size_t count, int64_t wanted, int64_t sure)
{
    int64_t stuck;
    assert_int_equal(yield_needed((YieldStages){at, count}, wanted, percent(sure), &stuck), YIELD_COMPUTED);
    return stuck;
}

static void a_range_is_a_beta(void **state)
{
    (void)state;
    static const double expected[3][3] = {{32.6506457066, 7.7197134034, 0.8087776880},
                                          {269.4176537328, 21.3203108705, 0.9266682943},
                                          {28.4331588057, 1, 0.9660247136}};
    Three stages = three();
    for (int i = 0; i < 3; i++) {
        near(stages.at[i].alpha, expected[i][0], 1e-8);
        near(stages.at[i].beta, expected[i][1], 1e-8);
        near(stages.at[i].mean, expected[i][2], 1e-10);
    }
    Survival wide = losses(5, 95);
    near(wide.alpha, 1, 1e-9);
    near(wide.beta, 1, 1e-9);
}

static void ranges_that_say_little(void **state)
{
    (void)state;
    Survival survival;
    assert_int_equal(survival_of_losses(interval_closed(percent(0), percent(100)), &survival),
                     SURVIVAL_SAYS_NOTHING);
    assert_int_equal(survival_of_losses(interval_closed(percent(1), percent(99)), &survival),
                     SURVIVAL_VERY_WIDE);
    assert_int_equal(survival_of_losses(interval_closed(percent(100), percent(100)), &survival),
                     SURVIVAL_NONE_LEFT);
    assert_int_equal(survival_of_losses(interval_closed(percent(30), percent(10)), &survival),
                     SURVIVAL_REFUSED);
    assert_int_equal(survival_of_losses(interval_closed(percent(-1), percent(10)), &survival),
                     SURVIVAL_REFUSED);
    assert_int_equal(survival_of_losses(interval_closed(percent(20), percent(20)), &survival),
                     SURVIVAL_PLAIN);
    assert_true(survival.fixed);
}

static void two_stages(void **state)
{
    (void)state;
    Three stages = three();
    YieldBatch batch = yield_batch((YieldStages){stages.at, 2}, 308);
    near(chance_of(stages.at, 2, 308, 200), 0.9365219916, 1e-9);
    near(chance_of(stages.at, 2, 308, 220), 0.7340469975, 1e-9);
    double mean;
    assert_int_equal(yield_expected(&batch, &mean), YIELD_COMPUTED);
    near(mean, 230.8363, 1e-4);
    static const struct {
        double part;
        int64_t point;
    } points[] = {{0.05, 197}, {0.5, 232}, {0.95, 260}};
    for (size_t i = 0; i < 3; i++) {
        int64_t point;
        assert_int_equal(yield_point(&batch, points[i].part, &point), YIELD_COMPUTED);
        assert_int_equal(point, points[i].point);
    }
}

static void how_many_to_stick(void **state)
{
    (void)state;
    Three stages = three();
    static const int64_t sure[][2] = {{50, 265}, {80, 287}, {90, 300}, {95, 313}, {99, 340}};
    for (size_t i = 0; i < sizeof sure / sizeof *sure; i++)
        assert_int_equal(needed_of(stages.at, 2, 200, sure[i][0]), sure[i][1]);
    int64_t average;
    assert_int_equal(yield_on_average((YieldStages){stages.at, 2}, 200, &average), YIELD_COMPUTED);
    assert_int_equal(average, 267);
    near(chance_of(stages.at, 2, 300, 200), 0.9018086021, 1e-9);
    near(chance_of(stages.at, 2, 299, 200), 0.8964286928, 1e-9);
    assert_int_equal(needed_of(stages.at, 1, 100, 90), 139);
    near(chance_of(stages.at, 1, 139, 100), 0.9003744778, 1e-9);
    assert_int_equal(needed_of(&stages.at[2], 1, 100, 90), 109);
    near(chance_of(&stages.at[2], 1, 109, 100), 0.9100083420, 1e-9);
    assert_int_equal(needed_of(stages.at, 3, 500, 90), 781);
    near(chance_of(stages.at, 3, 781, 500), 0.9014163100, 1e-9);
    near(chance_of(stages.at, 3, 780, 500), 0.8994443031, 1e-9);
}

/* 1,000 liners, 20, 10 and 5 % lost: 1,462 on average, and not 1,463 by rounding at each stage. */
static void fixed_losses(void **state)
{
    (void)state;
    Survival stages[] = {losses(20, 20), losses(10, 10), losses(5, 5)};
    int64_t average;
    assert_int_equal(yield_on_average((YieldStages){stages, 3}, 1000, &average), YIELD_COMPUTED);
    assert_int_equal(average, 1462);
    assert_int_equal(needed_of(stages, 3, 1000, 90), 1495);
    near(chance_of(stages, 3, 1495, 1000), 0.9000462929, 1e-9);
    near(chance_of(stages, 3, 1494, 1000), 0.8933409816, 1e-9);
}

static void large_batches(void **state)
{
    (void)state;
    Three stages = three();
    near(chance_of(stages.at, 2, 100000, 72000), 0.7113884726, 1e-8);
    assert_int_equal(needed_of(stages.at, 2, 80000, 90), 118993);
    near(chance_of(stages.at, 2, 118993, 80000), 0.9000115034, 1e-8);
}

static void edges(void **state)
{
    (void)state;
    Three stages = three();
    near(chance_of(stages.at, 2, 20, 20), 0.0075037967505, 1e-12);
    near(chance_of(stages.at, 2, 20, 0), 1, 0);
    near(chance_of(stages.at, 2, 20, 21), 0, 0);
    near(chance_of(stages.at, 2, 0, 0), 1, 0);
    Survival any;
    survival_of_losses(interval_closed(percent(0), percent(100)), &any);
    assert_int_equal(needed_of(&any, 1, 10, 90), 99); /* the chance is exactly 0.9: reached */
}

static void a_count_within_a_stage(void **state)
{
    (void)state;
    Three stages = three();
    YieldBatch batch = {{stages.at, 2}, 308, 231, 268}; /* callused 231, bare 37, rotted 40 of 308 */
    double chance;
    assert_int_equal(yield_chance(&batch, 200, &chance), YIELD_COMPUTED);
    near(chance, 0.9995249017, 1e-9);
    assert_int_equal(yield_chance(&batch, 220, &chance), YIELD_COMPUTED);
    near(chance, 0.8569187834, 1e-9);
    near(chance_of(&stages.at[1], 1, 231, 200), 0.9923732928, 1e-9);
    near(chance_of(&stages.at[1], 1, 231, 220), 0.1496745803, 1e-9);
    batch.most = 200;
    assert_int_equal(yield_chance(&batch, 200, &chance), YIELD_IMPOSSIBLE);
}

/* The two ways of reckoning agree where both can be gone, and the chance never falls as more are stuck. */
static void chain_and_integral_agree(void **state)
{
    (void)state;
    Three stages = three();
    double last = 0;
    for (int64_t stuck = 395; stuck <= 406; stuck++) {
        double chance = chance_of(stages.at, 3, stuck, 250);
        assert_true(chance >= last);
        assert_true(last == 0 || chance - last < 0.01);
        last = chance;
    }
    for (int64_t stuck = 350; stuck <= 400; stuck += 25) {
        Survival tiny[] = {stages.at[0], stages.at[1]};
        YieldBatch whole = yield_batch((YieldStages){tiny, 2}, stuck);
        for (int64_t wanted = 200; wanted <= 300; wanted += 50) {
            double by_chain, above, below;
            assert_int_equal(yield_chance(&whole, wanted, &by_chain), YIELD_COMPUTED);
            above = chance_of(tiny, 2, 401, wanted);
            below = chance_of(tiny, 2, stuck > 300 ? 300 : stuck, wanted);
            assert_true(below <= by_chain && by_chain <= above);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_range_is_a_beta),
        cmocka_unit_test(ranges_that_say_little),
        cmocka_unit_test(two_stages),
        cmocka_unit_test(how_many_to_stick),
        cmocka_unit_test(fixed_losses),
        cmocka_unit_test(large_batches),
        cmocka_unit_test(edges),
        cmocka_unit_test(a_count_within_a_stage),
        cmocka_unit_test(chain_and_integral_agree),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
