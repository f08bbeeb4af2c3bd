/* Stays from what the batch says of its places, from tasks that move it, and from its record: see stays.h. */
#include "analysis/stays.h"

#include "base/vec.h"

/* A place begins. Unknown places keep the place before. */
typedef struct Arrival {
    const Block *place;
    Dates begin;
} Arrival;
typedef VEC(Arrival) Arrivals;

static void arrive(const FactSource *source, Arrivals *arrivals, const Block *place, Dates begin)
{
    if (!place || begin.on[RUN_PLANNED] == DAY_NONE) return;
    VEC_PUSH(source->passing, arrivals, ((Arrival){place, begin}));
    Arrival *at = arrivals->at; /* in order; of one day the later said counts */
    for (size_t i = arrivals->count - 1;
         i > 0 && at[i - 1].begin.on[RUN_PLANNED] > at[i].begin.on[RUN_PLANNED]; i--) {
        Arrival later = at[i - 1];
        at[i - 1] = at[i];
        at[i] = later;
    }
}

/* In the example of a rule the place has no name, and is the batch's own. */
static const Block *place_called(const FactSource *source, const Subject *batch, Name name)
{
    const Block *own = batch->context->place, *place = own;
    if (!own || own->name != name) place = nursery_find(source->nursery, BLOCK_PLACE, name);
    return place ? place : own;
}

Dates stay_begin(const Subject *batch, Name from)
{
    const Timeline *timeline = batch->timeline;
    const Schedule *schedule = batch->context->protocol->schedule;
    const BlockType *section = from ? block_find(name_slice(from)) : NULL;
    if (section && (section->kind == BLOCK_TAKE || section->kind == BLOCK_HOLD)) return timeline->take;
    if (section && section->kind == BLOCK_FINISH) return timeline->finish;
    if (!from || (section && section->naming == NAMING_NONE)) return timeline->stick;
    for (size_t i = 0; i < schedule->stage_count; i++)
        if (schedule->stages[i].name == from) return timeline->stages[i].begin;
    return (Dates){{DAY_NONE, DAY_NONE, DAY_NONE}};
}

/* Somebody says that the batch stands elsewhere from a day on: of those that have begun by then the latest
 * counts, of two the one that is said last. */
static void take_change(Whereabouts *there, Day day, Day begin, Name place)
{
    if (begin == DAY_NONE) return;
    if (begin > day) {
        if (begin < there->leave) there->leave = begin;
    } else if (begin >= there->first) {
        there->place = place;
        there->first = begin;
    }
}

Whereabouts stay_on(const Subject *batch, Day day)
{
    const Protocol *protocol = batch->context->protocol;
    const Timeline *timeline = batch->timeline;
    const Reading *said = plan_cell(batch->plan, batch->row, FIELD_ROW(STANDS_OF_BATCH));
    Whereabouts there = {batch->context->place ? batch->context->place->name : NULL, INT32_MIN, INT32_MAX};
    for (size_t i = 0; said && said != &reading_spoiled && i < said->standing_count; i++)
        take_change(&there, day, stay_begin(batch, said->standings[i].from).on[RUN_PLANNED],
                    said->standings[i].place);
    for (size_t i = 0; i < timeline->move_count; i++) { /* the task itself is done where the batch stood */
        const TaskDate *date = timeline->moves[i];
        Day moved =
            date->recorded != DAY_NONE ? date->recorded : date->date.on[date->watch ? RUN_LATE : RUN_PLANNED];
        take_change(&there, day, moved + 1, protocol->schedule->tasks[date->task].moves_to);
    }
    for (const RecordLine *line = batch->record ? batch->record->lines : NULL; line; line = line->next)
        if (line->verb == VERB_MOVED) take_change(&there, day, line->day, line->thing);
    return there;
}

Dates stay_day_after(const TaskDate *date)
{
    Dates after = date->date;
    for (int run = 0; run < RUNS; run++) {
        if (date->recorded != DAY_NONE) after.on[run] = date->recorded;
        if (after.on[run] != DAY_NONE) after.on[run]++;
    }
    if (after.on[RUN_PLANNED] == DAY_NONE) after.on[RUN_PLANNED] = after.on[RUN_LATE];
    return after;
}

static void find_arrivals(const FactSource *source, const Subject *batch, Arrivals *arrivals)
{
    const Timeline *timeline = batch->timeline;
    const Reading *said = batch->plan ? plan_cell(batch->plan, batch->row, FIELD_ROW(STANDS_OF_BATCH)) : NULL;
    if (said == &reading_spoiled) said = NULL;
    if (batch->context->place && !(said && said->standing_count))
        arrive(source, arrivals, batch->context->place, timeline->stick);
    for (size_t i = 0; said && i < said->standing_count; i++)
        arrive(source, arrivals, place_called(source, batch, said->standings[i].place),
               stay_begin(batch, said->standings[i].from));
    const Schedule *schedule = batch->context->protocol->schedule;
    for (size_t i = 0; i < timeline->move_count; i++) {
        Name place = schedule->tasks[timeline->moves[i]->task].moves_to;
        arrive(source, arrivals, nursery_find(source->nursery, BLOCK_PLACE, place),
               stay_day_after(timeline->moves[i]));
    }
    for (const RecordLine *line = batch->record ? batch->record->lines : NULL; line; line = line->next)
        if (line->verb == VERB_MOVED)
            arrive(source, arrivals, nursery_find(source->nursery, BLOCK_PLACE, line->thing),
                   (Dates){{line->day, line->day, line->day}});
}

static int turnaround_days(const Block *place)
{
    enum { DAY_SECONDS = 86400 };
    const Clause *clause = block_clause(place, FIELD_ROW(TURNAROUND));
    Number days;
    if (!clause || !clause->reading || !clause->reading->numbers.count) return 0;
    Bound high = intervals_hull(clause->reading->numbers).high;
    return !high.unbounded && number_divide(high.at, NUMBER(DAY_SECONDS), &days) ? (int)number_ceil(days) : 0;
}

const Stay *stays_of(const FactSource *source, const Subject *batch, size_t *count)
{
    Arrivals arrivals = {0};
    *count = 0;
    if (!batch->timeline || !batch->timeline->dated || !batch->context->protocol->schedule) return NULL;
    find_arrivals(source, batch, &arrivals);
    VEC(Stay) stays = {0};
    for (size_t i = 0; i < arrivals.count; i++) {
        const Arrival *arrival = &arrivals.at[i];
        size_t next = i + 1;
        while (next < arrivals.count && arrivals.at[next].place == arrival->place) next++;
        const Dates *begin = &arrival->begin,
                    *leave = next < arrivals.count ? &arrivals.at[next].begin : &batch->timeline->finish;
        Stay stay = {
            .place = arrival->place,
            .sure = {begin->on[RUN_LATE], leave->on[RUN_EARLY]},
            .planned = {begin->on[RUN_PLANNED], leave->on[RUN_PLANNED]},
            .perhaps = {begin->on[RUN_EARLY], leave->on[RUN_LATE] + turnaround_days(arrival->place)}};
        VEC_PUSH(source->passing, &stays, stay);
        i = next - 1;
    }
    *count = stays.count;
    return stays.at;
}
