/* What could stand at a place, in words. */
#ifndef SYNTAX_EXPECT_H
#define SYNTAX_EXPECT_H

#include "syntax/token.h"

/* "a word, a number or a text in quotes": the expected tokens by groups, the most telling first, at most six.
 */
const char *expect_list(Arena *arena, const bool expected[static TOKENS]);

#endif
