/* What figures rest on: see sourcing.h. */
#include "write/sourcing.h"

#include "model/reading.h"
#include "write/table.h"

static const TableColumn columns[] = {{"kind", "", false},
                                      {"name", "", false},
                                      {"figures", "figures", true},
                                      {"seen", "seen source", true},
                                      {"second_hand", "second-hand", true},
                                      {"ours", "ours", true},
                                      {"trade", "trade", true},
                                      {"memory", "memory", true},
                                      {"none", "none", true},
                                      {"place", "", false}};
enum { COLUMNS = sizeof columns / sizeof *columns };

static const char *place_of(Arena *arena, Span span)
{
    return arena_print(arena, "%s:%lu", span.text->name,
                       (unsigned long)text_position(span.text, span.begin).line);
}

static void add_row(const SourcingReport *report, const SourcedBlock *row, Table *table)
{
    const Block *block = row->block;
    TableFigure cells[COLUMNS] = {figure_text(block ? block->type->spelling : "all"),
                                  block ? figure_text(block->name->text) : figure_none(),
                                  figure_integer((int64_t)row->figures)};
    for (int basis = 0; basis < BASES; basis++)
        cells[3 + basis] = figure_integer((int64_t)row->resting[basis]);
    cells[COLUMNS - 1] = block ? figure_text(place_of(report->arena, block->name_span)) : figure_none();
    table_row(table, cells);
}

/* "of 812 figures 31 % rest on a source that was seen, …" */
static const char *shares(const SourcingReport *report)
{
    static const char *const words[BASES] = {[BASIS_SEEN] = "on a source that was seen",
                                             [BASIS_SECOND_HAND] = "on one that is quoted",
                                             [BASIS_OURS] = "on the house's own experience",
                                             [BASIS_TRADE] = "on common practice",
                                             [BASIS_MEMORY] = "on memory",
                                             [BASIS_NONE] = "on nothing that is said"};
    const SourcedBlock *all = &report->sourcing.all;
    const char *text = arena_print(report->arena, "of %zu figures", all->figures);
    for (int basis = 0; basis < BASES; basis++)
        if (all->resting[basis])
            text = arena_print(report->arena, "%s%s %.0f %% rest %s", text, basis ? "," : "",
                               100 * (double)all->resting[basis] / (double)all->figures, words[basis]);
    return text;
}

static void add_unsourced(const SourcingReport *report, Table *table)
{
    for (size_t i = 0; i < report->sourcing.unsourced_count; i++) {
        const Clause *clause = report->sourcing.unsourced[i];
        table_note(table, arena_print(report->arena, "%s: nothing is said of where %s %s is from",
                                      place_of(report->arena, clause->item->span), clause->field->spelling,
                                      reading_print(report->arena, clause->field, clause->reading, NULL)));
    }
}

static Table *table_of(const SourcingReport *report, size_t shown)
{
    Table *table = table_new(report->arena, "check", "What the figures of protocols and practices rest on",
                             columns, shown);
    for (size_t i = 0; i < report->sourcing.block_count; i++)
        add_row(report, &report->sourcing.blocks[i], table);
    if (report->sourcing.all.figures) table_note(table, shares(report));
    add_unsourced(report, table);
    return table;
}

/* People find the place by its name. */
void sourcing_write_text(Buffer *out, const SourcingReport *report)
{
    table_write_text(out, table_of(report, COLUMNS - 1));
}

void sourcing_write_csv(Buffer *out, const SourcingReport *report)
{
    table_write_csv(out, table_of(report, COLUMNS));
}

void sourcing_write_json(Buffer *out, const SourcingReport *report)
{
    table_write_json(out, table_of(report, COLUMNS));
}
