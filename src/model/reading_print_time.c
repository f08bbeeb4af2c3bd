/* Days, windows and moments as people write them.
 *
 * Given a reading of time, writes it so that the readers would take it again; reading_print.c does the other
 * types and calls what is here.
 */
#include "model/reading_print.h"

/* ------------------------------------------------------------------ days */

static void put_day(Buffer *out, Day day)
{
    char text[DAY_TEXT];
    day_write(text, day);
    buffer_text(out, text);
}

static void put_year_day(Buffer *out, YearDay day)
{
    char text[DAY_TEXT];
    year_day_write(text, day);
    buffer_text(out, text);
}

static void put_part_of_month(Buffer *out, Day first, Day last)
{
    int year, month, from, to, last_year, last_month;
    day_split(first, &year, &month, &from);
    day_split(last, &last_year, &last_month, &to);
    unsigned part = from == 11 ? PART_OF_MONTH_MID : from == 21 ? PART_OF_MONTH_LATE : PART_OF_MONTH_WHOLE;
    if (from == 1 && to == 10) part = PART_OF_MONTH_EARLY;
    put_year_day(out, (YearDay){(uint8_t)month, (uint8_t)part, 0});
    buffer_print(out, " %d", year);
}

void put_dates(Buffer *out, const Reading *reading)
{
    if (reading->part_of_month) {
        put_part_of_month(out, reading->first, reading->last);
        return;
    }
    put_day(out, reading->first);
    if (reading->last != reading->first) {
        buffer_text(out, " .. ");
        put_day(out, reading->last);
    }
    if (reading->minutes >= 0) buffer_print(out, " %02d:%02d", reading->minutes / 60, reading->minutes % 60);
}

/* 2 .. 3 weeks, 10 days, 1 day */
static void put_length(Buffer *out, int32_t low, int32_t high)
{
    bool weeks = high > 0 && low % 7 == 0 && high % 7 == 0;
    if (weeks) low /= 7, high /= 7;
    if (low != high) buffer_print(out, "%d .. ", (int)low);
    buffer_print(out, "%d %s%s", (int)high, weeks ? "week" : "day", high == 1 ? "" : "s");
}

static void put_mark(Buffer *out, DayMark mark)
{
    if (!mark.event) {
        put_year_day(out, mark.day);
        return;
    }
    if (mark.days) {
        int32_t days = mark.days < 0 ? -mark.days : mark.days;
        put_length(out, days, days);
        buffer_text(out, mark.days < 0 ? " before " : " after ");
    }
    buffer_slice(out, name_slice(mark.event));
}

static bool same_mark(DayMark a, DayMark b)
{
    return a.event == b.event && a.days == b.days &&
           (a.event || (a.day.month == b.day.month && a.day.part == b.day.part && a.day.day == b.day.day));
}

void put_windows(Buffer *out, const Reading *reading)
{
    for (size_t i = 0; i < reading->window_count; i++) {
        Window window = reading->windows[i];
        put_comma(out, i);
        if (window.all_year) {
            buffer_text(out, "all year");
            continue;
        }
        put_mark(out, window.first);
        if (same_mark(window.first, window.last)) continue;
        buffer_text(out, " .. ");
        put_mark(out, window.last);
    }
}

/* Mon .. Fri, Sun: days in a row as one range. */
static size_t put_weekdays(Buffer *out, uint8_t weekdays)
{
    size_t count = 0;
    for (int day = 1; day <= 7; day++) {
        if (!(weekdays & 1U << (day - 1))) continue;
        int last = day;
        while (last < 7 && weekdays & 1U << last) last++;
        put_comma(out, count++);
        buffer_text(out, weekday_name[day]);
        if (last > day) buffer_print(out, " .. %s", weekday_name[last]);
        day = last;
    }
    return count;
}

static void put_day_set(Buffer *out, DaySet set)
{
    size_t count = put_weekdays(out, set.weekdays);
    for (size_t i = 0; i < set.range_count; i++) {
        const DayRange *range = &set.ranges[i];
        put_comma(out, count + i);
        put_year_day(out, range->first);
        buffer_text(out, " .. ");
        put_year_day(out, range->last);
        bool goes_on = i + 1 < set.range_count && set.ranges[i + 1].why == range->why;
        if (!range->why || goes_on) continue;
        buffer_char(out, ' ');
        put_quoted(out, slice_of(range->why));
    }
}

/* ------------------------------------------------------------------ moments */

static void put_moment(Buffer *out, const WrittenMoment *moment)
{
    static const char *const words[] = {
        [MOMENT_NONE] = "",   [MOMENT_TAKE] = "take",     [MOMENT_STICK] = "stick", [MOMENT_START] = "start",
        [MOMENT_END] = "end", [MOMENT_FINISH] = "finish", [MOMENT_EVENT] = "",
    };
    buffer_text(out, words[moment->kind]);
    if (moment->stage) buffer_text(out, " of ");
    buffer_slice(out, name_slice(moment->kind == MOMENT_EVENT ? moment->event : moment->stage));
}

void put_when(Buffer *out, const Reading *reading)
{
    DaySpan span = reading->span;
    bool before = span.low < 0;
    bool own_start = reading->moment.kind == MOMENT_START && !reading->moment.stage;
    if (reading->type == TYPE_FIRST) {
        buffer_print(out, own_start ? "day %d" : "day %d after ", (int)span.low);
        if (own_start) return;
    } else if (own_start && span.high > 0) {
        buffer_print(out, "day %d", (int)span.low);
        if (span.high > span.low) buffer_print(out, " .. %d", (int)span.high);
        return;
    } else if (span.low || span.high) {
        put_length(out, before ? -span.high : span.low, before ? -span.low : span.high);
        buffer_text(out, before ? " before " : " after ");
    }
    put_moment(out, &reading->moment);
}

void put_lasts(Buffer *out, const Reading *reading)
{
    if (reading->length == LENGTH_DAYS) {
        put_length(out, reading->span.low, reading->span.high);
        put_text_behind(out, reading);
        return;
    }
    buffer_text(out, "until ");
    if (reading->length == LENGTH_WINDOW)
        put_windows(out, reading);
    else
        put_when(out, reading);
}

void put_slack(Buffer *out, const Reading *reading)
{
    static const char *const sides[] = {
        [SLACK_EITHER] = "", [SLACK_BEFORE] = " before", [SLACK_AFTER] = " after"};
    put_length(out, reading->span.low, reading->span.high);
    buffer_text(out, sides[reading->side]);
}

void put_latest(Buffer *out, const Reading *reading)
{
    if (reading->latest_day)
        buffer_print(out, "day %d", (int)reading->span.low);
    else
        put_windows(out, reading);
}

void put_days(Buffer *out, const Reading *reading)
{
    if (reading->none)
        buffer_text(out, "none");
    else
        put_day_set(out, reading->days);
    if (!reading->days.range_count) put_text_behind(out, reading);
}

void put_at(Buffer *out, const Reading *reading)
{
    if (reading->each)
        buffer_print(out, "each %s", reading->each->text);
    else
        put_when(out, reading);
}

void put_day_value(Buffer *out, const Reading *reading)
{
    put_dates(out, reading);
    put_text_behind(out, reading);
}

void put_event(Buffer *out, const Reading *reading)
{
    put_year_day(out, reading->event);
}
