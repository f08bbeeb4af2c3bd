/* What happened to a batch: dated lines, each with a verb and what the verb goes on with.
 *
 * A line is read whole or not at all: what it says beyond its verb is of the pieces that the vocabulary gives
 * the verb, and whatever else stands there is a fault at its place. Whether the numbers can be true beside
 * those of other lines is a matter of analysis/ledger.h.
 */
#ifndef MODEL_RECORD_H
#define MODEL_RECORD_H

#include "model/block.h"

typedef enum Piece {
#define PIECE(id, lacking) PIECE_##id,
#include "vocabulary.def"
#undef PIECE
    PIECES
} Piece;
#define PIECE_BIT(id) (1U << PIECE_##id)

typedef enum Verb {
#define VERB(id, spelling, needs, may, flags, help) VERB_##id,
#include "vocabulary.def"
#undef VERB
    VERBS
} Verb;

enum {
    VERB_OF_STUCK = 1, /* it is done to cuttings that have been stuck */
    VERB_IS_LOOK = 2,  /* somebody looked at them */
    VERB_STILL = 4     /* it can be said when the batch is over */
};

typedef struct VerbInfo {
    const char *spelling;
    unsigned needs, may; /* pieces */
    unsigned flags;
    const char *help;
} VerbInfo;
extern const VerbInfo verb_table[VERBS];
const char *verb_example(Verb verb); /* what may stand behind it; "" where nothing need to */

enum { RECORD_COUNT_MOST = 10 * 1000 * 1000 }; /* no batch is larger */

/* What the program makes of a class that was counted. */
typedef enum ClassMeaning { CLASS_ANY, CLASS_ALIVE, CLASS_ROOTED, CLASS_DEAD } ClassMeaning;
ClassMeaning class_meaning(Name name);

/* `callused 13`; of a trial's way `whole 131 of 154`. */
typedef struct RecordClass {
    Name name;
    Span span;
    Number value;  /* whole, but for a CHECK's */
    int32_t count; /* the value where it is whole and no unit stands behind it, else -1 */
    int32_t of;    /* of a way; else -1 */
} RecordClass;

struct RecordLine {
    Day day;
    Verb verb;
    unsigned pieces; /* PIECE_BIT of what it says; what it does not say is 0 or NULL below */
    Name thing;      /* STAGE, TASK, SIGN, PLACE, TRIAL: its name */
    Span thing_span;
    int32_t number; /* TIME: which time of the task, or the first day of a dial's setting */
    int32_t count;  /* COUNT; of a CORRECT line those alive on that day */
    int32_t of;     /* OF */
    int32_t thrown; /* THROWN */
    Span count_span, of_span;
    const RecordClass *classes; /* CLASSES, MEASURES, WAYS */
    size_t class_count;
    Name lot;       /* LOT */
    Name grade;     /* GRADE, SORT */
    Name container; /* CONTAINER */
    Name other;     /* TO: the batch; FROM: the stock plants; AT: the place */
    Span other_span;
    Day day_open; /* SHUT: until this day … */
    int minutes;  /* … and this minute of it, 0 where none is said */
    Slice text;   /* TEXT, or its because */
    Slice set; /* FREE: all that stands behind the verb, which could be the name of a dial; empty: nothing */
    Day corrected;          /* CORRECTED: the day whose line was wrong */
    bool denies;            /* CORRECTED: `not`: what `instead` says did not happen */
    RecordLine *instead;    /* CORRECTED: the line that it should have been; NULL: only `alive` */
    const RecordLine *slip; /* of a line that stands corrected: what was written first */
    const Item *item;       /* where it stands; of one that stands corrected the correction */
    RecordLine *next;
};

/* Where the line was written, before it was corrected. */
static inline const Item *record_written(const RecordLine *line)
{
    return line->slip ? line->slip->item : line->item;
}
static inline bool record_says(const RecordLine *line, Piece piece)
{
    return (line->pieces >> piece & 1U) != 0;
}

/* Reads one dated item of a record. NULL: it could not be read, and that was reported. */
RecordLine *record_line_make(const BuildContext *context, const Item *item, const char *id);

/* Whether a line says what an earlier one says: the same in the same words, or that a task or the setting of
 * a dial was done on that day, with the number left out in one of them. */
bool record_line_repeats(const RecordLine *line, const RecordLine *earlier);

/* Puts the lines of a whole record in the order of their days, lines of one day as they were written, and
 * what was corrected as it should have been: what others read is what happened. A correction stays beside
 * what it corrected. One that fits no line, or several, is reported. */
void record_settle(Notes *notes, Block *record);

/* How many a line counts of the classes with a meaning; CLASS_ANY: of all. `named`: it has such a class. */
int64_t record_sum(const RecordLine *line, ClassMeaning meaning, bool *named);
/* The record of a kind that a rule asks for: the verb itself, or a class that a full count has (`no record
 * rooted`). */
bool record_line_is(const RecordLine *line, Slice kind);
bool record_kind_known(Slice kind); /* a verb; classes are any word */
bool verb_find(Slice word, Verb *verb);

#endif
