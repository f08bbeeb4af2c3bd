/* A whole record as what happened: its lines in the order of their days, slips put right.
 *
 * Given the lines as they were written, links them anew. A correction names the day and the verb of the line
 * that was wrong, and where several lines of that day have the verb whatever else tells them apart; it is
 * looked for among lines written before the correction. What was never written cannot be corrected, which is
 * told. Numbers are not looked at here.
 */
#include "model/record.h"

/* ------------------------------------------------------------------ in the order of days */

static bool is_ordered(const RecordLine *lines)
{
    for (; lines && lines->next; lines = lines->next)
        if (lines->next->day < lines->day) return false;
    return true;
}

static RecordLine *merged(RecordLine *a, RecordLine *b)
{
    RecordLine *first = NULL, **end = &first;
    while (a && b) {
        RecordLine **earlier = b->day < a->day ? &b : &a;
        *end = *earlier;
        end = &(*end)->next;
        *earlier = (*earlier)->next;
    }
    *end = a ? a : b;
    return first;
}

/* Takes the first `count` lines off a list. */
static RecordLine *taken(RecordLine **list, size_t count)
{
    RecordLine *first = *list, **end = list;
    for (; *end && count; count--) end = &(*end)->next;
    *list = *end;
    *end = NULL;
    return first == *list ? NULL : first;
}

/* Runs of doubling length are merged: lines of one day keep their order. */
static RecordLine *ordered(RecordLine *lines)
{
    size_t merges = 2;
    for (size_t length = 1; merges > 1; length *= 2) {
        RecordLine *rest = lines, *done = NULL, **end = &done;
        for (merges = 0; rest; merges++) {
            RecordLine *a = taken(&rest, length), *b = taken(&rest, length);
            *end = merged(a, b);
            while (*end) end = &(*end)->next;
        }
        lines = done;
    }
    return lines;
}

/* ------------------------------------------------------------------ corrections */

/* Lines of one verb and day may still speak of different lots, tasks, grades or batches. */
static bool tells_apart(const RecordLine *line, const RecordLine *instead)
{
    return (line->lot && instead->lot && line->lot != instead->lot) ||
           (line->thing && instead->thing && line->thing != instead->thing) ||
           (line->grade && instead->grade && line->grade != instead->grade) ||
           (line->other && instead->other && line->other != instead->other);
}

/* What did not happen is named by whatever it said. */
static bool is_denied(const RecordLine *line, const RecordLine *instead)
{
    return !tells_apart(line, instead) &&
           (!record_says(instead, PIECE_COUNT) || line->count == instead->count);
}

static bool is_meant(const RecordLine *line, const RecordLine *correction, bool alone)
{
    const RecordLine *instead = correction->instead;
    if (line->day != correction->corrected || line->verb != instead->verb) return false;
    if (correction->denies) return is_denied(line, instead);
    return alone || !tells_apart(line, instead);
}

/* How many lines a correction can mean, and where the last of them hangs in the list. */
static size_t lines_meant(Block *record, const RecordLine *correction, bool alone, RecordLine ***found)
{
    size_t count = 0;
    for (RecordLine **at = &record->lines; *at && (*at)->day <= correction->corrected; at = &(*at)->next) {
        if (!is_meant(*at, correction, alone)) continue;
        *found = at;
        count++;
    }
    return count;
}

static void refuse(Notes *notes, const Block *record, const RecordLine *correction, size_t count)
{
    char day[DAY_TEXT];
    day[day_write(day, correction->corrected)] = '\0';
    Note *note = notes_add(notes, SEVERITY_ERROR, "record-correct", correction->item->span,
                           "%s '%s' is recorded for %s", count ? "more than one" : "no",
                           verb_table[correction->instead->verb].spelling, day);
    note->subject = record->id;
    note->instead = count
                        ? "take the wrong one back by its number, as in: not culled 26; then write the right "
                          "one with its own day"
                        : "name the day on which the wrong line stands, or write what is missing as a line "
                          "of its own";
}

static void correct(Notes *notes, Block *record, RecordLine *correction)
{
    RecordLine **at = NULL;
    size_t count = lines_meant(record, correction, true, &at);
    if (count > 1) count = lines_meant(record, correction, false, &at);
    if (count != 1) {
        refuse(notes, record, correction, count);
        return;
    }
    RecordLine *wrong = *at, *instead = correction->instead;
    if (correction->denies) {
        *at = wrong->next;
        return;
    }
    instead->slip = wrong->slip ? wrong->slip : wrong;
    instead->next = wrong->next;
    *at = instead;
}

void record_settle(Notes *notes, Block *record)
{
    if (!is_ordered(record->lines)) record->lines = ordered(record->lines);
    for (RecordLine *line = record->lines; line; line = line->next)
        if (line->instead) correct(notes, record, line);
}
