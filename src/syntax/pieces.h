/* A text as pieces that can be moved apart: every token and comment, with what it means where it stands.
 *
 * Given a text that reads without a fault, makes the row of its pieces. Between two pieces is only white
 * space and, if it says so, the end of a line; so two texts with equal rows are one text laid out in two
 * ways.
 */
#ifndef SYNTAX_PIECES_H
#define SYNTAX_PIECES_H

#include "syntax/token.h"

typedef struct Piece {
    Extent extent;  /* of a comment without the blanks at its end */
    uint8_t kind;   /* a TokenKind, as it was scanned */
    uint8_t means;  /* the TokenKind that its neighbours make of it: `in` may be a WORD, a UNIT, an IN */
    uint8_t lines;  /* ends of line before it: none, one, or two for more */
    bool goes_on;   /* a further piece of the same meaning: `Jun` in `18 Jun` */
    bool starts;    /* begins a clause, or stands where one could begin */
    bool condition; /* inside a when or where */
} Piece;

typedef struct Pieces {
    const Text *text;
    Piece *at;
    size_t count;
} Pieces;

Pieces pieces_read(Arena *arena, const Text *text);
/* Whether the same pieces, by their bytes and by their meaning, stand in both, whatever the space between. */
bool pieces_equal(const Pieces *a, const Pieces *b);

static inline Slice piece_slice(const Pieces *pieces, const Piece *piece)
{
    return (Slice){pieces->text->bytes + piece->extent.begin, piece->extent.end - piece->extent.begin};
}

#endif
