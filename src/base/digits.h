/* Whole numbers as decimal digits, two at a time. */
#ifndef BASE_DIGITS_H
#define BASE_DIGITS_H

#include <stddef.h>
#include <stdint.h>

enum { DIGITS_ROOM = 20 }; /* the longest 64-bit number */

size_t digits_write(char to[static DIGITS_ROOM], uint64_t value); /* no NUL; gives the length */
size_t digits_write_signed(char to[static DIGITS_ROOM], int64_t value);
void digits_pair(char to[static 2], unsigned value); /* 0–99 as "00" … "99" */

#endif
