/* Findings as data: what is wrong, where, and what to do about it.
 *
 * Every stage adds notes to a queue; only a writer prints them. A note has one main place, which is what the
 * person typed, and any number of further places (the protocol's clause, the first of two definitions).
 */
#ifndef BASE_NOTE_H
#define BASE_NOTE_H

#include "base/arena.h"
#include "base/text.h"

#include <stdbool.h>
#include <stdint.h>

typedef enum Severity { SEVERITY_OFF, SEVERITY_NOTE, SEVERITY_WARNING, SEVERITY_ERROR, SEVERITIES } Severity;
extern const char *const severity_name[SEVERITIES]; /* "off", "note", "warning", "error" */

typedef struct NotePlace {
    Span span;
    const char *label; /* what stands there: "the protocol says", "first written here" */
} NotePlace;

enum { NOTE_PLACES = 4 };

typedef struct Note {
    Severity severity;
    bool fatal;                   /* the job could not be done because of this: exit status 2 */
    bool left_out;                /* what stands at its main place is no part of what was read */
    const char *name;             /* of the check, rule or fault: "depth", "wet-big-leaves", "syntax" */
    const char *subject;          /* id of what it is about: a batch, "bigleaf-softwood/callus"; or "" */
    const char *field;            /* the field it points at, or "" */
    const char *value;            /* its exact value in base units, for keys that outlive respelling; or "" */
    const char *message;          /* one sentence, complete in itself */
    const char *found;            /* "30 mm", or NULL */
    const char *allowed;          /* "12 .. 25 mm", or NULL */
    const char *cite;             /* "NB12 table 3; trade", or NULL */
    const char *because;          /* reason, or NULL */
    const char *instead;          /* remedy, or NULL */
    const char *also;             /* further names that point at the same mistake, "a, b"; or NULL */
    const char *mend;             /* a word that can stand at the main place instead, for sure; or NULL */
    NotePlace place[NOTE_PLACES]; /* [0] is the main one */
    unsigned places;
    uint32_t order; /* in which it was added: ties keep it */
} Note;

typedef struct Notes Notes; /* a queue of notes in an arena */

/* Keeps at most `keep` notes; the rest are only counted. */
Notes *notes_new(Arena *arena, size_t keep);

/* Adds a note and gives it for the caller to complete; never NULL (past the limit it gives a scratch note
 * that is only counted). `name` and everything put into the note must outlive the queue. */
Note *notes_add(Notes *notes, Severity severity, const char *name, Span place, const char *format, ...)
    __attribute__((format(printf, 5, 6)));
void note_place(Note *note, Span span,
                const char *label); /* one more place; past NOTE_PLACES it is dropped */

/* What a finding is about, in words that outlive moved lines, other files and other units: name, subject,
 * field and exact value with a tab between them; the message stands for a value that there is none of. */
const char *note_key(Arena *arena, const Note *note);

/* Takes notes out that a function chooses, and out of the counts; those past the limit stay. Gives how many.
 */
typedef bool NoteChoice(const Note *note, void *with);
size_t notes_remove(Notes *notes, NoteChoice *choose, void *with);

Arena *notes_arena(const Notes *notes);
size_t notes_count(const Notes *notes, Severity severity); /* all that were added, kept or not */
size_t notes_total(const Notes *notes);
bool notes_fatal(const Notes *notes);
void notes_set_fatal(Notes *notes); /* what was reported so far keeps the job from being done */

/* The kept notes by file, line, column, then order of adding; sorts when first asked after an addition. */
Note *const *notes_sorted(Notes *notes, size_t *count);
size_t notes_dropped(const Notes *notes); /* counted, not kept */
bool notes_full(const Notes *notes);      /* further notes are only counted: their texts need not be made */

#endif
