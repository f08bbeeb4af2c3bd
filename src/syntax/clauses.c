/* Where clauses and blocks end: see clauses.h. */
#include "syntax/clauses.h"

#include <string.h>

static bool extent_empty(Extent extent)
{
    return extent.begin == extent.end;
}

void clauses_start(Clauses *clauses, Arena *arena, const Text *text, Extent extent)
{
    memset(clauses, 0, sizeof *clauses);
    clauses->scanner = scanner_open(arena, text, extent);
    clauses->text = text;
    clauses->end = extent.end;
    clauses->line_begin = extent.begin;
    clauses->line_fresh = true;
    clauses->last = TOKEN_END;
}

/* ------------------------------------------------------------------ raw tokens */

static Lexeme scan(Clauses *clauses)
{
    Lexeme token;
    do {
        token = scanner_next(clauses->scanner);
    } while (token.kind == TOKEN_COMMENT);
    if (token.kind == TOKEN_LINE) {
        clauses->line_begin = token.extent.end;
        clauses->line_fresh = true;
        return token;
    }
    if (clauses->line_fresh) clauses->line_indent = token.extent.begin - clauses->line_begin;
    token.leads = clauses->line_fresh;
    token.indent = clauses->line_indent;
    clauses->line_fresh = false;
    return token;
}

static Lexeme take(Clauses *clauses)
{
    return clauses->held_count > 0 ? clauses->held[--clauses->held_count] : scan(clauses);
}

static void hold(Clauses *clauses, Lexeme token)
{
    clauses->held[clauses->held_count++] = token;
}

static Slice token_slice(const Clauses *clauses, Lexeme token)
{
    return (Slice){clauses->text->bytes + token.extent.begin, token.extent.end - token.extent.begin};
}

/* ------------------------------------------------------------------ brackets */

static bool word_byte(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '_' ||
           c == '-' || (unsigned char)c >= 0x80;
}

/* The offset behind a text or comment that begins at `at`, at most to the end of its line. */
static uint32_t skip_text(const Clauses *clauses, uint32_t at)
{
    const char *bytes = clauses->text->bytes;
    bool comment = bytes[at] == '#';
    for (at++; at < clauses->end && bytes[at] != '\n'; at++) {
        if (comment) continue;
        if (bytes[at] == '"') return at + 1;
        if (bytes[at] == '\\' && at + 1 < clauses->end && bytes[at + 1] != '\n') at++;
    }
    return at;
}

static bool stops_brackets(const Clauses *clauses, uint32_t begin, uint32_t end)
{
    TokenKind kind = token_keyword((Slice){clauses->text->bytes + begin, end - begin});
    return token_reserved(kind) && kind != TOKEN_WHERE;
}

/* Whether the bracket before `at` is closed in its clause. If not, remembers how far ends of line count
 * again, so that a forgotten bracket spoils one line and not the rest of the file, and no text is looked
 * through twice. */
static bool closes(Clauses *clauses, uint32_t at)
{
    const char *bytes = clauses->text->bytes;
    unsigned depth = 1;
    while (at < clauses->end) {
        char c = bytes[at];
        if (c == '"' || c == '#') {
            at = skip_text(clauses, at);
        } else if (word_byte(c)) {
            uint32_t begin = at;
            while (at < clauses->end && word_byte(bytes[at])) at++;
            if (stops_brackets(clauses, begin, at)) break;
        } else if (c == '{' || c == '}' || c == ';') {
            break;
        } else {
            if (c == '(' || c == '[') depth++;
            if ((c == ')' || c == ']') && --depth == 0) return true;
            at++;
        }
    }
    clauses->lines_count_to = at;
    return false;
}

static Lexeme open_bracket(Clauses *clauses, Lexeme token)
{
    if (++clauses->nesting > TREE_BRACKET_DEPTH) {
        token.kind = TOKEN_FAULT;
        token.fault = FAULT_BRACKET_DEPTH;
    }
    bool counted = token.extent.begin < clauses->lines_count_to;
    if (clauses->brackets > 0 || (!counted && closes(clauses, token.extent.end))) {
        clauses->brackets++;
    } else {
        clauses->unclosed = token.extent;
    }
    return token;
}

static Lexeme close_bracket(Clauses *clauses, Lexeme token)
{
    if (clauses->brackets > 0) clauses->brackets--;
    if (clauses->nesting > 0) clauses->nesting--;
    return token;
}

/* ------------------------------------------------------------------ braces */

/* A clause that begins no deeper than the block it stands in hints at a missing brace before it. */
static void suspect_missing(Clauses *clauses, Lexeme token)
{
    if (clauses->depth == 0 || !extent_empty(clauses->missing_before)) return;
    const OpenBlock *top = &clauses->open[clauses->depth - 1];
    bool closing = token.kind == TOKEN_CLOSE_BRACE;
    if (closing ? token.indent >= top->indent : token.indent > top->indent) return;
    clauses->missing_of = top->brace;
    clauses->missing_before = token.extent;
}

static void suspect_extra(Clauses *clauses, Lexeme token)
{
    if (clauses->depth == 0 || token.indent <= clauses->open[clauses->depth - 1].indent) return;
    clauses->extra = token.extent;
    clauses->extra_indent = clauses->open[clauses->depth - 1].indent;
}

/* Blocks deeper than the tree may be are passed over whole, so that their braces match nothing else. */
static Lexeme pass_over(Clauses *clauses, Lexeme token)
{
    token.kind = TOKEN_FAULT;
    token.fault = FAULT_BLOCK_DEPTH;
    for (size_t depth = 1; depth > 0;) {
        Lexeme inner = scan(clauses);
        if (inner.kind == TOKEN_FILE_END) {
            hold(clauses, inner);
            break;
        }
        if (inner.kind == TOKEN_OPEN_BRACE) depth++;
        if (inner.kind == TOKEN_CLOSE_BRACE) depth--;
    }
    return token;
}

static Lexeme open_brace(Clauses *clauses, Lexeme token)
{
    if (clauses->depth == TREE_BLOCK_DEPTH) return pass_over(clauses, token);
    uint32_t indent = clauses->clause_indent;
    if (clauses->depth == 0 && indent <= clauses->extra_indent) clauses->extra = (Extent){0, 0};
    clauses->open[clauses->depth++] = (OpenBlock){token.extent, indent};
    return token;
}

static Lexeme close_brace(Clauses *clauses, Lexeme token)
{
    if (clauses->depth == 0) {
        token.kind = TOKEN_FAULT;
        token.fault = FAULT_CLOSE_BRACE;
        /* one message for a row of them, which ends like a clause */
        Lexeme next = take(clauses);
        while (next.kind == TOKEN_CLOSE_BRACE || next.kind == TOKEN_LINE) next = take(clauses);
        hold(clauses, next);
        hold(clauses, (Lexeme){.kind = TOKEN_LINE, .extent = {token.extent.end, token.extent.end}});
        return token;
    }
    if (token.leads) {
        suspect_missing(clauses, token);
        suspect_extra(clauses, token);
    }
    if (--clauses->depth == 0) clauses->missing_before = clauses->missing_of = (Extent){0, 0};
    return token;
}

/* The brace that a block lacks at the end of the file. */
static Lexeme supply_brace(Clauses *clauses, Lexeme file_end)
{
    if (clauses->left_open == 0) {
        clauses->left_open = clauses->depth;
        bool guessed = !extent_empty(clauses->missing_before);
        clauses->left_open_at = guessed ? clauses->missing_of : clauses->open[clauses->depth - 1].brace;
    }
    clauses->depth--;
    hold(clauses, file_end);
    Lexeme token = {.kind = TOKEN_CLOSE_BRACE, .extent = file_end.extent};
    return token;
}

/* ------------------------------------------------------------------ ends of clauses */

/* Nothing of a clause has been given yet. */
static bool between(const Clauses *clauses)
{
    return clauses->last == TOKEN_END || clauses->last == TOKEN_OPEN_BRACE;
}

static bool carries_on(const Clauses *clauses, Lexeme next)
{
    if (next.kind == TOKEN_OPEN_SQUARE) return true;
    if (next.kind != TOKEN_WORD) return false;
    TokenKind kind = token_keyword(token_slice(clauses, next));
    return kind == TOKEN_BECAUSE || kind == TOKEN_INSTEAD || kind == TOKEN_AND || kind == TOKEN_OR;
}

static bool line_ends_clause(Clauses *clauses)
{
    if (clauses->brackets > 0 || between(clauses) || clauses->last == TOKEN_COMMA) return false;
    Lexeme next = take(clauses);
    while (next.kind == TOKEN_LINE) next = take(clauses);
    hold(clauses, next);
    return clauses->last == TOKEN_CLOSE_BRACE || !carries_on(clauses, next);
}

/* An end that nobody wrote, before `next`. */
static Lexeme supply_end(Clauses *clauses, Lexeme next)
{
    Lexeme end = {.kind = TOKEN_END, .extent = {next.extent.begin, next.extent.begin}};
    bool block_before = clauses->last == TOKEN_CLOSE_BRACE;
    bool closing = next.kind == TOKEN_CLOSE_BRACE || next.kind == TOKEN_FILE_END || next.kind == TOKEN_FAULT;
    if (block_before && !closing && !carries_on(clauses, next)) {
        end.fault = FAULT_MISSING_END;
        end.extent = next.extent;
    }
    hold(clauses, next);
    return end;
}

static bool needs_end_before(const Clauses *clauses, TokenKind next)
{
    if (between(clauses)) return false;
    return next == TOKEN_CLOSE_BRACE || next == TOKEN_FILE_END || clauses->last == TOKEN_CLOSE_BRACE;
}

/* The next token that is not an end of line without meaning. */
static inline Lexeme next_meant(Clauses *clauses)
{
    for (;;) {
        Lexeme token = take(clauses);
        bool line = token.kind == TOKEN_LINE;
        if (!line && token.kind != TOKEN_SEMICOLON) return token;
        if (line ? line_ends_clause(clauses) : !between(clauses)) {
            token.kind = TOKEN_END;
            return token;
        }
    }
}

/* What a token changes in the state, and what the state makes of the token. */
static inline Lexeme weigh(Clauses *clauses, Lexeme token)
{
    switch (token.kind) {
    case TOKEN_OPEN_ROUND:
    case TOKEN_OPEN_SQUARE: return open_bracket(clauses, token);
    case TOKEN_CLOSE_ROUND:
    case TOKEN_CLOSE_SQUARE: return close_bracket(clauses, token);
    case TOKEN_OPEN_BRACE: return open_brace(clauses, token);
    case TOKEN_CLOSE_BRACE: return close_brace(clauses, token);
    default: return token;
    }
}

Lexeme clauses_next(Clauses *clauses)
{
    Lexeme token = next_meant(clauses);
    if (token.kind != TOKEN_END && needs_end_before(clauses, token.kind)) {
        token = supply_end(clauses, token);
    } else if (token.kind == TOKEN_FILE_END) {
        if (clauses->depth > 0) token = supply_brace(clauses, token);
    } else {
        if (between(clauses) && token.kind != TOKEN_CLOSE_BRACE) {
            clauses->clause_indent = token.indent;
            if (token.leads) suspect_missing(clauses, token);
        }
        token = weigh(clauses, token);
    }
    if (token.kind == TOKEN_END || token.kind == TOKEN_OPEN_BRACE || token.kind == TOKEN_CLOSE_BRACE) {
        clauses->brackets = clauses->nesting = 0;
    }
    clauses->last = token.kind;
    return token;
}
