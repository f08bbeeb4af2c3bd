/* The words of records as tables: verbs with the pieces that they go on with, and classes that mean
 * something. */
#include "model/record.h"

#define COUNT PIECE_BIT(COUNT)
#define STAGE PIECE_BIT(STAGE)
#define TASK PIECE_BIT(TASK)
#define SIGN PIECE_BIT(SIGN)
#define PLACE PIECE_BIT(PLACE)
#define TIME PIECE_BIT(TIME)
#define CLASSES PIECE_BIT(CLASSES)
#define MEASURES PIECE_BIT(MEASURES)
#define TRIAL PIECE_BIT(TRIAL)
#define WAYS PIECE_BIT(WAYS)
#define OF PIECE_BIT(OF)
#define THROWN PIECE_BIT(THROWN)
#define LOT PIECE_BIT(LOT)
#define GRADE PIECE_BIT(GRADE)
#define SORT PIECE_BIT(SORT)
#define CONTAINER PIECE_BIT(CONTAINER)
#define TO PIECE_BIT(TO)
#define FROM PIECE_BIT(FROM)
#define AT PIECE_BIT(AT)
#define SHUT PIECE_BIT(SHUT)
#define CORRECTED PIECE_BIT(CORRECTED)
#define TEXT PIECE_BIT(TEXT)
#define FREE PIECE_BIT(FREE)
#define STUCK VERB_OF_STUCK
#define LOOK VERB_IS_LOOK
#define STILL VERB_STILL

const VerbInfo verb_table[VERBS] = {
#define VERB(id, spelling, needs, may, flags, help) [VERB_##id] = {spelling, needs, may, flags, help},
#include "vocabulary.def"
#undef VERB
};

static const char *const examples[VERBS] = {
#define VERB_LINE(id, text) [VERB_##id] = text,
#include "examples.def"
#undef VERB_LINE
};

const char *verb_example(Verb verb)
{
    return examples[verb];
}

static const struct ClassRow {
    const char *word;
    ClassMeaning meaning;
} classes[] = {
#define CLASS(word, meaning) {word, CLASS_##meaning},
#include "vocabulary.def"
#undef CLASS
};

ClassMeaning class_meaning(Name name)
{
    for (size_t i = 0; i < sizeof classes / sizeof *classes; i++)
        if (slice_is(name_slice(name), classes[i].word)) return classes[i].meaning;
    return CLASS_ANY;
}

bool verb_find(Slice word, Verb *verb)
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

int64_t record_sum(const RecordLine *line, ClassMeaning meaning, bool *named)
{
    int64_t sum = 0;
    *named = false;
    for (size_t i = 0; i < line->class_count; i++) {
        if (meaning != CLASS_ANY && class_meaning(line->classes[i].name) != meaning) continue;
        sum += line->classes[i].count;
        *named = true;
    }
    return sum;
}

bool record_line_is(const RecordLine *line, Slice kind)
{
    if (slice_is(kind, verb_table[line->verb].spelling)) return true;
    if (line->verb != VERB_COUNTED) return false;
    for (size_t i = 0; i < line->class_count; i++)
        if (slice_equal(name_slice(line->classes[i].name), kind)) return true;
    return false;
}
