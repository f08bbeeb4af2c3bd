/* base/number: arithmetic against the schoolbook in 128 bits, order against continued fractions, reading and
 * writing. */
#include "check.h"

#include "base/number.h"

__extension__ typedef __int128 wide;

enum { ROUNDS = 60000 };

static wide wide_factor(wide a, wide b)
{
    if (a < 0) a = -a;
    while (b) {
        wide rest = a % b;
        a = b;
        b = rest;
    }
    return a;
}

/* Small numbers, numbers near the limits, powers of two, and any. */
static int64_t random_integer(CheckRandom *random)
{
    uint64_t bits = check_next(random);
    switch (check_below(random, 5)) {
    case 0: return (int64_t)(bits % 201) - 100;
    case 1: return INT64_MAX - (int64_t)(bits % 3);
    case 2: return -(INT64_MAX - (int64_t)(bits % 3));
    case 3: return (int64_t)(UINT64_C(1) << bits % 62);
    default: return (int64_t)(bits >> (1 + bits % 60)) * (bits & 1 ? 1 : -1);
    }
}

static Number random_number(CheckRandom *random)
{
    Number number;
    int64_t den = 0;
    while (den == 0) den = check_below(random, 3) ? random_integer(random) : 1;
    assert_true(number_make(random_integer(random), den, &number));
    return number;
}

static bool is_lowest(Number number)
{
    return number.den > 0 && number.num >= -INT64_MAX && wide_factor(number.num, number.den) == 1;
}

/* Demands that an operation gave num/den in lowest terms if and only if that fits. */
static void same_as_schoolbook(bool given, Number got, wide num, wide den)
{
    wide factor = wide_factor(num, den);
    num /= factor;
    den /= factor;
    if (den < 0) {
        num = -num;
        den = -den;
    }
    bool fits = num <= INT64_MAX && num >= -INT64_MAX && den <= INT64_MAX;
    assert_int_equal(given, fits);
    if (!fits) return;
    assert_true(got.num == num && got.den == den);
    assert_true(is_lowest(got));
}

static void arithmetic_is_the_schoolbooks(void **state)
{
    (void)state;
    CheckRandom random = check_random("number");
    for (int i = 0; i < ROUNDS; i++) {
        Number a = random_number(&random), b = random_number(&random), got = {0, 0};
        bool given = number_add(a, b, &got);
        same_as_schoolbook(given, got, (wide)a.num * b.den + (wide)b.num * a.den, (wide)a.den * b.den);
        given = number_subtract(a, b, &got);
        same_as_schoolbook(given, got, (wide)a.num * b.den - (wide)b.num * a.den, (wide)a.den * b.den);
        given = number_multiply(a, b, &got);
        same_as_schoolbook(given, got, (wide)a.num * b.num, (wide)a.den * b.den);
        given = number_divide(a, b, &got);
        if (b.num)
            same_as_schoolbook(given, got, (wide)a.num * b.den, (wide)a.den * b.num);
        else
            assert_false(given);
    }
}

static int64_t slow_floor(Number a)
{
    wide quotient = (wide)a.num / a.den;
    while (quotient * a.den > a.num) quotient--;
    return (int64_t)quotient;
}

/* Order by continued fractions: whole parts first, then the turned rests, the other way round. */
static int slow_compare(Number a, Number b)
{
    for (int sign = 1;; sign = -sign) {
        int64_t whole_a = slow_floor(a), whole_b = slow_floor(b);
        if (whole_a != whole_b) return whole_a < whole_b ? -sign : sign;
        int64_t rest_a = (int64_t)(a.num - (wide)whole_a * a.den),
                rest_b = (int64_t)(b.num - (wide)whole_b * b.den);
        if (rest_a == 0 || rest_b == 0) return rest_a == rest_b ? 0 : rest_a == 0 ? -sign : sign;
        a = (Number){a.den, rest_a};
        b = (Number){b.den, rest_b};
    }
}

static void order_and_rounding_are_exact(void **state)
{
    (void)state;
    CheckRandom random = check_random("number");
    for (int i = 0; i < ROUNDS; i++) {
        Number a = random_number(&random), b = check_below(&random, 8) ? random_number(&random) : a;
        int order = number_compare(a, b);
        assert_int_equal(order, slow_compare(a, b));
        assert_int_equal(order, -number_compare(b, a));
        assert_int_equal(order == 0, number_equal(a, b));
        assert_int_equal(order, number_compare(number_negate(b), number_negate(a)));
        wide floor = number_floor(a), ceil = number_ceil(a);
        assert_true(floor * a.den <= a.num && a.num < (floor + 1) * a.den);
        assert_true(ceil * a.den >= a.num && a.num > (ceil - 1) * a.den);
        long double close = (long double)a.num / (long double)a.den;
        long double off = (long double)number_double(a) - close;
        assert_true((off < 0 ? -off : off) <= (close < 0 ? -close : close) * 4e-16L);
    }
    Number just_under = {INT64_MAX - 1, INT64_MAX}, nearer = {INT64_MAX - 2, INT64_MAX - 1};
    assert_int_equal(number_compare(just_under, nearer), 1); /* they differ by 1.2e-38 */
}

static void making_a_number(void **state)
{
    (void)state;
    Number n;
    assert_false(number_make(1, 0, &n));
    assert_true(number_make(6, -4, &n) && n.num == -3 && n.den == 2);
    assert_true(number_make(0, -7, &n) && n.num == 0 && n.den == 1);
    assert_false(number_make(INT64_MIN, 1, &n));
    assert_false(number_make(1, INT64_MIN, &n));
    assert_true(number_make(INT64_MIN, 2, &n) && n.num == INT64_MIN / 2 && n.den == 1);
    assert_true(number_make(INT64_MIN, INT64_MIN, &n) && n.num == 1 && n.den == 1);
    assert_true(number_make(2, INT64_MIN, &n) && n.num == -1 && n.den == INT64_C(1) << 62);
}

static void numbers_are_read(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        int64_t num, den;
    } good[] = {
        {"12", 12, 1},
        {"0", 0, 1},
        {"007", 7, 1},
        {"0.5", 1, 2},
        {"2.50", 5, 2},
        {"3.000", 3, 1},
        {"1/2", 1, 2},
        {"2/4", 1, 2},
        {"0/3", 0, 1},
        {"1 1/2", 3, 2},
        {"1   1/2", 3, 2},
        {"1\t1/2", 3, 2},
        {"9223372036854775807", INT64_MAX, 1},
        {"9223372036854775807/9223372036854775806", INT64_MAX, INT64_MAX - 1},
        {"0.000000000000000001", 1, INT64_C(1000000000000000000)},
        {"0.00000000000000000000000000", 0, 1},
        {"1.5000000000000000000000000000000000000", 3, 2},
        {"0000000000000000000000000000000000000007", 7, 1},
        {"0.000000000001818989403545856475830078125", 1, INT64_C(1) << 39},
        {"922337203685477580.7", INT64_MAX, 10},
    };
    for (size_t i = 0; i < CHECK_COUNT(good); i++) {
        Number n = {0, 0};
        if (!number_read(slice_of(good[i].text), &n)) fail_msg("refused: %s", good[i].text);
        if (n.num != good[i].num || n.den != good[i].den) fail_msg("misread: %s", good[i].text);
    }
}

static void what_is_no_number_is_refused(void **state)
{
    (void)state;
    static const char *const bad[] = {
        "",
        " ",
        " 1",
        "1 ",
        "-1",
        "+1",
        ".5",
        "5.",
        "1,5",
        "1e5",
        "1.5/2",
        "1/2.5",
        "1/0",
        "3 1/0",
        "1/",
        "/2",
        "1 /2",
        "1/ 2",
        "1 2",
        "1 1 1/2",
        "1.5 1/2",
        "1/2/3",
        "1..2",
        "0x10",
        "1\n1/2",
        "one",
        "1 1",
        "1 1.5",
        "1-1/2",
        "\xC2\xBD",
        "9223372036854775808",                        /* one too large */
        "9223372036854775807 1/2",                    /* the sum does not fit */
        "1/9223372036854775808",                      /* nor does the lower part */
        "0.0000000000000000001",                      /* nor 10^19 */
        "00000000000000000000000000000000000000001",  /* 41 digits */
        "0.0000000000000000000000000000000000000000", /* 41 digits */
        "99999999999999999999999999999999999999.99",
        "50000000000000000000000000000000000000.1", /* ten times it would not fit in 128 bits */
    };
    for (size_t i = 0; i < CHECK_COUNT(bad); i++) {
        Number n;
        if (number_read(slice_of(bad[i]), &n)) fail_msg("taken: \"%s\"", bad[i]);
    }
    Number n;
    assert_false(number_read((Slice){NULL, 0}, &n));
    assert_true(number_read((Slice){"12345", 2}, &n) && n.num == 12); /* never reads behind the slice */
    assert_false(number_read((Slice){"1/2", 2}, &n));
    assert_false(number_read((Slice){"1 1/2", 2}, &n));
}

static void numbers_are_written_as_people_do(void **state)
{
    (void)state;
    static const struct {
        Number number;
        const char *text;
    } rows[] = {
        {{0, 1}, "0"},
        {{12, 1}, "12"},
        {{-7, 1}, "-7"},
        {{1, 2}, "0.5"},
        {{-1, 2}, "-0.5"},
        {{127, 5}, "25.4"},
        {{1, 1000000}, "0.000001"},
        {{-1000001, 1000000}, "-1.000001"},
        {{1, 64}, "0.015625"},
        {{1, 128}, "1/128"},
        {{4, 3}, "1 1/3"},
        {{-4, 3}, "-1 1/3"},
        {{1, 3}, "1/3"},
        {{-1, 3}, "-1/3"},
        {{1, 10000000}, "1/10000000"},
        {{INT64_MAX, 1}, "9223372036854775807"},
        {{-INT64_MAX, 1}, "-9223372036854775807"},
        {{INT64_MAX, 2}, "4611686018427387903.5"},
        {{-INT64_MAX, INT64_MAX - 1}, "-1 1/9223372036854775806"},
        {{INT64_MAX - 1, INT64_MAX}, "9223372036854775806/9223372036854775807"},
    };
    char text[48];
    for (size_t i = 0; i < CHECK_COUNT(rows); i++) {
        size_t length = number_write(text, sizeof text, rows[i].number);
        assert_string_equal(text, rows[i].text);
        assert_int_equal(length, strlen(rows[i].text));
    }
}

static void what_is_written_reads_back(void **state)
{
    (void)state;
    CheckRandom random = check_random("number");
    for (int i = 0; i < ROUNDS; i++) {
        Number a = random_number(&random), back;
        char text[48];
        size_t length = number_write(text, sizeof text, a);
        assert_true(length < sizeof text);
        assert_int_equal(length, strlen(text));
        Slice unsigned_part = a.num < 0 ? (Slice){text + 1, length - 1} : (Slice){text, length};
        if (!number_read(unsigned_part, &back)) fail_msg("cannot read back %s", text);
        if (a.num < 0) back = number_negate(back);
        assert_true(number_equal(a, back));
    }
}

/* The written text as an integer over 10^places, by its characters. */
static wide scaled_text(const char *text, int places)
{
    bool negative = *text == '-';
    if (negative) text++;
    wide value = 0;
    int seen = -1;
    for (; *text; text++) {
        if (*text == '.')
            seen = 0;
        else
            value = value * 10 + (*text - '0'), seen += seen >= 0;
    }
    if (seen == 0) fail_msg("a point with nothing behind it");
    for (int i = seen < 0 ? 0 : seen; i < places; i++) value *= 10;
    return negative ? -value : value;
}

static void rounding_is_to_the_nearest(void **state)
{
    (void)state;
    CheckRandom random = check_random("number");
    for (int i = 0; i < ROUNDS; i++) {
        Number a = random_number(&random);
        int places = (int)check_below(&random, 8);
        wide power = 1;
        for (int k = 0; k < places; k++) power *= 10;
        char text[48];
        size_t length = number_write_rounded(text, sizeof text, a, places);
        assert_int_equal(length, strlen(text));
        const char *point = strchr(text, '.');
        assert_true(!point || (text[length - 1] != '0' && strlen(point) <= (size_t)places + 1));
        /* |text - a| <= 1/2 unit of the last place, all times 2 * den * power */
        wide off = 2 * ((wide)a.num * power - scaled_text(text, places) * a.den);
        assert_true(off <= a.den && -off <= a.den);
    }
}

static void halves_are_rounded_away_from_zero(void **state)
{
    (void)state;
    static const struct {
        Number number;
        int places;
        const char *text;
    } rows[] = {
        {{1, 2}, 0, "1"},
        {{-1, 2}, 0, "-1"},
        {{5, 2}, 0, "3"},
        {{1, 4}, 1, "0.3"},
        {{-1, 4}, 1, "-0.3"},
        {{1, 3}, 2, "0.33"},
        {{2, 3}, 2, "0.67"},
        {{-1, 3}, 0, "0"},
        {{-2, 3}, 0, "-1"},
        {{999, 1000}, 2, "1"},
        {{19, 10}, 3, "1.9"},
        {{1, 200}, 2, "0.01"},
        {{1, 3}, 99, "0.333333333333333333"},
        {{7, 2}, -1, "4"},
        {{INT64_MAX, 1}, 18, "9223372036854775807"},
        {{49, 10000}, 2, "0"},
    };
    char text[48];
    for (size_t i = 0; i < CHECK_COUNT(rows); i++) {
        number_write_rounded(text, sizeof text, rows[i].number, rows[i].places);
        assert_string_equal(text, rows[i].text);
    }
}

static void too_little_room_cuts(void **state)
{
    (void)state;
    char text[4] = "???";
    assert_int_equal(number_write(text, sizeof text, NUMBER(123456)), 6);
    assert_string_equal(text, "123");
    assert_int_equal(number_write(NULL, 0, NUMBER(123456)), 6);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(making_a_number),
        cmocka_unit_test(arithmetic_is_the_schoolbooks),
        cmocka_unit_test(order_and_rounding_are_exact),
        cmocka_unit_test(numbers_are_read),
        cmocka_unit_test(what_is_no_number_is_refused),
        cmocka_unit_test(numbers_are_written_as_people_do),
        cmocka_unit_test(what_is_written_reads_back),
        cmocka_unit_test(rounding_is_to_the_nearest),
        cmocka_unit_test(halves_are_rounded_away_from_zero),
        cmocka_unit_test(too_little_room_cuts),
    };
    return cmocka_run_group_tests_name("base/number", tests, NULL, NULL) != 0;
}
