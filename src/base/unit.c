/* Units, from the table units.def.
 *
 * Given a spelling and a dimension, finds the row; given a row, turns written numbers into base numbers and
 * back, exactly. Spellings are looked up often, by every number of every plan, so the search is a chain of
 * comparisons with constants that the compiler lays out, one chain for each length of word. Which dimension a
 * field wants is the model's matter.
 */
#include "base/unit.h"

#include <string.h>

const char *const dimension_name[DIMENSIONS] = {
    [DIM_NONE] = "a bare number",
    [DIM_LENGTH] = "a length",
    [DIM_AREA] = "an area",
    [DIM_VOLUME] = "a volume",
    [DIM_MASS] = "a weight",
    [DIM_TEMPERATURE] = "a temperature",
    [DIM_DIFFERENCE] = "a difference of temperatures",
    [DIM_DURATION] = "a duration",
    [DIM_ANGLE] = "an angle",
    [DIM_SHARE] = "a share",
    [DIM_CONCENTRATION] = "a concentration",
    [DIM_LIGHT_SUM] = "a daily sum of light",
    [DIM_MONEY] = "an amount of money",
};

const Unit unit_table[] = {
#define UNIT(spelling, dimension, num, den, offset_num, offset_den, gnu, help)                               \
    {spelling, DIM_##dimension, {num, den}, {offset_num, offset_den}, gnu, help},
#include "units.def"
#undef UNIT
};

const size_t unit_count = sizeof unit_table / sizeof unit_table[0];

/* The base of a share, a bare whole, is in the table for its arithmetic only: nobody can type it. */
static bool never_written(const Unit *unit)
{
    return strcmp(unit->gnu, "1") == 0;
}

/* The first row of this spelling and dimension. Called with constant lengths, so that each call keeps only
 * the rows of its length. */
static inline const Unit *row_of_length(const char *word, size_t length, Dimension dimension)
{
    const Unit *row = unit_table;
#define UNIT(spelling, of, num, den, offset_num, offset_den, gnu, help)                                      \
    if (length == sizeof(spelling) - 1 && memcmp(word, spelling, sizeof(spelling) - 1) == 0 &&               \
        (dimension == DIM_NONE || dimension == DIM_##of))                                                    \
        return row;                                                                                          \
    row++;
#include "units.def"
#undef UNIT
    return NULL;
}

static const Unit *row_of(Slice word, Dimension dimension)
{
    switch (word.length) {
    case 0: return NULL;
    case 1: return row_of_length(word.at, 1, dimension);
    case 2: return row_of_length(word.at, 2, dimension);
    case 3: return row_of_length(word.at, 3, dimension);
    case 4: return row_of_length(word.at, 4, dimension);
    case 5: return row_of_length(word.at, 5, dimension);
    default: return row_of_length(word.at, word.length, dimension);
    }
}

const Unit *unit_find(Slice word, Dimension dimension)
{
    const Unit *unit = row_of(word, dimension);
    return unit && !never_written(unit) ? unit : NULL;
}

bool unit_is_word(Slice word)
{
    return unit_find(word, DIM_NONE) != NULL;
}

const Unit *unit_base(Dimension dimension)
{
    for (size_t i = 0; i < unit_count; i++) {
        const Unit *unit = &unit_table[i];
        bool plain = number_equal(unit->factor, NUMBER(1)) && unit->offset.num == 0;
        if (unit->dimension == dimension && plain) return unit;
    }
    return NULL;
}

bool unit_to_base(const Unit *unit, Number written, Number *base)
{
    Number scaled;
    return number_multiply(written, unit->factor, &scaled) && number_add(scaled, unit->offset, base);
}

bool unit_from_base(const Unit *unit, Number base, Number *written)
{
    Number scaled;
    return number_subtract(base, unit->offset, &scaled) && number_divide(scaled, unit->factor, written);
}

const char *unit_examples(Dimension dimension)
{
    static const char *const examples[DIMENSIONS] = {
        [DIM_NONE] = "",
        [DIM_LENGTH] = "in, cm, mm",
        [DIM_AREA] = "sq ft, m2, cm2",
        [DIM_VOLUME] = "mL, L, cu ft, us-gal",
        [DIM_MASS] = "g, kg, oz, lb",
        [DIM_TEMPERATURE] = "C, F",
        [DIM_DIFFERENCE] = "C, F",
        [DIM_DURATION] = "s, min, h, days, weeks",
        [DIM_ANGLE] = "deg",
        [DIM_SHARE] = "%",
        [DIM_CONCENTRATION] = "ppm, mg/L, g/L, %",
        [DIM_LIGHT_SUM] = "mol/m2/d",
        [DIM_MONEY] = "EUR, USD, GBP",
    };
    return examples[dimension];
}
