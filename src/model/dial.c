/* From the clauses of a schedule to its lines in the order of their days, and whether they fit together.
 *
 * On each day a dial stands at one setting. Lines that overlap would set it twice, and days between two lines
 * leave open what it stands at; days before the first and after the last are not asked about, for a dial may
 * stand as it stood.
 */
#include "model/dial.h"

#include "base/vec.h"

typedef VEC(const Clause *) Lines;

static const DialRow *row_of(const Clause *line)
{
    return line->reading->row;
}

static Lines lines_of(Arena *arena, const Block *schedule)
{
    Lines lines = {0};
    for (const Clause *clause = schedule->clauses; clause; clause = clause->next) {
        if (clause->field != FIELD_ROW(DAY) || !clause->reading) continue;
        VEC_PUSH(arena, &lines, clause);
        for (size_t i = lines.count - 1; i > 0 && row_of(lines.at[i - 1])->first > row_of(lines.at[i])->first;
             i--) {
            const Clause *later = lines.at[i - 1];
            lines.at[i - 1] = lines.at[i];
            lines.at[i] = later;
        }
    }
    return lines;
}

size_t dial_lines(Arena *arena, const Block *schedule, const Clause ***lines)
{
    Lines all = lines_of(arena, schedule);
    size_t kept = 0;
    for (size_t i = 0; i < all.count; i++)
        if (!kept || row_of(all.at[i])->first != row_of(all.at[kept - 1])->first) all.at[kept++] = all.at[i];
    *lines = all.at;
    return kept;
}

/* ------------------------------------------------------------------ whether they fit together */

static const char *days_text(Arena *arena, int32_t first, int32_t last)
{
    if (last == INT32_MAX) return arena_print(arena, "day %d .. end", (int)first);
    if (last == first) return arena_print(arena, "day %d", (int)first);
    return arena_print(arena, "day %d .. %d", (int)first, (int)last);
}

static void tell_overlap(Notes *notes, const Block *schedule, const Clause *before, const Clause *line)
{
    int32_t first = row_of(line)->first;
    int32_t last = row_of(line)->last < row_of(before)->last ? row_of(line)->last : row_of(before)->last;
    Note *note =
        notes_add(notes, SEVERITY_ERROR, "schedule-overlap", clause_value_place(line),
                  "%s is set twice on %s", schedule->name->text, days_text(notes_arena(notes), first, last));
    note->subject = schedule->id;
    note_place(note, clause_value_place(before), "set here already");
    if (row_of(before)->first < first)
        note->instead = arena_print(notes_arena(notes), "let the one before it end: %s",
                                    days_text(notes_arena(notes), row_of(before)->first, first - 1));
}

static void tell_gap(Notes *notes, const Block *schedule, const Clause *before, const Clause *line)
{
    Arena *arena = notes_arena(notes);
    int32_t last = row_of(line)->first - 1;
    const char *days = days_text(arena, row_of(before)->last + 1, last);
    Note *note = notes_add(notes, SEVERITY_WARNING, "schedule-gap", clause_value_place(line),
                           "nothing says what %s is set to on %s", schedule->name->text, days);
    note->subject = schedule->id;
    note_place(note, clause_value_place(before), "the line before it ends sooner");
    note->instead = arena_print(arena, "a line for %s, if only off; or let the line before last: %s", days,
                                days_text(arena, row_of(before)->first, last));
}

/* What could not be read may be the line that is missed. */
static bool has_unreadable(const Block *schedule)
{
    for (const Clause *clause = schedule->clauses; clause; clause = clause->next)
        if (clause->field == FIELD_ROW(DAY) && !clause->reading) return true;
    return false;
}

void dial_check(Notes *notes, const Block *schedule)
{
    Lines lines = lines_of(notes_arena(notes), schedule);
    const Clause *reaches = lines.count ? lines.at[0] : NULL; /* of those before, the line that ends last */
    for (size_t i = 1; i < lines.count; i++) {
        const Clause *line = lines.at[i];
        int32_t last = row_of(reaches)->last;
        if (row_of(line)->first <= last)
            tell_overlap(notes, schedule, reaches, line);
        else if (row_of(line)->first - 1 > last && !has_unreadable(schedule))
            tell_gap(notes, schedule, reaches, line);
        if (row_of(line)->last > last) reaches = line;
    }
}
