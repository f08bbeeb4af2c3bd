/* Units and dimensions, from grammar/units.def.
 *
 * A quantity in base units is an exact number: mm, cm2, mL, g, C, s, deg, a share of 1, ppm, mol/m2/d,
 * pieces, money.
 */
#ifndef BASE_UNIT_H
#define BASE_UNIT_H

#include "base/number.h"
#include "base/slice.h"

typedef enum Dimension {
    DIM_NONE,          /* a bare number: counts, pH, parts */
    DIM_LENGTH,        /* mm */
    DIM_AREA,          /* cm2 */
    DIM_VOLUME,        /* mL */
    DIM_MASS,          /* g */
    DIM_TEMPERATURE,   /* C, an absolute reading */
    DIM_DIFFERENCE,    /* C between two temperatures */
    DIM_DURATION,      /* s */
    DIM_ANGLE,         /* deg */
    DIM_SHARE,         /* of 1 */
    DIM_CONCENTRATION, /* ppm: mg/L in a liquid, mg/kg in a powder */
    DIM_LIGHT_SUM,     /* mol/m2/d */
    DIM_MONEY,         /* of the nursery's currency */
    DIMENSIONS
} Dimension;
extern const char *const dimension_name[DIMENSIONS]; /* "a length", "a temperature" … for messages */

typedef struct Unit {
    const char *spelling;
    Dimension dimension;
    Number factor; /* base = written * factor + offset */
    Number offset;
    const char *gnu;  /* the same unit as the program GNU units writes it; checked by tests */
    const char *help; /* one line */
} Unit;

extern const Unit unit_table[];
extern const size_t unit_count;

bool unit_is_word(Slice word); /* some unit is spelt so */
/* The unit spelt `word` in `dimension`; with DIM_NONE the first of that spelling in the table. NULL: none. */
const Unit *unit_find(Slice word, Dimension dimension);
const Unit *unit_base(Dimension dimension); /* the unit whose factor is 1 and offset 0 */
bool unit_to_base(const Unit *unit, Number written, Number *base); /* false: does not fit */
bool unit_from_base(const Unit *unit, Number base, Number *written);
/* "in, cm, mm": the usual units of a dimension, for messages. */
const char *unit_examples(Dimension dimension);

#endif
