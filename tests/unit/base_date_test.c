/* base/date: every day of 1900 to 2199 against a calendar that counts, and published rows of ISO weeks and
 * date sums (tests/outside/vectors/iso_dates.csv and date_arith.csv, whose last column names the programs
 * they came from). */
#include "check.h"

#include "base/date.h"

static int slow_length(int year, int month)
{
    if (month == 2) return (year % 4 == 0 && year % 100 != 0) || year % 400 == 0 ? 29 : 28;
    return month == 4 || month == 6 || month == 9 || month == 11 ? 30 : 31;
}

/* A calendar that only ever goes on by a day. */
typedef struct Walk {
    int year, month, day, weekday, iso_year, week;
} Walk;

static void walk_on(Walk *walk)
{
    if (++walk->day > slow_length(walk->year, walk->month)) walk->day = 1, walk->month++;
    if (walk->month > 12) walk->month = 1, walk->year++;
    if (++walk->weekday <= 7) return;
    walk->weekday = 1;
    walk->week++;
    /* Week 1 is the one with 4 January in it: its Monday is 29 December to 4 January. */
    bool first = (walk->month == 12 && walk->day >= 29) || (walk->month == 1 && walk->day <= 4);
    if (first) walk->week = 1, walk->iso_year = walk->month == 12 ? walk->year + 1 : walk->year;
}

static void every_day_of_the_range(void **state)
{
    (void)state;
    Walk walk = {1900, 1, 1, 1, 1900, 1}; /* 1 Jan 1900 was a Monday */
    Day day;
    assert_true(day_make(1900, 1, 1, &day));
    assert_int_equal(day, -25567);
    int days = 0;
    for (; walk.year <= YEAR_LAST; walk_on(&walk), day++, days++) {
        Day made;
        int year, month, day_of_month, iso_year, week;
        assert_true(day_make(walk.year, walk.month, walk.day, &made));
        assert_int_equal(made, day);
        day_split(day, &year, &month, &day_of_month);
        assert_true(year == walk.year && month == walk.month && day_of_month == walk.day);
        assert_int_equal(day_year(day), walk.year);
        assert_int_equal(day_weekday(day), walk.weekday);
        day_iso_week(day, &iso_year, &week);
        assert_true(iso_year == walk.iso_year && week == walk.week);
        assert_int_equal(month_length(year, month), slow_length(year, month));
        assert_true(day_in_range(day));
    }
    assert_int_equal(days, 109573); /* 300 years, 73 of them leap: 2000 is, 1900 and 2100 are not */
    assert_false(day_in_range(day));
    assert_false(day_in_range(-25568));
    assert_false(day_in_range(DAY_NONE));
}

static void far_days_split_and_can_be_written(void **state)
{
    (void)state;
    static const Day far[] = {INT32_MIN, INT32_MAX, -719528, -719469, -719468, 2932896, 2932897};
    static const char *const iso[] = {"-5877641-06-23", "5881580-07-11", "0000-01-01", "0000-02-29",
                                      "0000-03-01",     "9999-12-31",    "10000-01-01"};
    for (size_t i = 0; i < CHECK_COUNT(far); i++) {
        char text[DAY_TEXT];
        assert_int_equal(day_write_iso(text, far[i]), strlen(iso[i]));
        assert_string_equal(text, iso[i]);
        size_t length = day_write_long(text, far[i]);
        assert_int_equal(length, strlen(text));
        int weekday = day_weekday(far[i]);
        assert_true(weekday >= 1 && weekday <= 7);
    }
}

static void days_that_are_not_are_refused(void **state)
{
    (void)state;
    static const int bad[][3] = {{1899, 12, 31}, {2200, 1, 1},  {2027, 0, 1},  {2027, 13, 1},
                                 {2027, 1, 0},   {2027, 1, 32}, {2027, 2, 29}, {2100, 2, 29},
                                 {2028, 2, 30},  {2027, 4, 31}, {2027, -1, 5}, {2027, 6, -1}};
    Day day = 5;
    for (size_t i = 0; i < CHECK_COUNT(bad); i++)
        assert_false(day_make(bad[i][0], bad[i][1], bad[i][2], &day));
    assert_int_equal(day, 5);
    assert_true(day_make(2028, 2, 29, &day));
    assert_true(day_make(2000, 2, 29, &day));
}

static bool iso_day(const char *text, Day *day)
{
    int year, month, day_of_month;
    assert_int_equal(sscanf(text, "%d-%d-%d", &year, &month, &day_of_month), 3);
    return day_make(year, month, day_of_month, day);
}

static void published_iso_weeks(void **state)
{
    (void)state;
    static const char *const weekdays[] = {"",         "Monday", "Tuesday",  "Wednesday",
                                           "Thursday", "Friday", "Saturday", "Sunday"};
    FILE *file = check_vectors("iso_dates.csv");
    CheckRow row;
    int checked = 0, outside = 0;
    while (check_row(file, &row)) {
        Day day, first;
        if (!iso_day(row.column[1], &day)) {
            outside++; /* years 1, 2400 and 9999 */
            continue;
        }
        int iso_year, week, year = day_year(day);
        day_iso_week(day, &iso_year, &week);
        assert_true(day_make(year, 1, 1, &first));
        char text[80], iso[DAY_TEXT];
        snprintf(text, sizeof text, "%04d-W%02d-%d", iso_year, week, day_weekday(day));
        assert_string_equal(text, row.column[2]);
        snprintf(text, sizeof text, "%04d-%03d", year, day - first + 1);
        assert_string_equal(text, row.column[3]);
        assert_string_equal(weekdays[day_weekday(day)], row.column[4]);
        assert_memory_equal(weekday_name[day_weekday(day)], row.column[4], 3);
        day_write_iso(iso, day);
        assert_string_equal(iso, row.column[1]);
        checked++;
    }
    fclose(file);
    assert_int_equal(checked, 39);
    assert_int_equal(outside, 3);
}

static void published_sums_of_dates(void **state)
{
    (void)state;
    FILE *file = check_vectors("date_arith.csv");
    CheckRow row;
    int checked = 0;
    for (; check_row(file, &row); checked++) {
        const char *operation = row.column[1];
        Day a, b;
        assert_true(iso_day(row.column[2], &a));
        if (strcmp(operation, "diff_days") == 0) {
            assert_true(iso_day(row.column[3], &b));
            assert_int_equal(b - a, strtol(row.column[4], NULL, 10));
            continue;
        }
        int days_each = strcmp(operation, "add_weeks") == 0 ? 7 : 1;
        assert_true(days_each == 7 || strcmp(operation, "add_days") == 0);
        assert_true(iso_day(row.column[4], &b));
        assert_int_equal(a + days_each * (int)strtol(row.column[3], NULL, 10), b);
    }
    fclose(file);
    assert_int_equal(checked, 27);
}

static void months_and_weekdays_are_found_by_name(void **state)
{
    (void)state;
    static const char *const whole[] = {"",        "January",  "February", "March",  "April",
                                        "May",     "June",     "July",     "August", "September",
                                        "October", "November", "December"};
    int found = 0;
    for (int i = 1; i <= 12; i++) {
        assert_true(month_find(slice_of(month_name[i]), &found));
        assert_int_equal(found, i);
        assert_true(month_find(slice_of(whole[i]), &found));
        assert_int_equal(found, i);
        assert_memory_equal(month_name[i], whole[i], 3);
    }
    for (int i = 1; i <= 7; i++) {
        assert_true(weekday_find(slice_of(weekday_name[i]), &found));
        assert_int_equal(found, i);
    }
    static const char *const bad[] = {"", "jan", "JAN", "Janu", "Sept", "Ma", "Junes", "Mon"};
    for (size_t i = 0; i < CHECK_COUNT(bad); i++) assert_false(month_find(slice_of(bad[i]), &found));
    assert_false(weekday_find(SLICE(""), &found));
    assert_false(weekday_find(SLICE("Monday"), &found));
    assert_false(weekday_find(SLICE("mon"), &found));
}

static void days_are_written(void **state)
{
    (void)state;
    Day day;
    char text[DAY_TEXT];
    assert_true(day_make(2027, 6, 18, &day));
    assert_int_equal(day_write_iso(text, day), 10);
    assert_string_equal(text, "2027-06-18");
    assert_int_equal(day_write(text, day), 11);
    assert_string_equal(text, "18 Jun 2027");
    assert_int_equal(day_write_long(text, day), 15);
    assert_string_equal(text, "Fri 18 Jun 2027");
    assert_true(day_make(1901, 2, 3, &day));
    assert_int_equal(day_write(text, day), 10);
    assert_string_equal(text, "3 Feb 1901");
}

static void is_day(Day day, const char *iso)
{
    char text[DAY_TEXT];
    day_write_iso(text, day);
    assert_string_equal(text, iso);
}

static void parts_of_months_begin_and_end(void **state)
{
    (void)state;
    static const struct {
        YearDay day;
        int year;
        const char *text, *first, *last;
    } rows[] = {
        {{6, PART_OF_MONTH_DAY, 18}, 2027, "18 Jun", "2027-06-18", "2027-06-18"},
        {{6, PART_OF_MONTH_DAY, 8}, 2027, "8 Jun", "2027-06-08", "2027-06-08"},
        {{6, PART_OF_MONTH_WHOLE, 0}, 2027, "Jun", "2027-06-01", "2027-06-30"},
        {{5, PART_OF_MONTH_EARLY, 0}, 2027, "early May", "2027-05-01", "2027-05-10"},
        {{5, PART_OF_MONTH_MID, 0}, 2027, "mid May", "2027-05-11", "2027-05-20"},
        {{5, PART_OF_MONTH_LATE, 0}, 2027, "late May", "2027-05-21", "2027-05-31"},
        {{2, PART_OF_MONTH_LATE, 0}, 2027, "late Feb", "2027-02-21", "2027-02-28"},
        {{12, PART_OF_MONTH_START, 0}, 2027, "start Dec", "2027-12-01", "2027-12-01"},
        {{12, PART_OF_MONTH_END, 0}, 2027, "end Dec", "2027-12-31", "2027-12-31"},
        {{2, PART_OF_MONTH_END, 0}, 2027, "end Feb", "2027-02-28", "2027-02-28"},
        {{2, PART_OF_MONTH_END, 0}, 2028, "end Feb", "2028-02-29", "2028-02-29"},
        {{2, PART_OF_MONTH_WHOLE, 0}, 2028, "Feb", "2028-02-01", "2028-02-29"},
        {{2, PART_OF_MONTH_DAY, 29}, 2028, "29 Feb", "2028-02-29", "2028-02-29"},
        {{2, PART_OF_MONTH_DAY, 29}, 2027, "29 Feb", "2027-03-01", "2027-02-28"},
        {{2, PART_OF_MONTH_DAY, 29}, 2100, "29 Feb", "2100-03-01", "2100-02-28"},
    };
    for (size_t i = 0; i < CHECK_COUNT(rows); i++) {
        char text[DAY_TEXT];
        assert_int_equal(year_day_write(text, rows[i].day), strlen(rows[i].text));
        assert_string_equal(text, rows[i].text);
        is_day(year_day_first(rows[i].day, rows[i].year), rows[i].first);
        is_day(year_day_last(rows[i].day, rows[i].year), rows[i].last);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_day_of_the_range),
        cmocka_unit_test(far_days_split_and_can_be_written),
        cmocka_unit_test(days_that_are_not_are_refused),
        cmocka_unit_test(published_iso_weeks),
        cmocka_unit_test(published_sums_of_dates),
        cmocka_unit_test(months_and_weekdays_are_found_by_name),
        cmocka_unit_test(days_are_written),
        cmocka_unit_test(parts_of_months_begin_and_end),
    };
    return cmocka_run_group_tests_name("base/date", tests, NULL, NULL) != 0;
}
