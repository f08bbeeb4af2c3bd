/* What neighbouring tokens make of each other.
 *
 * Given the tokens of clauses.h, it tells keywords from words, finds units behind numbers, puts dates, days,
 * times and "at most" together, reads numbers and texts, and refuses the spellings that have two readings.
 * The parser gets its tokens from here.
 */
#ifndef SYNTAX_FILTER_H
#define SYNTAX_FILTER_H

#include "syntax/clauses.h"

enum { FILTER_AHEAD = 8 };

typedef struct Filter {
    Arena *arena; /* for texts with escapes */
    const Text *text;
    Clauses clauses;
    Lexeme ahead[FILTER_AHEAD]; /* a ring */
    unsigned first, count;
    Taken last;           /* given last */
    uint32_t value_begin; /* of the last number, day or date */
    bool begins;          /* the next token begins a clause */
    bool drops;           /* the last token began a clause, and is the word drop */
    bool condition;       /* inside a when or where, where a minus subtracts */
    bool share;           /* the next `in` is that of `1 in 10` */
    enum { CITED_NOTHING, CITED_KEY, CITED_PLACE } cited; /* what comes next inside [ ] */
} Filter;

void filter_start(Filter *filter, Arena *arena, const Text *text, Extent extent);
Token filter_next(Filter *filter);

#endif
