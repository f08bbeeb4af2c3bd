/* Hours of work: a row a week for people, a row for each week and task for programs. */
#include "write/labour.h"

#include "write/table.h"

enum { HOUR = 3600, LONGEST_TOLD = 3 };

static double hours_of(Number seconds)
{
    return (double)seconds.num / (double)seconds.den / HOUR;
}

static TableFigure week_name(Arena *arena, Day monday)
{
    int year, week;
    day_iso_week(monday, &year, &week);
    return figure_text(arena_print(arena, "%d-W%02d", year, week));
}

static const double WORTH_TELLING = 0.5; /* hours */

/* The tasks that take most of a week. */
static const char *longest(Arena *arena, const LabourWeek *week)
{
    const char *text = "";
    double below = 1e300;
    for (int told = 0; told < LONGEST_TOLD; told++) {
        const LabourRow *best = NULL;
        for (size_t i = 0; i < week->row_count; i++) {
            double hours = hours_of(week->rows[i].high);
            if (hours >= WORTH_TELLING && hours < below && (!best || hours > hours_of(best->high)))
                best = &week->rows[i];
        }
        if (!best) break;
        below = hours_of(best->high);
        text = arena_print(arena, "%s%s%s %.0f", text, *text ? ", " : "", best->what, below);
    }
    return text;
}

static void add_notes(const LabourReport *report, Table *table)
{
    size_t without_time = 0;
    for (size_t i = 0; i < report->count; i++) without_time += report->weeks[i].without_time;
    if (without_time)
        table_note(
            table,
            arena_print(
                report->arena,
                "%zu occurrences of tasks are not in it: nobody says how long they take, or for how many",
                without_time));
    if (report->count && !report->weeks[0].has_crew)
        table_note(table, "no crew is declared with people and hours, so nothing is held against it");
    if (!report->explain) return;
    table_note(table, "hours = sum over tasks of `takes` x containers (or plants, or once); taking and "
                      "sticking = count / `work` per hour");
    table_note(table, "crew hours = people x hours a day x open days of the week, in the months the crew is "
                      "there; on closed days `duty-time`");
}

void labour_write_text(Buffer *out, const LabourReport *report)
{
    static const TableColumn columns[] = {{"week", "week", false},          {"monday", "from", false},
                                          {"hours_low", "hours", true},     {"hours_high", "to", true},
                                          {"crew_hours", "crew has", true}, {"over", "", false},
                                          {"longest", "most of it", false}};
    Table *table =
        table_new(report->arena, "work", "Hours of work by week", columns, sizeof columns / sizeof *columns);
    for (size_t i = 0; i < report->count; i++) {
        const LabourWeek *week = &report->weeks[i];
        bool over = week->has_crew && number_compare(week->low, week->crew) > 0;
        bool perhaps = week->has_crew && number_compare(week->high, week->crew) > 0;
        const TableFigure cells[] = {week_name(report->arena, week->monday),
                                     figure_day(week->monday),
                                     figure_real(hours_of(week->low), 1),
                                     figure_real(hours_of(week->high), 1),
                                     week->has_crew ? figure_real(hours_of(week->crew), 1) : figure_none(),
                                     figure_text(over      ? "too much"
                                                 : perhaps ? "perhaps"
                                                           : ""),
                                     figure_text(longest(report->arena, week))};
        table_row(table, cells);
    }
    add_notes(report, table);
    table_write_text(out, table);
}

static Table *row_table(const LabourReport *report)
{
    static const TableColumn columns[] = {
        {"week", "week", false},           {"monday", "from", false},       {"task", "task", false},
        {"times", "times", true},          {"hours_low", "hours", true},    {"hours_high", "to", true},
        {"without_time", "untimed", true}, {"crew_hours", "crew has", true}};
    Table *table =
        table_new(report->arena, "work", "Hours of work by week", columns, sizeof columns / sizeof *columns);
    for (size_t i = 0; i < report->count; i++)
        for (size_t k = 0; k < report->weeks[i].row_count; k++) {
            const LabourWeek *week = &report->weeks[i];
            const LabourRow *row = &week->rows[k];
            const TableFigure cells[] = {week_name(report->arena, week->monday),
                                         figure_day(week->monday),
                                         figure_text(row->what),
                                         figure_integer((int64_t)row->count),
                                         figure_real(hours_of(row->low), 2),
                                         figure_real(hours_of(row->high), 2),
                                         figure_integer((int64_t)row->without_time),
                                         week->has_crew ? figure_real(hours_of(week->crew), 2)
                                                        : figure_none()};
            table_row(table, cells);
        }
    add_notes(report, table);
    return table;
}

void labour_write_csv(Buffer *out, const LabourReport *report)
{
    table_write_csv(out, row_table(report));
}

void labour_write_json(Buffer *out, const LabourReport *report)
{
    table_write_json(out, row_table(report));
}
