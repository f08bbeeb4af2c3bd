/* Reading the lines of a record. What later work needs of a line is taken out here; the line itself is kept
 * whole. */
#include "model/record.h"

#include "base/vec.h"

const VerbInfo verb_table[VERBS] = {
#define VERB(id, spelling, help) {spelling, help},
#include "vocabulary.def"
#undef VERB
};

static bool verb_find(Slice word, Verb *verb)
{
    for (int i = 0; i < VERBS; i++) {
        if (!slice_is(word, verb_table[i].spelling)) continue;
        *verb = (Verb)i;
        return true;
    }
    return false;
}

bool record_kind_known(Slice kind)
{
    Verb verb;
    return verb_find(kind, &verb);
}

/* Words directly before a quantity, or directly after one, as in `callused 13` and `counted rooted 248, dead
 * 60 of 308`. */
static void read_classes(const BuildContext *build, RecordLine *line, const Part *verb)
{
    VEC(Word) classes = {0};
    for (const Mix *mix = line->item->value.first; mix; mix = mix->next)
        for (const Phrase *phrase = mix->first; phrase; phrase = phrase->next)
            for (const Part *part = phrase->first; part; part = part->next)
                if (part != verb && part->kind == PART_WORD && part->next &&
                    part->next->kind == PART_QUANTITY && !slice_is(part->word, "of"))
                    VEC_PUSH(build->arena, &classes,
                             ((Word){names_intern(build->names, part->word), part->span}));
    line->classes = classes.at;
    line->class_count = classes.count;
}

static bool read_thing(const BuildContext *build, RecordLine *line, const Part *verb, const char *what)
{
    const Part *part = verb->next;
    if (!part || part->kind != PART_WORD) {
        notes_add(build->notes, SEVERITY_ERROR, "value", part ? part->span : verb->span,
                  "'%s' is followed by %s", verb_table[line->verb].spelling, what)
            ->left_out = true;
        return false;
    }
    line->thing = names_intern(build->names, part->word);
    line->thing_span = part->span;
    part = part->next;
    line->numbered = part && part->kind == PART_QUANTITY && part->quantity.number.den == 1 &&
                     part->quantity.number.num >= 0 && part->quantity.number.num <= 1000;
    if (line->numbered) line->number = (int)part->quantity.number.num;
    return true;
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
    if (nearest_found(&nearest))
        note->instead = arena_print(build->arena, "did you mean %.*s?", SLICE_ARG(nearest.best));
    return false;
}

RecordLine *record_line_make(const BuildContext *build, const Item *item, const char *id)
{
    const Part *part = item->value.first && item->value.first->first ? item->value.first->first->first : NULL;
    if (!part || part->kind != PART_WORD) {
        notes_add(build->notes, SEVERITY_ERROR, "value", part ? part->span : item->span,
                  "a record's line is a date and what happened: 9 Jul 2027 counted callused 231 of 308")
            ->left_out = true;
        return NULL;
    }
    RecordLine *line = ARENA_NEW(build->arena, RecordLine);
    line->day = item->date;
    line->item = item;
    if (!verb_find(part->word, &line->verb)) {
        Nearest nearest;
        nearest_start(&nearest, part->word);
        for (int i = 0; i < VERBS; i++) nearest_try(&nearest, slice_of(verb_table[i].spelling));
        Note *note = notes_add(build->notes, SEVERITY_ERROR, "unknown-word", part->span,
                               "no record is called '%.*s'", SLICE_ARG(part->word));
        note->left_out = true;
        note->subject = id;
        if (nearest_found(&nearest))
            note->instead = arena_print(build->arena, "did you mean %.*s?", SLICE_ARG(nearest.best));
        return NULL;
    }
    switch (line->verb) {
    case VERB_READY: return read_thing(build, line, part, "the stage whose sign was seen") ? line : NULL;
    case VERB_DONE:
    case VERB_SKIPPED: return read_thing(build, line, part, "the name of a task") ? line : NULL;
    case VERB_SIGN:
        return read_thing(build, line, part, "take or stick") && is_sign(build, line, id) ? line : NULL;
    case VERB_MOVED: return read_thing(build, line, part, "the place") ? line : NULL;
    default: break;
    }
    if (part->next) line->set = dial_setting(build->arena, &item->value, part->next);
    read_classes(build, line, part);
    return line;
}

bool record_line_is(const RecordLine *line, Slice kind)
{
    if (slice_is(kind, verb_table[line->verb].spelling)) return true;
    if (line->verb != VERB_COUNTED) return false;
    for (size_t i = 0; i < line->class_count; i++)
        if (slice_equal(name_slice(line->classes[i].name), kind)) return true;
    return false;
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
               (!line->numbered || !earlier->numbered || line->number == earlier->number);
    return slice_says_same(span_slice(line->item->value.span), span_slice(earlier->item->value.span));
}
