/* How many hours of work there are in each week, and how many the crews have.
 *
 * A task counts on its planned day (watched tasks on the first), with the time that its `takes` gives for the
 * size of the batch; taking and sticking count by the rates of `work` in those sections. Hours are those of
 * one person. What has no time is counted and named, never guessed. The crews have people times hours a day
 * times open days, in the months they are there.
 */
#ifndef ANALYSIS_LABOUR_H
#define ANALYSIS_LABOUR_H

#include "analysis/survey.h"
#include "analysis/work.h"

typedef struct LabourRow {
    Day monday;
    const char *what;    /* task or "take", "stick" */
    Number low, high;    /* seconds */
    size_t count;        /* of occurrences */
    size_t without_time; /* of these: nobody says how long, or for how many */
} LabourRow;

typedef struct LabourWeek {
    Day monday;
    Number low, high; /* seconds of all rows */
    Number crew;      /* seconds that the crews have */
    bool has_crew;    /* a crew is declared at all */
    size_t count, without_time;
    const LabourRow *rows; /* in the order of their names */
    size_t row_count;
} LabourWeek;

typedef struct Labour Labour;

Labour *labour_new(Nursery *nursery, Day from, Day to); /* DAY_NONE: open */
WorkSink labour_task;                                   /* `to` is a Labour */
SurveyVisit labour_batch;                               /* taking and sticking; `to` is a Labour */
/* Weeks in their order, those without work left out. */
const LabourWeek *labour_weeks(Labour *labour, size_t *count);

#endif
