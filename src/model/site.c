/* Gathering a site's clauses into its calendar. */
#include "model/site.h"

#include "base/vec.h"

/* `late-frost` is the late date of the event last-frost: the field's words say so (grammar/vocabulary.def).
 */
static void event_of_field(const Field *field, Slice *event, Slice *which)
{
    field_word_at(field, 0, event);
    field_word_at(field, 1, which);
}

static CalendarEvent *event_called(CalendarEvent *events, size_t count, Name name)
{
    for (size_t i = 0; i < count; i++)
        if (events[i].name == name) return &events[i];
    return NULL;
}

static void take_events(Nursery *nursery, const Block *site, Calendar *calendar)
{
    VEC(CalendarEvent) events = {0};
    for (int pass = 0; pass < 2; pass++) /* means first, then the bad years that stand over them */
        for (const Clause *clause = site->clauses; clause; clause = clause->next) {
            if (clause->field->type != TYPE_EVENT || !clause->reading) continue;
            Slice event, which;
            event_of_field(clause->field, &event, &which);
            if (slice_is(which, "mean") != (pass == 0)) continue;
            Name name = names_intern(nursery->names, event);
            CalendarEvent *found = event_called(events.at, events.count, name);
            YearDay day = clause->reading->event;
            if (!found) {
                found = VEC_ADD(nursery->arena, &events);
                *found = (CalendarEvent){name, day, day, day};
            }
            if (slice_is(which, "early")) found->early = day;
            if (slice_is(which, "late")) found->late = day;
        }
    calendar->events = events.at;
    calendar->event_count = events.count;
}

static void add_days(Nursery *nursery, DaySet *set, const DaySet *more)
{
    set->weekdays |= more->weekdays;
    DayRange *ranges = ARENA_ARRAY(nursery->arena, DayRange, set->range_count + more->range_count);
    for (size_t i = 0; i < set->range_count; i++) ranges[i] = set->ranges[i];
    for (size_t i = 0; i < more->range_count; i++) ranges[set->range_count + i] = more->ranges[i];
    set->ranges = ranges;
    set->range_count += more->range_count;
}

static void take_days(Nursery *nursery, const Block *site, const Field *field, DaySet *set)
{
    for (const Clause *clause = site->clauses; clause; clause = clause->next)
        if (clause->field == field && clause->reading) add_days(nursery, set, &clause->reading->days);
}

const Calendar *site_calendar(Nursery *nursery, const Block *site)
{
    static const Calendar nowhere = {.never_closed = true};
    if (!site) return &nowhere;
    Calendar *calendar = ARENA_NEW(nursery->arena, Calendar);
    calendar->site = site->name;
    take_days(nursery, site, FIELD_ROW(WORK_DAYS), &calendar->work);
    take_days(nursery, site, FIELD_ROW(CLOSED), &calendar->closed);
    take_days(nursery, site, FIELD_ROW(DUTY_OF_SITE), &calendar->duty);
    if (!calendar->work.weekdays && !calendar->work.range_count) calendar->work.weekdays = 0x7f;
    take_events(nursery, site, calendar);
    calendar->open = ARENA_ARRAY(nursery->arena, uint8_t, DAY_LAST - DAY_FIRST + 1);
    return calendar;
}

const Block *site_of_place(const Nursery *nursery, const Block *place)
{
    const Clause *clause = place ? block_clause(place, FIELD_ROW(SITE)) : NULL;
    if (clause && clause->reading && clause->reading->word_count)
        return nursery_find(nursery, BLOCK_SITE, clause->reading->words[0].name);
    const BlockList *sites = &nursery->lists[BLOCK_SITE];
    return sites->count == 1 ? sites->at[0] : NULL;
}
