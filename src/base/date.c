/* Days.
 *
 * Given years, months and days, makes day numbers, and from day numbers the civil date, weekday, ISO week and
 * texts. Years are counted from 1 March, so that the leap day is the last of its year and the months before
 * it have one fixed pattern: 153 days every five months. Source: the civil calendar's cycle of 400 years,
 * 146,097 days.
 */
#include "base/date.h"

#include "base/digits.h"

#include <string.h>

const char *const month_name[13] = {"",    "Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                    "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};
const char *const weekday_name[8] = {"", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"};

static const char *const month_whole[13] = {"",        "January",  "February", "March",  "April",
                                            "May",     "June",     "July",     "August", "September",
                                            "October", "November", "December"};

enum {
    CYCLE_YEARS = 400,
    CYCLE_DAYS = 146097,
    EPOCH = 719468 /* days from 1 Mar of year 0 to 1 Jan 1970 */
};

static int64_t floor_divide(int64_t a, int64_t b)
{
    return a / b - (a % b < 0);
}

static bool is_leap(int year)
{
    return year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
}

int month_length(int year, int month)
{
    static const int length[13] = {0, 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    return length[month] + (month == 2 && is_leap(year));
}

static Day from_civil(int year, int month, int day)
{
    int64_t march_year = (int64_t)year - (month <= 2);
    int64_t cycle = floor_divide(march_year, CYCLE_YEARS);
    int64_t year_of_cycle = march_year - cycle * CYCLE_YEARS;
    int64_t march_month = month > 2 ? month - 3 : month + 9;
    int64_t day_of_year = (153 * march_month + 2) / 5 + day - 1;
    int64_t day_of_cycle = year_of_cycle * 365 + year_of_cycle / 4 - year_of_cycle / 100 + day_of_year;
    return (Day)(cycle * CYCLE_DAYS + day_of_cycle - EPOCH);
}

bool day_make(int year, int month, int day, Day *out)
{
    if (year < YEAR_FIRST || year > YEAR_LAST || month < 1 || month > 12) return false;
    if (day < 1 || day > month_length(year, month)) return false;
    *out = from_civil(year, month, day);
    return true;
}

void day_split(Day day, int *year, int *month, int *day_of_month)
{
    int64_t since = (int64_t)day + EPOCH;
    int64_t cycle = floor_divide(since, CYCLE_DAYS);
    int64_t day_of_cycle = since - cycle * CYCLE_DAYS;
    /* Leap days before this one in the cycle: one after each 1460 days, none after each 36524, one after
     * 146096. */
    int64_t leaps = day_of_cycle / 1460 - day_of_cycle / 36524 + day_of_cycle / 146096;
    int64_t year_of_cycle = (day_of_cycle - leaps) / 365;
    int64_t day_of_year = day_of_cycle - (365 * year_of_cycle + year_of_cycle / 4 - year_of_cycle / 100);
    int64_t march_month = (5 * day_of_year + 2) / 153;
    *day_of_month = (int)(day_of_year - (153 * march_month + 2) / 5 + 1);
    *month = (int)(march_month < 10 ? march_month + 3 : march_month - 9);
    *year = (int)(cycle * CYCLE_YEARS + year_of_cycle + (*month <= 2));
}

int day_year(Day day)
{
    int year, month, day_of_month;
    day_split(day, &year, &month, &day_of_month);
    return year;
}

int day_weekday(Day day)
{
    int64_t since_monday = (int64_t)day + 3; /* day 0 was a Thursday */
    return (int)(since_monday - 7 * floor_divide(since_monday, 7)) + 1;
}

void day_iso_week(Day day, int *iso_year, int *week)
{
    /* A week belongs to the year of its Thursday. */
    Day thursday = (Day)((int64_t)day + 4 - day_weekday(day));
    *iso_year = day_year(thursday);
    *week = (thursday - from_civil(*iso_year, 1, 1)) / 7 + 1;
}

bool day_in_range(Day day)
{
    return day >= DAY_FIRST && day <= DAY_LAST;
}

static bool name_find(Slice word, const char *const *names, int count, int *found)
{
    for (int i = 1; i <= count; i++) {
        if (!slice_is(word, names[i])) continue;
        *found = i;
        return true;
    }
    return false;
}

bool month_find(Slice word, int *month)
{
    enum { SHORT = 3 };
    if (word.length < SHORT || *word.at < 'A' || *word.at > 'S')
        return false; /* nearly every word of a text */
    if (!name_find((Slice){word.at, SHORT}, month_name, 12, month)) return false;
    return word.length == SHORT || slice_is(word, month_whole[*month]);
}

bool weekday_find(Slice word, int *weekday)
{
    return name_find(word, weekday_name, 7, weekday);
}

/* ------------------------------------------------------------------ writing */

/* Four digits at least; a minus before them for the years a difference of days might wander into. */
static size_t write_year(char *to, int year)
{
    size_t length = 0;
    if (year < 0) to[length++] = '-';
    unsigned size = year < 0 ? 0U - (unsigned)year : (unsigned)year;
    if (size > 9999) {
        char digits[DIGITS_ROOM];
        size_t count = digits_write(digits, size);
        memcpy(to + length, digits, count);
        return length + count;
    }
    digits_pair(to + length, size / 100);
    digits_pair(to + length + 2, size % 100);
    return length + 4;
}

/* A day of the month without a leading zero. */
static size_t write_day(char *to, int day)
{
    char pair[2];
    digits_pair(pair, (unsigned)day);
    size_t skip = pair[0] == '0';
    memcpy(to, pair + skip, 2 - skip);
    return 2 - skip;
}

size_t day_write_iso(char to[static DAY_TEXT], Day day)
{
    int year, month, day_of_month;
    day_split(day, &year, &month, &day_of_month);
    size_t length = write_year(to, year);
    to[length] = '-';
    digits_pair(to + length + 1, (unsigned)month);
    to[length + 3] = '-';
    digits_pair(to + length + 4, (unsigned)day_of_month);
    to[length + 6] = '\0';
    return length + 6;
}

size_t day_write(char to[static DAY_TEXT], Day day)
{
    int year, month, day_of_month;
    day_split(day, &year, &month, &day_of_month);
    size_t length = write_day(to, day_of_month);
    to[length++] = ' ';
    memcpy(to + length, month_name[month], 3);
    to[length + 3] = ' ';
    length += 4 + write_year(to + length + 4, year);
    to[length] = '\0';
    return length;
}

size_t day_write_long(char to[static DAY_TEXT], Day day)
{
    char date[DAY_TEXT];
    size_t length = day_write(date, day);
    memcpy(to, weekday_name[day_weekday(day)], 3);
    to[3] = ' ';
    memcpy(to + 4, date, length + 1);
    return length + 4;
}

/* ------------------------------------------------------------------ days of no year */

/* Days of the month at which a part begins and ends; 0 stands for the month's last day. */
static const struct {
    const char *word;
    uint8_t first, last;
} parts[] = {
    [PART_OF_MONTH_DAY] = {"", 1, 0},         [PART_OF_MONTH_WHOLE] = {"", 1, 0},
    [PART_OF_MONTH_EARLY] = {"early", 1, 10}, [PART_OF_MONTH_MID] = {"mid", 11, 20},
    [PART_OF_MONTH_LATE] = {"late", 21, 0},   [PART_OF_MONTH_START] = {"start", 1, 1},
    [PART_OF_MONTH_END] = {"end", 0, 0},
};

Day year_day_first(YearDay day, int year)
{
    if (day.part == PART_OF_MONTH_DAY)
        return from_civil(year, day.month, day.day); /* 29 Feb runs on into 1 Mar */
    int first = parts[day.part].first;
    return from_civil(year, day.month, first ? first : month_length(year, day.month));
}

Day year_day_last(YearDay day, int year)
{
    int length = month_length(year, day.month);
    int last = day.part == PART_OF_MONTH_DAY ? day.day : parts[day.part].last;
    return from_civil(year, day.month, last && last < length ? last : length);
}

size_t year_day_write(char to[static DAY_TEXT], YearDay day)
{
    size_t length = 0;
    if (day.part == PART_OF_MONTH_DAY) {
        length = write_day(to, day.day);
    } else {
        length = strlen(parts[day.part].word);
        memcpy(to, parts[day.part].word, length);
    }
    if (length) to[length++] = ' ';
    memcpy(to + length, month_name[day.month], 4);
    return length + 3;
}
