/* base/unit: the table's own order, finding by spelling, and published conversions, exactly
 * (tests/outside/vectors/units.csv, whose last column names NIST Handbook 44 and the two programs it was
 * checked with). */
#include "check.h"

#include "base/unit.h"

static const Unit *unit_of(const char *spelling, Dimension dimension)
{
    return unit_find(slice_of(spelling), dimension);
}

static bool can_be_typed(const Unit *unit)
{
    return strcmp(unit->spelling, "of 1") != 0;
}

static void every_row_is_found_by_its_spelling(void **state)
{
    (void)state;
    assert_true(unit_count > 50);
    for (size_t i = 0; i < unit_count; i++) {
        const Unit *unit = &unit_table[i];
        assert_true(unit->factor.num > 0 && unit->factor.den > 0);
        Number lowest;
        assert_true(number_make(unit->factor.num, unit->factor.den, &lowest) &&
                    number_equal(lowest, unit->factor));
        assert_true(number_make(unit->offset.num, unit->offset.den, &lowest) &&
                    number_equal(lowest, unit->offset));
        if (!can_be_typed(unit)) continue;
        assert_ptr_equal(unit_of(unit->spelling, unit->dimension), unit);
        assert_true(unit_is_word(slice_of(unit->spelling)));
        size_t first = 0;
        while (strcmp(unit_table[first].spelling, unit->spelling) != 0) first++;
        assert_ptr_equal(unit_of(unit->spelling, DIM_NONE), &unit_table[first]);
    }
}

static void nothing_else_is_a_unit(void **state)
{
    (void)state;
    static const char *const bad[] = {"",       "of 1",   "1",         "M",       "MM",      "inch",
                                      "c",      "f",      "sq",        "cu",      "sq  in",  "mg/l",
                                      "mol/m2", "ppmm",   "us-gals",   "bush",    "bushels", "min ",
                                      "tray",   "weekss", "mol/m2/d/", "imp-fl-o"};
    for (size_t i = 0; i < CHECK_COUNT(bad); i++) {
        if (unit_is_word(slice_of(bad[i]))) fail_msg("a unit: \"%s\"", bad[i]);
        for (Dimension d = DIM_NONE; d < DIMENSIONS; d++) assert_null(unit_of(bad[i], d));
    }
    assert_null(unit_find((Slice){NULL, 0}, DIM_NONE));
    assert_null(unit_of("mm", DIM_MASS));
    assert_true(unit_is_word((Slice){"mmm", 2})); /* never looks behind the slice */
    assert_false(unit_is_word((Slice){"weeks", 3}));
}

static void one_spelling_may_have_two_dimensions(void **state)
{
    (void)state;
    assert_int_equal(unit_of("C", DIM_NONE)->dimension, DIM_TEMPERATURE);
    assert_int_equal(unit_of("C", DIM_DIFFERENCE)->dimension, DIM_DIFFERENCE);
    assert_int_equal(unit_of("%", DIM_CONCENTRATION)->factor.num, 10000);
    assert_int_equal(unit_of("%", DIM_SHARE)->factor.den, 100);
}

static void every_dimension_has_a_base_and_examples(void **state)
{
    (void)state;
    static const char *const base[DIMENSIONS] = {
        [DIM_LENGTH] = "mm",          [DIM_AREA] = "cm2",
        [DIM_VOLUME] = "mL",          [DIM_MASS] = "g",
        [DIM_TEMPERATURE] = "C",      [DIM_DIFFERENCE] = "C",
        [DIM_DURATION] = "s",         [DIM_ANGLE] = "deg",
        [DIM_SHARE] = "of 1",         [DIM_CONCENTRATION] = "ppm",
        [DIM_LIGHT_SUM] = "mol/m2/d", [DIM_MONEY] = "EUR",
    };
    assert_null(unit_base(DIM_NONE));
    for (Dimension d = DIM_LENGTH; d < DIMENSIONS; d++) {
        assert_non_null(unit_base(d));
        assert_string_equal(unit_base(d)->spelling, base[d]);
        assert_int_equal(unit_base(d)->dimension, d);
        assert_true(strlen(dimension_name[d]) > 0);
        char examples[64];
        size_t count = 0;
        snprintf(examples, sizeof examples, "%s", unit_examples(d));
        for (char *at = examples, *next; at; at = next, count++) {
            next = strstr(at, ", ");
            if (next) *next = '\0', next += 2;
            if (!unit_of(at, d)) fail_msg("no unit: %s", at);
        }
        assert_true(count > 0);
    }
}

static void values_go_there_and_back(void **state)
{
    (void)state;
    CheckRandom random = check_random("unit");
    for (size_t i = 0; i < unit_count; i++) {
        for (int round = 0; round < 200; round++) {
            Number written, base, back;
            int64_t num = (int64_t)check_below(&random, 200001) - 100000;
            assert_true(number_make(num, 1 + check_below(&random, 100), &written));
            assert_true(unit_to_base(&unit_table[i], written, &base));
            assert_true(unit_from_base(&unit_table[i], base, &back));
            assert_true(number_equal(written, back));
        }
    }
    Number base;
    assert_false(unit_to_base(unit_of("km", DIM_LENGTH), NUMBER(INT64_MAX), &base));
    assert_false(unit_from_base(unit_of("mg", DIM_MASS), NUMBER(INT64_MAX), &base));
}

/* ------------------------------------------------------------------ published conversions */

/* The vectors' names of units, those of the program GNU units, and ours. */
static const struct {
    const char *name, *spelling;
    Dimension dimension;
} ours[] = {
    {"mm", "mm", DIM_LENGTH},
    {"cm", "cm", DIM_LENGTH},
    {"m", "m", DIM_LENGTH},
    {"km", "km", DIM_LENGTH},
    {"in", "in", DIM_LENGTH},
    {"ft", "ft", DIM_LENGTH},
    {"yd", "yd", DIM_LENGTH},
    {"in^2", "sq in", DIM_AREA},
    {"cm^2", "cm2", DIM_AREA},
    {"ft^2", "sq ft", DIM_AREA},
    {"m^2", "m2", DIM_AREA},
    {"acre", "acre", DIM_AREA},
    {"hectare", "ha", DIM_AREA},
    {"in^3", "cu in", DIM_VOLUME},
    {"cm^3", "mL", DIM_VOLUME},
    {"ft^3", "cu ft", DIM_VOLUME},
    {"yd^3", "cu yd", DIM_VOLUME},
    {"m^3", "m3", DIM_VOLUME},
    {"L", "L", DIM_VOLUME},
    {"mL", "mL", DIM_VOLUME},
    {"usgallon", "us-gal", DIM_VOLUME},
    {"brgallon", "imp-gal", DIM_VOLUME},
    {"usquart", "us-qt", DIM_VOLUME},
    {"uspint", "us-pt", DIM_VOLUME},
    {"usfluidounce", "us-fl-oz", DIM_VOLUME},
    {"brfluidounce", "imp-fl-oz", DIM_VOLUME},
    {"dryquart", "dry-qt", DIM_VOLUME},
    {"bushel", "bushel", DIM_VOLUME},
    {"g", "g", DIM_MASS},
    {"mg", "mg", DIM_MASS},
    {"kg", "kg", DIM_MASS},
    {"oz", "oz", DIM_MASS},
    {"lb", "lb", DIM_MASS},
    {"week", "week", DIM_DURATION},
    {"day", "day", DIM_DURATION},
    {"percent", "%", DIM_CONCENTRATION},
    {"ppm", "ppm", DIM_CONCENTRATION},
    {"ppm w/v", "ppm", DIM_CONCENTRATION},
    {"ppm w/w", "ppm", DIM_CONCENTRATION},
    {"percent w/v", "%", DIM_CONCENTRATION},
    {"percent w/w talc", "%", DIM_CONCENTRATION},
    {"g/L", "g/L", DIM_CONCENTRATION},
    {"mg/L", "mg/L", DIM_CONCENTRATION},
    {"degC difference", "C", DIM_DIFFERENCE},
    {"degF difference", "F", DIM_DIFFERENCE},
};

/* Units of the vectors that the language does not have, and rows that are recipes and no conversions. */
static const char *const not_ours[] = {
    "mile",
    "brpint",
    "drygallon",
    "drypint",
    "uscup",
    "ustablespoon",
    "usteaspoon",
    "grain",
    "fortnight",
    "g per 250 mL",
    "5 mL stock 10 g/L made up to 50 mL",
};

static bool is_not_ours(const char *name)
{
    for (size_t i = 0; i < CHECK_COUNT(not_ours); i++)
        if (strcmp(name, not_ours[i]) == 0) return true;
    return false;
}

static const Unit *named(const char *name, size_t length)
{
    for (size_t i = 0; i < CHECK_COUNT(ours); i++)
        if (slice_is((Slice){name, length}, ours[i].name))
            return unit_of(ours[i].spelling, ours[i].dimension);
    return NULL;
}

/* How many base units one of `name` is. As a ratio, `a/b` is worked out from a and b: a weight in a volume
 * here, though some such names are concentrations too. */
static Number size_of(const char *name, bool as_ratio)
{
    const char *stroke = as_ratio ? strchr(name, '/') : NULL;
    const Unit *above = named(name, stroke ? (size_t)(stroke - name) : strlen(name));
    const Unit *below = stroke ? named(stroke + 1, strlen(stroke + 1)) : NULL;
    if (!above || (stroke && !below)) fail_msg("unknown to this test: %s", name);
    Number size = above->factor;
    if (stroke) assert_true(number_divide(above->factor, below->factor, &size));
    return size;
}

static bool is_ratio(const char *name)
{
    return strchr(name, '/') && !named(name, strlen(name));
}

static Number signed_number(const char *text)
{
    Number number;
    bool negative = *text == '-';
    if (!number_read(slice_of(text + negative), &number)) fail_msg("not a number: %s", text);
    return negative ? number_negate(number) : number;
}

/* `exact_fraction`, or where there is none the decimal of the column before it, which then ends. */
static Number wanted(const CheckRow *row)
{
    return signed_number(*row->column[5] ? row->column[5] : row->column[4]);
}

static void same(const CheckRow *row, Number got)
{
    if (number_equal(got, wanted(row))) return;
    char text[48];
    number_write(text, sizeof text, got);
    fail_msg("%s: 1 %s is %s %s, not %s", row->column[0], row->column[1], text, row->column[2],
             row->column[5]);
}

/* "1000 ppm w/v": a number, and the rest. */
static Number leading_number(const char *from, const char **name)
{
    char text[32];
    size_t length = strcspn(from, " ");
    assert_true(length < sizeof text && from[length] == ' ');
    memcpy(text, from, length);
    text[length] = '\0';
    *name = from + length + 1;
    return signed_number(text);
}

static void published_conversions(void **state)
{
    (void)state;
    FILE *file = check_vectors("units.csv");
    CheckRow row;
    int checked = 0, passed_over = 0;
    for (; check_row(file, &row); checked++) {
        const char *from = row.column[1], *to = row.column[2], *kind = row.column[3];
        Number value, base;
        if (is_not_ours(from) || is_not_ours(to)) {
            passed_over++;
        } else if (strcmp(kind, "absolute") == 0) {
            const char *name;
            Number written = leading_number(from, &name);
            assert_true(
                unit_to_base(unit_of(strcmp(name, "degF") ? "C" : "F", DIM_TEMPERATURE), written, &base));
            assert_true(
                unit_from_base(unit_of(strcmp(to, "degF") ? "C" : "F", DIM_TEMPERATURE), base, &value));
            same(&row, value);
        } else if (strcmp(kind, "factor") == 0) {
            bool degrees = strncmp(from, "deg", 3) == 0;
            Number a = degrees ? unit_of(strcmp(from, "degF") ? "C" : "F", DIM_DIFFERENCE)->factor
                               : size_of(from, is_ratio(from));
            Number b = degrees ? unit_of(strcmp(to, "degF") ? "C" : "F", DIM_DIFFERENCE)->factor
                               : size_of(to, is_ratio(from));
            assert_true(number_divide(a, b, &value));
            same(&row, value);
        } else {
            assert_true(strcmp(kind, "difference") == 0 || strcmp(kind, "definition") == 0);
            const char *name;
            Number written = leading_number(from, &name);
            assert_true(number_multiply(written, size_of(name, false), &base));
            assert_true(number_divide(base, size_of(to, false), &value));
            same(&row, value);
        }
    }
    fclose(file);
    assert_int_equal(checked, 82);
    assert_int_equal(passed_over, 12);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_row_is_found_by_its_spelling),
        cmocka_unit_test(nothing_else_is_a_unit),
        cmocka_unit_test(one_spelling_may_have_two_dimensions),
        cmocka_unit_test(every_dimension_has_a_base_and_examples),
        cmocka_unit_test(values_go_there_and_back),
        cmocka_unit_test(published_conversions),
    };
    return cmocka_run_group_tests_name("base/unit", tests, NULL, NULL) != 0;
}
