/* analysis/spread beside two other programs.
 *
 * tests/outside/vectors/spread.csv: germinated seeds of 21 plates (Crowder, Applied Statistics 27 (1978),
 * 34-37) and litters of rats (Weil 1970, by Williams, Biometrics 31 (1975), 949-952), and some invented
 * batches. Mean and likeness are those of R's VGAM to `max_rel_diff`, its last digits settled by Newton's
 * steps on the score in R; the effect is Rao and Scott's formula, ratio and chance are R's. */
#include "check.h"

#include "analysis/spread.h"

#include <math.h>

enum { BATCHES_MOST = 40 };

static double number(const CheckRow *row, size_t column)
{
    assert_true(*row->column[column] != '\0');
    return strtod(row->column[column], NULL);
}

static void is_near(const char *what, double got, double wanted, double within)
{
    if (!(fabs(got - wanted) <= within * fabs(wanted)))
        fail_msg("%s: %.12g instead of %.12g", what, got, wanted);
}

/* "10 23 23" and "39 62 81". */
static size_t read_batches(const CheckRow *row, Tally *batches)
{
    char *hits = (char *)(uintptr_t)row->column[1], *of = (char *)(uintptr_t)row->column[2];
    size_t count = 0;
    for (; *hits; count++) {
        assert_true(count < BATCHES_MOST);
        batches[count].hits = strtoll(hits, &hits, 10);
        batches[count].of = strtoll(of, &of, 10);
    }
    return count;
}

static void fits(void **state)
{
    FILE *file = check_vectors("spread.csv");
    CheckRow row;
    int rows = 0;
    for (; check_row(file, &row); rows++) {
        Tally batches[BATCHES_MOST];
        Spread spread = spread_of(*state, batches, read_batches(&row, batches));
        assert_true(spread.fitted && !spread.shares.fixed);
        is_near(row.column[0], spread.shares.mean, number(&row, 3), 1e-8);
        is_near(row.column[0], spread.together, number(&row, 4), 1e-6);
        is_near(row.column[0], spread.effect, fmax(1, number(&row, 5)), 1e-9);
        is_near(row.column[0], spread.chance, number(&row, 7), 1e-6);
        is_near(row.column[0], spread.shares.alpha / (spread.shares.alpha + spread.shares.beta),
                spread.shares.mean, 1e-12);
    }
    fclose(file);
    assert_int_equal(rows, 10);
}

/* Batches that lie closer together than chance alone puts them show no spread. */
static void no_more_than_chance(void **state)
{
    static const Tally alike[] = {{70, 100}, {71, 100}, {70, 100}, {69, 100}};
    Spread spread = spread_of(*state, alike, CHECK_COUNT(alike));
    assert_true(spread.fitted && spread.shares.fixed);
    is_near("mean", spread.shares.mean, 0.7, 1e-15);
    is_near("effect", spread.effect, 1, 0);
    is_near("chance", spread.chance, 1, 0);
    assert_true(spread.together == 0);
}

static void all_and_none(void **state)
{
    static const Tally all[] = {{40, 40}, {7, 7}}, none[] = {{0, 40}, {0, 7}, {0, 1}};
    Spread spread = spread_of(*state, all, CHECK_COUNT(all));
    assert_true(spread.fitted && spread.shares.fixed && spread.shares.mean == 1 && spread.effect == 1);
    spread = spread_of(*state, none, CHECK_COUNT(none));
    assert_true(spread.fitted && spread.shares.fixed && spread.shares.mean == 0 && spread.effect == 1);
}

/* Whole batches live or die: cuttings of one tell nothing of each other's chance that one does not. */
static void all_or_nothing(void **state)
{
    static const Tally batches[] = {{50, 50}, {0, 50}, {50, 50}, {0, 50}, {50, 50}};
    Spread spread = spread_of(*state, batches, CHECK_COUNT(batches));
    assert_true(spread.fitted && !spread.shares.fixed);
    is_near("mean", spread.shares.mean, 0.6, 1e-2);
    assert_true(spread.together > 0.99);
    assert_true(spread.effect > 50);
}

static void too_few_or_too_large(void **state)
{
    static const Tally one[] = {{30, 40}}, large[] = {{30, 40}, {SPREAD_COUNT_MOST, SPREAD_COUNT_MOST + 1}};
    Spread spread = spread_of(*state, NULL, 0);
    assert_true(!spread.fitted && spread.total.of == 0);
    spread = spread_of(*state, one, 1);
    assert_true(!spread.fitted && spread.effect == 1 && spread.total.hits == 30);
    assert_false(spread_of(*state, large, 2).fitted);
}

/* No neighbour of what was fitted is likelier, for batches drawn at random. */
static void is_the_likeliest(void **state)
{
    CheckRandom random = check_random("is_the_likeliest");
    for (int round = 0; round < 60; round++) {
        Tally batches[12];
        size_t count = 2 + check_below(&random, 10);
        for (size_t i = 0; i < count; i++) {
            batches[i].of = 1 + check_below(&random, 60);
            batches[i].hits = check_below(&random, (unsigned)batches[i].of + 1);
        }
        Spread spread = spread_of(*state, batches, count);
        if (spread.shares.fixed) continue;
        double best = 0;
        for (int turn = 0; turn < 5; turn++) {
            double alpha = spread.shares.alpha * (turn == 1   ? 1.01
                                                  : turn == 2 ? 0.99
                                                              : 1),
                   beta = spread.shares.beta * (turn == 3   ? 1.01
                                                : turn == 4 ? 0.99
                                                            : 1),
                   sum = 0;
            for (size_t i = 0; i < count; i++) {
                double x = (double)batches[i].hits, n = (double)batches[i].of;
                sum += lgamma(x + alpha) + lgamma(n - x + beta) - lgamma(n + alpha + beta) - lgamma(alpha) -
                       lgamma(beta) + lgamma(alpha + beta);
            }
            if (turn == 0) best = sum;
            if (sum > best + 1e-9) fail_msg("round %d: turn %d is likelier", round, turn);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        CHECK_WITH_ARENA(fits),
        CHECK_WITH_ARENA(no_more_than_chance),
        CHECK_WITH_ARENA(all_and_none),
        CHECK_WITH_ARENA(all_or_nothing),
        CHECK_WITH_ARENA(is_the_likeliest),
        CHECK_WITH_ARENA(too_few_or_too_large),
    };
    return cmocka_run_group_tests_name("analysis/spread", tests, NULL, NULL) != 0;
}
