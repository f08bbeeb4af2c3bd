/* Courses line by line: see course.h. */
#include "write/course.h"

#include "write/table.h"

#include <math.h>
#include <string.h>

enum { WIDTH = 51 }; /* columns from 0 to 100 %, one for 2 % */

static double share(int64_t part, int64_t of)
{
    return of > 0 ? (double)part / (double)of : 0;
}

static TableFigure percent(bool known, double value)
{
    return known ? figure_real(value * 100, 1) : figure_none();
}

static size_t column_of(double value)
{
    double column = floor(value * (WIDTH - 1) + 0.5);
    return column < 0 ? 0 : column > WIDTH - 1 ? WIDTH - 1 : (size_t)column;
}

/* ".....:.." with A where they live and R where they are rooted; # where both are. */
static const char *picture(const CourseReport *report, const CourseWeek *week)
{
    char line[WIDTH + 1];
    memset(line, ' ', WIDTH);
    line[WIDTH] = '\0';
    if (week->mean >= 0) {
        for (size_t i = column_of(week->low); i <= column_of(week->high); i++) line[i] = '.';
        line[column_of(week->mean)] = ':';
    }
    size_t alive = column_of(week->share);
    line[alive] = 'A';
    if (course_roots_known(week)) {
        size_t rooted = column_of(share(week->rooted, week->rooted_of));
        line[rooted] = rooted == alive ? '#' : 'R';
    }
    return arena_print(report->arena, "|%s|", line);
}

static void write_one(Buffer *out, const CourseReport *report, const Course *course)
{
    static const TableColumn columns[] = {
        {"week", "week", true},
        {"alive_pct", "alive %", true},
        {"rooted_pct", "rooted %", true},
        {"picture", " 0           25           50          75         100 %", false}};
    Table *table =
        table_new(report->arena, "review",
                  arena_print(report->arena, "%s: %zu %s, %lld stuck", course->name, course->batches,
                              course->batches == 1 ? "batch" : "batches", (long long)course->stuck),
                  columns, sizeof columns / sizeof *columns);
    for (size_t w = 0; w < course->week_count; w++) {
        const CourseWeek *week = &course->weeks[w];
        const TableFigure cells[] = {figure_integer((int64_t)w), percent(true, week->share),
                                     percent(course_roots_known(week), share(week->rooted, week->rooted_of)),
                                     figure_text(picture(report, week))};
        table_row(table, cells);
    }
    table_write_text(out, table);
}

void course_write_text(Buffer *out, const CourseReport *report)
{
    for (size_t i = 0; i < report->count; i++) {
        write_one(out, report, &report->list[i]);
        buffer_char(out, '\n');
    }
    buffer_text(
        out, report->count
                 ? "of those stuck: A alive, R rooted by full counts, # both; dots: what the losses of the "
                   "protocol let expect of nine batches in ten, : on average\n"
                 : "No batch is recorded as stuck\n");
}

/* ------------------------------------------------------------------ for programs */

static Table *data_table(const CourseReport *report)
{
    static const TableColumn columns[] = {{"name", "", false},
                                          {"week", "", true},
                                          {"alive", "", true},
                                          {"of", "", true},
                                          {"alive_pct", "", true},
                                          {"rooted", "", true},
                                          {"rooted_of", "", true},
                                          {"rooted_pct", "", true},
                                          {"promised_low_pct", "", true},
                                          {"promised_pct", "", true},
                                          {"promised_high_pct", "", true}};
    Table *table =
        table_new(report->arena, "review", "Courses of batches", columns, sizeof columns / sizeof *columns);
    for (size_t i = 0; i < report->count; i++)
        for (size_t w = 0; w < report->list[i].week_count; w++) {
            const CourseWeek *week = &report->list[i].weeks[w];
            bool rooted = week->rooted >= 0, promised = week->mean >= 0;
            const TableFigure cells[] = {figure_text(report->list[i].name),
                                         figure_integer((int64_t)w),
                                         figure_integer(week->alive),
                                         figure_integer(week->of),
                                         percent(true, week->share),
                                         rooted ? figure_integer(week->rooted) : figure_none(),
                                         rooted ? figure_integer(week->rooted_of) : figure_none(),
                                         percent(rooted, share(week->rooted, week->rooted_of)),
                                         percent(promised, week->low),
                                         percent(promised, week->mean),
                                         percent(promised, week->high)};
            table_row(table, cells);
        }
    return table;
}

void course_write_csv(Buffer *out, const CourseReport *report)
{
    table_write_csv(out, data_table(report));
}

void course_write_json(Buffer *out, const CourseReport *report)
{
    table_write_json(out, data_table(report));
}
