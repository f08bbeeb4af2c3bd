/* Reading what stands behind the verb of a record's line: see record_pieces.h.
 *
 * Given the parts of the line's value and the pieces that the vocabulary gives its verb, fills the line.
 * Some pieces begin with a word of their own (`of`, `lot`, `to`); the others are known by what they are and
 * by what the verb allows. A piece that stands twice does not fit the second time.
 */
#include "model/record_pieces.h"

#include "base/vec.h"

#include <string.h>

Note *piece_refuse(const PieceReader *reader, Span place, const char *format, ...)
{
    va_list values;
    va_start(values, format);
    const char *message = arena_print_values(reader->build->arena, format, values);
    va_end(values);
    Verb verb = reader->line->verb;
    const char *example = verb_example(verb);
    Note *note = notes_add(reader->build->notes, SEVERITY_ERROR, "value", place, "%s", message);
    note->subject = reader->id;
    note->left_out = true;
    note->instead = arena_print(reader->build->arena, "write it as in: %s%s%s", verb_table[verb].spelling,
                                *example ? " " : "", example);
    return note;
}

/* ------------------------------------------------------------------ parts */

static const Part *part_at(const PieceReader *reader, size_t distance)
{
    size_t index = reader->next + distance;
    return index < reader->count ? reader->parts[index] : NULL;
}

static bool is_word(const Part *part, const char *word)
{
    return part && part->kind == PART_WORD && slice_is(part->word, word);
}

bool piece_whole(const Part *part, int32_t *value)
{
    if (!part || part->kind != PART_QUANTITY || part->quantity.unit.length ||
        part->quantity.number.den != 1 || part->quantity.number.num < 0 ||
        part->quantity.number.num > RECORD_COUNT_MOST)
        return false;
    *value = (int32_t)part->quantity.number.num;
    return true;
}

/* Whether the verb may say this, and has not yet; then it has. */
static bool takes(PieceReader *reader, Piece piece)
{
    const VerbInfo *verb = &verb_table[reader->line->verb];
    if (!((verb->needs | verb->may) >> piece & 1U) || record_says(reader->line, piece)) return false;
    reader->line->pieces |= 1U << piece;
    return true;
}

static bool may_take(const PieceReader *reader, Piece piece)
{
    const VerbInfo *verb = &verb_table[reader->line->verb];
    return ((verb->needs | verb->may) >> piece & 1U) != 0;
}

static Name intern(const PieceReader *reader, Slice word)
{
    return names_intern(reader->build->names, word);
}

/* ------------------------------------------------------------------ pieces with a word of their own */

/* Grades and lots are as often numbered as named. */
static bool name_of(const PieceReader *reader, const Part *part, Name *name)
{
    int32_t number;
    if (part && part->kind == PART_WORD)
        *name = intern(reader, part->word);
    else if (piece_whole(part, &number))
        *name = intern(reader, part->quantity.digits);
    else
        return false;
    return true;
}

static bool read_of(PieceReader *reader)
{
    const Part *number = part_at(reader, 1);
    if (!piece_whole(number, &reader->line->of)) return false;
    reader->line->of_span = number->span;
    reader->next += 2;
    return true;
}

static bool read_lot(PieceReader *reader)
{
    if (!name_of(reader, part_at(reader, 1), &reader->line->lot)) return false;
    reader->next += 2;
    return true;
}

static bool read_grade(PieceReader *reader)
{
    if (!name_of(reader, part_at(reader, 1), &reader->line->grade)) return false;
    reader->next += 2;
    return true;
}

static bool read_other(PieceReader *reader)
{
    const Part *part = part_at(reader, 1);
    if (!part || part->kind != PART_WORD) return false;
    reader->line->other = intern(reader, part->word);
    reader->line->other_span = part->span;
    reader->next += 2;
    return true;
}

static bool read_shut(PieceReader *reader)
{
    const Part *day = part_at(reader, 2), *time = part_at(reader, 3);
    if (!is_word(part_at(reader, 1), "until") || !day || day->kind != PART_DATE) return false;
    reader->line->day_open = day->date;
    reader->next += 3;
    if (!time || time->kind != PART_TIME) return true;
    reader->line->minutes = time->minutes;
    reader->next++;
    return true;
}

static const struct Leader {
    const char *word;
    Piece piece;
    bool (*read)(PieceReader *reader);
    const char *follows;
} leaders[] = {
    {"of", PIECE_OF, read_of, "how many there were"},
    {"lot", PIECE_LOT, read_lot, "the name of the lot"},
    {"grade", PIECE_GRADE, read_grade, "the grade"},
    {"to", PIECE_TO, read_other, "the batch that they went to"},
    {"from", PIECE_FROM, read_other, "the stock plants that they came from"},
    {"at", PIECE_AT, read_other, "the place"},
    {"shut", PIECE_SHUT, read_shut, "until, a day, and perhaps an hour: shut until 16 Feb 2027 08:00"},
};

typedef enum Outcome { PASSED, TAKEN, REFUSED } Outcome;

static Outcome read_led(PieceReader *reader)
{
    const Part *word = part_at(reader, 0);
    for (size_t i = 0; i < sizeof leaders / sizeof *leaders; i++) {
        const struct Leader *leader = &leaders[i];
        if (!is_word(word, leader->word) || !may_take(reader, leader->piece)) continue;
        if (takes(reader, leader->piece) && leader->read(reader)) return TAKEN;
        piece_refuse(reader, word->span, "'%s' stands once, and is followed by %s", leader->word,
                     leader->follows);
        return REFUSED;
    }
    return PASSED;
}

/* ------------------------------------------------------------------ numbers */

static Outcome read_count(PieceReader *reader)
{
    const Part *part = part_at(reader, 0);
    if (reader->next != 1 || !may_take(reader, PIECE_COUNT) || part->kind == PART_WORD ||
        part->kind == PART_TEXT)
        return PASSED;
    if (!piece_whole(part, &reader->line->count)) {
        if (may_take(reader, PIECE_FREE)) return PASSED;
        piece_refuse(reader, part->span, "a count is one whole number, at most %d", RECORD_COUNT_MOST);
        return REFUSED;
    }
    takes(reader, PIECE_COUNT);
    reader->line->count_span = part->span;
    reader->next++;
    return TAKEN;
}

static Outcome read_thrown(PieceReader *reader)
{
    if (!is_word(part_at(reader, 1), "thrown") || !piece_whole(part_at(reader, 0), &reader->line->thrown) ||
        !takes(reader, PIECE_THROWN))
        return PASSED;
    reader->next += 2;
    return TAKEN;
}

/* `look 2`; a task comes at most a thousand times. */
static Outcome read_time(PieceReader *reader)
{
    enum { TIMES_MOST = 1000 };
    const Part *part = part_at(reader, 0);
    if (part->kind != PART_QUANTITY || !may_take(reader, PIECE_TIME)) return PASSED;
    if (!piece_whole(part, &reader->line->number) || reader->line->number > TIMES_MOST ||
        !takes(reader, PIECE_TIME)) {
        piece_refuse(reader, part->span, "which time of a task it was is one whole number, at most %d",
                     TIMES_MOST);
        return REFUSED;
    }
    reader->next++;
    return TAKEN;
}

/* ------------------------------------------------------------------ classes */

static Outcome take_class(PieceReader *reader, RecordClass *class)
{
    const Part *word = part_at(reader, 0), *number = part_at(reader, 1);
    *class = (RecordClass){.name = intern(reader, word->word),
                           .span = word->span,
                           .value = number->quantity.number,
                           .count = -1,
                           .of = -1};
    bool whole = piece_whole(number, &class->count);
    if (!whole && !may_take(reader, PIECE_MEASURES)) {
        piece_refuse(reader, number->span, "how many are %.*s is one whole number, at most %d",
                     SLICE_ARG(word->word), RECORD_COUNT_MOST);
        return REFUSED;
    }
    reader->next += 2;
    if (!may_take(reader, PIECE_WAYS)) return TAKEN;
    if (!is_word(part_at(reader, 0), "of") || !piece_whole(part_at(reader, 1), &class->of)) {
        piece_refuse(reader, class->span, "of a way it is said how many of how many: %.*s 131 of 154",
                     SLICE_ARG(word->word));
        return REFUSED;
    }
    reader->next += 2;
    return TAKEN;
}

static bool counts_class(const PieceReader *reader)
{
    const Part *word = part_at(reader, 0), *number = part_at(reader, 1);
    return word && word->kind == PART_WORD && number && number->kind == PART_QUANTITY;
}

/* All classes of a line, one behind the other. */
static Outcome read_classes(PieceReader *reader)
{
    static const Piece kinds[] = {PIECE_CLASSES, PIECE_MEASURES, PIECE_WAYS};
    VEC(RecordClass) classes = {0};
    Piece kind = PIECES;
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
        if (may_take(reader, kinds[i])) kind = kinds[i];
    if (kind == PIECES || !counts_class(reader) || !takes(reader, kind)) return PASSED;
    for (; counts_class(reader) && !is_word(part_at(reader, 0), "of");) {
        RecordClass class;
        if (take_class(reader, &class) == REFUSED) return REFUSED;
        for (size_t i = 0; i < classes.count; i++)
            if (classes.at[i].name == class.name) {
                piece_refuse(reader, class.span, "%s is counted twice in one line", class.name->text);
                return REFUSED;
            }
        VEC_PUSH(reader->build->arena, &classes, class);
    }
    reader->line->classes = classes.at;
    reader->line->class_count = classes.count;
    return TAKEN;
}

/* ------------------------------------------------------------------ bare words and texts */

static Outcome read_word(PieceReader *reader)
{
    static const Piece things[] = {PIECE_STAGE, PIECE_TASK, PIECE_SIGN, PIECE_PLACE, PIECE_TRIAL};
    const Part *part = part_at(reader, 0);
    if (part->kind != PART_WORD) return PASSED;
    for (size_t i = 0; i < sizeof things / sizeof *things && reader->next == 1; i++) {
        if (!takes(reader, things[i])) continue;
        reader->line->thing = intern(reader, part->word);
        reader->line->thing_span = part->span;
        reader->next++;
        return TAKEN;
    }
    if (takes(reader, PIECE_CONTAINER)) {
        reader->line->container = intern(reader, part->word);
        reader->line->thing_span = part->span;
    } else if (takes(reader, PIECE_SORT)) {
        reader->line->grade = intern(reader, part->word);
    } else {
        return PASSED;
    }
    reader->next++;
    return TAKEN;
}

static Outcome read_text(PieceReader *reader)
{
    const Part *part = part_at(reader, 0);
    if (part->kind != PART_TEXT || !takes(reader, PIECE_TEXT)) return PASSED;
    reader->line->text = part->word;
    reader->next++;
    return TAKEN;
}

static Outcome read_free(PieceReader *reader)
{
    if (!may_take(reader, PIECE_FREE)) return PASSED;
    reader->line->pieces |= PIECE_BIT(FREE);
    reader->next++;
    return TAKEN;
}

/* ------------------------------------------------------------------ a whole line */

static const char *const lacking[PIECES] = {
#define PIECE(id, text) [PIECE_##id] = text,
#include "vocabulary.def"
#undef PIECE
};

/* The first piece that the verb needs and that was not said; PIECES: none. */
static Piece missing_piece(const PieceReader *reader)
{
    unsigned missing = verb_table[reader->line->verb].needs & ~reader->line->pieces;
    Piece piece = PIECE_COUNT;
    while (piece < PIECES && !(missing >> piece & 1U)) piece++;
    return piece;
}

static void refuse_part(const PieceReader *reader)
{
    const char *verb = verb_table[reader->line->verb].spelling;
    Span place = part_at(reader, 0)->span;
    Piece missing = missing_piece(reader);
    if (reader->next == 1 && missing < PIECES)
        piece_refuse(reader, place, "'%s' %s", verb, lacking[missing]);
    else
        piece_refuse(reader, place, "'%s' does not go on with this", verb);
}

static bool read_piece(PieceReader *reader)
{
    static Outcome (*const readers[])(PieceReader *) = {read_text,    read_led,  read_count, read_thrown,
                                                        read_classes, read_word, read_time,  read_free};
    for (size_t i = 0; i < sizeof readers / sizeof *readers; i++) {
        Outcome outcome = readers[i](reader);
        if (outcome != PASSED) return outcome == TAKEN;
    }
    refuse_part(reader);
    return false;
}

bool line_pieces_read(PieceReader *reader)
{
    RecordLine *line = reader->line;
    while (reader->next < reader->count)
        if (!read_piece(reader)) return false;
    if (line->item->because.length && takes(reader, PIECE_TEXT)) line->text = line->item->because;
    Piece missing = missing_piece(reader);
    if (missing == PIECES || reader->partly) return true;
    piece_refuse(reader, reader->parts[0]->span, "'%s' %s", verb_table[line->verb].spelling,
                 lacking[missing]);
    return false;
}
