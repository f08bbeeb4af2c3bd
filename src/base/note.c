/* The queue of notes.
 *
 * Given findings as they come, keeps the first so many, counts all, and gives them in the order in which a
 * person reads files. Judging severities, leaving out what is accepted, and printing are left to others.
 */
#include "base/note.h"

#include "base/vec.h"

#include <stdlib.h>
#include <string.h>

const char *const severity_name[SEVERITIES] = {"off", "note", "warning", "error"};

struct Notes {
    Arena *arena;
    size_t keep;
    VEC(Note *) kept;
    Note scratch; /* what notes past the limit are written into, one after another */
    size_t count[SEVERITIES];
    bool sorted;
    bool fatal_dropped;
};

Notes *notes_new(Arena *arena, size_t keep)
{
    Notes *notes = ARENA_NEW(arena, Notes);
    notes->arena = arena;
    notes->keep = keep;
    notes->sorted = true;
    return notes;
}

Note *notes_add(Notes *notes, Severity severity, const char *name, Span place, const char *format, ...)
{
    bool kept = notes->kept.count < notes->keep;
    const char *message = "";
    if (kept) {
        va_list values;
        va_start(values, format);
        message = arena_print_values(notes->arena, format, values);
        va_end(values);
    } else {
        notes->fatal_dropped |= notes->scratch.fatal; /* the last one written there */
    }
    Note *note = kept ? ARENA_NEW(notes->arena, Note) : &notes->scratch;
    *note = (Note){.severity = severity,
                   .name = name,
                   .subject = "",
                   .field = "",
                   .value = "",
                   .message = message,
                   .place = {{place, NULL}},
                   .places = 1,
                   .order = (uint32_t)notes_total(notes)};
    if (kept) {
        VEC_PUSH(notes->arena, &notes->kept, note);
        notes->sorted = false;
    }
    notes->count[severity]++;
    return note;
}

void note_place(Note *note, Span span, const char *label)
{
    if (note->places < NOTE_PLACES) note->place[note->places++] = (NotePlace){span, label};
}

Arena *notes_arena(const Notes *notes)
{
    return notes->arena;
}

size_t notes_count(const Notes *notes, Severity severity)
{
    return notes->count[severity];
}

size_t notes_total(const Notes *notes)
{
    size_t total = 0;
    for (size_t i = 0; i < SEVERITIES; i++) total += notes->count[i];
    return total;
}

void notes_set_fatal(Notes *notes)
{
    notes->fatal_dropped = true;
}

bool notes_full(const Notes *notes)
{
    return notes->kept.count >= notes->keep;
}

bool notes_fatal(const Notes *notes)
{
    if (notes->fatal_dropped || notes->scratch.fatal) return true;
    for (size_t i = 0; i < notes->kept.count; i++)
        if (notes->kept.at[i]->fatal) return true;
    return false;
}

/* What a person opens first: own files, then built-in ones, then what has no place. */
static int rank(Span span)
{
    return !span.text ? 2 : span.text->built_in ? 1 : 0;
}

/* Rows of one long file are texts of their own under the file's name, so the place within the file is the
 * line, and then the bytes before it on that line: counting characters would cost a walk for every
 * comparison. */
static int compare_places(Span a, Span b)
{
    if (rank(a) != rank(b)) return rank(a) - rank(b);
    if (!a.text) return 0;
    int names = strcmp(a.text->name, b.text->name);
    if (names) return names;
    uint32_t a_index = text_line_index(a.text, a.begin), b_index = text_line_index(b.text, b.begin);
    uint32_t a_line = a.text->first_line + a_index, b_line = b.text->first_line + b_index;
    if (a_line != b_line) return a_line < b_line ? -1 : 1;
    uint32_t a_column = a.begin - a.text->lines[a_index], b_column = b.begin - b.text->lines[b_index];
    return (a_column > b_column) - (a_column < b_column);
}

static int compare_notes(const void *a, const void *b)
{
    const Note *left = *(Note *const *)a, *right = *(Note *const *)b;
    int places = compare_places(left->place[0].span, right->place[0].span);
    return places ? places : (left->order > right->order) - (left->order < right->order);
}

Note *const *notes_sorted(Notes *notes, size_t *count)
{
    if (!notes->sorted && notes->kept.count)
        qsort(notes->kept.at, notes->kept.count, sizeof(Note *), compare_notes);
    notes->sorted = true;
    *count = notes->kept.count;
    return notes->kept.at;
}

size_t notes_dropped(const Notes *notes)
{
    return notes_total(notes) - notes->kept.count;
}

/* A tab within is a blank, so that the parts can be told apart. */
const char *note_key(Arena *arena, const Note *note)
{
    bool has_value = note->value && *note->value;
    const char *parts[] = {note->name, note->subject ? note->subject : "", note->field ? note->field : "",
                           has_value ? note->value : note->message};
    char *key = arena_print(arena, "%s\t%s\t%s\t%s", parts[0], parts[1], parts[2], parts[3]);
    char *at = key;
    for (size_t i = 0; i < sizeof parts / sizeof *parts; i++, at++)
        for (char *end = at + strlen(parts[i]); at < end; at++)
            if (*at == '\t' || *at == '\n' || *at == '\r') *at = ' ';
    return key;
}

size_t notes_remove(Notes *notes, NoteChoice *choose, void *with)
{
    size_t kept = 0, before = notes->kept.count;
    for (size_t i = 0; i < before; i++) {
        Note *note = notes->kept.at[i];
        if (choose(note, with))
            notes->count[note->severity]--;
        else
            notes->kept.at[kept++] = note;
    }
    notes->kept.count = kept;
    return before - kept;
}
