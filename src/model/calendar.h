/* The year as a site knows it: windows, events such as the last frost, work days and closed days.
 *
 * A window names days of an unnamed year and may hang on an event of the site. Which actual days that means
 * depends on the year and on the run: an event may have an early and a late date beside its mean, and the
 * early run of a timeline takes the one, the late run the other (docs/language.md, "Windows and events").
 */
#ifndef MODEL_CALENDAR_H
#define MODEL_CALENDAR_H

#include "base/date.h"
#include "base/slice.h"

/* Three runs of one plan, made alike, each taking its own end at every choice. */
typedef enum Run { RUN_EARLY, RUN_PLANNED, RUN_LATE, RUNS } Run;

typedef struct Dates {
    Day on[RUNS]; /* DAY_NONE in a run in which it does not happen */
} Dates;

static inline Dates dates_all(Day day)
{
    return (Dates){{day, day, day}};
}

/* One end of a window: a day or part of a month, or so many days from an event of the site. */
typedef struct DayMark {
    Name event; /* NULL: `day` counts */
    YearDay day;
    int32_t days; /* added to it; negative is before */
} DayMark;

typedef struct Window {
    DayMark first, last; /* the last day may come before the first: the window wraps over New Year */
    bool all_year;
} Window;

typedef struct CalendarEvent {
    Name name; /* last-frost */
    YearDay mean;
    YearDay early, late; /* equal to the mean where the site does not state them */
} CalendarEvent;

/* An event seen in one year: its date is that day in all runs of that year. */
typedef struct EventPin {
    Name event;
    Day day;
} EventPin;

typedef struct DayRange {
    YearDay first, last; /* yearly; may wrap */
    const char *why;     /* "winter break", or NULL */
} DayRange;

typedef struct DaySet {
    uint8_t weekdays; /* bit 1 << (weekday - 1), Monday first */
    const DayRange *ranges;
    size_t range_count;
} DaySet;

typedef struct Calendar {
    Name site;
    bool never_closed; /* no site is known: nothing moves */
    DaySet work;       /* open on these … */
    DaySet closed;     /* … and not in these */
    DaySet duty;       /* closed, but somebody looks after living things */
    const CalendarEvent *events;
    size_t event_count;
    const EventPin *pins;
    size_t pin_count;
    uint8_t *open; /* [day - DAY_FIRST]: 0 not asked yet, else 1 closed or 2 open; NULL: not remembered */
} Calendar;

/* NULL: the site does not declare it. */
const CalendarEvent *calendar_event(const Calendar *calendar, Name event);
/* The day an event falls on in a year, in a run: pinned, else early, mean or late. DAY_NONE without the
 * event. */
Day calendar_event_day(const Calendar *calendar, Name event, int year, Run run);

typedef struct Occurrence {
    Day first, last; /* both inside; DAY_NONE if it never comes (an event the site does not declare) */
    int year;        /* in which it begins, before days are added to its mark: tells occurrences apart */
} Occurrence;

/* The occurrence of a window that begins in a year. */
Occurrence window_in_year(const Window *window, const Calendar *calendar, int year, Run run);
/* The occurrence with the smallest last day on or after `day`. */
Occurrence window_next(const Window *window, const Calendar *calendar, Day day, Run run);
bool window_has(const Window *window, const Calendar *calendar, Day day, Run run);

bool dayset_has(const DaySet *set, Day day);
bool calendar_open(const Calendar *calendar, Day day);

typedef enum SlackSide { SLACK_EITHER, SLACK_BEFORE, SLACK_AFTER } SlackSide;
enum { SLACK_DEFAULT = 3 };
/* The nearest open day within `slack` days (equal distance: the earlier); `day` itself if it is open or none
 * is found. Sets *found to false in the last case. */
Day calendar_moved(const Calendar *calendar, Day day, int slack, SlackSide side, bool *found);

#endif
