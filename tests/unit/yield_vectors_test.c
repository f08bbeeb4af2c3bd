/* analysis/survival and analysis/yield beside what four programs say of binomial, beta and beta-binomial
 * distributions: tests/outside/vectors/beta_quantile.csv, binom_tail.csv, binom_size.csv, betabinom_tail.csv,
 * betabinom_size.csv. The values are mpmath's at 40 digits, R, scipy and GSL agree with them to
 * `max_rel_diff`. They know nothing of stages: one stage with a fixed share is a binomial, one with a beta is
 * a beta-binomial. */
#include "check.h"

#include "analysis/yield.h"

#include <math.h>

static Survival fixed_at(double share)
{
    return (Survival){.fixed = true, .mean = share};
}

static Survival beta(double alpha, double beta)
{
    return (Survival){.mean = alpha / (alpha + beta), .alpha = alpha, .beta = beta};
}

static double number(const CheckRow *row, size_t column)
{
    assert_true(*row->column[column] != '\0');
    return strtod(row->column[column], NULL);
}

static int64_t count(const CheckRow *row, size_t column)
{
    return (int64_t)number(row, column);
}

/* To the ten digits that are given. */
static void is_near(const CheckRow *row, double got, double wanted)
{
    if (!(fabs(got - wanted) <= 1e-9 * fabs(wanted)))
        fail_msg("%s: %.12g instead of %.12g", row->column[0], got, wanted);
}

static void is_chance(const CheckRow *row, const Survival *stage, int64_t stuck, int64_t wanted,
                      double chance)
{
    YieldBatch batch = yield_batch((YieldStages){stage, 1}, stuck);
    double got = NAN;
    assert_int_equal(yield_chance(&batch, wanted, &got), YIELD_COMPUTED);
    is_near(row, got, chance);
}

static void is_needed(const CheckRow *row, const Survival *stage, int64_t wanted, const char *sure,
                      int64_t stuck)
{
    Number exact;
    int64_t got = -1;
    assert_true(number_read((Slice){sure, strlen(sure)}, &exact));
    assert_int_equal(yield_needed((YieldStages){stage, 1}, wanted, exact, &got), YIELD_COMPUTED);
    if (got != stuck) fail_msg("%s: %d instead of %d", row->column[0], (int)got, (int)stuck);
}

static void closed_after(FILE *file, int rows, int wanted)
{
    fclose(file);
    assert_int_equal(rows, wanted);
}

static void beta_quantiles(void **state)
{
    (void)state;
    FILE *file = check_vectors("beta_quantile.csv");
    CheckRow row;
    int rows = 0;
    for (; check_row(file, &row); rows++) {
        Survival stage = beta(number(&row, 2), number(&row, 3));
        is_near(&row, survival_point(&stage, number(&row, 1)), number(&row, 4));
    }
    closed_after(file, rows, 23);
}

static void binomial_tails(void **state)
{
    (void)state;
    FILE *file = check_vectors("binom_tail.csv");
    CheckRow row;
    int rows = 0;
    for (; check_row(file, &row); rows++) {
        Survival stage = fixed_at(number(&row, 3));
        is_chance(&row, &stage, count(&row, 2), count(&row, 1), number(&row, 4));
    }
    closed_after(file, rows, 23);
}

static void binomial_sizes(void **state)
{
    (void)state;
    FILE *file = check_vectors("binom_size.csv");
    CheckRow row;
    int rows = 0;
    for (; check_row(file, &row); rows++) {
        Survival stage = fixed_at(number(&row, 2));
        is_needed(&row, &stage, count(&row, 1), row.column[3], count(&row, 4));
        is_chance(&row, &stage, count(&row, 4), count(&row, 1), number(&row, 5));
        is_chance(&row, &stage, count(&row, 4) - 1, count(&row, 1), number(&row, 6));
    }
    closed_after(file, rows, 37);
}

static void beta_binomial_tails(void **state)
{
    (void)state;
    FILE *file = check_vectors("betabinom_tail.csv");
    CheckRow row;
    int rows = 0;
    for (; check_row(file, &row); rows++) {
        Survival stage = beta(number(&row, 3), number(&row, 4));
        is_chance(&row, &stage, count(&row, 2), count(&row, 1), number(&row, 5));
    }
    closed_after(file, rows, 14);
}

static void beta_binomial_sizes(void **state)
{
    (void)state;
    FILE *file = check_vectors("betabinom_size.csv");
    CheckRow row;
    int rows = 0;
    for (; check_row(file, &row); rows++) {
        Survival stage = beta(number(&row, 2), number(&row, 3));
        is_needed(&row, &stage, count(&row, 1), row.column[4], count(&row, 5));
        is_chance(&row, &stage, count(&row, 5), count(&row, 1), number(&row, 6));
        is_chance(&row, &stage, count(&row, 5) - 1, count(&row, 1), number(&row, 7));
    }
    closed_after(file, rows, 14);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(beta_quantiles),      cmocka_unit_test(binomial_tails),
        cmocka_unit_test(binomial_sizes),      cmocka_unit_test(beta_binomial_tails),
        cmocka_unit_test(beta_binomial_sizes),
    };
    return cmocka_run_group_tests_name("analysis/yield beside published values", tests, NULL, NULL) != 0;
}
