/* Hours by week: see labour.h. */
#include "analysis/labour.h"

#include "base/vec.h"
#include "model/site.h"

#include <stdlib.h>

enum { WEEK = 7 };

struct Labour {
    Nursery *nursery;
    Day from, to;
    VEC(LabourRow) rows; /* sorted by week and name when asked for; found by hash before */
    uint32_t *slots;     /* 1 + index in rows */
    size_t room;
    LabourWeek *weeks;
};

Labour *labour_new(Nursery *nursery, Day from, Day to)
{
    Labour *labour = ARENA_NEW(nursery->arena, Labour);
    *labour = (Labour){.nursery = nursery, .from = from, .to = to};
    return labour;
}

/* ------------------------------------------------------------------ rows */

static size_t slot_of(const Labour *labour, Day monday, Name what)
{
    size_t slot =
        (size_t)(what->hash ^ (uint64_t)(uint32_t)monday * 0x9e3779b97f4a7c15U) & (labour->room - 1);
    while (labour->slots[slot]) {
        const LabourRow *row = &labour->rows.at[labour->slots[slot] - 1];
        if (row->monday == monday && row->what == what->text) break;
        slot = (slot + 1) & (labour->room - 1);
    }
    return slot;
}

static void make_room(Labour *labour)
{
    enum { LEAST = 1024 };
    if (labour->room && labour->rows.count * 2 < labour->room) return;
    labour->room = labour->room ? labour->room * 2 : LEAST;
    labour->slots = ARENA_ARRAY(labour->nursery->arena, uint32_t, labour->room);
    for (size_t i = 0; i < labour->rows.count; i++) {
        Name what = names_find(labour->nursery->names, slice_of(labour->rows.at[i].what));
        labour->slots[slot_of(labour, labour->rows.at[i].monday, what)] = (uint32_t)i + 1;
    }
}

static LabourRow *row_of(Labour *labour, Day day, Name what)
{
    Day monday = day - (day_weekday(day) - 1);
    make_room(labour);
    size_t slot = slot_of(labour, monday, what);
    if (!labour->slots[slot]) {
        LabourRow *row = VEC_ADD(labour->nursery->arena, &labour->rows);
        *row = (LabourRow){.monday = monday, .what = what->text, .low = NUMBER(0), .high = NUMBER(0)};
        labour->slots[slot] = (uint32_t)labour->rows.count;
    }
    return &labour->rows.at[labour->slots[slot] - 1];
}

/* An overflow is a time that is not known. */
static void add(LabourRow *row, bool known, Number low, Number high)
{
    Number sum_low, sum_high;
    row->count++;
    if (known && number_add(row->low, low, &sum_low) && number_add(row->high, high, &sum_high)) {
        row->low = sum_low;
        row->high = sum_high;
    } else {
        row->without_time++;
    }
}

static bool in_span(const Labour *labour, Day day)
{
    return day != DAY_NONE && (labour->from == DAY_NONE || day >= labour->from) &&
           (labour->to == DAY_NONE || day <= labour->to);
}

bool labour_task(void *to, const WorkTask *task)
{
    Labour *labour = to;
    Day day = task->date->date.on[task->date->watch ? RUN_EARLY : RUN_PLANNED];
    if (in_span(labour, day) && !task->setting) /* turning a dial takes nobody's time */
        add(row_of(labour, day, task->task->name), task->has_time, task->time_low, task->time_high);
    return true;
}

/* ------------------------------------------------------------------ taking and sticking */

/* `work 250 .. 400 per hour`: the seconds for so many. False: no rate, or no count. */
static bool time_by_rate(const Protocol *protocol, BlockKind section, const BatchSize *size, Number *low,
                         Number *high)
{
    enum { HOUR = 3600 };
    const Block *block = protocol_section(protocol, section);
    const Clause *clause = block ? block_clause(block, FIELD_ROW(WORK)) : NULL;
    if (!clause || !clause->reading || !clause->reading->numbers.count || !size->has_count) return false;
    Interval rate = intervals_hull(clause->reading->numbers);
    if (rate.low.unbounded) rate.low = rate.high;
    if (rate.high.unbounded) rate.high = rate.low;
    Number seconds;
    return number_multiply(NUMBER(size->count), NUMBER(HOUR), &seconds) &&
           number_divide(seconds, rate.high.at, low) && number_divide(seconds, rate.low.at, high);
}

static void add_section(Labour *labour, const SurveyBatch *batch, BlockKind section, Day day)
{
    Number low, high;
    const Block *block = protocol_section(batch->subject->protocol, section);
    bool said = block && block_clause(block, FIELD_ROW(WORK));
    if (!said || !in_span(labour, day)) return;
    bool known = time_by_rate(batch->subject->protocol, section, &batch->size, &low, &high);
    add(row_of(labour, day, names_intern(labour->nursery->names, slice_of(block_types[section].spelling))),
        known, low, high);
}

void labour_batch(void *to, const FactSource *source, const SurveyBatch *batch)
{
    (void)source;
    if (!batch->dated) return;
    add_section(to, batch, BLOCK_TAKE, batch->subject->timeline->take.on[RUN_PLANNED]);
    add_section(to, batch, BLOCK_STICK, batch->subject->timeline->stick.on[RUN_PLANNED]);
}

/* ------------------------------------------------------------------ crews */

static const Reading *said(const Block *block, const Field *field)
{
    const Clause *clause = block_clause(block, field);
    return clause ? clause->reading : NULL;
}

static bool is_there(const Block *crew, Day day)
{
    static const Calendar nowhere = {0};
    const Reading *months = said(crew, FIELD_ROW(MONTHS));
    for (size_t i = 0; months && i < months->window_count; i++)
        if (window_has(&months->windows[i], &nowhere, day, RUN_PLANNED)) return true;
    return !months;
}

/* Open at any site; a nursery without a site is never closed. */
static bool is_open(Nursery *nursery, Day day)
{
    const BlockList *sites = &nursery->lists[BLOCK_SITE];
    for (size_t i = 0; i < sites->count; i++)
        if (calendar_open(site_calendar(nursery, sites->at[i]), day)) return true;
    return !sites->count;
}

static bool seconds_a_day(const Block *crew, Number *seconds)
{
    const Reading *people = said(crew, FIELD_ROW(PEOPLE)), *hours = said(crew, FIELD_ROW(HOURS));
    return people && hours && people->numbers.count && hours->numbers.count &&
           number_multiply(intervals_hull(people->numbers).low.at, intervals_hull(hours->numbers).low.at,
                           seconds);
}

/* On closed days a site may have somebody for living things. */
static void add_duty(Nursery *nursery, Day day, LabourWeek *week)
{
    const BlockList *sites = &nursery->lists[BLOCK_SITE];
    for (size_t i = 0; i < sites->count; i++) {
        const Reading *time = said(sites->at[i], FIELD_ROW(DUTY_TIME));
        Number sum;
        const Calendar *calendar = site_calendar(nursery, sites->at[i]);
        if (!time || !time->numbers.count || calendar_open(calendar, day) ||
            !dayset_has(&calendar->duty, day))
            continue;
        if (number_add(week->crew, intervals_hull(time->numbers).high.at, &sum)) week->crew = sum;
    }
}

static void take_crews(Nursery *nursery, LabourWeek *week)
{
    const BlockList *crews = &nursery->lists[BLOCK_CREW];
    week->crew = NUMBER(0);
    for (size_t i = 0; i < crews->count; i++) {
        Number seconds, sum;
        if (!seconds_a_day(crews->at[i], &seconds)) continue;
        week->has_crew = true;
        for (Day day = week->monday; day < week->monday + WEEK; day++)
            if (is_there(crews->at[i], day) && is_open(nursery, day) && number_add(week->crew, seconds, &sum))
                week->crew = sum;
    }
    for (Day day = week->monday; day < week->monday + WEEK; day++) add_duty(nursery, day, week);
}

/* ------------------------------------------------------------------ weeks */

static int by_week(const void *a, const void *b)
{
    const LabourRow *x = a, *y = b;
    if (x->monday != y->monday) return x->monday < y->monday ? -1 : 1;
    return slice_compare(slice_of(x->what), slice_of(y->what));
}

static void add_row(LabourWeek *week, const LabourRow *row)
{
    Number sum;
    if (number_add(week->low, row->low, &sum)) week->low = sum;
    if (number_add(week->high, row->high, &sum)) week->high = sum;
    week->count += row->count;
    week->without_time += row->without_time;
    week->row_count++;
}

const LabourWeek *labour_weeks(Labour *labour, size_t *count)
{
    *count = 0;
    labour->weeks = ARENA_ARRAY(labour->nursery->arena, LabourWeek, labour->rows.count);
    if (labour->rows.count) qsort(labour->rows.at, labour->rows.count, sizeof *labour->rows.at, by_week);
    for (size_t i = 0; i < labour->rows.count; i++) {
        const LabourRow *row = &labour->rows.at[i];
        if (!*count || labour->weeks[*count - 1].monday != row->monday) {
            LabourWeek *week = &labour->weeks[(*count)++];
            *week = (LabourWeek){.monday = row->monday, .low = NUMBER(0), .high = NUMBER(0), .rows = row};
            take_crews(labour->nursery, week);
        }
        add_row(&labour->weeks[*count - 1], row);
    }
    labour->room = 0; /* rows were moved: nothing is added any more */
    return labour->weeks;
}
