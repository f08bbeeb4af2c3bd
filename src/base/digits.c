/* Whole numbers as decimal digits.
 *
 * Given a number, writes its digits from a table of pairs, the last first, in place. Signs of fractions,
 * dates and grouping are left to the callers.
 */
#include "base/digits.h"

#include <string.h>

static const char pairs[] = "00010203040506070809"
                            "10111213141516171819"
                            "20212223242526272829"
                            "30313233343536373839"
                            "40414243444546474849"
                            "50515253545556575859"
                            "60616263646566676869"
                            "70717273747576777879"
                            "80818283848586878889"
                            "90919293949596979899";

void digits_pair(char to[static 2], unsigned value)
{
    memcpy(to, &pairs[value % 100 * 2], 2);
}

static size_t digits_count(uint64_t value)
{
    size_t count = 1;
    for (uint64_t bound = 10; count < DIGITS_ROOM && value >= bound; bound *= 10) count++;
    return count; /* the last bound wraps, and is not asked for */
}

size_t digits_write(char to[static DIGITS_ROOM], uint64_t value)
{
    size_t count = digits_count(value);
    char *end = to + count;
    for (; value >= 100; value /= 100) digits_pair(end -= 2, (unsigned)(value % 100));
    if (value >= 10)
        digits_pair(to, (unsigned)value);
    else
        *to = (char)('0' + (char)value);
    return count;
}

size_t digits_write_signed(char to[static DIGITS_ROOM], int64_t value)
{
    if (value >= 0) return digits_write(to, (uint64_t)value);
    char digits[DIGITS_ROOM];
    size_t length = digits_write(digits, 0 - (uint64_t)value); /* 19 digits at most */
    to[0] = '-';
    memcpy(to + 1, digits, length);
    return length + 1;
}
