/* What our own calendar said last time. Private to src/write. */
#ifndef WRITE_CALENDAR_PREVIOUS_H
#define WRITE_CALENDAR_PREVIOUS_H

#include "base/arena.h"
#include "base/slice.h"

typedef struct PastEvent {
    Slice uid;
    uint64_t hash; /* of its content */
    int64_t sequence;
    bool cancelled;
    Slice start, end, summary; /* as they stood, still escaped */
    bool seen;                 /* the new calendar has it too */
} PastEvent;

typedef struct PastCalendar {
    PastEvent *at; /* in the order of their uids */
    size_t count;
} PastCalendar;

/* Reads events of a calendar that this program wrote; whatever else stands there is passed over. */
PastCalendar past_calendar_read(Arena *arena, Slice bytes);
PastEvent *past_event(const PastCalendar *past, Slice uid); /* NULL: not there */

#endif
