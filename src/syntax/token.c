/* The names of tokens and the words that have a part in the grammar, from tokens.def. */
#include "syntax/token.h"

#include <string.h>

const char *const token_shown[TOKENS] = {
#define TOKEN(name, group, shown) [TOKEN_##name] = shown,
#include "tokens.def"
};

enum { LONGEST_KEYWORD = 8 };

TokenKind token_keyword(Slice word)
{
    if (word.length < 2 || word.length > LONGEST_KEYWORD) return TOKEN_WORD;
#define TOKEN(name, group, shown)
#define KEYWORD(name, group, shown)                                                                          \
    if (word.length == sizeof(shown) - 1 && memcmp(word.at, shown, sizeof(shown) - 1) == 0)                  \
        return TOKEN_##name;
#include "tokens.def"
    return TOKEN_WORD;
}

bool token_reserved(TokenKind kind)
{
    return kind >= TOKEN_MUST && kind <= TOKEN_INSTEAD;
}
