/* What is said about spellings that people use and the language does not take. */
#ifndef SYNTAX_FAULT_H
#define SYNTAX_FAULT_H

#include "syntax/token.h"

/* One sentence about a token that has a fault, in the arena. */
const char *fault_sentence(Arena *arena, const Text *text, Token token);

/* Other people's text as it may stand in a sentence: cut to some 40 characters, and one line. */
const char *fault_shown(Arena *arena, Slice slice);

#endif
