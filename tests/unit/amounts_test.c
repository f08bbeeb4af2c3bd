/* Working solutions against worked examples.
 *
 * Sources: C1 V1 = C2 V2, as any chemistry primer has it; a bleach of 5.25 % at one part in nine of water is
 * 0.525 %, the strength that extension sheets on cleaning tools give (Penn State Extension; PHYTO); molar
 * masses of indole-3-butyric acid 203.24 g/mol and of its potassium salt 241.33 g/mol (PubChem), hence 1.1874
 * of salt for 1 of acid.
 */
#include "analysis/amounts.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

static Number ratio(int64_t a, int64_t b)
{
    Number result;
    assert_true(number_divide(NUMBER(a), NUMBER(b), &result));
    return result;
}

static void concentrates_are_diluted(void **state)
{
    (void)state;
    static const struct {
        int64_t stock, wanted, num, den;
    } rows[] = {{52500, 5250, 1, 10},
                {10000, 1000, 1, 10},
                {10000, 10000, 1, 1},
                {10000, 3000, 3, 10},
                {20000, 500, 1, 40}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        Number share;
        assert_true(solution_of_concentrate(NUMBER(rows[i].stock), NUMBER(rows[i].wanted), &share));
        assert_true(number_equal(share, ratio(rows[i].num, rows[i].den)));
    }
}

static void no_solution_is_stronger_than_its_stock(void **state)
{
    (void)state;
    Number share;
    assert_false(solution_of_concentrate(NUMBER(1000), NUMBER(1001), &share));
    assert_false(solution_of_concentrate(NUMBER(0), NUMBER(0), &share));
}

/* 1,000 ppm of the acid in a litre is one gram of it; of a salt of 98 % purity it is 1 / 0.98 x 241.33 /
 * 203.24 g. */
static void powders_are_weighed(void **state)
{
    (void)state;
    Number grams;
    assert_true(solution_of_powder(NUMBER(1000), NUMBER(1), NUMBER(1), &grams));
    assert_true(number_equal(grams, NUMBER(1)));
    assert_true(solution_of_powder(NUMBER(1000), ratio(98, 100), ratio(24133, 20324), &grams));
    double value = (double)grams.num / (double)grams.den;
    assert_true(value > 1.2116 && value < 1.2117);
    assert_false(solution_of_powder(NUMBER(1000), NUMBER(0), NUMBER(1), &grams));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(concentrates_are_diluted),
        cmocka_unit_test(no_solution_is_stronger_than_its_stock),
        cmocka_unit_test(powders_are_weighed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
