/* The form of a file: see format.h.
 *
 * Given the pieces of a text, it decides before each whether a line begins there, how far the line is set in,
 * and how many blanks stand between two pieces of one line. Lines are the author's but for two cases: at most
 * one empty line is kept, and the brace that closes a block whose inside begins in a new line has a line of
 * its own. Nothing is aligned, so that a change of one value never moves another line; columns that the
 * author made stay. Before it says that it is done, it reads what it wrote and compares piece by piece.
 */
#include "syntax/format.h"

#include "syntax/pieces.h"
#include "syntax/read.h"

/* ------------------------------------------------------------------ blanks inside a line */

typedef enum Space {
    SPACE_COLUMN, /* one blank, or as many as the author put there */
    SPACE_ONE,
    SPACE_NONE
} Space;

/* What a piece wishes before and behind it, by its meaning; of two wishes the narrower one holds. */
static const struct {
    Space before, behind;
} spaces[TOKENS] = {
    [TOKEN_OPEN_BRACE] = {SPACE_COLUMN, SPACE_ONE},
    [TOKEN_CLOSE_BRACE] = {SPACE_ONE, SPACE_ONE},
    [TOKEN_OPEN_ROUND] = {SPACE_COLUMN, SPACE_NONE},
    [TOKEN_OPEN_SQUARE] = {SPACE_COLUMN, SPACE_NONE},
    [TOKEN_CLOSE_ROUND] = {SPACE_NONE, SPACE_COLUMN},
    [TOKEN_CLOSE_SQUARE] = {SPACE_NONE, SPACE_COLUMN},
    [TOKEN_COMMA] = {SPACE_NONE, SPACE_ONE},
    [TOKEN_SEMICOLON] = {SPACE_NONE, SPACE_ONE},
    [TOKEN_END] = {SPACE_NONE, SPACE_ONE}, /* a semicolon that ends a clause */
    [TOKEN_DOT] = {SPACE_NONE, SPACE_NONE},
    [TOKEN_UNIT] = {SPACE_ONE, SPACE_COLUMN},
    [TOKEN_CITED_PLACE] = {SPACE_ONE, SPACE_COLUMN},
    [TOKEN_RANGE] = {SPACE_ONE, SPACE_ONE},
    [TOKEN_AROUND] = {SPACE_ONE, SPACE_ONE},
    [TOKEN_COLON] = {SPACE_ONE, SPACE_ONE}, /* but see keeps_to_word */
    [TOKEN_PLUS] = {SPACE_ONE, SPACE_ONE},
    [TOKEN_TIMES] = {SPACE_ONE, SPACE_ONE},
    [TOKEN_STROKE] = {SPACE_ONE, SPACE_ONE},
    [TOKEN_LESS] = {SPACE_ONE, SPACE_ONE},
    [TOKEN_MORE] = {SPACE_ONE, SPACE_ONE},
    [TOKEN_LESS_EQUAL] = {SPACE_ONE, SPACE_ONE},
    [TOKEN_MORE_EQUAL] = {SPACE_ONE, SPACE_ONE},
    [TOKEN_EQUAL] = {SPACE_ONE, SPACE_ONE},
    [TOKEN_UNEQUAL] = {SPACE_ONE, SPACE_ONE},
};

/* What a minus may be taken from: behind it, in a condition, it subtracts. */
static bool is_operand(TokenKind kind)
{
    return kind == TOKEN_WORD || kind == TOKEN_NUMBER || kind == TOKEN_UNIT || kind == TOKEN_DATE ||
           kind == TOKEN_DAY || kind == TOKEN_MONTH || kind == TOKEN_TEXT || kind == TOKEN_CLOSE_ROUND;
}

static bool subtracts(const Pieces *pieces, size_t minus)
{
    return pieces->at[minus].condition && minus > 0 && is_operand((TokenKind)pieces->at[minus - 1].means);
}

/* A colon that introduces, as in `sample 20: rooted 5`, and not one between the parts of a mix. */
static bool keeps_to_word(const Pieces *pieces, size_t colon)
{
    const Piece *piece = &pieces->at[colon];
    bool last = colon + 1 == pieces->count || piece[1].lines > 0;
    return piece->extent.begin == piece[-1].extent.end && (last || piece[1].extent.begin > piece->extent.end);
}

/* Blanks before a piece that does not begin a line. */
static size_t blanks_before(const Pieces *pieces, size_t i)
{
    const Piece *last = &pieces->at[i - 1], *piece = &pieces->at[i];
    size_t written = piece->extent.begin - last->extent.end, one_or_none = written > 0;
    size_t column = written > 1 ? written : 1;
    if (piece->kind == TOKEN_COMMENT) return column;
    if (piece->goes_on) return one_or_none;
    if (last->means == TOKEN_MINUS) return subtracts(pieces, i - 1) ? 1 : one_or_none;
    if (piece->means == TOKEN_COLON && keeps_to_word(pieces, i)) return 0;
    Space before = spaces[piece->means].before, behind = spaces[last->means].behind;
    Space space = before > behind ? before : behind;
    return space == SPACE_NONE ? 0 : space == SPACE_ONE ? 1 : column;
}

/* ------------------------------------------------------------------ lines */

typedef struct Level {
    bool open;       /* its inside begins in a new line, and each of its clauses has its depth */
    uint32_t indent; /* of the line in which its block begins, and of its closing brace */
    uint32_t inside; /* of its clauses */
    /* The line in which its last clause began, or the last of the nearest open level around: its column in
     * the text and in the form. What goes on from there keeps its distance. */
    uint32_t from, to;
} Level;

typedef struct Layout {
    const Pieces *pieces;
    Buffer *out;
    const char *line_end;
    Level levels[TREE_BLOCK_DEPTH + 1];
    unsigned depth;
    uint32_t column;        /* in the text, of the first piece in the line */
    uint32_t line_indent;   /* in the form */
    uint32_t clause_indent; /* of the line in which the clause begins */
} Layout;

/* The column in which a piece stands that has only blanks before it. */
static uint32_t column_of(const Text *text, const Piece *piece)
{
    uint32_t begin = piece->extent.begin, start = text_start(text), column = 0;
    while (begin > start && (text->bytes[begin - 1] == ' ' || text->bytes[begin - 1] == '\t')) begin--;
    for (; begin < piece->extent.begin; begin++)
        column = text->bytes[begin] == '\t' ? (column / FORMAT_TAB + 1) * FORMAT_TAB : column + 1;
    return column;
}

static uint32_t indent_of(Layout *layout, const Piece *piece)
{
    Level *level = &layout->levels[layout->depth];
    uint32_t distance = layout->column > level->from ? layout->column - level->from : 0;
    if (piece->kind == TOKEN_CLOSE_BRACE) return level->open ? level->indent : level->to + distance;
    if (level->open && piece->starts) {
        if (piece->kind == TOKEN_COMMENT) return level->inside;
        level->from = layout->column;
        return level->to = level->inside;
    }
    bool trailer = piece->means == TOKEN_BECAUSE || piece->means == TOKEN_INSTEAD;
    uint32_t least = trailer ? 0 : FORMAT_CONTINUED; /* a trailer may stand under its field, like a field */
    return level->to + (distance > least ? distance : least);
}

static bool begins_line(const Layout *layout, size_t i)
{
    const Piece *piece = &layout->pieces->at[i];
    return i == 0 || piece->lines > 0 ||
           (piece->kind == TOKEN_CLOSE_BRACE && layout->levels[layout->depth].open);
}

static void begin_line(Layout *layout, size_t i)
{
    const Piece *piece = &layout->pieces->at[i];
    if (i > 0) {
        bool inside = piece->kind != TOKEN_CLOSE_BRACE && piece[-1].kind != TOKEN_OPEN_BRACE;
        buffer_text(layout->out, layout->line_end);
        if (piece->lines > 1 && inside) buffer_text(layout->out, layout->line_end);
    }
    if (i == 0 || piece->lines > 0) layout->column = column_of(layout->pieces->text, piece);
    layout->line_indent = indent_of(layout, piece);
    buffer_spaces(layout->out, layout->line_indent);
}

static void open_block(Layout *layout, size_t i)
{
    const Piece *next = i + 1 < layout->pieces->count ? &layout->pieces->at[i + 1] : NULL;
    Level level = layout->levels[layout->depth];
    level.open = next && (next->lines > 0 || next->kind == TOKEN_COMMENT);
    level.indent = layout->clause_indent;
    level.inside = level.indent + FORMAT_STEP;
    layout->levels[++layout->depth] = level;
}

/* False: it grew larger than a file may be, as blocks in blocks can make of many short lines. */
static bool lay_out(Layout *layout)
{
    const Pieces *pieces = layout->pieces;
    layout->levels[0].open = true;
    for (size_t i = 0; i < pieces->count; i++) {
        const Piece *piece = &pieces->at[i];
        if (begins_line(layout, i))
            begin_line(layout, i);
        else
            buffer_spaces(layout->out, blanks_before(pieces, i));
        if (piece->starts && piece->kind != TOKEN_COMMENT) layout->clause_indent = layout->line_indent;
        buffer_slice(layout->out, piece_slice(pieces, piece));
        if (piece->kind == TOKEN_OPEN_BRACE) open_block(layout, i);
        if (piece->kind == TOKEN_CLOSE_BRACE) layout->depth--;
        if (buffer_slice_of(layout->out).length >= TEXT_LIMIT) return false;
    }
    if (pieces->count > 0) buffer_text(layout->out, layout->line_end);
    return buffer_slice_of(layout->out).length <= TEXT_LIMIT;
}

/* ------------------------------------------------------------------ the whole */

/* The first line's end serves the whole file. */
static const char *line_end_of(const Text *text)
{
    uint32_t second = text->line_count > 1 ? text->lines[1] : 0;
    return second > 1 && text->bytes[second - 2] == '\r' ? "\r\n" : "\n";
}

static bool reads_the_same(Arena *arena, const Pieces *pieces, const Buffer *out)
{
    Slice written = buffer_slice_of(out);
    if (slice_equal(written, (Slice){pieces->text->bytes, pieces->text->length})) return true;
    const char *bytes = arena_copy(arena, written.at, written.length);
    Pieces again =
        pieces_read(arena, text_new(arena, pieces->text->name, bytes, (uint32_t)written.length, 1));
    return pieces_equal(pieces, &again);
}

FormatResult syntax_format(Arena *arena, const Text *text, Notes *notes, Buffer *out)
{
    size_t faults = notes_total(notes);
    syntax_read(arena, text, notes);
    if (notes_total(notes) > faults) return FORMAT_UNREADABLE;
    Pieces pieces = pieces_read(arena, text);
    Layout layout = {.pieces = &pieces, .out = out, .line_end = line_end_of(text)};
    buffer_bytes(out, text->bytes, text_start(text));
    if (!lay_out(&layout)) {
        Span whole = {text, text_start(text), text_start(text)};
        notes_add(notes, SEVERITY_ERROR, "syntax", whole,
                  "laid out anew, the file would be larger than 16 MiB");
        return FORMAT_UNREADABLE;
    }
    return reads_the_same(arena, &pieces, out) ? FORMAT_DONE : FORMAT_UNSURE;
}
