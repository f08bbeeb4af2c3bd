/* The year as a site knows it.
 *
 * Given a window, a site's calendar, a year and a run, makes actual days; given a day, says whether the site
 * works on it and which open day is nearest. Whether a limit allows a day is asked here and judged elsewhere,
 * and texts become windows and calendars in the model that reads them.
 */
#include "model/calendar.h"

enum {
    SLACK_MOST = 1000,   /* days; keeps a site that never works from being searched for ever */
    DAYS_MOST = 1000000, /* added to a mark: keeps the sums far inside a Day */
    LEAP_YEAR = 2000     /* in which every day of an unnamed year exists */
};

static Day later_day(Day a, Day b)
{
    return a > b ? a : b;
}

const CalendarEvent *calendar_event(const Calendar *calendar, Name event)
{
    for (size_t i = 0; i < calendar->event_count; i++)
        if (calendar->events[i].name == event) return &calendar->events[i];
    return NULL;
}

/* An event given as part of a month is that part's first, middle or last day in the three runs; halves of a
 * day go to the later one, as everywhere. */
static Day event_usual_day(const CalendarEvent *event, int year, Run run)
{
    const YearDay said[RUNS] = {event->early, event->mean, event->late};
    Day first = year_day_first(said[run], year);
    Day last = later_day(first, year_day_last(said[run], year));
    const Day on[RUNS] = {first, first + (last - first + 1) / 2, last};
    return on[run];
}

Day calendar_event_day(const Calendar *calendar, Name event, int year, Run run)
{
    for (size_t i = 0; i < calendar->pin_count; i++)
        if (calendar->pins[i].event == event && day_year(calendar->pins[i].day) == year)
            return calendar->pins[i].day;
    const CalendarEvent *declared = calendar_event(calendar, event);
    return declared ? event_usual_day(declared, year, run) : DAY_NONE;
}

/* ------------------------------------------------------------------ windows */

static int32_t mark_days(const DayMark *mark)
{
    if (mark->days > DAYS_MOST) return DAYS_MOST;
    return mark->days < -DAYS_MOST ? -DAYS_MOST : mark->days;
}

static Day mark_first(const DayMark *mark, const Calendar *calendar, int year, Run run)
{
    if (!mark->event) return year_day_first(mark->day, year) + mark_days(mark);
    Day day = calendar_event_day(calendar, mark->event, year, run);
    return day == DAY_NONE ? DAY_NONE : day + mark_days(mark);
}

static Day mark_last(const DayMark *mark, const Calendar *calendar, int year, Run run)
{
    if (!mark->event) return year_day_last(mark->day, year) + mark_days(mark);
    return mark_first(mark, calendar, year, run);
}

/* Whether a window goes over New Year is a matter of its usual days, not of one year's frost: 1 Oct ..
 * first-frost with a frost in September is no window of a year's length. */
static bool window_wraps(const Window *window, const Calendar *calendar)
{
    Calendar usual = *calendar;
    usual.pin_count = 0;
    return mark_last(&window->last, &usual, LEAP_YEAR, RUN_PLANNED) <
           mark_first(&window->first, &usual, LEAP_YEAR, RUN_PLANNED);
}

/* A window that a year's event turns round, without going over New Year, keeps its first day. */
Occurrence window_in_year(const Window *window, const Calendar *calendar, int year, Run run)
{
    static const YearDay new_year = {1, PART_OF_MONTH_DAY, 1}, eve = {12, PART_OF_MONTH_DAY, 31};
    if (window->all_year) return (Occurrence){year_day_first(new_year, year), year_day_last(eve, year), year};
    Day first = mark_first(&window->first, calendar, year, run);
    Day last = mark_last(&window->last, calendar, year, run);
    if (first == DAY_NONE || last == DAY_NONE) return (Occurrence){DAY_NONE, DAY_NONE, year};
    if (last < first && window_wraps(window, calendar))
        last = mark_last(&window->last, calendar, year + 1, run);
    return (Occurrence){first, later_day(first, last), year};
}

/* From one month of a year to a later one: none that began in the year before is still open. */
static bool keeps_to_its_year(const Window *window)
{
    const DayMark *first = &window->first, *last = &window->last;
    return !first->event && !last->event && !first->days && !last->days && first->day.month < last->day.month;
}

Occurrence window_next(const Window *window, const Calendar *calendar, Day day, Run run)
{
    int32_t days = 0;
    if (!window->all_year)
        days = later_day(mark_days(&window->first), mark_days(&window->last)); /* the longer of both */
    /* An occurrence ends at most `days` after the year behind its own, so no earlier one can reach `day`. */
    Occurrence occurrence;
    int year = day_year(day - days) - (keeps_to_its_year(window) ? 0 : 1);
    do occurrence = window_in_year(window, calendar, year++, run);
    while (occurrence.first != DAY_NONE && occurrence.last < day);
    return occurrence;
}

bool window_has(const Window *window, const Calendar *calendar, Day day, Run run)
{
    if (window->all_year) return true;
    Occurrence occurrence = window_next(window, calendar, day, run);
    return occurrence.first != DAY_NONE && occurrence.first <= day;
}

/* ------------------------------------------------------------------ open and closed */

static bool range_has(const DayRange *range, Day day, int year)
{
    Day first = year_day_first(range->first, year), last = year_day_last(range->last, year);
    if (first <= last) return first <= day && day <= last;
    /* 29 Feb alone turns round in a common year, and is no day then; all else goes over New Year. */
    bool wraps = year_day_last(range->last, LEAP_YEAR) < year_day_first(range->first, LEAP_YEAR);
    return wraps && (day >= first || day <= last);
}

bool dayset_has(const DaySet *set, Day day)
{
    if (set->weekdays >> (day_weekday(day) - 1) & 1) return true;
    if (!set->range_count) return false;
    int year = day_year(day);
    for (size_t i = 0; i < set->range_count; i++)
        if (range_has(&set->ranges[i], day, year)) return true;
    return false;
}

bool calendar_open(const Calendar *calendar, Day day)
{
    if (calendar->never_closed) return true;
    uint8_t *known = calendar->open && day_in_range(day) ? &calendar->open[day - DAY_FIRST] : NULL;
    if (known && *known) return *known == 2;
    bool open = dayset_has(&calendar->work, day) && !dayset_has(&calendar->closed, day);
    if (known) *known = open ? 2 : 1;
    return open;
}

Day calendar_moved(const Calendar *calendar, Day day, int slack, SlackSide side, bool *found)
{
    *found = true;
    if (calendar_open(calendar, day)) return day;
    if (slack > SLACK_MOST) slack = SLACK_MOST;
    for (int away = 1; away <= slack; away++) {
        if (side != SLACK_AFTER && calendar_open(calendar, day - away)) return day - away;
        if (side != SLACK_BEFORE && calendar_open(calendar, day + away)) return day + away;
    }
    *found = false;
    return day;
}
