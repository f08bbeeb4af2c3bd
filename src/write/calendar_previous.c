/* Reading back what is needed of a calendar: lines are unfolded, and of each event only its identity and
 * content are kept. */
#include "write/calendar_previous.h"

#include "base/number.h"
#include "base/vec.h"

#include <stdlib.h>
#include <string.h>

/* Lines with their folds taken out (RFC 5545, 3.1). */
static Slice unfolded(Arena *arena, Slice bytes)
{
    char *to = arena_alloc(arena, bytes.length + 1);
    size_t length = 0;
    for (size_t i = 0; i < bytes.length; i++) {
        if (bytes.at[i] == '\r') continue;
        if (bytes.at[i] == '\n' && i + 1 < bytes.length &&
            (bytes.at[i + 1] == ' ' || bytes.at[i + 1] == '\t')) {
            i++;
            continue;
        }
        to[length++] = bytes.at[i];
    }
    return (Slice){to, length};
}

static bool next_line(Slice *rest, Slice *line)
{
    if (!rest->length) return false;
    const char *end = memchr(rest->at, '\n', rest->length);
    size_t length = end ? (size_t)(end - rest->at) : rest->length;
    *line = (Slice){rest->at, length};
    *rest = (Slice){rest->at + length + (end != NULL), rest->length - length - (end != NULL)};
    return true;
}

/* The value of a line that begins with a name, whatever parameters stand between. */
static bool value_of(Slice line, const char *name, Slice *value)
{
    size_t length = strlen(name);
    if (line.length <= length || memcmp(line.at, name, length) != 0 ||
        (line.at[length] != ':' && line.at[length] != ';'))
        return false;
    const char *colon = memchr(line.at + length, ':', line.length - length);
    if (!colon) return false;
    *value = (Slice){colon + 1, line.length - (size_t)(colon + 1 - line.at)};
    return true;
}

static uint64_t hexadecimal(Slice text)
{
    uint64_t value = 0;
    for (size_t i = 0; i < text.length && i < 16; i++) {
        char c = text.at[i];
        value = value * 16 + (uint64_t)(c >= '0' && c <= '9'   ? c - '0'
                                        : c >= 'a' && c <= 'f' ? c - 'a' + 10
                                                               : 0);
    }
    return value;
}

enum { SEQUENCE_LIMIT = 1000000000 };

static void take_line(PastEvent *event, Slice line)
{
    Slice value;
    Number number;
    if (value_of(line, "UID", &value)) event->uid = value;
    if (value_of(line, "DTSTART", &value)) event->start = value;
    if (value_of(line, "DTEND", &value)) event->end = value;
    if (value_of(line, "SUMMARY", &value)) event->summary = value;
    if (value_of(line, "STATUS", &value)) event->cancelled = slice_is(value, "CANCELLED");
    if (value_of(line, "X-HEELCUT-HASH", &value)) event->hash = hexadecimal(value);
    if (value_of(line, "SEQUENCE", &value) && number_read(value, &number) && number.den == 1 &&
        number.num < SEQUENCE_LIMIT)
        event->sequence = number.num;
}

static int by_uid(const void *a, const void *b)
{
    return slice_compare(((const PastEvent *)a)->uid, ((const PastEvent *)b)->uid);
}

PastCalendar past_calendar_read(Arena *arena, Slice bytes)
{
    VEC(PastEvent) events = {0};
    Slice rest = unfolded(arena, bytes), line;
    PastEvent event = {0};
    bool inside = false;
    while (next_line(&rest, &line)) {
        if (slice_is(line, "BEGIN:VEVENT")) {
            event = (PastEvent){0};
            inside = true;
        } else if (slice_is(line, "END:VEVENT")) {
            if (inside && event.uid.length) VEC_PUSH(arena, &events, event);
            inside = false;
        } else if (inside) {
            take_line(&event, line);
        }
    }
    if (events.count) qsort(events.at, events.count, sizeof *events.at, by_uid);
    return (PastCalendar){events.at, events.count};
}

PastEvent *past_event(const PastCalendar *past, Slice uid)
{
    PastEvent key = {.uid = uid};
    return past->count ? bsearch(&key, past->at, past->count, sizeof *past->at, by_uid) : NULL;
}
