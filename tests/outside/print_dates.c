/* Prints days as base/date sees them, for dates_gnu.sh: the turns of every year, the ends of every February,
 * and 2000 days drawn by a seed (the first argument). A line is ISO date|seconds since 1970|ISO week
 * date|long form. */
#include "base/date.h"

#include <stdio.h>
#include <stdlib.h>

static void print_day(Day day)
{
    char iso[DAY_TEXT], text[DAY_TEXT];
    int iso_year, week;
    day_write_iso(iso, day);
    day_write_long(text, day);
    day_iso_week(day, &iso_year, &week);
    printf("%s|%lld|%04d-W%02d-%d|%s\n", iso, (long long)day * 86400, iso_year, week, day_weekday(day), text);
}

int main(int argc, char **argv)
{
    uint64_t state = argc > 1 ? strtoull(argv[1], NULL, 10) : 1;
    Day first, last;
    if (!day_make(YEAR_FIRST, 1, 1, &first) || !day_make(YEAR_LAST, 12, 31, &last)) return 1;
    for (int year = YEAR_FIRST; year <= YEAR_LAST; year++) {
        Day march, january;
        if (!day_make(year, 3, 1, &march) || !day_make(year, 1, 1, &january)) return 1;
        if (january > first) print_day(january - 1);
        print_day(january);
        print_day(march - 1);
        print_day(march);
    }
    for (int i = 0; i < 2000; i++) {
        state = state * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
        print_day((Day)(first + (Day)((state >> 33) % (uint64_t)(last - first + 1))));
    }
    return 0;
}
