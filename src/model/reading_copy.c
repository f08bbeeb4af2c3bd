/* A reading that outlives the one it is made from: a cell of a table lives until its stretch is over. */
#include "model/reading.h"

#include <string.h>

static void *copied(Arena *arena, const void *at, size_t count, size_t size)
{
    if (!count) return NULL;
    void *copy = arena_array(arena, count, size);
    memcpy(copy, at, count * size);
    return copy;
}

static Slice copied_slice(Arena *arena, Slice slice)
{
    return (Slice){slice.at ? arena_copy(arena, slice.at, slice.length) : NULL, slice.length};
}

#define COPY(list, count) copy->list = copied(arena, reading->list, reading->count, sizeof *reading->list)

const Reading *reading_copy(Arena *arena, const Reading *reading)
{
    Reading *copy = ARENA_NEW(arena, Reading);
    *copy = *reading;
    copy->numbers.at =
        copied(arena, reading->numbers.at, reading->numbers.count, sizeof *reading->numbers.at);
    copy->days.ranges =
        copied(arena, reading->days.ranges, reading->days.range_count, sizeof *reading->days.ranges);
    COPY(words, word_count);
    if (reading->fields) COPY(fields, word_count);
    COPY(windows, window_count);
    COPY(doses, dose_count);
    COPY(mix, mix_count);
    COPY(standings, standing_count);
    COPY(holdings, holding_count);
    copy->written = copied_slice(arena, reading->written);
    copy->text = copied_slice(arena, reading->text);
    return copy;
}
