/* Where clauses and blocks end.
 *
 * Given the scanner's tokens, it drops comments, decides which ends of line end a clause, adds the end that
 * may be left out before a closing brace, and sees to it that every brace the parser gets has its partner: a
 * brace too many becomes a fault, a missing one is supplied at the end of the file. From indentation it
 * guesses where the mistake was made.
 */
#ifndef SYNTAX_CLAUSES_H
#define SYNTAX_CLAUSES_H

#include "syntax/token.h"
#include "syntax/tree.h"

typedef struct OpenBlock {
    Extent brace;
    uint32_t indent; /* of the line on which its head begins */
} OpenBlock;

typedef struct Clauses {
    Scanner *scanner;
    const Text *text;
    uint32_t end;        /* of what is read */
    uint32_t line_begin; /* of the line being scanned */
    uint32_t line_indent;
    bool line_fresh; /* nothing was seen on it yet */
    Lexeme held[2];  /* looked at, not yet given; the last is the next */
    unsigned held_count;
    TokenKind last; /* given last; END before the first */

    unsigned brackets; /* open in this clause, inside which ends of line do not count */
    unsigned nesting;  /* open in this clause, closed later or not */
    uint32_t
        lines_count_to; /* up to here ends of line count inside brackets, for one of them is never closed */
    Extent unclosed;    /* the latest bracket that is never closed in its clause; empty if none was */

    OpenBlock open[TREE_BLOCK_DEPTH];
    unsigned depth;
    uint32_t clause_indent;

    /* What the indentation says about a missing or superfluous brace; empty extents say nothing. */
    Extent missing_of;     /* the opening whose closing is missing */
    Extent missing_before; /* and what stands where it should */
    Extent extra;          /* a closing brace that closes more than its indentation says */
    uint32_t extra_indent;
    /* Set at the end of the file when blocks were left open. */
    unsigned left_open;
    Extent left_open_at;
} Clauses;

void clauses_start(Clauses *clauses, Arena *arena, const Text *text, Extent extent);
Lexeme clauses_next(Clauses *clauses);

#endif
