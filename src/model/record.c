/* Reading one line of a record: its verb, then what the verb goes on with (record_pieces.h). A correction
 * holds the line that the earlier one should have been. The item is kept whole beside what was read of it. */
#include "model/record.h"

#include "base/vec.h"
#include "model/record_pieces.h"

typedef VEC(const Part *) PartList;

static PartList parts_of(Arena *arena, const Value *value)
{
    PartList parts = {0};
    for (const Mix *mix = value->first; mix; mix = mix->next)
        for (const Phrase *phrase = mix->first; phrase; phrase = phrase->next)
            for (const Part *part = phrase->first; part; part = part->next) VEC_PUSH(arena, &parts, part);
    return parts;
}

static RecordLine *line_new(Arena *arena, Day day, Verb verb, const Item *item)
{
    RecordLine *line = ARENA_NEW(arena, RecordLine);
    line->day = day;
    line->verb = verb;
    line->item = item;
    line->day_open = line->corrected = DAY_NONE;
    return line;
}

/* ------------------------------------------------------------------ words that are not known */

static void unknown_verb(const BuildContext *build, const Part *word, const char *id)
{
    Nearest nearest;
    nearest_start(&nearest, word->word);
    for (int i = 0; i < VERBS; i++) nearest_try(&nearest, slice_of(verb_table[i].spelling));
    Note *note = notes_add(build->notes, SEVERITY_ERROR, "unknown-word", word->span,
                           "no record is called '%.*s'", SLICE_ARG(word->word));
    note->left_out = true;
    note->subject = id;
    if (nearest_found(&nearest))
        note->instead = arena_print(build->arena, "did you mean %.*s?", SLICE_ARG(nearest.best));
}

/* Signs are waited for before taking and before sticking; a stage's own is recorded with `ready`. */
static bool is_sign(const BuildContext *build, const RecordLine *line, const char *id)
{
    static const char *const signs[] = {"take", "stick"};
    Nearest nearest;
    nearest_start(&nearest, name_slice(line->thing));
    for (size_t i = 0; i < sizeof signs / sizeof *signs; i++) {
        if (slice_is(name_slice(line->thing), signs[i])) return true;
        nearest_try(&nearest, slice_of(signs[i]));
    }
    Note *note = notes_add(build->notes, SEVERITY_ERROR, "unknown-word", line->thing_span,
                           "a sign is seen for take or stick, not for '%s'", line->thing->text);
    note->subject = id;
    note->left_out = true;
    if (nearest_found(&nearest))
        note->instead = arena_print(build->arena, "did you mean %.*s?", SLICE_ARG(nearest.best));
    return false;
}

/* ------------------------------------------------------------------ corrections */

static bool is_word(const PieceReader *reader, size_t index, const char *word)
{
    return index < reader->count && reader->parts[index]->kind == PART_WORD &&
           slice_is(reader->parts[index]->word, word);
}

/* `alive 178 "one tray counted twice"` */
static bool read_alive(PieceReader *reader, size_t at)
{
    RecordLine *line = reader->line;
    const Part *number = at + 1 < reader->count ? reader->parts[at + 1] : NULL;
    if (!piece_whole(number, &line->count)) {
        piece_refuse(reader, reader->parts[at]->span, "'alive' is followed by one whole number");
        return false;
    }
    line->count_span = number->span;
    line->pieces |= PIECE_BIT(COUNT);
    reader->next = at + 2;
    return true;
}

/* The line that stands behind the day of a correction, as if it had been written on that day. */
static bool read_instead(PieceReader *reader, size_t at)
{
    RecordLine *line = reader->line;
    const Part *word = at < reader->count ? reader->parts[at] : NULL;
    Verb verb;
    if (!word || word->kind != PART_WORD || slice_is(word->word, verb_table[VERB_CORRECT].spelling)) {
        piece_refuse(
            reader, word ? word->span : reader->parts[0]->span,
            "'correct' goes on with alive and a number, with the line as it should have been, or with "
            "not and the line that should not be there");
        return false;
    }
    if (!verb_find(word->word, &verb)) {
        unknown_verb(reader->build, word, reader->id);
        return false;
    }
    line->instead = line_new(reader->build->arena, line->corrected, verb, line->item);
    PieceReader inner = {.build = reader->build,
                         .id = reader->id,
                         .line = line->instead,
                         .parts = reader->parts + at,
                         .count = reader->count - at,
                         .next = 1,
                         .partly = line->denies};
    if (!line_pieces_read(&inner)) return false;
    line->text = line->instead->text;
    return true;
}

static bool read_correction(PieceReader *reader)
{
    RecordLine *line = reader->line;
    const Part *day = reader->count > 1 ? reader->parts[1] : NULL;
    if (!day || day->kind != PART_DATE) {
        piece_refuse(reader, day ? day->span : reader->parts[0]->span,
                     "'correct' is followed by the day whose line was wrong");
        return false;
    }
    if (day->date > line->day) {
        piece_refuse(reader, day->span, "what is corrected has happened before");
        return false;
    }
    line->corrected = day->date;
    line->pieces |= PIECE_BIT(CORRECTED);
    line->denies = is_word(reader, 2, "not");
    if (!is_word(reader, 2, "alive")) return read_instead(reader, line->denies ? 3 : 2);
    return read_alive(reader, 2) && line_pieces_read(reader);
}

/* ------------------------------------------------------------------ a line */

RecordLine *record_line_make(const BuildContext *build, const Item *item, const char *id)
{
    PartList parts = parts_of(build->arena, &item->value);
    const Part *word = parts.count ? parts.at[0] : NULL;
    Verb verb;
    if (!word || word->kind != PART_WORD) {
        notes_add(build->notes, SEVERITY_ERROR, "value", word ? word->span : item->span,
                  "a record's line is a date and what happened: 9 Jul 2027 counted callused 231 of 308")
            ->left_out = true;
        return NULL;
    }
    if (!verb_find(word->word, &verb)) {
        unknown_verb(build, word, id);
        return NULL;
    }
    RecordLine *line = line_new(build->arena, item->date, verb, item);
    PieceReader reader = {
        .build = build, .id = id, .line = line, .parts = parts.at, .count = parts.count, .next = 1};
    if (verb == VERB_CORRECT ? !read_correction(&reader) : !line_pieces_read(&reader)) return NULL;
    if (verb == VERB_SIGN && !is_sign(build, line, id)) return NULL;
    if ((verb_table[verb].may & PIECE_BIT(FREE)) && parts.count > 1)
        line->set = dial_setting(build->arena, &item->value, parts.at[1]);
    return line;
}

bool record_line_repeats(const RecordLine *line, const RecordLine *earlier)
{
    if (line->day != earlier->day) return false;
    if (line->verb == VERB_DONE && earlier->set.length &&
        slice_is(name_slice(line->thing), verb_table[earlier->verb].spelling))
        return true;
    if (line->verb != earlier->verb) return false;
    if (line->verb == VERB_DONE || line->verb == VERB_SKIPPED)
        return line->thing == earlier->thing &&
               (!record_says(line, PIECE_TIME) || !record_says(earlier, PIECE_TIME) ||
                line->number == earlier->number);
    return slice_says_same(span_slice(line->item->value.span), span_slice(earlier->item->value.span));
}
