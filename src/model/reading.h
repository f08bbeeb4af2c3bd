/* What a clause's value means: a reading, made from phrases by the type that the vocabulary gives the field.
 *
 * A reading has no place in the text and no owner: two equal cells of a plan share one. Numbers are exact and
 * in base units of the field's dimension; the unit that was written is kept for printing.
 */
#ifndef MODEL_READING_H
#define MODEL_READING_H

#include "base/interval.h"
#include "base/note.h"
#include "model/calendar.h"
#include "model/schedule.h"
#include "model/vocabulary.h"
#include "syntax/tree.h"

/* A word or name of a list. */
typedef struct Word {
    Name name;
    Span span; /* of its first appearance; empty in a reading from a plan's column */
} Word;

/* A moment as it is written: stage and task names are resolved when a schedule is made. */
typedef struct WrittenMoment {
    MomentKind kind;
    Name stage; /* NULL: the stage in which it stands */
    Name event;
} WrittenMoment;

typedef struct Dose {
    bool none;         /* `hormone none`: a choice, not a gap; strength 0 */
    Name auxin;        /* IBA, NAA, K-IBA … ; several in a mixture are joined: IBA+NAA */
    Interval strength; /* ppm */
    Name form;         /* talc, quick-dip, soak, gel, spray */
    bool has_time;
    Interval time; /* s */
    const Unit *unit;
} Dose;

typedef struct MixPart {
    Number parts;
    Name component;
} MixPart;

typedef struct Standing {
    Name place;
    Name from; /* stage or section from which it stands there; NULL: from sticking */
} Standing;

typedef struct Holding {
    Number count;
    Name container;
} Holding;

typedef struct Saying {
    Name language; /* NULL: the nursery's own */
    Slice text;
} Saying;

typedef struct Reading {
    ValueType type;
    bool none, any, unknown; /* the words instead of a value */
    bool relative;           /* numbers are shares of the field `of` */
    const Field *of;
    IntervalSet numbers; /* QUANTITY, RATE, RATED, HOURS (minutes), DILUTION (share), SIZE (each side one
                            point, in order: use `sides`) */
    const Unit *unit;    /* as first written; NULL for bare numbers */
    Slice written;       /* the value as it stands in the text, blanks folded: for messages */
    Name per;            /* RATE: per hour; RATED: rooted */
    Number sides[3];     /* SIZE */
    unsigned side_count;
    const Word *words; /* WORDS, FREE, COUNTS, NAME, FIELDS, TAXON (its words), DAYS' none */
    size_t word_count;
    bool ordered;                      /* the order of the words counts: the field is ORDERED */
    const struct Field *const *fields; /* FIELDS: as many as words */
    bool of_a_sample;                  /* COUNTS */
    Slice text;                        /* TEXT; also the text behind a taxon, a date, a turnaround */
    Name language;                     /* TEXT of a SPOKEN field: `say es "…"`; in a
                                          glossary the word that is translated */
    Day first, last;                   /* DATE: equal for one day; UNTIL: last; WANT: last */
    bool part_of_month;                /* DATE: `mid Feb 2028`, one of these days and not each of them */
    int minutes;                       /* DATE: hour of arrival, or -1 */
    Number wanted;                     /* WANT */
    const Window *windows;             /* WINDOW, LATEST: one each clause */
    size_t window_count;
    YearDay event;     /* EVENT */
    DaySet days;       /* DAYS */
    LengthKind length; /* LASTS */
    DaySpan span; /* LASTS, AT, MOMENT, FIRST (low), SLACK (low), LATEST day N (low): days; planned is the
                     middle */
    WrittenMoment moment; /* LASTS until …, MOMENT, AT, FIRST */
    Name each;            /* AT: `at each look` */
    bool latest_day;      /* LATEST: day N of the stage, in span */
    SlackSide side;       /* SLACK */
    const Dose *doses;    /* DOSE: alternatives */
    size_t dose_count;
    const MixPart *mix; /* MIX */
    size_t mix_count;
    const Standing *standings; /* STANDS */
    size_t standing_count;
    const Holding *holdings; /* HOLDS */
    size_t holding_count;
    const Expr *condition;  /* CONDITION */
    Strength drop_strength; /* DROP: drop prefer depth … */
    bool drop_any_strength;
    BlockKind drop_block; /* DROP: task, stage; BLOCK_NONE for a field */
    Severity severity;    /* JUDGE */
    const DialRow *row;   /* ROW */
} Reading;
/* Of how long a stage lasts: as long as another stage, or the whole, takes. */
static inline bool length_waits(const Reading *length)
{
    return length->length == LENGTH_MOMENT && length->moment.kind != MOMENT_EVENT;
}

/* What stands in a plan's cell that could not be read: reported, and checks that ask for it are passed over.
 */
extern const Reading reading_spoiled;

/* What a reader needs beside the value. */
typedef struct ReadContext {
    Arena *arena;
    Names *names;
    Notes *notes;
    const Unit *header_unit; /* a plan's column says the unit; NULL in blocks */
} ReadContext;

/* Runs of blanks, line ends and comments become one blank. */
Slice slice_folded(Arena *arena, Slice text);
/* Whether two texts differ only in blanks and comments, or in whether there is a blank beside a sign: `16:
 * rooted 3` and `16 :rooted  3`. */
bool slice_says_same(Slice a, Slice b);

/* What a dial is set to, as it is written from a part of a value to its end. */
Slice dial_setting(Arena *arena, const Value *value, const Part *from);

/* Reads a clause's value. NULL: it could not be read and a note was added at the place (the field is
 * spoiled). `subject` names the thing in which it stands, for the note. Names are interned, not looked up:
 * whether a place of that name exists is checked later. */
const Reading *reading_make(const ReadContext *context, const Field *field, const Item *item,
                            const char *subject);
/* The same for a value without an item: a cell. */
const Reading *reading_of_value(const ReadContext *context, const Field *field, const Value *value,
                                Span place, const char *subject);
/* One point, for a cell that is only a number in the column's unit, and for dates. NULL: the field cannot
 * take it (a negative length, a year outside); reading the cell's text gives the note. */
const Reading *reading_of_number(const ReadContext *context, const Field *field, Number base,
                                 const Unit *unit, Slice written);
const Reading *reading_of_day(const ReadContext *context, const Field *field, Day day, Slice written);

/* What a value of the field looks like: "12 .. 25 mm". */
const char *field_example(const Field *field);

/* Two clauses of a REPEATS field as one reading: windows, words, standings, holdings one after the other. */
const Reading *reading_joined(Arena *arena, const Reading *a, const Reading *b);

/* One that lives in the arena, whatever becomes of what it was made from. */
const Reading *reading_copy(Arena *arena, const Reading *reading);

/* As people read it, in `unit` (NULL: the unit it was written in): "12 .. 25 mm". Lives in the arena. */
const char *reading_print(Arena *arena, const Field *field, const Reading *reading, const Unit *unit);
const char *interval_print(Arena *arena, IntervalSet set, Dimension dimension, const Unit *unit);
/* In base units, always the same for equal values: for keys that outlive respelling. */
const char *reading_key(Arena *arena, const Reading *reading);
bool reading_equal(const Reading *a, const Reading *b);

#endif
