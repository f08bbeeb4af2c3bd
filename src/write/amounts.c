/* Amounts as a table: of each batch, of each week of sticking, or of the whole. */
#include "write/amounts.h"

#include "base/vec.h"
#include "write/table.h"

#include <stdlib.h>
#include <string.h>

enum { ML_OF_LITRE = 1000, HOUR = 3600, NAMES_TOLD = 6 };

/* A row of the table: one amount, or several added up. */
typedef struct Row {
    const Amount *first;
    Day monday; /* BY_WEEK; DAY_NONE for batches without a day, and else */
    Number low, high;
    size_t count;
} Row;
typedef VEC(Row) Rows;

static Day week_of(Day day)
{
    return day == DAY_NONE ? DAY_NONE : day - (day_weekday(day) - 1);
}

static Day monday_of(const AmountsReport *report, const Amount *amount)
{
    return report->by == BY_WEEK ? week_of(amount->day) : DAY_NONE;
}

static bool same_row(const AmountsReport *report, const Row *row, const Amount *amount)
{
    if (row->first->kind != amount->kind || strcmp(row->first->what, amount->what) ||
        row->first->dimension != amount->dimension)
        return false;
    if (report->by == BY_BATCH) return row->first->batch == amount->batch;
    if (amount->kind == AMOUNT_SOLUTION && strcmp(row->first->text, amount->text)) return false;
    return row->monday == monday_of(report, amount);
}

static void add(const AmountsReport *report, Rows *rows, const Amount *amount)
{
    Number low, high;
    for (size_t i = rows->count; i-- > 0;) { /* what belongs together mostly lies together */
        Row *row = &rows->at[i];
        if (!same_row(report, row, amount)) continue;
        if (amount->kind != AMOUNT_SOLUTION && number_add(row->low, amount->low, &low) &&
            number_add(row->high, amount->high, &high)) {
            row->low = low;
            row->high = high;
        }
        row->count++;
        return;
    }
    VEC_PUSH(report->arena, rows, ((Row){amount, monday_of(report, amount), amount->low, amount->high, 1}));
}

static int by_week(const void *a, const void *b)
{
    const Row *x = a, *y = b;
    if (x->monday != y->monday) return x->monday < y->monday ? -1 : 1;
    if (x->first->kind != y->first->kind) return x->first->kind < y->first->kind ? -1 : 1;
    return strcmp(x->first->what, y->first->what);
}

static Rows rows_of(const AmountsReport *report)
{
    Rows rows = {0};
    size_t count;
    const Amount *list = amounts_list(report->amounts, &count);
    for (size_t i = 0; i < count; i++) add(report, &rows, &list[i]);
    if (report->by != BY_BATCH && rows.count) qsort(rows.at, rows.count, sizeof *rows.at, by_week);
    return rows;
}

/* ------------------------------------------------------------------ figures */

static const char *unit_of(const Amount *amount)
{
    switch (amount->dimension) {
    case DIM_VOLUME: return "L";
    case DIM_DURATION: return "h";
    case DIM_SHARE: return "of the whole";
    case DIM_MASS: return "g";
    default: return "";
    }
}

static TableFigure figure_of(const Amount *amount, Number number)
{
    double value = (double)number.num / (double)number.den;
    switch (amount->dimension) {
    case DIM_VOLUME: return figure_real(value / ML_OF_LITRE, 1);
    case DIM_DURATION: return figure_real(value / HOUR, 1);
    case DIM_SHARE:
    case DIM_MASS: return figure_real(value, 4);
    default: return figure_integer(number_ceil(number));
    }
}

static const char *what_of(const AmountsReport *report, const Amount *amount)
{
    if (amount->text) return arena_print(report->arena, "%s: %s", amount->what, amount->text);
    return amount->what;
}

static TableFigure owner_of(const AmountsReport *report, const Row *row)
{
    if (report->by == BY_BATCH) return figure_text(row->first->batch->text);
    if (report->by == BY_SEASON) return figure_text("season");
    return row->monday == DAY_NONE ? figure_text("no day") : figure_day(row->monday);
}

/* ------------------------------------------------------------------ what is missing */

static bool same_gap(const AmountGap *a, const AmountGap *b)
{
    return a->kind == b->kind && !strcmp(a->missing, b->missing);
}

static void add_gaps(const AmountsReport *report, Table *table)
{
    size_t count;
    const AmountGap *gaps = amounts_gaps(report->amounts, &count);
    for (size_t i = 0; i < count; i++) {
        bool told = false;
        for (size_t k = 0; k < i && !told; k++) told = same_gap(&gaps[k], &gaps[i]);
        if (told) continue;
        const char *names = "";
        size_t same = 0;
        for (size_t k = i; k < count; k++) {
            bool again = k > i && gaps[k].batch == gaps[k - 1].batch && same_gap(&gaps[k - 1], &gaps[k]);
            if (!same_gap(&gaps[k], &gaps[i]) || again) continue;
            if (same++ < NAMES_TOLD)
                names = arena_print(report->arena, "%s%s%s", names, *names ? ", " : "", gaps[k].batch->text);
        }
        if (same > NAMES_TOLD)
            names = arena_print(report->arena, "%s and %zu more", names, same - NAMES_TOLD);
        table_note(table, arena_print(report->arena, "left out: %s, as %s: %s",
                                      amount_kind_name[gaps[i].kind], gaps[i].missing, names));
    }
}

/* Solutions are mixed by people: what their bottles say stands below, and that the label decides. */
static void add_cautions(const AmountsReport *report, Table *table)
{
    size_t count, solutions = 0;
    const Amount *list = amounts_list(report->amounts, &count);
    for (size_t i = 0; i < count; i++) solutions += list[i].kind == AMOUNT_SOLUTION;
    if (!solutions) return;
    table_note(table, "! Goggles and gloves when mixing; no flame beside alcohol; the label of the product "
                      "decides where it says otherwise.");
    const BlockList *substances = &report->nursery->lists[BLOCK_SUBSTANCE];
    for (size_t i = 0; i < substances->count; i++)
        for (const Clause *clause = substances->at[i]->clauses; clause; clause = clause->next)
            if (clause->field == FIELD_ROW(CAUTION) && clause->reading)
                table_note(table, arena_print(report->arena, "! %s: %.*s", substances->at[i]->name->text,
                                              SLICE_ARG(clause->reading->text)));
}

/* ------------------------------------------------------------------ the table */

static Table *table_of(const AmountsReport *report)
{
    static const TableColumn columns[] = {{"for", "for", false},        {"kind", "kind", false},
                                          {"what", "what", false},      {"low", "amount", true},
                                          {"high", "to", true},         {"unit", "", false},
                                          {"batches", "batches", true}, {"formula", "as", false}};
    size_t shown = sizeof columns / sizeof *columns - (report->explain ? 0 : 1);
    Table *table = table_new(report->arena, "amounts", "What to prepare", columns, shown);
    Rows rows = rows_of(report);
    for (size_t i = 0; i < rows.count; i++) {
        const Row *row = &rows.at[i];
        const Amount *amount = row->first;
        const TableFigure cells[] = {
            owner_of(report, row),
            figure_text(amount_kind_name[amount->kind]),
            figure_text(what_of(report, amount)),
            figure_of(amount, row->low),
            figure_of(amount, row->high),
            figure_text(unit_of(amount)),
            figure_integer((int64_t)row->count),
            figure_text(report->by == BY_BATCH || row->count == 1 ? amount->formula : "sum over batches")};
        table_row(table, cells);
    }
    add_gaps(report, table);
    add_cautions(report, table);
    return table;
}

void amounts_write_text(Buffer *out, const AmountsReport *report)
{
    table_write_text(out, table_of(report));
}

void amounts_write_csv(Buffer *out, const AmountsReport *report)
{
    table_write_csv(out, table_of(report));
}

void amounts_write_json(Buffer *out, const AmountsReport *report)
{
    table_write_json(out, table_of(report));
}
