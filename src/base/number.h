/* Exact numbers: fractions of 64-bit integers, always reduced, the lower part positive.
 *
 * Sums and products are worked out in 128 bits; a result that does not fit is refused, never rounded.
 */
#ifndef BASE_NUMBER_H
#define BASE_NUMBER_H

#include "base/slice.h"

#include <stdbool.h>
#include <stdint.h>

typedef struct Number {
    int64_t num, den;
} Number;

#define NUMBER(n) ((Number){(n), 1})

bool number_make(int64_t num, int64_t den, Number *out); /* den <> 0 */
bool number_add(Number a, Number b, Number *out);        /* each false: does not fit (or division by zero) */
bool number_subtract(Number a, Number b, Number *out);
bool number_multiply(Number a, Number b, Number *out);
bool number_divide(Number a, Number b, Number *out);
int number_compare(Number a, Number b); /* -1, 0, 1; exact for all numbers */
static inline bool number_equal(Number a, Number b)
{
    return a.num == b.num && a.den == b.den;
}
Number number_negate(Number a);
int64_t number_floor(Number a);
int64_t number_ceil(Number a);
double number_double(Number a); /* for statistics and pictures only */

/* Reads `12`, `0.5`, `1/2`, `1 1/2` (blanks between whole and fraction), without a sign; the whole slice must
 * be the number. False: not of this form, over 40 digits, a zero below the stroke, or too large. */
bool number_read(Slice text, Number *out);

/* Writes a number as people do: whole, else a decimal that ends (at most 6 places), else `a/b`.
 * Gives the length; `room` of 48 is always enough. */
size_t number_write(char *to, size_t room, Number a);
/* Rounded to `places` decimals (half away from zero), trailing zeros left out. For conversions that do not
 * end. */
size_t number_write_rounded(char *to, size_t room, Number a, int places);

#endif
