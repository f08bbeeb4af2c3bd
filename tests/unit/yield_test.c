/* analysis/survival and analysis/yield: the numbers of the worked examples, which
 * tests/outside/yield_exact.py works out again in another way; that chances fall and rise as they must; both
 * ways of working out beside each other. */
#include "check.h"

#include "analysis/survival.h"
#include "analysis/yield.h"
#include "analysis/yield_work.h"

#include <math.h>

/* Half a unit of the tenth digit, and what doubles lose. */
#define CHECK_NEAR(got, wanted, within)                                                                      \
    do {                                                                                                     \
        double got_ = (got), wanted_ = (wanted);                                                             \
        if (!(fabs(got_ - wanted_) <= (within))) fail_msg("%.12g instead of %.12g", got_, wanted_);          \
    } while (0)

static Number percent(int64_t hundredths) /* of a percent */
{
    Number share;
    assert_true(number_make(hundredths, 10000, &share));
    return share;
}

static Survival lost(int64_t from, int64_t to, SurvivalFinding wanted)
{
    Survival survival;
    assert_int_equal(survival_of_losses(interval_closed(percent(from), percent(to)), &survival), wanted);
    return survival;
}

static Survival stage_a(void)
{
    return lost(1000, 3000, SURVIVAL_PLAIN);
}

static Survival stage_b(void)
{
    return lost(500, 1000, SURVIVAL_PLAIN);
}

static Survival stage_c(void)
{
    return lost(0, 1000, SURVIVAL_PLAIN);
}

#define STAGES(...)                                                                                          \
    ((YieldStages){(Survival[]){__VA_ARGS__}, sizeof((Survival[]){__VA_ARGS__}) / sizeof(Survival)})

static double chance(YieldStages stages, int64_t stuck, int64_t wanted)
{
    YieldBatch batch = yield_batch(stages, stuck);
    double got = NAN;
    assert_int_equal(yield_chance(&batch, wanted, &got), YIELD_COMPUTED);
    return got;
}

static int64_t needed(YieldStages stages, int64_t wanted, int64_t sure)
{
    int64_t got = -1;
    assert_int_equal(yield_needed(stages, wanted, percent(100 * sure), &got), YIELD_COMPUTED);
    return got;
}

static int64_t on_average(YieldStages stages, int64_t wanted)
{
    int64_t got = -1;
    assert_int_equal(yield_on_average(stages, wanted, &got), YIELD_COMPUTED);
    return got;
}

static int64_t point(YieldStages stages, int64_t stuck, double part)
{
    YieldBatch batch = yield_batch(stages, stuck);
    int64_t got = -1;
    assert_int_equal(yield_point(&batch, part, &got), YIELD_COMPUTED);
    return got;
}

/* ------------------------------------------------------------------ survival */

static void is_beta(Survival survival, double alpha, double beta, double mean)
{
    assert_false(survival.fixed);
    CHECK_NEAR(survival.alpha, alpha, 6e-11 * (1 + alpha));
    CHECK_NEAR(survival.beta, beta, 6e-11 * (1 + beta));
    CHECK_NEAR(survival.mean, mean, 6e-11);
}

static void ranges_become_betas(void **state)
{
    (void)state;
    is_beta(stage_a(), 32.6506457066, 7.7197134034, 0.8087776880);
    is_beta(stage_b(), 269.4176537328, 21.3203108705, 0.9266682943);
    is_beta(stage_c(), 28.4331588057, 1, 0.9660247136);
    is_beta(lost(500, 9500, SURVIVAL_PLAIN), 1, 1, 0.5);
    is_beta(lost(0, 10000, SURVIVAL_SAYS_NOTHING), 1, 1, 0.5);
    /* all but 10 .. 30 % lost: the same, looked at from the other side */
    is_beta(lost(7000, 9000, SURVIVAL_PLAIN), 7.7197134034, 32.6506457066, 1 - 0.8087776880);
    is_beta(lost(9000, 10000, SURVIVAL_PLAIN), 1, 28.4331588057, 1 - 0.9660247136);
}

static void ranges_without_a_beta(void **state)
{
    (void)state;
    Survival survival = lost(2000, 2000, SURVIVAL_PLAIN);
    assert_true(survival.fixed);
    CHECK_NEAR(survival.mean, 0.8, 1e-15);
    assert_true(lost(0, 0, SURVIVAL_PLAIN).fixed);
    CHECK_NEAR(lost(0, 0, SURVIVAL_PLAIN).mean, 1, 0);
    CHECK_NEAR(lost(10000, 10000, SURVIVAL_NONE_LEFT).mean, 0, 0);
    Interval narrow = interval_closed((Number){20000, 100000}, (Number){20001, 100000});
    assert_int_equal(survival_of_losses(narrow, &survival), SURVIVAL_PLAIN);
    assert_true(survival.fixed);
    CHECK_NEAR(survival.mean, 0.799995, 1e-15);
    assert_int_equal(survival_of_losses(interval_closed(percent(3000), percent(1000)), &survival),
                     SURVIVAL_REFUSED);
    assert_int_equal(survival_of_losses(interval_closed(percent(-1), percent(1000)), &survival),
                     SURVIVAL_REFUSED);
    assert_int_equal(survival_of_losses(interval_closed(percent(0), percent(10001)), &survival),
                     SURVIVAL_REFUSED);
    assert_true(fmin(lost(1, 9999, SURVIVAL_VERY_WIDE).alpha, 1) < 1);
    assert_true(lost(0, 9900, SURVIVAL_VERY_WIDE).alpha < 1);
}

static void ends_may_be_left_open(void **state)
{
    (void)state;
    Survival survival;
    assert_int_equal(survival_of_losses(interval_at_most(percent(1000)), &survival), SURVIVAL_PLAIN);
    is_beta(survival, 28.4331588057, 1, 0.9660247136);
    assert_int_equal(survival_of_losses(interval_at_least(percent(9000)), &survival), SURVIVAL_PLAIN);
    is_beta(survival, 1, 28.4331588057, 1 - 0.9660247136);
    assert_int_equal(survival_of_losses(interval_everything(), &survival), SURVIVAL_SAYS_NOTHING);
    assert_int_equal(survival_of_rate(interval_closed(percent(7000), percent(9000)), &survival),
                     SURVIVAL_PLAIN);
    is_beta(survival, 32.6506457066, 7.7197134034, 0.8087776880);
    assert_int_equal(survival_of_rate(interval_at_least(percent(9000)), &survival), SURVIVAL_PLAIN);
    is_beta(survival, 28.4331588057, 1, 0.9660247136);
    assert_int_equal(survival_of_rate(interval_closed(percent(0), percent(10001)), &survival),
                     SURVIVAL_REFUSED);
}

/* One twentieth of what was fitted lies on either side of the range, for ranges of all kinds. */
static void fits_hold_the_range(void **state)
{
    (void)state;
    static const int64_t ends[] = {1,    2,    3,    50,   100,  500,  1001, 1010, 1100, 2000,
                                   5000, 5001, 5010, 7500, 9000, 9900, 9990, 9998, 9999};
    for (size_t i = 0; i < CHECK_COUNT(ends); i++)
        for (size_t j = i + 1; j < CHECK_COUNT(ends); j++) {
            Survival survival;
            Interval losses = interval_closed(percent(ends[i]), percent(ends[j]));
            survival_of_losses(losses, &survival);
            if (survival.fixed) continue;
            double low = 1 - (double)ends[j] / 10000, high = 1 - (double)ends[i] / 10000;
            CHECK_NEAR(1 - survival_at_least(&survival, low), 0.05, 1e-9);
            CHECK_NEAR(survival_at_least(&survival, high), 0.05, 1e-9);
            CHECK_NEAR(survival_point(&survival, 0.05), low, 1e-9);
            CHECK_NEAR(survival_point(&survival, 0.95), high, 1e-9);
            double middle = survival_point(&survival, 0.5);
            assert_true(middle > low && middle < high);
        }
}

/* ------------------------------------------------------------------ worked examples */

static void two_stages(void **state)
{
    (void)state;
    YieldStages ab = STAGES(stage_a(), stage_b());
    YieldBatch batch = yield_batch(ab, 308);
    double mean = NAN;
    assert_int_equal(yield_expected(&batch, &mean), YIELD_COMPUTED);
    CHECK_NEAR(mean, 230.8363, 6e-5);
    CHECK_NEAR(chance(ab, 308, 200), 0.9365219916, 6e-11);
    CHECK_NEAR(chance(ab, 308, 220), 0.7340469975, 6e-11);
    assert_int_equal(point(ab, 308, 0.05), 197);
    assert_int_equal(point(ab, 308, 0.50), 232);
    assert_int_equal(point(ab, 308, 0.95), 260);
    static const int64_t sure[][2] = {{50, 265}, {80, 287}, {90, 300}, {95, 313}, {99, 340}};
    for (size_t i = 0; i < CHECK_COUNT(sure); i++) assert_int_equal(needed(ab, 200, sure[i][0]), sure[i][1]);
    assert_int_equal(on_average(ab, 200), 267);
    CHECK_NEAR(chance(ab, 300, 200), 0.9018086021, 6e-11);
    CHECK_NEAR(chance(ab, 299, 200), 0.8964286928, 6e-11);
    CHECK_NEAR(chance(ab, 20, 20), 0.0075037967505, 6e-14);
}

static void one_stage(void **state)
{
    (void)state;
    YieldStages a = STAGES(stage_a()), c = STAGES(stage_c()),
                anything = STAGES(lost(0, 10000, SURVIVAL_SAYS_NOTHING));
    assert_int_equal(needed(a, 100, 90), 139);
    CHECK_NEAR(chance(a, 139, 100), 0.9003744778, 6e-11);
    CHECK_NEAR(chance(a, 138, 100), 0.8888443117, 6e-11);
    assert_int_equal(needed(c, 100, 90), 109);
    CHECK_NEAR(chance(c, 109, 100), 0.9100083420, 6e-11);
    CHECK_NEAR(chance(c, 108, 100), 0.8865335980, 6e-11);
    assert_int_equal(needed(anything, 10, 90), 99);
    CHECK_NEAR(chance(anything, 99, 10), 0.9, 1e-12);
}

static void fixed_stages(void **state)
{
    (void)state;
    YieldStages fixed = STAGES(lost(2000, 2000, SURVIVAL_PLAIN), lost(1000, 1000, SURVIVAL_PLAIN),
                               lost(500, 500, SURVIVAL_PLAIN));
    assert_int_equal(on_average(fixed, 1000), 1462);
    assert_int_equal(needed(fixed, 1000, 90), 1495);
    CHECK_NEAR(chance(fixed, 1495, 1000), 0.9000462929, 6e-11);
    CHECK_NEAR(chance(fixed, 1494, 1000), 0.8933409816, 6e-11);
    assert_int_equal(on_average(STAGES(lost(2000, 2000, SURVIVAL_PLAIN)), 100), 125);
    assert_int_equal(needed(STAGES(lost(0, 0, SURVIVAL_PLAIN)), 100, 100), 100);
}

static void large_batches(void **state)
{
    (void)state;
    YieldStages ab = STAGES(stage_a(), stage_b()), abc = STAGES(stage_a(), stage_b(), stage_c());
    CHECK_NEAR(chance(ab, 100000, 72000), 0.7113884725, 6e-11);
    assert_int_equal(needed(ab, 80000, 90), 118993);
    CHECK_NEAR(chance(ab, 118993, 80000), 0.9000115034, 6e-11);
    CHECK_NEAR(chance(ab, 118992, 80000), 0.8999970214, 6e-11);
    assert_int_equal(needed(abc, 500, 90), 781);
    CHECK_NEAR(chance(abc, 781, 500), 0.9014163100, 6e-11);
    CHECK_NEAR(chance(abc, 780, 500), 0.8994443031, 6e-11);
}

static void counts_within_a_stage(void **state)
{
    (void)state;
    YieldStages ab = STAGES(stage_a(), stage_b()), b = STAGES(stage_b());
    YieldBatch batch = {ab, 308, 231, 268};
    double got, mean;
    assert_int_equal(yield_chance(&batch, 200, &got), YIELD_COMPUTED);
    CHECK_NEAR(got, 0.9995249017, 6e-11);
    assert_int_equal(yield_chance(&batch, 220, &got), YIELD_COMPUTED);
    CHECK_NEAR(got, 0.8569187834, 6e-11);
    CHECK_NEAR(chance(b, 231, 200), 0.9923732928, 6e-11);
    CHECK_NEAR(chance(b, 231, 220), 0.1496745803, 6e-11);
    /* the mean by its definition: the sum of P(X >= w) */
    double sum = 0;
    for (int64_t w = 1; w <= 268; w++) {
        assert_int_equal(yield_chance(&batch, w, &got), YIELD_COMPUTED);
        sum += got;
    }
    assert_int_equal(yield_expected(&batch, &mean), YIELD_COMPUTED);
    CHECK_NEAR(mean, sum, 1e-9);
}

/* ------------------------------------------------------------------ edges */

static void edges_of_counts(void **state)
{
    (void)state;
    YieldStages ab = STAGES(stage_a(), stage_b()), none = {NULL, 0};
    CHECK_NEAR(chance(ab, 10, 0), 1, 0);
    CHECK_NEAR(chance(ab, 10, -3), 1, 0);
    CHECK_NEAR(chance(ab, 10, 11), 0, 0);
    CHECK_NEAR(chance(ab, 0, 1), 0, 0);
    CHECK_NEAR(chance(none, 10, 10), 1, 0);
    CHECK_NEAR(chance(none, 10, 11), 0, 0);
    assert_int_equal(point(none, 10, 0.05), 10);
    assert_int_equal(point(ab, 0, 0.5), 0);
    assert_int_equal(needed(none, 10, 90), 10);
    assert_int_equal(needed(ab, 0, 90), 0);
    assert_int_equal(needed(ab, 1, 90), 2);
    YieldBatch negative = yield_batch(ab, -1), huge = yield_batch(ab, INT64_MAX);
    double got;
    int64_t count;
    assert_int_equal(yield_chance(&negative, 1, &got), YIELD_NOT_COMPUTED);
    assert_int_equal(yield_chance(&huge, 1, &got), YIELD_NOT_COMPUTED);
    assert_int_equal(yield_needed(ab, INT64_MAX, percent(9000), &count), YIELD_NEVER);
    assert_int_equal(yield_on_average(ab, INT64_MAX, &count), YIELD_NEVER);
}

static void nothing_is_left(void **state)
{
    (void)state;
    YieldStages dead = STAGES(stage_a(), lost(10000, 10000, SURVIVAL_NONE_LEFT));
    int64_t count;
    double got;
    assert_int_equal(yield_needed(dead, 1, percent(9000), &count), YIELD_NEVER);
    assert_int_equal(yield_on_average(dead, 1, &count), YIELD_NEVER);
    CHECK_NEAR(chance(dead, 1000, 1), 0, 0);
    assert_int_equal(point(dead, 1000, 0.95), 0);
    assert_int_equal(yield_share_point(dead, 0.95, &got), YIELD_COMPUTED);
    CHECK_NEAR(got, 0, 0);
    /* enough for a chance of one in a hundred million only */
    assert_int_equal(yield_needed(STAGES(lost(0, 10000, SURVIVAL_SAYS_NOTHING)), 1000,
                                  (Number){99999999, 100000000}, &count),
                     YIELD_NEVER);
}

static void impossible_counts(void **state)
{
    (void)state;
    YieldStages whole = STAGES(lost(0, 0, SURVIVAL_PLAIN), stage_b()), ab = STAGES(stage_a(), stage_b());
    double got;
    int64_t count;
    YieldBatch died = {whole, 100, 20, 99}, crossed = {ab, 100, 60, 50}, more = {ab, 100, 60, 101},
               few = {ab, 100, 0, 0};
    assert_int_equal(yield_chance(&died, 50, &got), YIELD_IMPOSSIBLE);
    assert_int_equal(yield_expected(&died, &got), YIELD_IMPOSSIBLE);
    assert_int_equal(yield_point(&died, 0.5, &count), YIELD_IMPOSSIBLE);
    assert_int_equal(yield_chance(&crossed, 50, &got), YIELD_IMPOSSIBLE);
    assert_int_equal(yield_chance(&more, 50, &got), YIELD_IMPOSSIBLE);
    /* hardly possible, but it happened */
    assert_int_equal(yield_chance(&few, 1, &got), YIELD_COMPUTED);
    CHECK_NEAR(got, 0, 0);
    Survival narrow = {.mean = 0.999999, .alpha = 999999, .beta = 1};
    YieldBatch unlucky = {STAGES(narrow, stage_b()), 5000, 10, 12};
    assert_int_equal(yield_expected(&unlucky, &got), YIELD_COMPUTED);
    CHECK_NEAR(got, 12 * stage_b().mean, 0.1);
}

/* ------------------------------------------------------------------ both ways of working out */

static Survival some_stage(CheckRandom *random)
{
    int64_t from = check_below(random, 6000), to = from + 1 + check_below(random, (unsigned)(9900 - from));
    Survival survival;
    survival_of_losses(interval_closed(percent(check_below(random, 4) ? from : 0), percent(to)), &survival);
    if (check_below(random, 6) == 0) survival = (Survival){.fixed = true, .mean = 0.9};
    return survival;
}

static void chain_and_integral_agree(void **state)
{
    (void)state;
    CheckRandom random = check_random("chain and integral");
    static YieldCounts chances;
    double worst = 0;
    for (int round = 0; round < 120; round++) {
        Survival stages[3];
        size_t count = 1 + check_below(&random, 3);
        for (size_t i = 0; i < count; i++) stages[i] = some_stage(&random);
        YieldStages all = {stages, count};
        int64_t most = round < 100 ? 300 + check_below(&random, 500) : 1000 + check_below(&random, 4001);
        int64_t wanted = 1 + check_below(&random, (unsigned)most);
        if (round % 3 == 0)
            wanted = most - check_below(&random, 5); /* where the integrand falls off slowly */
        chain_chances(all, wanted, most, &chances);
        for (int64_t n = most; n >= wanted && n > most - 3; n--) {
            double got = NAN;
            if (!contour_chance(all, (double)n, (double)wanted, &got))
                fail_msg("no integral for %d of %d", (int)wanted, (int)n);
            worst = fmax(worst, fabs(got - chances.at[n]));
            CHECK_NEAR(got, chances.at[n], 1e-9);
        }
    }
    printf("# chain and integral differ by at most %.1e\n", worst);
}

/* A count within the first stage: the interpolation beside the exact sum. */
static void counted_both_ways(void **state)
{
    (void)state;
    CheckRandom random = check_random("counted");
    static YieldCounts counts;
    for (int round = 0; round < 40; round++) {
        Survival stages[3] = {some_stage(&random), some_stage(&random), some_stage(&random)};
        int64_t stuck = 401 + check_below(&random, 600), least = check_below(&random, (unsigned)stuck);
        int64_t most = least + check_below(&random, (unsigned)(stuck - least + 1)),
                wanted = 1 + check_below(&random, (unsigned)most + 1);
        YieldBatch batch = {{stages, 1 + check_below(&random, 3)}, stuck, least, most};
        double got, sum = 0;
        assert_true(chain_finished(&batch, &counts));
        for (int64_t x = wanted; x <= most; x++) sum += counts.at[x];
        if (counted_chance(&batch, wanted, &got) != YIELD_COMPUTED)
            fail_msg("no polynomial in round %d", round);
        CHECK_NEAR(got, sum, 1e-9);
    }
}

static void large_counted_batch(void **state)
{
    (void)state;
    YieldStages ab = STAGES(stage_a(), stage_b());
    YieldBatch any = {ab, 100000, 0, 99999}, sold = {ab, 100000, 80000, 80000},
               known = yield_batch(STAGES(stage_b()), 80000);
    double got, wanted;
    int64_t low, same;
    assert_int_equal(yield_chance(&any, 72000, &got), YIELD_COMPUTED); /* a count that says nothing */
    CHECK_NEAR(got, 0.7113884725, 1e-9);
    assert_int_equal(yield_chance(&sold, 74000, &got), YIELD_COMPUTED);
    assert_int_equal(yield_chance(&known, 74000, &wanted), YIELD_COMPUTED);
    CHECK_NEAR(got, wanted, 1e-10);
    assert_int_equal(yield_point(&sold, 0.05, &low), YIELD_COMPUTED);
    assert_int_equal(yield_point(&known, 0.05, &same), YIELD_COMPUTED);
    assert_int_equal(low, same);
    assert_int_equal(yield_expected(&any, &got), YIELD_COMPUTED);
    CHECK_NEAR(got, 100000 * yield_share_mean(ab), 1e-4);
}

static void chances_rise_and_fall(void **state)
{
    (void)state;
    CheckRandom random = check_random("monotone");
    for (int round = 0; round < 30; round++) {
        Survival stages[2] = {some_stage(&random), some_stage(&random)};
        YieldStages all = {stages, 2};
        int64_t stuck = 390 + check_below(&random, 400), wanted = 1 + check_below(&random, (unsigned)stuck);
        for (int i = 0; i < 12; i++, stuck++) { /* over the seam at 400 too */
            double here = chance(all, stuck, wanted);
            assert_true(here >= 0 && here <= 1);
            assert_true(chance(all, stuck + 1, wanted) >= here - 1e-9);
            assert_true(chance(all, stuck, wanted + 1) <= here + 1e-9);
        }
        int64_t enough;
        if (yield_needed(all, wanted, percent(9000), &enough) != YIELD_COMPUTED) continue;
        assert_true(chance(all, enough, wanted) >= 0.9 - 2e-9);
        if (enough > wanted) assert_true(chance(all, enough - 1, wanted) < 0.9);
    }
}

/* A point is the least count at which the distribution function reaches the part. */
static void points_are_least(void **state)
{
    (void)state;
    YieldStages ab = STAGES(stage_a(), stage_b());
    static const int64_t stuck[] = {1, 30, 400, 401, 2000};
    static const double parts[] = {0.05, 0.5, 0.95};
    for (size_t i = 0; i < CHECK_COUNT(stuck); i++)
        for (size_t j = 0; j < CHECK_COUNT(parts); j++) {
            int64_t x = point(ab, stuck[i], parts[j]);
            assert_true(1 - chance(ab, stuck[i], x + 1) >= parts[j] - 2e-9);
            if (x > 0) assert_true(1 - chance(ab, stuck[i], x) < parts[j]);
        }
}

/* ------------------------------------------------------------------ shares */

/* Beside beta(30, 4): that times beta(34, 6) is beta(30, 10), as two beta variables of which the second's
 * parameters add up to the first's first multiply to a beta (Johnson, Kotz and Balakrishnan, Continuous
 * Univariate Distributions, 25.8). */
static void products_of_betas(void **state)
{
    (void)state;
    static const double parameters[][3] = {{30, 4, 6},      {28, 1, 1},   {0.5, 0.3, 0.4},
                                           {2000, 100, 30}, {5, 0.5, 90}, {1, 1, 1}};
    for (size_t i = 0; i < CHECK_COUNT(parameters); i++) {
        double a = parameters[i][0], b = parameters[i][1], c = parameters[i][2];
        Survival one = {.mean = a / (a + b), .alpha = a, .beta = b};
        Survival two = {.mean = (a + b) / (a + b + c), .alpha = a + b, .beta = c};
        Survival both = {.mean = a / (a + b + c), .alpha = a, .beta = b + c};
        YieldStages product = STAGES(one, two);
        CHECK_NEAR(yield_share_mean(product), both.mean, 1e-14);
        for (int k = 1; k < 100; k++) {
            double got, share = k / 100.0;
            assert_int_equal(yield_share_at_least(product, share, &got), YIELD_COMPUTED);
            CHECK_NEAR(got, survival_at_least(&both, share), 1e-9);
            CHECK_NEAR(chance(product, 300, 3 * k), chance(STAGES(both), 300, 3 * k), 1e-11);
        }
        for (int k = 0; k < 3; k++) {
            double got, part = (double[]){0.05, 0.5, 0.95}[k];
            assert_int_equal(yield_share_point(product, part, &got), YIELD_COMPUTED);
            CHECK_NEAR(got, survival_point(&both, part), 1e-8);
        }
    }
}

static void shares_with_fixed_stages(void **state)
{
    (void)state;
    Survival a = stage_a(), fixed = lost(2000, 2000, SURVIVAL_PLAIN);
    YieldStages both = STAGES(a, fixed);
    double got;
    for (int k = 1; k < 100; k++) {
        assert_int_equal(yield_share_at_least(both, k / 100.0, &got), YIELD_COMPUTED);
        CHECK_NEAR(got, survival_at_least(&a, k / 80.0), 1e-9);
    }
    assert_int_equal(yield_share_point(both, 0.05, &got), YIELD_COMPUTED);
    CHECK_NEAR(got, 0.7 * 0.8, 1e-9);
    assert_int_equal(yield_share_point(STAGES(fixed, fixed), 0.05, &got), YIELD_COMPUTED);
    CHECK_NEAR(got, 0.64, 1e-12);
    assert_int_equal(yield_share_point(STAGES(a), 0.05, &got), YIELD_COMPUTED);
    CHECK_NEAR(got, 0.7, 1e-9);
}

static void results_as_numbers(void **state)
{
    (void)state;
    assert_true(number_equal(yield_number(0.9), (Number){9, 10}));
    assert_true(number_equal(yield_number(230.8363004), (Number){2308363, 10000}));
    assert_true(number_equal(yield_number(0), NUMBER(0)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ranges_become_betas),
        cmocka_unit_test(ranges_without_a_beta),
        cmocka_unit_test(ends_may_be_left_open),
        cmocka_unit_test(fits_hold_the_range),
        cmocka_unit_test(two_stages),
        cmocka_unit_test(one_stage),
        cmocka_unit_test(fixed_stages),
        cmocka_unit_test(large_batches),
        cmocka_unit_test(counts_within_a_stage),
        cmocka_unit_test(edges_of_counts),
        cmocka_unit_test(nothing_is_left),
        cmocka_unit_test(impossible_counts),
        cmocka_unit_test(chain_and_integral_agree),
        cmocka_unit_test(counted_both_ways),
        cmocka_unit_test(large_counted_batch),
        cmocka_unit_test(chances_rise_and_fall),
        cmocka_unit_test(points_are_least),
        cmocka_unit_test(products_of_betas),
        cmocka_unit_test(shares_with_fixed_stages),
        cmocka_unit_test(results_as_numbers),
    };
    return cmocka_run_group_tests_name("analysis/yield", tests, NULL, NULL) != 0;
}
