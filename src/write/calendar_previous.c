/* Reading back what is needed of a calendar: lines are unfolded, and of each event only its identity and
 * content are kept. The file has been out of our hands, so nothing in it is taken on trust. */
#include "write/calendar_previous.h"

#include "base/number.h"
#include "base/text.h"
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

/* Only whole characters, and of those that steer a terminal only the end of a line. A fold may have cut a
 * character in two, so this comes after unfolding. */
static Slice cleaned(Arena *arena, Slice bytes)
{
    char *to = arena_alloc(arena, bytes.length + 1);
    size_t length = 0;
    for (size_t i = 0; i < bytes.length;) {
        uint32_t code = 0;
        size_t size = text_character(bytes.at + i, bytes.length - i, &code);
        if (size && (code == '\n' || !text_steers(code))) {
            memcpy(to + length, bytes.at + i, size);
            length += size;
        }
        i += size ? size : 1;
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

/* Sixteen digits, as we write them. */
static bool read_hash(Slice text, uint64_t *hash)
{
    static const char digits[] = "0123456789abcdef";
    uint64_t value = 0;
    for (size_t i = 0; i < text.length; i++) {
        const char *digit = text.at[i] ? strchr(digits, text.at[i]) : NULL;
        if (!digit) return false;
        value = value << 4 | (uint64_t)(digit - digits);
    }
    *hash = value;
    return text.length == 16;
}

static bool read_day(Slice text, Day *day)
{
    int date = 0;
    for (size_t i = 0; i < text.length && i < 8; i++) {
        if (text.at[i] < '0' || text.at[i] > '9') return false;
        date = date * 10 + (text.at[i] - '0');
    }
    return text.length == 8 && day_make(date / 10000, date / 100 % 100, date % 100, day);
}

static int64_t read_sequence(Slice text)
{
    Number number;
    if (!number_read(text, &number) || number.den != 1) return 0;
    return number.num < PAST_SEQUENCE ? number.num : PAST_SEQUENCE;
}

/* An event while its lines are read. */
typedef struct Reader {
    PastEvent event;
    bool inside, hashed;
    unsigned deeper; /* begun inside the event, an alarm for one, and not ended */
} Reader;

static void take_line(Reader *reader, Slice line)
{
    PastEvent *event = &reader->event;
    Slice value;
    if (value_of(line, "UID", &value)) event->uid = value;
    if (value_of(line, "DTSTART", &value) && !read_day(value, &event->start)) event->start = DAY_NONE;
    if (value_of(line, "DTEND", &value) && !read_day(value, &event->end)) event->end = DAY_NONE;
    if (value_of(line, "SUMMARY", &value)) event->summary = value;
    if (value_of(line, "LOCATION", &value)) event->location = value;
    if (value_of(line, "STATUS", &value)) event->cancelled = slice_is(value, "CANCELLED");
    if (value_of(line, "X-HEELCUT-HASH", &value)) reader->hashed = read_hash(value, &event->hash);
    if (value_of(line, "SEQUENCE", &value)) event->sequence = read_sequence(value);
}

/* True when the line ends an event that is ours. */
static bool ends_event(Reader *reader, Slice line)
{
    if (slice_is(line, "BEGIN:VEVENT")) {
        *reader = (Reader){.event = {.start = DAY_NONE, .end = DAY_NONE}, .inside = true};
    } else if (!reader->inside) {
        return false;
    } else if (slice_is(line, "END:VEVENT")) {
        const PastEvent *event = &reader->event;
        reader->inside = false;
        return event->uid.length && reader->hashed && event->start != DAY_NONE && event->end > event->start;
    } else if (slice_starts(line, "BEGIN:")) {
        reader->deeper++;
    } else if (slice_starts(line, "END:")) {
        reader->deeper -= reader->deeper > 0;
    } else if (!reader->deeper) {
        take_line(reader, line);
    }
    return false;
}

static int by_uid(const void *a, const void *b)
{
    return slice_compare(((const PastEvent *)a)->uid, ((const PastEvent *)b)->uid);
}

/* Of one UID the greatest SEQUENCE first, of equal ones the first in the file. */
static int by_uid_and_age(const void *a, const void *b)
{
    const PastEvent *x = a, *y = b;
    int order = by_uid(a, b);
    if (order) return order;
    if (x->sequence != y->sequence) return x->sequence > y->sequence ? -1 : 1;
    return x->uid.at < y->uid.at ? -1 : x->uid.at > y->uid.at;
}

PastCalendar past_calendar_read(Arena *arena, Slice bytes)
{
    VEC(PastEvent) events = {0};
    Slice rest = cleaned(arena, unfolded(arena, bytes)), line;
    Reader reader = {0};
    while (next_line(&rest, &line))
        if (ends_event(&reader, line)) VEC_PUSH(arena, &events, reader.event);
    if (events.count) qsort(events.at, events.count, sizeof *events.at, by_uid_and_age);
    size_t kept = 0;
    for (size_t i = 0; i < events.count; i++)
        if (!kept || by_uid(&events.at[kept - 1], &events.at[i]) != 0) events.at[kept++] = events.at[i];
    return (PastCalendar){events.at, kept};
}

PastEvent *past_event(const PastCalendar *past, Slice uid)
{
    PastEvent key = {.uid = uid};
    return past->count ? bsearch(&key, past->at, past->count, sizeof *past->at, by_uid) : NULL;
}
