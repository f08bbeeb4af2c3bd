/* What our own calendar said last time. Private to src/write. */
#ifndef WRITE_CALENDAR_PREVIOUS_H
#define WRITE_CALENDAR_PREVIOUS_H

#include "base/arena.h"
#include "base/date.h"
#include "base/slice.h"

typedef struct PastEvent {
    Slice uid;
    uint64_t hash;    /* of its content */
    int64_t sequence; /* 0 .. PAST_SEQUENCE */
    bool cancelled;
    Day start, end;          /* end is the first day behind it */
    Slice summary, location; /* as they stood, still escaped */
    bool seen;               /* the new calendar has it too */
} PastEvent;

enum { PAST_SEQUENCE = 1000000000 }; /* a greater number is taken for this one */

typedef struct PastCalendar {
    PastEvent *at; /* in the order of their uids, each once */
    size_t count;
} PastCalendar;

/* Reads the events of a calendar that this program wrote, from bytes that anybody may have changed. What has
 * no UID, no hash of ours, or no two days in order is not ours and is passed over. Of two with one UID the
 * one with the greater SEQUENCE counts. Texts come without control characters and broken UTF-8. */
PastCalendar past_calendar_read(Arena *arena, Slice bytes);
PastEvent *past_event(const PastCalendar *past, Slice uid); /* NULL: not there */

#endif
