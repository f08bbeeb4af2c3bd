/* Costs: a row a batch. */
#include "write/cost.h"

#include "write/table.h"

#include <string.h>

enum { NAMES_TOLD = 6 };

static TableFigure money(bool known, double value)
{
    return known ? figure_real(value, 2) : figure_none();
}

static void note_once(const CostReport *report, Table *table, const char *what, const char *missing,
                      size_t from, int part)
{
    const char *names = "";
    size_t same = 0;
    for (size_t i = 0; i < report->count; i++) {
        const Cost *cost = &report->list[i];
        const char *other = part < COST_PARTS ? cost->missing[part] : cost->no_figures;
        if (!other || strcmp(other, missing)) continue;
        if (i < from) return;
        if (same++ < NAMES_TOLD)
            names = arena_print(report->arena, "%s%s%s", names, *names ? ", " : "", cost->batch->text);
    }
    if (same > NAMES_TOLD) names = arena_print(report->arena, "%s and %zu more", names, same - NAMES_TOLD);
    table_note(table, arena_print(report->arena, "%s, as %s: %s", what, missing, names));
}

static void add_notes(const CostReport *report, Table *table)
{
    for (size_t i = 0; i < report->count; i++) {
        if (report->list[i].no_figures)
            note_once(report, table, "no cost of a plant", report->list[i].no_figures, i, COST_PARTS);
        for (int part = 0; part < COST_PARTS; part++)
            if (report->list[i].missing[part])
                note_once(report, table,
                          arena_print(report->arena, "%s %s", cost_part_name[part],
                                      report->list[i].known[part] ? "is more" : "left out"),
                          report->list[i].missing[part], i, part);
    }
    if (!report->explain) return;
    static const char *const lines[] = {
        "work = wage x hours of tasks, taking and sticking; containers = price x containers; medium = "
        "medium-price x litres",
        "place = rent a week x weeks planned x containers there / containers it holds; royalty = royalty x "
        "finished on average",
        "a finished plant from .. to = least cost / 95 % point of those finished .. most cost / 5 % point; "
        "on average the middle by the mean",
        "currency is a label: nothing is converted"};
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) table_note(table, lines[i]);
}

static const char *verdict(const Cost *cost)
{
    if (cost->has_pays && cost->rate < cost->pays) return "does not pay";
    if (!cost->no_figures && cost->has_buy_in && cost->each > cost->buy_in) return "dearer than bought";
    for (int part = 0; part < COST_PARTS; part++)
        if (cost->missing[part]) return "and more"; /* not all that it costs is known */
    return "";
}

static Table *table_of(const CostReport *report)
{
    static const TableColumn columns[] = {
        {"batch", "batch", false},      {"work_low", "work", true},         {"work_high", "to", true},
        {"cuttings", "cuttings", true}, {"containers", "containers", true}, {"medium", "medium", true},
        {"place", "place", true},       {"royalty", "royalty", true},       {"total_low", "all", true},
        {"total_high", "to", true},     {"finished", "finished", true},     {"each_low", "each", true},
        {"each", "on average", true},   {"each_high", "to", true},          {"buy_in", "bought", true},
        {"verdict", "", false}};
    const char *title = *report->currency
                            ? arena_print(report->arena, "What plants cost, in %s", report->currency)
                            : "What plants cost";
    Table *table = table_new(report->arena, "cost", title, columns, sizeof columns / sizeof *columns);
    for (size_t i = 0; i < report->count; i++) {
        const Cost *cost = &report->list[i];
        bool each = !cost->no_figures;
        const TableFigure cells[] = {figure_text(cost->batch->text),
                                     money(cost->known[COST_WORK], cost->low[COST_WORK]),
                                     money(cost->known[COST_WORK], cost->high[COST_WORK]),
                                     money(cost->known[COST_CUTTINGS], cost->low[COST_CUTTINGS]),
                                     money(cost->known[COST_CONTAINERS], cost->low[COST_CONTAINERS]),
                                     money(cost->known[COST_MEDIUM], cost->low[COST_MEDIUM]),
                                     money(cost->known[COST_PLACE], cost->low[COST_PLACE]),
                                     money(cost->known[COST_ROYALTY], cost->low[COST_ROYALTY]),
                                     money(true, cost->total_low),
                                     money(true, cost->total_high),
                                     each ? figure_real(cost->finished, 0) : figure_none(),
                                     money(each, cost->each_low),
                                     money(each, cost->each),
                                     money(each, cost->each_high),
                                     money(cost->has_buy_in, cost->buy_in),
                                     figure_text(verdict(cost))};
        table_row(table, cells);
    }
    add_notes(report, table);
    return table;
}

void cost_write_text(Buffer *out, const CostReport *report)
{
    table_write_text(out, table_of(report));
}

void cost_write_csv(Buffer *out, const CostReport *report)
{
    table_write_csv(out, table_of(report));
}

void cost_write_json(Buffer *out, const CostReport *report)
{
    table_write_json(out, table_of(report));
}
