/* Forecasts: for people a row a batch and its stages below, for programs a row for each batch and stage. */
#include "write/forecast.h"

#include "base/vec.h"
#include "write/table.h"

#include <math.h>

typedef struct Row {
    const char *batch;
    Forecast forecast;
} Row;

struct ForecastReport {
    Arena *arena;
    bool explain;
    VEC(Row) rows;
};

ForecastReport *forecast_report(Arena *arena, bool explain)
{
    ForecastReport *report = ARENA_NEW(arena, ForecastReport);
    report->arena = arena;
    report->explain = explain;
    return report;
}

void forecast_report_add(ForecastReport *report, Slice batch, const Forecast *forecast)
{
    const char *name = arena_copy(report->arena, batch.at, batch.length);
    VEC_PUSH(report->arena, &report->rows, ((Row){name, *forecast}));
}

static TableFigure percent(double share, int places)
{
    return figure_real(share * 100, places);
}

static TableFigure count_if(bool known, int64_t count)
{
    return known ? figure_integer(count) : figure_none();
}

/* ------------------------------------------------------------------ what is said below */

static void add_missing(const ForecastReport *report, Table *table)
{
    for (size_t i = 0; i < report->rows.count; i++) {
        const char *missing = report->rows.at[i].forecast.missing, *names = "";
        bool told = false;
        size_t same = 0;
        if (!missing) continue;
        for (size_t k = 0; k < i && !told; k++)
            told = report->rows.at[k].forecast.missing &&
                   !slice_compare(slice_of(missing), slice_of(report->rows.at[k].forecast.missing));
        for (size_t k = i; k < report->rows.count && !told; k++) {
            const Row *row = &report->rows.at[k];
            if (!row->forecast.missing || slice_compare(slice_of(missing), slice_of(row->forecast.missing)))
                continue;
            enum { NAMES_TOLD = 6 };
            if (same++ < NAMES_TOLD)
                names = arena_print(report->arena, "%s%s%s", names, *names ? ", " : "", row->batch);
            if (same == NAMES_TOLD + 1) names = arena_print(report->arena, "%s and more", names);
        }
        if (!told)
            table_note(table, arena_print(report->arena, "left out, as nobody says %s: %s", missing, names));
    }
}

static void add_notes(const ForecastReport *report, Table *table)
{
    add_missing(report, table);
    if (!report->explain) return;
    static const char *const lines[] = {
        "losses a .. b: in one of twenty batches less than a is lost, in one of twenty more than b; what "
        "comes through is a beta "
        "distribution with these two points",
        "the cuttings of a batch share its luck; stages are independent; finished of stuck is binomial given "
        "the product of the shares",
        "from .. to: 5 % and 95 % points; chance: P(finished >= wanted), exact; needed: the least number "
        "with that chance, rounded up "
        "to whole containers at the end and nowhere else",
        "of what is recorded: stages behind a batch, with a full count, drop out; a full count within a "
        "stage "
        "says how many have made it at least and can at most; samples settle nothing",
        "not in it: clumps within a batch, a bad season for all; both make the tails wider"};
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) table_note(table, lines[i]);
}

/* ------------------------------------------------------------------ forms */

static const TableColumn batch_columns[] = {{"batch", "batch", false},
                                            {"stuck", "stuck", true},
                                            {"finished_low", "finished from", true},
                                            {"finished_expected", "on average", true},
                                            {"finished_high", "to", true},
                                            {"wanted", "wanted", true},
                                            {"by", "by", false},
                                            {"chance_pct", "chance %", true},
                                            {"needed", "needed", true},
                                            {"containers", "containers", true},
                                            {"needed_on_average", "or on average", true},
                                            {"stick_latest", "stick until", false},
                                            {"rests_on", "rests on", false}};

/* "268 alive on 22 Jun 2026"; a plan needs no words. */
static const char *rests_on(Arena *arena, const Progress *progress)
{
    if (!progress->begun) return "";
    char day[DAY_TEXT];
    day[day_write(day, progress->alive.since)] = '\0';
    if (progress->alive.basis == LEDGER_STUCK && !progress->alive.less)
        return arena_print(arena, "stuck %s", day);
    const char *known = progress->alive.basis == LEDGER_CAME ? "came" : "counted";
    return arena_print(arena, "%lld alive, %s %s", (long long)progress->alive.count,
                       progress->alive.less ? "known since" : known, day);
}

static void batch_row(const ForecastReport *report, const Row *row, Table *table)
{
    const Forecast *forecast = &row->forecast;
    bool needed = forecast->wants && forecast->needed_status == YIELD_COMPUTED && !forecast->missing;
    const TableFigure cells[] = {figure_text(row->batch),
                                 count_if(forecast->has_count, forecast->stuck),
                                 count_if(forecast->has_count, forecast->low),
                                 forecast->has_count ? figure_real(forecast->expected, 0) : figure_none(),
                                 count_if(forecast->has_count, forecast->high),
                                 count_if(forecast->wants, forecast->wanted),
                                 figure_day(forecast->by),
                                 forecast->has_count && forecast->wants ? percent(forecast->chance, 1)
                                                                        : figure_none(),
                                 count_if(needed, forecast->needed),
                                 count_if(needed && forecast->needed_trays, forecast->needed_trays),
                                 count_if(needed && forecast->on_average, forecast->on_average),
                                 figure_day(forecast->latest),
                                 figure_text(rests_on(report->arena, &forecast->progress))};
    table_row(table, cells);
}

static void add_stages(const ForecastReport *report, const Row *row, Table *table)
{
    const char *line = arena_print(report->arena, "%s, left of those stuck:", row->batch);
    for (size_t i = 0; i < row->forecast.stage_count; i++) {
        const OutlookStage *stage = &row->forecast.stages[i];
        line = arena_print(report->arena, "%s%s %s %.0f %% (%.0f .. %.0f)", line, i ? "," : "", stage->name,
                           stage->mean * 100, stage->low * 100, stage->high * 100);
    }
    table_note(table, line);
}

/* Where all rests on plans, the last column has nothing to say. */
static bool any_begun(const ForecastReport *report)
{
    for (size_t i = 0; i < report->rows.count; i++)
        if (report->rows.at[i].forecast.progress.begun) return true;
    return false;
}

void forecast_write_text(Buffer *out, ForecastReport *report)
{
    size_t columns = sizeof batch_columns / sizeof *batch_columns - !any_begun(report);
    Table *table = table_new(report->arena, "yield", "What batches will come to", batch_columns, columns);
    for (size_t i = 0; i < report->rows.count; i++)
        if (!report->rows.at[i].forecast.missing || report->rows.at[i].forecast.wants)
            batch_row(report, &report->rows.at[i], table);
    if (report->rows.count == 1 && report->rows.at[0].forecast.stage_count)
        add_stages(report, &report->rows.at[0], table);
    add_notes(report, table);
    table_write_text(out, table);
}

static Table *stage_table(ForecastReport *report)
{
    static const TableColumn columns[] = {{"batch", "batch", false},
                                          {"stage", "stage", false},
                                          {"left_low_pct", "left from", true},
                                          {"left_pct", "left", true},
                                          {"left_high_pct", "to", true},
                                          {"stuck", "stuck", true},
                                          {"finished_low", "from", true},
                                          {"finished_expected", "on average", true},
                                          {"finished_high", "to", true},
                                          {"wanted", "wanted", true},
                                          {"by", "by", false},
                                          {"chance_pct", "chance %", true},
                                          {"needed", "needed", true},
                                          {"containers", "containers", true},
                                          {"needed_on_average", "or", true},
                                          {"stick_latest", "until", false},
                                          {"alive", "alive", true},
                                          {"alive_since", "since", false},
                                          {"missing", "missing", false}};
    Table *table = table_new(report->arena, "yield", "What batches will come to", columns,
                             sizeof columns / sizeof *columns);
    for (size_t i = 0; i < report->rows.count; i++) {
        const Row *row = &report->rows.at[i];
        const Forecast *forecast = &row->forecast;
        size_t stages = forecast->stage_count ? forecast->stage_count : 1;
        for (size_t k = 0; k < stages; k++) {
            const OutlookStage *stage = k < forecast->stage_count ? &forecast->stages[k] : NULL;
            bool last = k + 1 == stages, needed = last && forecast->wants && !forecast->missing &&
                                                  forecast->needed_status == YIELD_COMPUTED;
            const TableFigure cells[] = {
                figure_text(row->batch),
                stage ? figure_text(stage->name) : figure_none(),
                stage ? percent(stage->low, 2) : figure_none(),
                stage ? percent(stage->mean, 2) : figure_none(),
                stage ? percent(stage->high, 2) : figure_none(),
                count_if(last && forecast->has_count, forecast->stuck),
                count_if(last && forecast->has_count, forecast->low),
                last && forecast->has_count ? figure_real(forecast->expected, 2) : figure_none(),
                count_if(last && forecast->has_count, forecast->high),
                count_if(last && forecast->wants, forecast->wanted),
                last ? figure_day(forecast->by) : figure_none(),
                last && forecast->has_count && forecast->wants ? percent(forecast->chance, 4) : figure_none(),
                count_if(needed, forecast->needed),
                count_if(needed && forecast->needed_trays, forecast->needed_trays),
                count_if(needed && forecast->on_average, forecast->on_average),
                last ? figure_day(forecast->latest) : figure_none(),
                count_if(last && forecast->progress.begun, forecast->progress.alive.count),
                last && forecast->progress.begun ? figure_day(forecast->progress.alive.since) : figure_none(),
                forecast->missing ? figure_text(forecast->missing) : figure_none()};
            table_row(table, cells);
        }
    }
    add_notes(report, table);
    return table;
}

void forecast_write_csv(Buffer *out, ForecastReport *report)
{
    table_write_csv(out, stage_table(report));
}

void forecast_write_json(Buffer *out, ForecastReport *report)
{
    table_write_json(out, stage_table(report));
}
