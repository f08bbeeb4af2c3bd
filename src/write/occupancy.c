/* How full places are: a row a place for people, with a picture of its weeks; a row for each stretch of days
 * for programs. */
#include "write/occupancy.h"

#include "write/occupancy_span.h"
#include "write/table.h"

#include <string.h>

enum { WEEKS_MOST = 104, WEEK = 7 };

double share_percent(Number share)
{
    return (double)share.num / (double)share.den * 100;
}

bool report_has_place(const OccupancyReport *report, const PlaceOccupancy *place)
{
    return place->span_count &&
           (!report->place.length || slice_equal(name_slice(place->place->name), report->place));
}

/* ------------------------------------------------------------------ the days of the report */

bool report_span(const OccupancyReport *report, const OccupancySpan *span, Day *first, Day *leave)
{
    *first = report->from != DAY_NONE && span->first < report->from ? report->from : span->first;
    *leave = report->to != DAY_NONE && span->leave > report->to + 1 ? report->to + 1 : span->leave;
    return *first < *leave;
}

bool report_days(const OccupancyReport *report, Day *first, Day *leave)
{
    *first = DAY_LAST;
    *leave = DAY_FIRST;
    for (size_t i = 0; i < report->place_count; i++) {
        if (!report_has_place(report, &report->places[i])) continue;
        for (size_t k = 0; k < report->places[i].span_count; k++) {
            Day begin, end;
            if (!report_span(report, &report->places[i].spans[k], &begin, &end)) continue;
            if (begin < *first) *first = begin;
            if (end > *leave) *leave = end;
        }
    }
    return *first < *leave;
}

/* ------------------------------------------------------------------ the picture in characters */

static double most_in(const PlaceOccupancy *place, Day first, Day leave, Certainty certainty)
{
    double most = 0;
    for (size_t i = 0; i < place->span_count; i++) {
        const OccupancySpan *span = &place->spans[i];
        if (span->leave <= first || span->first >= leave) continue;
        double share = share_percent(span->share[certainty]);
        if (share > most) most = share;
    }
    return most;
}

static char mark_of(double percent)
{
    if (percent <= 0) return ' ';
    return percent <= 25 ? '.' : percent <= 50 ? ':' : percent <= 75 ? '+' : percent <= 100 ? '#' : '!';
}

/* A letter of the month over the week in which it begins. */
static void month_line(char *line, Day first, size_t weeks)
{
    for (size_t week = 0; week < weeks; week++) {
        int year, month, day;
        day_split(first + (Day)week * WEEK + WEEK - 1, &year, &month, &day);
        line[week] = day <= WEEK ? *month_name[month] : ' ';
    }
    line[weeks] = '\0';
}

static void add_picture(const OccupancyReport *report, Table *table)
{
    Day first, leave;
    char line[WEEKS_MOST + 1];
    size_t width = 0;
    if (!report_days(report, &first, &leave)) return;
    first -= day_weekday(first) - 1;
    size_t weeks = ((size_t)(leave - first) + WEEK - 1) / WEEK;
    bool cut = weeks > WEEKS_MOST;
    if (cut) weeks = WEEKS_MOST;
    for (size_t i = 0; i < report->place_count; i++)
        if (report_has_place(report, &report->places[i]) && report->places[i].place->name->length > width)
            width = report->places[i].place->name->length;
    month_line(line, first, weeks);
    table_line(table, arena_print(report->arena, "%*s  %s", (int)width, "", line));
    for (size_t i = 0; i < report->place_count; i++) {
        const PlaceOccupancy *place = &report->places[i];
        if (!report_has_place(report, place)) continue;
        for (size_t week = 0; week < weeks; week++) {
            Day monday = first + (Day)week * WEEK;
            line[week] = mark_of(most_in(place, monday, monday + WEEK, CERTAINTY_PLANNED));
        }
        line[weeks] = '\0';
        table_line(table,
                   arena_print(report->arena, "%-*s |%s|", (int)width, place->place->name->text, line));
    }
    char day[DAY_TEXT];
    day_write(day, first);
    table_line(
        table,
        arena_print(
            report->arena,
            "%*s  a mark a week from %s as planned: . to 25, : to 50, + to 75, # to 100 %% of full, ! over%s",
            (int)width, "", day, cut ? "; the first two years" : ""));
}

/* ------------------------------------------------------------------ rows */

static bool same_gap(const OccupancyGap *a, const OccupancyGap *b)
{
    return a->place == b->place && a->container == b->container && !strcmp(a->missing, b->missing);
}

/* Told once for a place and what is not known of it, with the batches. */
static void add_gap(const OccupancyReport *report, Table *table, size_t index)
{
    enum { NAMES_TOLD = 6 };
    const OccupancyGap *gap = &report->gaps[index];
    if (report->place.length && !slice_equal(name_slice(gap->place->name), report->place)) return;
    for (size_t i = 0; i < index; i++)
        if (same_gap(&report->gaps[i], gap)) return;
    const char *names = "";
    size_t count = 0;
    for (size_t i = index; i < report->gap_count; i++) {
        if (!same_gap(&report->gaps[i], gap)) continue;
        if (count++ < NAMES_TOLD)
            names =
                arena_print(report->arena, "%s%s%s", names, *names ? ", " : "", report->gaps[i].batch->text);
    }
    if (count > NAMES_TOLD) names = arena_print(report->arena, "%s and %zu more", names, count - NAMES_TOLD);
    table_note(table, arena_print(report->arena, "not counted at %s, as nobody says %s%s%s: %s",
                                  gap->place->name->text, gap->missing, gap->container ? " of " : "",
                                  gap->container ? gap->container->name->text : "", names));
}

static void add_notes(const OccupancyReport *report, Table *table)
{
    for (size_t i = 0; i < report->gap_count; i++) add_gap(report, table, i);
    if (!report->explain) return;
    table_note(
        table,
        "share = sum over kinds of container of containers there / containers the place holds of the kind");
    table_note(table, "sure: from the latest begin to the earliest end; perhaps: from the earliest begin to "
                      "the latest end and the days "
                      "to make the place ready");
    table_note(table, "what a place holds: its `holds`; else of floor(W/a) x floor(L/b) and floor(W/b) x "
                      "floor(L/a) the better");
    table_note(table, "in the rows of a bed: cuttings x apart / row-length, with the least apart surely, the "
                      "middle as planned, the most perhaps");
}

static void summary_row(const OccupancyReport *report, const PlaceOccupancy *place, Table *table)
{
    Day first = DAY_NONE, leave = DAY_NONE, worst = DAY_NONE;
    double most[CERTAINTIES] = {0};
    int64_t over = 0;
    for (size_t i = 0; i < place->span_count; i++) {
        Day begin, end;
        if (!report_span(report, &place->spans[i], &begin, &end)) continue;
        if (first == DAY_NONE) first = begin;
        leave = end;
        for (int k = 0; k < CERTAINTIES; k++) {
            double share = share_percent(place->spans[i].share[k]);
            if (k == CERTAINTY_PLANNED && share > most[k]) worst = begin;
            if (share > most[k]) most[k] = share;
        }
        if (number_compare(place->spans[i].share[CERTAINTY_PLANNED], NUMBER(1)) > 0) over += end - begin;
    }
    if (first == DAY_NONE) return;
    const TableFigure cells[] = {figure_text(place->place->name->text),
                                 figure_day(first),
                                 figure_day(leave - 1),
                                 figure_day(worst),
                                 figure_real(most[CERTAINTY_SURE], 0),
                                 figure_real(most[CERTAINTY_PLANNED], 0),
                                 figure_real(most[CERTAINTY_PERHAPS], 0),
                                 figure_integer(over)};
    table_row(table, cells);
}

void occupancy_write_text(Buffer *out, const OccupancyReport *report)
{
    static const TableColumn columns[] = {{"place", "place", false},
                                          {"first", "from", false},
                                          {"last", "to", false},
                                          {"fullest", "fullest on", false},
                                          {"sure_pct", "surely %", true},
                                          {"planned_pct", "planned %", true},
                                          {"perhaps_pct", "perhaps %", true},
                                          {"days_over", "days over full", true}};
    Table *table =
        table_new(report->arena, "load", "How full places are", columns, sizeof columns / sizeof *columns);
    add_picture(report, table);
    for (size_t i = 0; i < report->place_count; i++)
        if (report_has_place(report, &report->places[i])) summary_row(report, &report->places[i], table);
    add_notes(report, table);
    table_write_text(out, table);
}

static Table *span_table(const OccupancyReport *report)
{
    static const TableColumn columns[] = {{"place", "place", false},
                                          {"first", "first", false},
                                          {"last", "last", false},
                                          {"sure_pct", "surely %", true},
                                          {"planned_pct", "planned %", true},
                                          {"perhaps_pct", "perhaps %", true}};
    Table *table =
        table_new(report->arena, "load", "How full places are", columns, sizeof columns / sizeof *columns);
    for (size_t i = 0; i < report->place_count; i++) {
        const PlaceOccupancy *place = &report->places[i];
        for (size_t k = 0; report_has_place(report, place) && k < place->span_count; k++) {
            Day first, leave;
            if (!report_span(report, &place->spans[k], &first, &leave)) continue;
            const Number *share = place->spans[k].share;
            const TableFigure cells[] = {figure_text(place->place->name->text),
                                         figure_day(first),
                                         figure_day(leave - 1),
                                         figure_real(share_percent(share[CERTAINTY_SURE]), 1),
                                         figure_real(share_percent(share[CERTAINTY_PLANNED]), 1),
                                         figure_real(share_percent(share[CERTAINTY_PERHAPS]), 1)};
            table_row(table, cells);
        }
    }
    add_notes(report, table);
    return table;
}

void occupancy_write_csv(Buffer *out, const OccupancyReport *report)
{
    table_write_csv(out, span_table(report));
}

void occupancy_write_json(Buffer *out, const OccupancyReport *report)
{
    table_write_json(out, span_table(report));
}
