/* Making examples: a clause in its block, or two texts that were written as one.
 *
 * Given a row of the vocabulary, takes what examples.def says of it, else the example of its type, and puts
 * it where such a clause stands. The bad one has a word misspelt or the unit of another measure, unless a row
 * says what else goes wrong with that type.
 */
#include "model/example.h"

#include "model/reading.h"

#include <string.h>

#define HOUSE(text) static const char house[] = text;
#include "examples.def"
#undef HOUSE

static const struct Frame {
    const char *before, *head, *needed, *behind;
} frames[BLOCK_KINDS] = {
#define FRAME(kind, before, head, needed, behind) [BLOCK_##kind] = {before, head, needed, behind},
#include "examples.def"
#undef FRAME
};

static const char *const wrong_values[VALUE_TYPES] = {
#define WRONG_VALUE(type, value) [TYPE_##type] = value,
#include "examples.def"
#undef WRONG_VALUE
};

static const struct FieldValue {
    const char *value, *needed;
} field_values[FIELD_NUMBERS] = {
#define FIELD_VALUE(id, value, needed) [FIELD_NUMBER_##id] = {value, needed},
#include "examples.def"
#undef FIELD_VALUE
};

static const char *const field_examples[FIELD_NUMBERS] = {
#define FIELD_EXAMPLE(id, text) [FIELD_NUMBER_##id] = text,
#include "examples.def"
#undef FIELD_EXAMPLE
};

static const struct WordValue {
    FieldNumber field;
    const char *word, *value;
} word_values[] = {
#define WORD_VALUE(id, word, value) {FIELD_NUMBER_##id, word, value},
#include "examples.def"
#undef WORD_VALUE
};

static const struct WordHelp {
    FieldNumber field;
    const char *word, *help;
} word_helps[] = {
#define WORD_HELP(id, word, help) {FIELD_NUMBER_##id, word, help},
#include "examples.def"
#undef WORD_HELP
};

static const char *const block_examples[BLOCK_KINDS] = {
#define BLOCK_EXAMPLE(kind, text) [BLOCK_##kind] = text,
#include "examples.def"
#undef BLOCK_EXAMPLE
};

static const char *const derived_examples[DERIVED_VALUES] = {
#define DERIVED_EXAMPLE(id, text) [DERIVED_##id] = text,
#include "examples.def"
#undef DERIVED_EXAMPLE
};

static const struct UnitField {
    const Field *field;
    const char *good, *bad;
} unit_fields[DIMENSIONS] = {
#define UNIT_FIELD(dimension, id, good, bad) [DIM_##dimension] = {FIELD_ROW(id), good, bad},
#include "examples.def"
#undef UNIT_FIELD
};

/* ------------------------------------------------------------------ two texts in one */

/* The lines that begin with a blank or with `sign`, without their first two bytes. */
static const char *side_of(Arena *arena, const char *text, char sign)
{
    char *side = arena_alloc(arena, strlen(text) + 1), *end = side;
    for (const char *line = text; *line;) {
        const char *stop = strchr(line, '\n') + 1;
        if (*line == ' ' || *line == sign) {
            memcpy(end, line + 2, (size_t)(stop - line - 2));
            end += stop - line - 2;
        }
        line = stop;
    }
    *end = '\0';
    return side;
}

static Example two_in_one(Arena *arena, const char *before, const char *text, const char *behind)
{
    return (Example){before, side_of(arena, text, '+'), side_of(arena, text, '-'), behind};
}

Example example_of_finding(Arena *arena, const FindingInfo *finding)
{
    return two_in_one(arena, "", finding->example, "");
}

Example example_of_derived(Arena *arena, Derived derived)
{
    return two_in_one(arena, "", derived_examples[derived], "");
}

const char *example_whole(Arena *arena, const Example *example, const char *text)
{
    return arena_print(arena, "%s%s%s", example->before, text, example->behind);
}

/* ------------------------------------------------------------------ a clause in its block */

/* Fields that stand in several blocks are shown in the innermost. */
static BlockKind block_shown(const Field *field)
{
    int kind = BLOCK_KINDS - 1;
    while (kind > BLOCK_NONE && !field_stands_in(field, (BlockKind)kind)) kind--;
    return (BlockKind)kind;
}

/* `lines`, each set in by two blanks, but for those that say `field`. */
static const char *set_in(Arena *arena, const char *lines, const char *field)
{
    const char *text = "";
    for (const char *line = lines; *line;) {
        const char *stop = strchr(line, '\n') + 1;
        size_t length = strlen(field);
        bool says = !strncmp(line, field, length) && line[length] == ' ';
        if (!says) text = arena_print(arena, "%s  %.*s", text, (int)(stop - line), line);
        line = stop;
    }
    return text;
}

static const char *clause_in_block(Arena *arena, BlockKind kind, const Field *field, const char *value)
{
    bool kept =
        (field->flags & FIELD_KEEP) && (kind == BLOCK_STAGE || kind == BLOCK_CLIMATE || kind == BLOCK_HOLD);
    const char *needed = field_values[field->number].needed;
    return arena_print(arena, "%s {\n%s%s  %s%s %s\n}\n", frames[kind].head,
                       set_in(arena, frames[kind].needed, field->spelling),
                       set_in(arena, needed ? needed : "", field->spelling), kept ? "keep " : "",
                       field->spelling, value);
}

static Example clause_example(Arena *arena, const Field *field, const char *good, const char *bad)
{
    BlockKind kind = block_shown(field);
    return (Example){arena_print(arena, "%s%s", house, frames[kind].before),
                     clause_in_block(arena, kind, field, good), clause_in_block(arena, kind, field, bad),
                     frames[kind].behind};
}

/* The value without the last letter of a word in it: a slip of the finger. */
static const char *misspelt(Arena *arena, const char *value, Slice word)
{
    const char *at = strstr(value, arena_copy(arena, word.at, word.length));
    size_t before = (size_t)(at - value) + word.length - 1;
    return arena_print(arena, "%.*s%s", (int)before, value, value + before + 1);
}

static const char *value_of(const Field *field)
{
    const char *own = field_values[field->number].value;
    return own ? own : field_example(field);
}

static const char *wrong_value_of(Arena *arena, const Field *field, const char *good)
{
    if (wrong_values[field->type]) return wrong_values[field->type];
    if (field->type == TYPE_WORDS) return misspelt(arena, good, (Slice){good, strcspn(good, ",")});
    return field->dimension == DIM_LENGTH ? "20 C" : "20 mm";
}

Example example_of_field(Arena *arena, const Field *field)
{
    const char *around = field->where == BLOCK_BIT(BLOCK_RULE) ? "" : house;
    if (field_examples[field->number]) return two_in_one(arena, around, field_examples[field->number], "");
    const char *good = value_of(field);
    if (field->type == TYPE_WORDS && !field_values[field->number].value) {
        Slice word;
        field_word_at(field, 0, &word);
        good = arena_copy(arena, word.at, word.length);
    }
    return clause_example(arena, field, good, wrong_value_of(arena, field, good));
}

bool field_lists_words(const Field *field)
{
    static const bool lists[VALUE_TYPES] = {[TYPE_WORDS] = true, [TYPE_QUANTITY] = true, [TYPE_RATE] = true,
                                            [TYPE_RATED] = true, [TYPE_DOSE] = true,     [TYPE_UNTIL] = true};
    return *field->words && lists[field->type];
}

const char *word_help(const Field *field, Slice word)
{
    for (size_t i = 0; i < sizeof word_helps / sizeof *word_helps; i++)
        if (field == &field_table[word_helps[i].field] && slice_is(word, word_helps[i].word))
            return word_helps[i].help;
    return NULL;
}

static const char *word_in_value(Arena *arena, const Field *field, Slice word)
{
    for (size_t i = 0; i < sizeof word_values / sizeof *word_values; i++)
        if (field == &field_table[word_values[i].field] && slice_is(word, word_values[i].word))
            return word_values[i].value;
    const char *alone = arena_copy(arena, word.at, word.length);
    if (field->type != TYPE_RATE) return alone;
    const char *value = value_of(field), *per = strstr(value, "per ");
    return arena_print(arena, "%.*sper %s", (int)(per - value), value, alone);
}

Example example_of_word(Arena *arena, const Field *field, Slice word)
{
    const char *good = word_in_value(arena, field, word);
    return clause_example(arena, field, good, misspelt(arena, good, word));
}

/* ------------------------------------------------------------------ units, blocks, lines */

/* `@` in a value stands for the unit. */
static const char *with_unit(Arena *arena, const char *value, const char *unit)
{
    const char *at = strchr(value, '@');
    return at ? arena_print(arena, "%.*s%s%s", (int)(at - value), value, unit, at + 1) : value;
}

Example example_of_unit(Arena *arena, const Unit *unit)
{
    const struct UnitField *row = &unit_fields[unit->dimension];
    if (!row->field) return (Example){"", NULL, NULL, ""};
    return clause_example(arena, row->field, with_unit(arena, row->good, unit->spelling), row->bad);
}

Example example_of_block(Arena *arena, BlockKind kind)
{
    static const BlockKind parents[BLOCK_KINDS] = {[BLOCK_WAY] = BLOCK_TRIAL,
                                                   [BLOCK_TASK] = BLOCK_STAGE,
                                                   [BLOCK_ACT] = BLOCK_TASK,
                                                   [BLOCK_SCHEDULE] = BLOCK_STAGE};
    const BlockType *type = &block_types[kind];
    BlockKind parent = parents[kind];
    bool shown_with_parent = (type->where & BLOCK_TOP) || (type->where & BLOCK_BIT(BLOCK_RULE));
    if (!shown_with_parent && !parent) parent = BLOCK_PROTOCOL;
    const struct Frame *frame = &frames[parent];
    bool is_rule = kind == BLOCK_RULE || (type->where & BLOCK_BIT(BLOCK_RULE));
    if (!parent) return two_in_one(arena, is_rule ? "" : house, block_examples[kind], "");
    const char *before = arena_print(arena, "%s%s%s {\n%s", house, frame->before, frame->head, frame->needed);
    return two_in_one(arena, before, block_examples[kind], arena_print(arena, "}\n%s", frame->behind));
}

Example example_of_verb(Arena *arena, Verb verb)
{
    const char *word = verb_table[verb].spelling, *line = verb_example(verb);
    const char *space = *line ? " " : "";
    return (Example){house,
                     arena_print(arena, "record D27-01 {\n  20 Jul 2027  %s%s%s\n}\n", word, space, line),
                     arena_print(arena, "record D27-01 {\n  20 Jul 2027  %s%s%s\n}\n",
                                 misspelt(arena, word, slice_of(word)), space, line),
                     ""};
}
