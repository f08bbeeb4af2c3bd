/* Whole days in the Gregorian calendar, and days of an unnamed year.
 *
 * Nothing here reads the clock. Source of the day-number arithmetic: the civil calendar's 400-year cycle of
 * 146,097 days.
 */
#ifndef BASE_DATE_H
#define BASE_DATE_H

#include "base/slice.h"

#include <stdbool.h>
#include <stdint.h>

typedef int32_t Day; /* days since 1 Jan 1970 */
#define DAY_NONE INT32_MIN
enum { YEAR_FIRST = 1900, YEAR_LAST = 2199 };  /* dates outside are refused */
enum { DAY_FIRST = -25567, DAY_LAST = 84005 }; /* the first day of the one, the last of the other */

bool day_make(int year, int month, int day, Day *out); /* false: no such day, or a year outside */
void day_split(Day day, int *year, int *month, int *day_of_month);
int day_year(Day day);
int day_weekday(Day day); /* 1 Monday … 7 Sunday */
void day_iso_week(Day day, int *iso_year, int *week);
bool day_in_range(Day day); /* between the first day of 1900 and the last of 2199 */
int month_length(int year, int month);
bool month_find(Slice word, int *month); /* "Jan" … "Dec", "January" …; letter case as written there */
bool weekday_find(Slice word, int *weekday); /* "Mon" … "Sun" */
extern const char *const month_name[13];     /* [1] "Jan" */
extern const char *const weekday_name[8];    /* [1] "Mon" */

enum { DAY_TEXT = 24 };
size_t day_write_iso(char to[static DAY_TEXT], Day day);  /* 2027-06-18 */
size_t day_write(char to[static DAY_TEXT], Day day);      /* 18 Jun 2027 */
size_t day_write_long(char to[static DAY_TEXT], Day day); /* Fri 18 Jun 2027 */

/* A day or part of a month in no particular year. */
typedef enum DayPart {
    PART_OF_MONTH_DAY,   /* `18 Jun`: day is set */
    PART_OF_MONTH_WHOLE, /* `Jun` */
    PART_OF_MONTH_EARLY, /* days 1–10 */
    PART_OF_MONTH_MID,   /* 11–20 */
    PART_OF_MONTH_LATE,  /* 21–end */
    PART_OF_MONTH_START, /* the first day */
    PART_OF_MONTH_END    /* the last day */
} DayPart;

typedef struct YearDay {
    uint8_t month;
    uint8_t part; /* a DayPart */
    uint8_t day;  /* with PART_OF_MONTH_DAY: 1–31, and possible in a leap year */
} YearDay;

/* First and last day of it in a year. 29 Feb in a common year is 1 Mar as a first and 28 Feb as a last day.
 */
Day year_day_first(YearDay day, int year);
Day year_day_last(YearDay day, int year);
size_t year_day_write(char to[static DAY_TEXT], YearDay day); /* "late May", "18 Jun" */

#endif
