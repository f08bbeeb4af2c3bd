/* The door from text to tree: see read.h.
 *
 * Prepares a run of the parser, hands it its tokens one by one, keeps what must be known of the clause being
 * read, and sees to it that each clause gets one message and each text a bearable number of them.
 */
#include "syntax/read.h"

#include "syntax/fault.h"
#include "syntax/reader.h"

#include <string.h>

/* ------------------------------------------------------------------ messages */

Span reader_span(const Reader *reader, Extent extent)
{
    return (Span){reader->text, extent.begin, extent.end};
}

static Note *note_at(Reader *reader, Extent extent, const char *sentence)
{
    return notes_add(reader->notes, SEVERITY_ERROR, "syntax", reader_span(reader, extent), "%s", sentence);
}

bool reader_silent(const Reader *reader)
{
    return reader->clause_noted || reader->noted >= READER_NOTES;
}

Note *reader_note(Reader *reader, Extent extent, const char *sentence)
{
    if (reader->clause_noted) return NULL;
    reader->clause_noted = true;
    if (reader->noted++ < READER_NOTES) return note_at(reader, extent, sentence);
    if (reader->noted == READER_NOTES + 1) reader->untold = extent;
    return NULL;
}

/* ------------------------------------------------------------------ tokens */

static void note_fault(Reader *reader, Token token)
{
    const char *sentence = !reader_silent(reader) ? fault_sentence(reader->arena, reader->text, token) : "";
    Note *note = reader_note(reader, token.extent, sentence);
    Extent extra = reader->filter.clauses.extra;
    if (note && token.fault == FAULT_CLOSE_BRACE && extra.end > extra.begin)
        note_place(note, reader_span(reader, extra), "by its indentation this one is likely too many");
}

static void follow_clause(Reader *reader, Token token)
{
    if (reader->clause_ended) {
        reader->clause_ended = reader->clause_noted = false;
        reader->clause_tokens = 0;
        reader->clause_first = reader->clause_field = token;
    }
    bool strength = token.kind == TOKEN_MUST || token.kind == TOKEN_PREFER || token.kind == TOKEN_NEVER;
    if (!strength && reader->clause_tokens++ == 0) reader->clause_field = token;
    reader->clause_ended =
        token.kind == TOKEN_END || token.kind == TOKEN_OPEN_BRACE || token.kind == TOKEN_CLOSE_BRACE;
}

Token reader_token(Reader *reader)
{
    if (reader->start != TOKEN_END) {
        Token token = {.kind = reader->start};
        reader->start = TOKEN_END;
        return token;
    }
    Token token = filter_next(&reader->filter);
    reader->previous = (Taken){reader->token.kind, reader->token.extent};
    reader->token = token;
    follow_clause(reader, token);
    if (token.fault != FAULT_NONE) note_fault(reader, token);
    return token;
}

/* ------------------------------------------------------------------ the two readings */

static void start(Reader *reader, Arena *arena, const Text *text, Extent extent, Notes *notes, TokenKind what)
{
    memset(reader, 0, sizeof *reader);
    reader->arena = arena;
    reader->text = text;
    reader->notes = notes;
    reader->start = what;
    reader->clause_ended = true;
    reader->token.kind = reader->previous.kind = TOKEN_END;
    filter_start(&reader->filter, arena, text, extent);
}

static void note_left_open(Reader *reader)
{
    const Clauses *clauses = &reader->filter.clauses;
    if (clauses->left_open == 0) return;
    Note *note = note_at(reader, clauses->left_open_at, "this { is never closed: a } is missing");
    bool guessed = clauses->missing_before.end > clauses->missing_before.begin;
    if (guessed)
        note_place(note, reader_span(reader, clauses->missing_before),
                   "by the indentation a } is missing before this");
}

static void note_untold(Reader *reader)
{
    if (reader->noted <= READER_NOTES) return;
    size_t more = reader->noted - READER_NOTES;
    note_at(reader, reader->untold,
            arena_print(reader->arena, "and %zu more %s from here on that cannot be read", more,
                        more == 1 ? "clause" : "clauses"));
}

Tree *syntax_read(Arena *arena, const Text *text, Notes *notes)
{
    Tree *tree = ARENA_NEW(arena, Tree);
    tree->text = text;
    uint32_t begin = text_start(text);
    size_t offset = begin, refused;
    const char *what = text_refuse(text->bytes, text->length, &offset, &refused);
    if (what) {
        Span span = {text, (uint32_t)offset, (uint32_t)(offset + refused)};
        notes_add(notes, SEVERITY_ERROR, "syntax", span, "the text holds %s and is not read", what);
        return tree;
    }
    Reader reader;
    start(&reader, arena, text, (Extent){begin, text->length}, notes, TOKEN_START_FILE);
    if (reader_parse(&reader)) tree->first = reader.items;
    note_left_open(&reader);
    note_untold(&reader);
    return tree;
}

bool syntax_read_value(Arena *arena, const Text *text, Span span, Notes *notes, Value *value)
{
    memset(value, 0, sizeof *value);
    value->span = span;
    value->span.text = text;
    size_t offset = 0, refused;
    const char *what = text_refuse(text->bytes + span.begin, span.end - span.begin, &offset, &refused);
    if (what) {
        Span place = {text, span.begin + (uint32_t)offset, span.begin + (uint32_t)(offset + refused)};
        notes_add(notes, SEVERITY_ERROR, "syntax", place, "the text holds %s and is not read", what);
        return false;
    }
    Reader reader;
    start(&reader, arena, text, (Extent){span.begin, span.end}, notes, TOKEN_START_VALUE);
    if (!reader_parse(&reader)) return false;
    if (reader.value.first) *value = reader.value;
    return true;
}
