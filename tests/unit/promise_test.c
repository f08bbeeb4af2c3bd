/* analysis/promise: batches drawn as was promised are called broken as seldom as is said, and batches that
 * are not are found out. */
#include "check.h"

#include "analysis/promise.h"

#include <math.h>

static Survival promised(int64_t from, int64_t to) /* lost, in percent */
{
    Survival survival;
    Interval losses = interval_closed((Number){from, 100}, (Number){to, 100});
    survival_of_losses(losses, &survival);
    return survival;
}

static PromiseVerdict verdict_on(const Survival *promise, const Tally *batches, size_t count,
                                 PromiseTrial *trial)
{
    double level, outside;
    *trial = (PromiseTrial){0};
    for (size_t i = 0; i < count; i++) promise_try(trial, (YieldStages){promise, 1}, batches[i]);
    PromiseVerdict verdict = promise_verdict(trial, &level, &outside);
    assert_true(level > 0 && level <= 1 && outside > 0 && outside <= 1);
    return verdict;
}

static void verdicts(void **state)
{
    (void)state;
    Survival promise = promised(10, 30);
    PromiseTrial trial;
    static const Tally good[] = {{245, 308}, {231, 308}, {262, 308}, {250, 308}, {241, 308}},
                       low[] = {{190, 308}, {205, 308}, {180, 308}},
                       high[] = {{290, 308}, {288, 308}, {291, 308}},
                       apart[] = {{140, 308}, {306, 308}, {120, 308}, {307, 308}, {250, 308}};
    assert_int_equal(verdict_on(&promise, good, CHECK_COUNT(good), &trial), PROMISE_KEPT);
    assert_int_equal(trial.below + trial.above, 0);
    assert_int_equal(verdict_on(&promise, low, CHECK_COUNT(low), &trial), PROMISE_TOO_HIGH);
    assert_int_equal(trial.below, 3);
    assert_int_equal(verdict_on(&promise, high, CHECK_COUNT(high), &trial), PROMISE_TOO_LOW);
    assert_int_equal(trial.above, 3);
    assert_int_equal(verdict_on(&promise, apart, CHECK_COUNT(apart), &trial), PROMISE_TOO_NARROW);
    assert_int_equal(trial.below, 2);
    assert_int_equal(trial.above, 2);
    assert_int_equal(verdict_on(&promise, low, 2, &trial), PROMISE_UNTRIED);
    assert_int_equal(verdict_on(&promise, low, 0, &trial), PROMISE_UNTRIED);
}

/* A stage that is fixed promises no spread at all. */
static void fixed_promise(void **state)
{
    (void)state;
    Survival promise = promised(20, 20);
    PromiseTrial trial;
    static const Tally spread[] = {{200, 308}, {290, 308}, {205, 308}, {286, 308}};
    assert_int_equal(verdict_on(&promise, spread, CHECK_COUNT(spread), &trial), PROMISE_TOO_NARROW);
}

static double uniform(CheckRandom *random)
{
    return ((double)(check_next(random) >> 11) + 0.5) / 9007199254740992.0;
}

/* So many of `of` under a share drawn from the promise. */
static Tally drawn(CheckRandom *random, const Survival *survival, int64_t of)
{
    double share = survival_point(survival, uniform(random));
    Tally tally = {0, of};
    for (int64_t i = 0; i < of; i++) tally.hits += uniform(random) < share;
    return tally;
}

/* How many of 400 seasons with so many batches each, drawn from `truth`, are not called kept. */
static int called_broken(CheckRandom *random, const Survival *promise, const Survival *truth, size_t batches)
{
    int broken = 0;
    for (int season = 0; season < 400; season++) {
        Tally tallies[16];
        PromiseTrial trial;
        for (size_t i = 0; i < batches; i++) tallies[i] = drawn(random, truth, 40 + check_below(random, 200));
        broken += verdict_on(promise, tallies, batches, &trial) != PROMISE_KEPT;
    }
    return broken;
}

static void seldom_wrong(void **state)
{
    (void)state;
    CheckRandom random = check_random("seldom_wrong");
    Survival ranges[] = {promised(10, 30), promised(2, 50), promised(0, 10), promised(25, 25)};
    for (size_t i = 0; i < CHECK_COUNT(ranges); i++)
        for (size_t batches = 3; batches <= 12; batches += 3) {
            int broken = called_broken(&random, &ranges[i], &ranges[i], batches);
            /* 20 are expected at most; 40 is more than four standard deviations over it */
            if (broken > 40) fail_msg("range %d, %d batches: %d of 400", (int)i, (int)batches, broken);
        }
}

static void finds_out(void **state)
{
    (void)state;
    CheckRandom random = check_random("finds_out");
    Survival promise = promised(10, 30), worse = promised(35, 55), wild = promised(2, 70);
    assert_true(called_broken(&random, &promise, &worse, 4) > 380);
    assert_true(called_broken(&random, &promise, &wild, 8) > 300);
}

static void supported_range(void **state)
{
    static const Tally five[] = {{231, 308}, {190, 308}, {262, 308}, {118, 154}, {244, 308}},
                       alike[] = {{70, 100}, {71, 100}, {70, 100}, {69, 100}, {70, 100}};
    Bounds range;
    Spread spread = spread_of(*state, five, CHECK_COUNT(five));
    assert_true(promise_supported(&spread, &range));
    assert_true(fabs(survival_at_least(&spread.shares, range.high) - 0.05) < 1e-9);
    assert_true(fabs(survival_at_least(&spread.shares, range.low) - 0.95) < 1e-9);
    spread = spread_of(*state, alike, CHECK_COUNT(alike)); /* their mean is known so well, and no better */
    assert_true(promise_supported(&spread, &range));
    assert_true(range.low < 0.68 && range.low > 0.6 && range.high > 0.72 && range.high < 0.8);
    spread = spread_of(*state, five, 4);
    assert_false(promise_supported(&spread, &range));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(verdicts),  cmocka_unit_test(fixed_promise),   cmocka_unit_test(seldom_wrong),
        cmocka_unit_test(finds_out), CHECK_WITH_ARENA(supported_range),
    };
    return cmocka_run_group_tests_name("analysis/promise", tests, NULL, NULL) != 0;
}
