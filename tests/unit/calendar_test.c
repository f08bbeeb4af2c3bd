/* model/calendar: windows, events and open days against the worked dates of docs/timeline.md and against slow
 * searches day by day. */
#include "check.h"

#include "model/calendar.h"

static Day on(int date) /* 20270618 */
{
    Day day = DAY_NONE;
    if (!day_make(date / 10000, date / 100 % 100, date % 100, &day)) fail_msg("no day %d", date);
    return day;
}

static int shown(Day day)
{
    if (day == DAY_NONE) return 0;
    int year, month, day_of_month;
    day_split(day, &year, &month, &day_of_month);
    return (year * 100 + month) * 100 + day_of_month;
}

#define assert_day(day, date) assert_int_equal(shown(day), date)

static DayMark day_mark(int month, int day)
{
    return (DayMark){.day = {(uint8_t)month, PART_OF_MONTH_DAY, (uint8_t)day}};
}

static DayMark part_mark(DayPart part, int month)
{
    return (DayMark){.day = {(uint8_t)month, (uint8_t)part, 0}};
}

static DayMark event_mark(Name event, int days)
{
    return (DayMark){.event = event, .days = days};
}

/* Mon–Fri, closed 24 Dec .. 2 Jan, Saturdays and the break looked after; last frost 28 Apr, in a bad year 18
 * May; first frost 20 Oct, in a bad year 29 Sep. */
typedef struct Site {
    Name last_frost, first_frost, leaf_fall;
    CalendarEvent events[2];
    EventPin pin;
    DayRange closed;
    Calendar calendar;
} Site;

static void site_make(Site *site, Arena *arena)
{
    Names *names = names_new(arena);
    *site = (Site){.last_frost = names_intern(names, SLICE("last-frost")),
                   .first_frost = names_intern(names, SLICE("first-frost")),
                   .leaf_fall = names_intern(names, SLICE("leaf-fall"))};
    YearDay april = day_mark(4, 28).day, may = day_mark(5, 18).day;
    YearDay october = day_mark(10, 20).day, september = day_mark(9, 29).day;
    site->events[0] = (CalendarEvent){site->last_frost, april, april, may};
    site->events[1] = (CalendarEvent){site->first_frost, october, september, october};
    site->closed = (DayRange){day_mark(12, 24).day, day_mark(1, 2).day, "winter break"};
    site->calendar = (Calendar){.work = {.weekdays = 0x1f},
                                .closed = {.ranges = &site->closed, .range_count = 1},
                                .duty = {.weekdays = 0x20, .ranges = &site->closed, .range_count = 1},
                                .events = site->events,
                                .event_count = 2};
}

static void assert_window(const Window *window, const Site *site, int from, Run run, int first, int last)
{
    Occurrence next = window_next(window, &site->calendar, on(from), run);
    assert_day(next.first, first);
    assert_day(next.last, last);
}

static void windows_of_parts_of_months(void **state)
{
    Site site;
    site_make(&site, *state);
    const Window summer = {.first = part_mark(PART_OF_MONTH_LATE, 5),
                           .last = part_mark(PART_OF_MONTH_MID, 7)};
    assert_window(&summer, &site, 20270101, RUN_EARLY, 20270521, 20270720);
    assert_window(&summer, &site, 20270720, RUN_EARLY, 20270521, 20270720);
    assert_window(&summer, &site, 20270721, RUN_EARLY, 20280521, 20280720);
    const Window march = {.first = part_mark(PART_OF_MONTH_START, 3),
                          .last = part_mark(PART_OF_MONTH_END, 3)};
    assert_window(&march, &site, 20270101, RUN_LATE, 20270301, 20270331);
    const Window late_february = {.first = part_mark(PART_OF_MONTH_LATE, 2),
                                  .last = part_mark(PART_OF_MONTH_LATE, 2)};
    assert_window(&late_february, &site, 20270101, RUN_PLANNED, 20270221, 20270228);
    assert_window(&late_february, &site, 20280101, RUN_PLANNED, 20280221, 20280229);
}

static void windows_over_new_year(void **state)
{
    Site site;
    site_make(&site, *state);
    const Window winter = {.first = part_mark(PART_OF_MONTH_LATE, 11),
                           .last = part_mark(PART_OF_MONTH_MID, 2)};
    const struct {
        int day;
        bool inside;
    } rows[] = {{20271120, false}, {20271121, true},  {20271231, true}, {20280101, true},
                {20280220, true},  {20280221, false}, {20280601, false}};
    for (size_t i = 0; i < CHECK_COUNT(rows); i++)
        assert_int_equal(window_has(&winter, &site.calendar, on(rows[i].day), RUN_PLANNED), rows[i].inside);
    assert_window(&winter, &site, 20280220, RUN_PLANNED, 20271121, 20280220);
    assert_window(&winter, &site, 20280221, RUN_PLANNED, 20281121, 20290220);
    Occurrence begun = window_in_year(&winter, &site.calendar, 2027, RUN_PLANNED);
    assert_day(begun.last, 20280220);
    assert_int_equal(begun.year, 2027);
}

static void leap_day_elsewhere(void **state)
{
    Site site;
    site_make(&site, *state);
    const Window from = {.first = day_mark(2, 29), .last = day_mark(4, 1)};
    assert_window(&from, &site, 20270101, RUN_PLANNED, 20270301, 20270401);
    assert_window(&from, &site, 20280101, RUN_PLANNED, 20280229, 20280401);
    const Window to = {.first = day_mark(1, 10), .last = day_mark(2, 29)};
    assert_window(&to, &site, 20270101, RUN_PLANNED, 20270110, 20270228);
    const Window only = {.first = day_mark(2, 29), .last = day_mark(2, 29)};
    assert_window(&only, &site, 20270101, RUN_PLANNED, 20270301, 20270301);
    assert_window(&only, &site, 20280101, RUN_PLANNED, 20280229, 20280229);
    const DayRange leap = {day_mark(2, 29).day, day_mark(2, 29).day, NULL};
    const DaySet set = {.ranges = &leap, .range_count = 1};
    assert_true(dayset_has(&set, on(20280229)));
    assert_false(dayset_has(&set, on(20270228)));
    assert_false(dayset_has(&set, on(20270301)));
    assert_false(dayset_has(&set, on(20270705)));
}

static void events_take_their_own_end_in_each_run(void **state)
{
    Site site;
    site_make(&site, *state);
    const int spring[RUNS] = {20280428, 20280428, 20280518}, autumn[RUNS] = {20280929, 20281020, 20281020};
    for (int run = 0; run < RUNS; run++) {
        assert_day(calendar_event_day(&site.calendar, site.last_frost, 2028, (Run)run), spring[run]);
        assert_day(calendar_event_day(&site.calendar, site.first_frost, 2028, (Run)run), autumn[run]);
    }
    assert_int_equal(calendar_event_day(&site.calendar, site.leaf_fall, 2028, RUN_EARLY), DAY_NONE);
    assert_null(calendar_event(&site.calendar, site.leaf_fall));

    const Window spring_window = {.first = event_mark(site.last_frost, 14),
                                  .last = part_mark(PART_OF_MONTH_MID, 7)};
    assert_window(&spring_window, &site, 20280101, RUN_EARLY, 20280512, 20280720);
    assert_window(&spring_window, &site, 20280101, RUN_LATE, 20280601, 20280720);
    const Window unknown = {.first = event_mark(site.leaf_fall, 0), .last = day_mark(12, 1)};
    assert_int_equal(window_next(&unknown, &site.calendar, on(20280101), RUN_EARLY).first, DAY_NONE);
    assert_false(window_has(&unknown, &site.calendar, on(20281201), RUN_EARLY));
}

static void an_event_may_be_part_of_a_month(void **state)
{
    Site site;
    site_make(&site, *state);
    YearDay mid = part_mark(PART_OF_MONTH_MID, 10).day;
    site.events[1] = (CalendarEvent){site.first_frost, mid, mid, mid};
    const int days[RUNS] = {20281011, 20281016, 20281020};
    for (int run = 0; run < RUNS; run++)
        assert_day(calendar_event_day(&site.calendar, site.first_frost, 2028, (Run)run), days[run]);
}

static void a_seen_event_is_pinned_in_its_year(void **state)
{
    Site site;
    site_make(&site, *state);
    site.pin = (EventPin){site.last_frost, on(20280505)};
    site.calendar.pins = &site.pin;
    site.calendar.pin_count = 1;
    for (int run = 0; run < RUNS; run++)
        assert_day(calendar_event_day(&site.calendar, site.last_frost, 2028, (Run)run), 20280505);
    assert_day(calendar_event_day(&site.calendar, site.last_frost, 2029, RUN_LATE), 20290518);
    assert_day(calendar_event_day(&site.calendar, site.first_frost, 2028, RUN_EARLY), 20280929);
}

static void a_frost_does_not_make_a_window_of_a_year(void **state)
{
    Site site;
    site_make(&site, *state);
    const Window autumn = {.first = day_mark(10, 1), .last = event_mark(site.first_frost, 0)};
    assert_window(&autumn, &site, 20280601, RUN_PLANNED, 20281001, 20281020);
    assert_window(&autumn, &site, 20280601, RUN_EARLY, 20281001, 20281001);
    site.pin = (EventPin){site.first_frost, on(20000920)}; /* nor does one seen in September */
    site.calendar.pins = &site.pin;
    site.calendar.pin_count = 1;
    assert_window(&autumn, &site, 20000601, RUN_PLANNED, 20001001, 20001001);
    site.calendar.pin_count = 0;
    const Window winter = {.first = event_mark(site.first_frost, 0), .last = event_mark(site.last_frost, 0)};
    assert_window(&winter, &site, 20280601, RUN_EARLY, 20280929, 20290428);
    assert_window(&winter, &site, 20280601, RUN_LATE, 20281020, 20290518);
}

static Window random_window(CheckRandom *random, const Site *site)
{
    DayMark marks[2];
    for (int i = 0; i < 2; i++) {
        marks[i] = part_mark((DayPart)(1 + check_below(random, 6)), 1 + (int)check_below(random, 12));
        if (check_below(random, 3) == 0)
            marks[i] = event_mark(check_below(random, 2) ? site->first_frost : site->last_frost, 0);
        marks[i].days = check_below(random, 4) ? 0 : (int)check_below(random, 1200) - 600;
    }
    return (Window){.first = marks[0], .last = marks[1]};
}

/* The next occurrence is the one that ends first, of all those of twenty years, on or after the day. */
static void next_is_the_first_to_end(void **state)
{
    Site site;
    site_make(&site, *state);
    CheckRandom random = check_random("windows");
    for (int i = 0; i < 20000; i++) {
        Window window = random_window(&random, &site);
        Run run = (Run)check_below(&random, RUNS);
        Day day = on(20270101) + (Day)check_below(&random, 1500);
        Occurrence next = window_next(&window, &site.calendar, day, run);
        Occurrence best = {DAY_NONE, INT32_MAX, 0};
        for (int year = 2018; year < 2038; year++) {
            Occurrence other = window_in_year(&window, &site.calendar, year, run);
            assert_true(other.first <= other.last);
            if (other.last >= day && other.last < best.last) best = other;
        }
        assert_day(next.first, shown(best.first));
        assert_day(next.last, shown(best.last));
        assert_int_equal(next.year, best.year);
        assert_int_equal(window_has(&window, &site.calendar, day, run), best.first <= day);
    }
}

static void marks_far_away_end(void **state)
{
    Site site;
    site_make(&site, *state);
    const int32_t far[] = {0, 400, -400, INT32_MAX, INT32_MIN};
    for (size_t i = 0; i < CHECK_COUNT(far); i++) {
        for (size_t j = 0; j < CHECK_COUNT(far); j++) {
            Window window = {.first = day_mark(3, 1), .last = day_mark(4, 1)};
            window.first.days = far[i];
            window.last.days = far[j];
            Occurrence next = window_next(&window, &site.calendar, on(20270618), RUN_PLANNED);
            assert_true(next.last >= on(20270618) && next.first <= next.last);
        }
    }
}

static void whole_year(void **state)
{
    Site site;
    site_make(&site, *state);
    const Window always = {.all_year = true};
    assert_window(&always, &site, 20280229, RUN_PLANNED, 20280101, 20281231);
    assert_true(window_has(&always, &site.calendar, on(20271231), RUN_EARLY));
}

static void open_days(void **state)
{
    Site site;
    site_make(&site, *state);
    const struct {
        int day;
        bool open, duty;
    } rows[] = {{20270618, true, false}, {20270619, false, true}, {20270620, false, false},
                {20271223, true, false}, {20271224, false, true}, {20271231, false, true},
                {20280102, false, true}, {20280103, true, false}};
    for (size_t i = 0; i < CHECK_COUNT(rows); i++) {
        assert_int_equal(calendar_open(&site.calendar, on(rows[i].day)), rows[i].open);
        assert_int_equal(dayset_has(&site.calendar.duty, on(rows[i].day)), rows[i].duty);
    }
    const Calendar nowhere = {.never_closed = true};
    assert_true(calendar_open(&nowhere, on(20271225)));
}

static void moved_to_the_nearest_open_day(void **state)
{
    Site site;
    site_make(&site, *state);
    const struct {
        int day, slack;
        SlackSide side;
        int moved;
        bool found;
    } rows[] = {
        {20270618, 3, SLACK_EITHER, 20270618, true},  {20270619, 3, SLACK_EITHER, 20270618, true},
        {20270620, 3, SLACK_EITHER, 20270621, true},  {20270619, 3, SLACK_AFTER, 20270621, true},
        {20270620, 3, SLACK_BEFORE, 20270618, true},  {20270620, 1, SLACK_BEFORE, 20270620, false},
        {20270619, 0, SLACK_EITHER, 20270619, false}, {20271224, 3, SLACK_EITHER, 20271223, true},
        {20271229, 3, SLACK_EITHER, 20271229, false}, {20271229, 5, SLACK_EITHER, 20280103, true},
        {20271229, 7, SLACK_EITHER, 20280103, true},  {20271228, 7, SLACK_EITHER, 20271223, true},
    };
    for (size_t i = 0; i < CHECK_COUNT(rows); i++) {
        bool found = !rows[i].found;
        Day moved = calendar_moved(&site.calendar, on(rows[i].day), rows[i].slack, rows[i].side, &found);
        assert_day(moved, rows[i].moved);
        assert_int_equal(found, rows[i].found);
    }
    /* Three closed days between a Monday and a Friday: the tie goes to the earlier. */
    const DayRange feast = {day_mark(6, 15).day, day_mark(6, 17).day, NULL};
    site.calendar.closed = (DaySet){.ranges = &feast, .range_count = 1};
    bool found;
    assert_day(calendar_moved(&site.calendar, on(20270616), 3, SLACK_EITHER, &found), 20270614);
    const Calendar never_open = {.work = {.weekdays = 0}};
    assert_day(calendar_moved(&never_open, on(20270616), INT32_MAX, SLACK_EITHER, &found), 20270616);
    assert_false(found);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        CHECK_WITH_ARENA(windows_of_parts_of_months),
        CHECK_WITH_ARENA(windows_over_new_year),
        CHECK_WITH_ARENA(leap_day_elsewhere),
        CHECK_WITH_ARENA(events_take_their_own_end_in_each_run),
        CHECK_WITH_ARENA(an_event_may_be_part_of_a_month),
        CHECK_WITH_ARENA(a_seen_event_is_pinned_in_its_year),
        CHECK_WITH_ARENA(a_frost_does_not_make_a_window_of_a_year),
        CHECK_WITH_ARENA(next_is_the_first_to_end),
        CHECK_WITH_ARENA(marks_far_away_end),
        CHECK_WITH_ARENA(whole_year),
        CHECK_WITH_ARENA(open_days),
        CHECK_WITH_ARENA(moved_to_the_nearest_open_day),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
