/* A text as pieces that can be moved apart: see pieces.h.
 *
 * The scanner gives the bytes with comments and ends of line, the filter what neighbouring tokens make of
 * each other. Both run over the text side by side and are brought together by their places.
 */
#include "syntax/pieces.h"

#include "base/vec.h"
#include "syntax/filter.h"

typedef struct Pairing {
    Scanner *scanner;
    Filter filter;
    Token meant; /* the filter's token that the scanner stands before or in */
    bool fresh;  /* before it nothing of a clause was given */
    unsigned lines;
    VEC(Piece) pieces;
} Pairing;

/* Goes on to what is meant at `offset`, or behind it. */
static void advance(Pairing *pairing, uint32_t offset)
{
    while (pairing->meant.kind != TOKEN_FILE_END && pairing->meant.extent.end <= offset) {
        TokenKind kind = pairing->meant.kind;
        pairing->fresh = kind == TOKEN_END || kind == TOKEN_OPEN_BRACE || kind == TOKEN_CLOSE_BRACE;
        pairing->meant = filter_next(&pairing->filter);
    }
}

static Piece *add(Arena *arena, Pairing *pairing, Lexeme lexeme)
{
    Piece *piece = VEC_ADD(arena, &pairing->pieces);
    *piece = (Piece){.extent = lexeme.extent, .kind = (uint8_t)lexeme.kind, .means = (uint8_t)lexeme.kind};
    piece->lines = (uint8_t)(pairing->lines < 2 ? pairing->lines : 2);
    pairing->lines = 0;
    return piece;
}

static void add_comment(Arena *arena, Pairing *pairing, Lexeme lexeme, const char *bytes)
{
    char last;
    while ((last = bytes[lexeme.extent.end - 1]) == ' ' || last == '\t' || last == '\r') lexeme.extent.end--;
    add(arena, pairing, lexeme);
}

static void add_token(Arena *arena, Pairing *pairing, Lexeme lexeme)
{
    Piece *piece = add(arena, pairing, lexeme);
    const Token *meant = &pairing->meant;
    if (meant->extent.begin > lexeme.extent.begin && lexeme.kind == TOKEN_SEMICOLON) {
        piece->starts = true; /* it ends nothing */
        return;
    }
    piece->means = (uint8_t)meant->kind;
    piece->goes_on = meant->extent.begin < lexeme.extent.begin;
    piece->starts = pairing->fresh && !piece->goes_on;
    piece->condition = pairing->filter.condition;
    /* Where in a source something stands is free text, blanks and all, that nobody may touch. */
    if (meant->kind == TOKEN_CITED_PLACE) piece->extent = meant->extent;
}

/* A comment stands where a clause could begin if what comes behind it does. */
static void place_comments(Piece *pieces, size_t count)
{
    bool starts = true;
    for (size_t i = count; i-- > 0;) {
        if (pieces[i].kind == TOKEN_COMMENT)
            pieces[i].starts = starts;
        else
            starts = pieces[i].starts || pieces[i].kind == TOKEN_CLOSE_BRACE;
    }
}

Pieces pieces_read(Arena *arena, const Text *text)
{
    Pairing pairing = {.fresh = true};
    Extent whole = {text_start(text), text->length};
    pairing.scanner = scanner_open(arena, text, whole);
    filter_start(&pairing.filter, arena, text, whole);
    pairing.meant = filter_next(&pairing.filter);
    uint32_t end = 0; /* of what the pieces cover */
    for (Lexeme lexeme; (lexeme = scanner_next(pairing.scanner)).kind != TOKEN_FILE_END;) {
        if (lexeme.extent.begin < end) continue;
        if (lexeme.kind == TOKEN_LINE) {
            pairing.lines++;
            continue;
        }
        if (lexeme.kind == TOKEN_COMMENT) {
            add_comment(arena, &pairing, lexeme, text->bytes);
            continue;
        }
        advance(&pairing, lexeme.extent.begin);
        add_token(arena, &pairing, lexeme);
        end = pairing.pieces.at[pairing.pieces.count - 1].extent.end;
    }
    place_comments(pairing.pieces.at, pairing.pieces.count);
    return (Pieces){text, pairing.pieces.at, pairing.pieces.count};
}

static bool equal(const Pieces *a, const Pieces *b, size_t i)
{
    const Piece *one = &a->at[i], *other = &b->at[i];
    if (one->kind != other->kind || one->means != other->means || one->goes_on != other->goes_on ||
        one->starts != other->starts || one->condition != other->condition)
        return false;
    bool trails = i > 0 && one->lines == 0, other_trails = i > 0 && other->lines == 0;
    if (one->kind == TOKEN_COMMENT && trails != other_trails) return false;
    return slice_equal(piece_slice(a, one), piece_slice(b, other));
}

bool pieces_equal(const Pieces *a, const Pieces *b)
{
    if (a->count != b->count) return false;
    for (size_t i = 0; i < a->count; i++)
        if (!equal(a, b, i)) return false;
    return true;
}
