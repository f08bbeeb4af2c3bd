/* What happened to a batch: dated lines, each with a verb. */
#ifndef MODEL_RECORD_H
#define MODEL_RECORD_H

#include "model/block.h"

typedef enum Verb {
#define VERB(id, spelling, help) VERB_##id,
#include "vocabulary.def"
#undef VERB
    VERBS
} Verb;

typedef struct VerbInfo {
    const char *spelling, *help;
} VerbInfo;
extern const VerbInfo verb_table[VERBS];

struct RecordLine {
    Day day;
    Verb verb;
    Name thing; /* DONE, SKIPPED: the task; READY: the stage; SIGN: take or stick; MOVED: the place */
    Span thing_span;
    bool numbered; /* DONE, SKIPPED: it says which time … */
    int number;    /* … and that is the one, or the first day of a dial's setting */
    Slice set;     /* of a verb that could be the name of a dial: what stands behind it; empty: nothing */
    const Word *classes; /* SAMPLE, COUNTED, CHECK: what was counted */
    size_t class_count;
    const Item *item;
    RecordLine *next;
};

/* Reads one dated item of a record. NULL: it could not be read, and that was reported. */
RecordLine *record_line_make(const BuildContext *context, const Item *item, const char *id);

/* Whether a line says what an earlier one says: the same in the same words, or that a task or the setting of
 * a dial was done on that day, with the number left out in one of them. */
bool record_line_repeats(const RecordLine *line, const RecordLine *earlier);

/* The record of a kind that a rule asks for: the verb itself, or a class that a full count has (`no record
 * rooted`). */
bool record_line_is(const RecordLine *line, Slice kind);
bool record_kind_known(Slice kind); /* a verb; classes are any word */

#endif
