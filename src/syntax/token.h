/* Tokens, and the scanner's door.
 *
 * The scanner (grammar/scan.l) cuts a text into words, numbers, texts and marks and knows nothing of their
 * neighbours. What neighbours make of each other is the business of filter.h.
 */
#ifndef SYNTAX_TOKEN_H
#define SYNTAX_TOKEN_H

#include "base/arena.h"
#include "base/date.h"
#include "base/number.h"
#include "base/slice.h"
#include "base/text.h"

typedef enum TokenKind {
#define TOKEN(name, group, shown) TOKEN_##name,
#include "tokens.def"
    TOKENS
} TokenKind;

/* What people write that the language does not take; each has its own sentence in fault.c. */
typedef enum Fault {
    FAULT_NONE,
    /* of the scanner */
    FAULT_UNKNOWN,       /* @ */
    FAULT_NUMERIC_DATE,  /* 6/7/2027, 6.7.2027 */
    FAULT_COMMA_NUMBER,  /* 1,5 and 1,000 */
    FAULT_EXPONENT,      /* 1e5 */
    FAULT_CURLY_QUOTES,  /* “text” */
    FAULT_SINGLE_QUOTES, /* 'text' */
    FAULT_DASH,          /* – — − */
    FAULT_NO_BREAK,      /* a blank that is no blank */
    FAULT_FRACTION,      /* ½ */
    FAULT_DEGREE,        /* ° */
    FAULT_SIGN,          /* ≤ == && × …: a sign for which there is another spelling */
    FAULT_OPEN_TEXT,     /* "text without its end */
    /* of the filter */
    FAULT_ESCAPE,
    FAULT_TEXT_LENGTH,
    FAULT_WORD_LENGTH,
    FAULT_NUMBER_SIZE,
    FAULT_ZERO_BELOW,  /* 1/0 */
    FAULT_GROUPED,     /* 1 000 */
    FAULT_NO_SUCH_DAY, /* 31 Jun */
    FAULT_YEAR,        /* 18 Jun 3027 */
    FAULT_MONTH_CASE,  /* 18 jun 2027 */
    FAULT_MONTH_FIRST, /* Jun 18, 2027 */
    FAULT_HASH_NUMBER, /* look#2 */
    FAULT_DASH_RANGE,  /* 5-8 cm */
    FAULT_PERCENT,     /* % without a number */
    FAULT_MISSING_END, /* } and a clause on one line */
    FAULT_CLOSE_BRACE, /* one } too many */
    FAULT_BLOCK_DEPTH,
    FAULT_BRACKET_DEPTH,
    FAULTS
} Fault;

/* Half-open range of bytes in the text that is read. */
typedef struct Extent {
    uint32_t begin, end;
} Extent;

/* A token before neighbours are looked at: what it is, and where it stands. Two machine words, as it is
 * handed on three times. */
typedef struct Lexeme {
    TokenKind kind : 8;
    Fault fault : 8;
    bool leads : 1;  /* is the first token of its line */
    uint32_t indent; /* bytes before the first token of its line */
    Extent extent;
} Lexeme;
_Static_assert(TOKENS <= 128 && FAULTS <= 128, "kinds of tokens and faults are kept in a byte");

/* A token as the parser gets it, with what it means. */
typedef struct Token {
    TokenKind kind;
    Fault fault;
    Extent extent;
    Slice word; /* WORD, UNIT, TEXT (escapes resolved), CITED_PLACE, keywords */
    union {
        Number number; /* NUMBER */
        Day date;      /* DATE */
        YearDay day;   /* DAY, MONTH */
        int minutes;   /* TIME */
    };
} Token;

/* What is remembered of a token that is gone. */
typedef struct Taken {
    TokenKind kind;
    Extent extent;
} Taken;

extern const char *const token_shown[TOKENS]; /* "a word", "{" */
TokenKind token_keyword(Slice word);          /* TOKEN_WORD when the word has no part in the grammar */
bool token_reserved(TokenKind kind);          /* a keyword that can name nothing */

typedef struct Scanner Scanner;

/* Scans text->bytes[extent]. The scanner lives in the arena. */
Scanner *scanner_open(Arena *arena, const Text *text, Extent extent);
/* The next token: kind, fault and extent are set. FILE_END for ever at the end. */
Lexeme scanner_next(Scanner *scanner);

#endif
