/* What the readers of one type each (reading_amount.c, reading_quantity.c, reading_time.c, reading_moment.c,
 * reading_words.c, reading_dose.c) share with the table that calls them (reading.c). Nobody else includes
 * this. */
#ifndef MODEL_READING_INTERNAL_H
#define MODEL_READING_INTERNAL_H

#include "model/reading.h"

#include "base/vec.h"

/* Everything a reader needs while it reads one value. */
typedef struct Reader {
    const ReadContext *context;
    const Field *field;
    const char *subject;
    Span place;  /* of the value; of the field where there is none */
    bool placed; /* words keep their spans */
} Reader;

/* Reads a value that is not empty into a reading that is set to nothing. False: a note was added. */
typedef bool ReadValue(const Reader *reader, const Value *value, Reading *reading);

enum { READING_LIST_LIMIT = 1000 }; /* entries of one value, parts of one entry */

/* ------------------------------------------------------------------ refusing, in reading.c */

/* Adds an error named `name` and gives false. */
bool reader_refuse(const Reader *reader, const char *name, Span place, const char *format, ...)
    __attribute__((format(printf, 4, 5)));
/* "depth takes a length (12 .. 25 mm), not 'deep'" */
bool reader_refuse_part(const Reader *reader, const Part *part);
/* True at the end of a phrase; else refuses what stands there: nothing is passed over. */
bool reader_end(const Reader *reader, const Part *part);
const char *reader_takes(const Reader *reader); /* "a length (12 .. 25 mm)" */
/* "; did you mean talc?", or a list of all that is known, or nothing. */
const char *reader_hint(const Reader *reader, const Nearest *nearest, const char *all);
const char *reader_list(const Reader *reader,
                        const char *but); /* the field's words but one: "talc, soak, gel" */

/* ------------------------------------------------------------------ going along a value, in reading.c */

/* The one phrase of an entry. NULL after refusing a colon. */
const Phrase *reader_phrase(const Reader *reader, const Mix *mix);
/* The one phrase of the whole value. NULL after refusing a comma or a colon; `one` names what there may be
 * one of. */
const Phrase *reader_only(const Reader *reader, const Value *value, const char *one);
bool part_is(const Part *part, const char *word); /* a word of this spelling; NULL is none */
bool part_word(const Part *part, Slice *word);    /* a word, or a month that serves as one */
/* Words up to anything else, joined by blanks to one name; NULL when there is none. Moves *part behind them.
 */
Name reader_name(const Reader *reader, const Part **part, Span *span);
Name reader_intern(const Reader *reader, Slice text);
Slice reader_copy(const Reader *reader, Slice text);
/* A text at the end of a phrase goes into `text`. */
bool reader_text(const Reader *reader, const Part *part, Reading *reading);
ReadValue read_condition;

/* ------------------------------------------------------------------ amounts, in reading_amount.c */

/* A number, a range or a bound in base units. */
typedef struct Amount {
    Interval interval;
    const Unit *unit; /* the first one written; NULL for bare numbers */
    unsigned points;  /* 1 or 2 numbers as they were said, before `about` and `+-` widen them */
    Number said[2];
    Number step[2]; /* one unit of the last digit each was written with */
} Amount;

typedef enum Bare { BARE_NEEDS_UNIT, BARE_IS_PLAIN } Bare; /* what a number without a unit is */

/* Reads `12 .. 25 mm`, `about 20 C`, `72 F (22 C)` from *part on and moves it behind. False: refused. */
bool amount_read(const Reader *reader, Dimension dimension, Bare bare, const Part **part, Amount *amount);
bool part_is_amount(const Part *part);      /* may begin an amount */
Dimension part_dimension(const Part *part); /* of the unit in it; DIM_NONE without one */
const char *dimension_example(Dimension dimension);
bool amount_possible(Dimension dimension, Interval interval);
ReadValue read_quantity, read_size, read_rate, read_rated, read_hours, read_dilution;

/* ------------------------------------------------------------------ time */

/* Days from a duration; refuses what are no whole days or has no two ends. */
bool days_read(const Reader *reader, const Part **part, DaySpan *span);
bool days_of_amount(const Reader *reader, const Amount *amount, Span place, DaySpan *span);
bool event_known(Slice word);
void event_nearest(Nearest *nearest);
const char *event_list(const Reader *reader);
bool date_read(const Reader *reader, const Part **part,
               Reading *reading); /* into first, last, part_of_month */
bool window_read(const Reader *reader, const Part *part, Window *window); /* to the end of the phrase */
bool moment_read(const Reader *reader, const Part **part, WrittenMoment *moment);
ReadValue read_window, read_date, read_event, read_days, read_want, read_until; /* reading_time.c */
ReadValue read_lasts, read_moment, read_at, read_first, read_latest, read_slack,
    read_row; /* reading_moment.c */

/* ------------------------------------------------------------------ words */

ReadValue read_words, read_free, read_counts, read_name, read_taxon, read_text,
    read_fields; /* reading_words.c */
ReadValue read_drop, read_accept, read_judge, read_move;
ReadValue read_stands, read_holds, read_dose, read_mix; /* reading_dose.c */

#endif
