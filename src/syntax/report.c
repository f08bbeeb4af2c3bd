/* What is said when a token stands where the grammar has no use for it.
 *
 * Given the token, the clause so far and the tokens that would have been taken, it looks whether this is one
 * of the mistakes that people make often, which have a sentence of their own, and else says what was found
 * and what could stand there.
 */
#include "syntax/expect.h"
#include "syntax/fault.h"
#include "syntax/reader.h"

static Slice slice_of_extent(const Reader *reader, Extent extent)
{
    return (Slice){reader->text->bytes + extent.begin, extent.end - extent.begin};
}

/* What stands behind a token on its line, up to the end of the clause. */
static Slice rest_of_clause(const Reader *reader, uint32_t begin)
{
    const char *bytes = reader->text->bytes;
    while (begin < reader->text->length && (bytes[begin] == ' ' || bytes[begin] == '\t')) begin++;
    uint32_t end = begin;
    while (end < reader->text->length && bytes[end] != '\n' && bytes[end] != ';' && bytes[end] != '#' &&
           bytes[end] != '}' && bytes[end] != '{')
        end++;
    if (end < reader->text->length && bytes[end] == '{') end++;
    while (end > begin && (bytes[end - 1] == ' ' || bytes[end - 1] == '\t' || bytes[end - 1] == '\r')) end--;
    return (Slice){bytes + begin, end - begin};
}

static bool first_of_clause(const Reader *reader)
{
    return reader->clause_tokens == 1 && reader->token.kind == reader->clause_field.kind;
}

static bool ends_clause(TokenKind kind)
{
    return kind == TOKEN_END || kind == TOKEN_OPEN_BRACE || kind == TOKEN_CLOSE_BRACE ||
           kind == TOKEN_FILE_END;
}

/* ------------------------------------------------------------------ mistakes with a sentence of their own
 *
 * Each gives NULL when it is not this one. */

typedef const char *Mistake(Reader *reader, Extent *place);

static const char *open_bracket(Reader *reader, Extent *place)
{
    Extent open = reader->filter.clauses.unclosed;
    bool here = open.end > open.begin && open.begin >= reader->clause_first.extent.begin &&
                open.end <= reader->token.extent.begin;
    if (!here) return NULL;
    bool round = reader->text->bytes[open.begin] == '(';
    /* what stands in a bracket ends at the latest with its clause or where the next trailer begins */
    if (!ends_clause(reader->token.kind) && !token_reserved(reader->token.kind)) return NULL;
    *place = open;
    return round ? "this ( is not closed in its clause" : "this [ is not closed in its clause";
}

static const char *mark_after_field(Reader *reader, Extent *place)
{
    (void)place;
    TokenKind kind = reader->token.kind;
    if ((kind != TOKEN_COLON && kind != TOKEN_EQUAL) || reader->clause_tokens != 2) return NULL;
    Slice field = slice_of_extent(reader, reader->clause_field.extent);
    Slice rest = rest_of_clause(reader, reader->token.extent.end);
    return arena_print(reader->arena, "no sign stands between a field and its value: write %s %s",
                       fault_shown(reader->arena, field), fault_shown(reader->arena, rest));
}

static const char *no_head(Reader *reader, Extent *place)
{
    (void)place;
    if (!first_of_clause(reader)) return NULL;
    switch (reader->token.kind) {
    case TOKEN_NUMBER:
    case TOKEN_DAY:
        return "a clause begins with the name of its field, a line of a record with a whole date such as 18 "
               "Jun 2027";
    case TOKEN_TEXT:
        return "a clause begins with the name of its field; a text is written in one piece, on one line";
    case TOKEN_OPEN_BRACE: return "the name of a block stands before its {, on the same line";
    case TOKEN_BECAUSE:
    case TOKEN_INSTEAD:
        return arena_print(reader->arena, "%s stands behind a clause, on its line or the next",
                           token_shown[reader->token.kind]);
    default:
        return arena_print(reader->arena, "a clause begins with the name of its field, not with %s",
                           reader->token.kind == TOKEN_TIME ? "a time" : token_shown[reader->token.kind]);
    }
}

static const char *strength_alone(Reader *reader, Extent *place)
{
    TokenKind before = reader->clause_first.kind;
    bool strength = before == TOKEN_MUST || before == TOKEN_PREFER || before == TOKEN_NEVER;
    if (!strength || !first_of_clause(reader)) return NULL;
    if (ends_clause(reader->token.kind)) *place = reader->clause_first.extent;
    return arena_print(reader->arena, "%s stands before the name of a field", token_shown[before]);
}

static const char *bad_number(Reader *reader, Extent *place)
{
    if (reader->token.kind != TOKEN_DOT) return NULL;
    uint32_t behind = reader->token.extent.end;
    char c = behind < reader->text->length ? reader->text->bytes[behind] : ' ';
    bool figure = c >= '0' && c <= '9';
    if (!figure && reader->previous.kind != TOKEN_NUMBER) return NULL;
    if (!figure) return "a number does not end with a point";
    if (reader->previous.kind == TOKEN_NUMBER && reader->previous.extent.end == reader->token.extent.begin)
        return NULL;
    place->end = behind;
    while (place->end < reader->text->length && reader->text->bytes[place->end] >= '0' &&
           reader->text->bytes[place->end] <= '9')
        place->end++;
    return arena_print(reader->arena, "a number begins with a figure: write 0%s",
                       fault_shown(reader->arena, slice_of_extent(reader, *place)));
}

static const char *reserved_word(Reader *reader, Extent *place)
{
    (void)place;
    TokenKind kind = reader->token.kind;
    if (!token_reserved(kind)) return NULL;
    if (kind == TOKEN_BECAUSE || kind == TOKEN_INSTEAD)
        return reader->previous.kind == TOKEN_COMMA ? "after a comma the value goes on" : NULL;
    return arena_print(reader->arena,
                       "%s begins a clause of its own and names nothing: it stands first on its line",
                       token_shown[kind]);
}

static const char *reason_without_text(Reader *reader, Extent *place)
{
    (void)place;
    TokenKind before = reader->previous.kind;
    if (before != TOKEN_BECAUSE && before != TOKEN_INSTEAD) return NULL;
    return arena_print(reader->arena, "after %s stands a text in quotation marks", token_shown[before]);
}

/* Signs that a phrase has no use for, and one that only a condition lacks. */
static const struct {
    TokenKind kind;
    const char *said;
} signs[] = {
    {TOKEN_LESS_EQUAL, "outside conditions <= is written at most"},
    {TOKEN_MORE_EQUAL, "outside conditions >= is written at least"},
    {TOKEN_UNEQUAL, "outside conditions nothing is compared"},
    {TOKEN_EQUAL, "outside conditions nothing is compared"},
    {TOKEN_TIMES, "outside conditions nothing is multiplied; between two sizes stands x"},
    {TOKEN_STROKE, "a fraction is written without blanks, as in 1/2; only conditions divide"},
    {TOKEN_DOT, "outside conditions a point has no meaning"},
};

static const char *sign_in_phrase(Reader *reader, Extent *place)
{
    (void)place;
    if (reader->filter.condition) return NULL;
    for (size_t i = 0; i < sizeof signs / sizeof signs[0]; i++)
        if (signs[i].kind == reader->token.kind) return signs[i].said;
    return NULL;
}

static const char *superfluous(Reader *reader, Extent *place)
{
    (void)place;
    if (reader->token.kind == TOKEN_CLOSE_SQUARE && reader->previous.kind == TOKEN_OPEN_SQUARE)
        return "between [ and ] stands a source, or trade, memory or ours";
    if (reader->token.kind == TOKEN_RANGE && reader->previous.kind != TOKEN_RANGE) {
        TokenKind before = reader->previous.kind;
        bool behind_value =
            before == TOKEN_NUMBER || before == TOKEN_UNIT || before == TOKEN_DAY || before == TOKEN_DATE;
        if (behind_value) return "a range has two ends and no more";
    }
    return NULL;
}

static Mistake *const mistakes[] = {
    reason_without_text, open_bracket,  mark_after_field, strength_alone, no_head,
    bad_number,          reserved_word, sign_in_phrase,   superfluous,
};

/* ------------------------------------------------------------------ the sentence */

static const char *found(const Reader *reader)
{
    Token token = reader->token;
    if (token.kind == TOKEN_END) {
        bool line = token.extent.end > token.extent.begin && reader->text->bytes[token.extent.begin] != ';';
        return line ? "the end of the line" : "the end of the clause";
    }
    if (token.kind == TOKEN_FILE_END) return token_shown[token.kind];
    return arena_print(reader->arena, "\"%s\"",
                       fault_shown(reader->arena, slice_of_extent(reader, token.extent)));
}

void reader_unexpected(Reader *reader, const bool expected[static TOKENS])
{
    Extent place = reader->token.extent;
    const char *sentence = NULL;
    if (reader_silent(reader)) {
        reader_note(reader, place, ""); /* counted only */
        return;
    }
    for (size_t i = 0; i < sizeof mistakes / sizeof mistakes[0] && !sentence; i++)
        sentence = mistakes[i](reader, &place);
    if (!sentence)
        sentence = arena_print(reader->arena, "%s cannot stand here; what can: %s", found(reader),
                               expect_list(reader->arena, expected));
    reader_note(reader, place, sentence);
}
