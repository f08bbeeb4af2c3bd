/* One run of the parser: what its actions, its scanner and its messages share. For read.c, tree.c, report.c
 * and the grammar only; everybody else includes read.h.
 */
#ifndef SYNTAX_READER_H
#define SYNTAX_READER_H

#include "base/note.h"
#include "syntax/filter.h"
#include "syntax/tree.h"

enum { READER_NOTES = 100 }; /* per text; more are counted only */

typedef struct Reader {
    Arena *arena;
    const Text *text;
    Notes *notes;
    Filter filter;
    TokenKind start; /* START_FILE or START_VALUE until the parser has taken it, then END */

    /* The clause being read, for messages and for what stays of a broken one. */
    bool clause_ended;                /* the next token begins a clause */
    bool clause_noted;                /* it has had its message */
    unsigned clause_tokens;           /* taken of it */
    Token clause_first, clause_field; /* field: the first token that is no strength */
    Token token;                      /* taken last */
    Taken previous;                   /* before that */

    size_t noted;  /* messages, told or only counted */
    Extent untold; /* the first that was only counted */
    size_t nodes;  /* made so far */
    bool full;     /* TREE_NODES was reached */

    Item *items; /* what a file gives */
    Value value; /* what a value gives */
} Reader;

/* Runs the parser (grammar/parse.y). False: it gave up, or a value could not be read. */
bool reader_parse(Reader *reader);
/* The next token; faults and the state of the clause are seen to. */
Token reader_token(Reader *reader);
/* A message about a place, unless this clause has had one. NULL: it had, or there are too many. */
Note *reader_note(Reader *reader, Extent extent, const char *sentence);
/* The next message would only be counted, or not even that. */
bool reader_silent(const Reader *reader);
Span reader_span(const Reader *reader, Extent extent);

/* report.c: the parser cannot use the token that it took last. */
void reader_unexpected(Reader *reader, const bool expected[static TOKENS]);

#endif
