/* A trial as a table with a row a way, and sentences that a grower can act on. */
#include "write/trial_result.h"

#include "write/odds.h"
#include "write/table.h"

#include <string.h>

static const char *day_text(Arena *arena, Day day)
{
    char text[DAY_TEXT];
    return arena_copy(arena, text, day_write(text, day));
}

static double difference_of(const Trial *trial)
{
    return (double)trial->difference.num / (double)trial->difference.den;
}

/* ------------------------------------------------------------------ rows */

static const TableColumn columns[] = {{"trial", "trial", false},
                                      {"batch", "batch", false},
                                      {"way", "way", false},
                                      {"counted_on", "counted on", false},
                                      {"counted", "counted", true},
                                      {"of", "of", true},
                                      {"share_pct", "%", true},
                                      {"low_pct", "from", true},
                                      {"high_pct", "to", true},
                                      {"difference_points", "to the first", true},
                                      {"difference_low_points", "from", true},
                                      {"difference_high_points", "to", true},
                                      {"chance", "by chance", true},
                                      {"verdict", "", false}};
enum { COLUMNS = sizeof columns / sizeof *columns, COUNTED_ON = 3, OF_PAIR = 9 };

static const char *const verdict_word[] = {[TRIAL_OPEN] = "not settled",
                                           [TRIAL_PEEKED] = "peeked at",
                                           [TRIAL_DIFFERS] = "differs",
                                           [TRIAL_ALIKE] = "alike"};

static void put_tally(const TrialResult *result, Tally tally, TableFigure *cells)
{
    Bounds bounds = proportion_interval(tally, 1, 1 - TRIAL_ERROR);
    cells[COUNTED_ON] = figure_day(result->count.line->day);
    cells[COUNTED_ON + 1] = figure_integer(tally.hits);
    cells[COUNTED_ON + 2] = figure_integer(tally.of);
    cells[COUNTED_ON + 3] = figure_real(tally_share(tally) * 100, 1);
    cells[COUNTED_ON + 4] = figure_real(bounds.low * 100, 1);
    cells[COUNTED_ON + 5] = figure_real(bounds.high * 100, 1);
}

static void put_pair(const TrialPair *pair, TableFigure *cells)
{
    cells[OF_PAIR] = figure_real((tally_share(pair->other) - tally_share(pair->first)) * 100, 1);
    cells[OF_PAIR + 1] = figure_real(pair->difference.low * 100, 1);
    cells[OF_PAIR + 2] = figure_real(pair->difference.high * 100, 1);
    cells[OF_PAIR + 3] = figure_real(pair->chance, 4);
    cells[OF_PAIR + 4] = figure_text(verdict_word[pair->verdict]);
}

/* People read in the title which trial it is; programs in the first columns. */
enum { COLUMNS_OF_TITLE = 2 };

static void add_rows(const TrialResult *result, Table *table, size_t without)
{
    const Trial *trial = result->trial;
    for (size_t i = 0; i < trial->way_count; i++) {
        TableFigure cells[COLUMNS];
        for (size_t k = 0; k < COLUMNS; k++) cells[k] = figure_none();
        cells[0] = figure_text(trial->block->name->text);
        cells[1] = figure_slice(result->batch);
        cells[2] = figure_text(trial->ways[i]->name->text);
        if (result->pair_count)
            put_tally(result, i ? result->pairs[i - 1].other : result->pairs[0].first, cells);
        if (result->pair_count && i) put_pair(&result->pairs[i - 1], cells);
        table_row(table, cells + without);
    }
}

/* ------------------------------------------------------------------ beforehand */

/* "whole: leaf-trim none, trays 1, 3" */
static void tell_ways(Arena *arena, const Trial *trial, Table *table)
{
    for (size_t i = 0; i < trial->way_count; i++) {
        const char *line = arena_print(arena, "%s:", trial->ways[i]->name->text), *mark = " ";
        for (const Clause *clause = trial->ways[i]->clauses; clause; clause = clause->next) {
            line = arena_print(arena, "%s%s%.*s", line, mark, SLICE_ARG(span_slice(clause_place(clause))));
            mark = "; ";
        }
        table_line(table, line);
    }
}

static void tell_plan(Arena *arena, const TrialResult *result, Table *table)
{
    const Trial *trial = result->trial;
    const TrialPlan *plan = &result->plan;
    Day read = plan->read.on[RUN_PLANNED];
    const char *what = trial->measure ? trial->measure->text : "something";
    if (read != DAY_NONE)
        table_note(table, arena_print(arena, "settled beforehand: %s is counted on %s", what,
                                      day_text(arena, read)));
    else
        table_note(
            table,
            arena_print(arena,
                        "no day was settled on which %s is counted: whoever chooses the day when he has "
                        "looked can choose the result; say read 5 weeks after stick",
                        what));
    if (!plan->needed) {
        table_note(table,
                   "it is not said which difference would be worth knowing: say difference at least 15 %");
        return;
    }
    table_note(
        table,
        arena_print(arena,
                    "to see a difference of %.0f of 100 four times in five, and take chance for one once in "
                    "%.0f, each way needs %lld cuttings (%s %.0f %% %s)%s",
                    difference_of(trial) * 100, 1 / trial_error(trial), (long long)plan->needed,
                    plan->has_expected ? "with the promised" : "with", plan->expected * 100, what,
                    plan->has_each ? arena_print(arena, "; each has %lld", (long long)plan->each) : ""));
}

/* ------------------------------------------------------------------ what was counted */

static const char *meaning(Arena *arena, const TrialResult *result, const TrialPair *pair)
{
    const Trial *trial = result->trial;
    double matters = difference_of(trial) * 100;
    switch (pair->verdict) {
    case TRIAL_DIFFERS:
        return arena_print(arena, "the ways differ: that is more than chance makes of two that are the same");
    case TRIAL_ALIKE:
        return arena_print(
            arena, "if they differ, it is by less than the %.0f of 100 that would be worth knowing", matters);
    case TRIAL_PEEKED: return "but it is not its day, and nothing is read from it";
    case TRIAL_OPEN: break;
    }
    return matters > 0
               ? arena_print(
                     arena,
                     "it is not settled: neither that they differ is shown, nor that it is by less than "
                     "%.0f of 100",
                     matters)
               : "it is not settled: chance alone may have done it, and so may the way";
}

static void tell_pair(Arena *arena, const TrialResult *result, const TrialPair *pair, Table *table)
{
    const char *first = result->trial->ways[0]->name->text, *way = pair->way->text;
    double difference = tally_share(pair->other) - tally_share(pair->first);
    table_note(
        table,
        arena_print(
            arena,
            "%s beside %s: %s of 100; the true difference lies, as far as this count can tell, between "
            "%s and %s of 100",
            way, first, odds_points(arena, difference), odds_points(arena, pair->difference.low),
            odds_points(arena, pair->difference.high)));
    table_note(table, arena_print(arena, "were both the same, chance would bring them so far apart %s: %s",
                                  odds_text(arena, pair->chance), meaning(arena, result, pair)));
}

static void tell_peeking(Arena *arena, const TrialResult *result, Table *table)
{
    const char *day = day_text(arena, result->count.line->day);
    if (result->count.early)
        table_note(
            table,
            arena_print(
                arena,
                "this is peeking: it was counted on %s, before the day that was settled (%s); who stops when "
                "it looks good finds differences that are none; count it on its day",
                day, day_text(arena, result->plan.read.on[RUN_PLANNED])));
    else if (result->count.others)
        table_note(
            table,
            arena_print(arena,
                        "it was counted %zu times, which is peeking: of several looks one is more likely to "
                        "mislead than the chances say; only that of %s is read here, the first%s",
                        result->count.others + 1, day,
                        result->plan.read.on[RUN_PLANNED] == DAY_NONE ? "" : " on its day"));
}

static void tell_limits(Arena *arena, const TrialResult *result, Table *table)
{
    enum { TRAYS_TOLD = 8 };
    if (result->trays && result->trays < TRAYS_TOLD)
        table_note(
            table,
            arena_print(
                arena,
                "a way has %lld container%s: the edge of the bench, the mist and the hand that stuck them "
                "go with the container, and look like the way; the chances above take every cutting for "
                "itself",
                (long long)result->trays, result->trays == 1 ? "" : "s"));
    if (result->pair_count > 1)
        table_note(table,
                   arena_print(
                       arena,
                       "%zu ways are held against the first: each only counts as different at a chance under "
                       "once in %.0f, so that all together mislead no more than once in 20",
                       result->pair_count, 1 / trial_error(result->trial)));
    table_note(table, "one batch, one plant, one year: repeat it before a protocol is changed");
}

/* ------------------------------------------------------------------ forms */

static Table *table_of(Arena *arena, const TrialResult *result, size_t without)
{
    const Block *block = result->trial->block;
    const Clause *asks = block_clause(block, FIELD_ROW(ASKS));
    const char *title = arena_print(arena, "Trial %s in %.*s", block->name->text, SLICE_ARG(result->batch));
    if (asks && asks->reading) title = arena_print(arena, "%s: %.*s", title, SLICE_ARG(asks->reading->text));
    Table *table = table_new(arena, "review", title, columns + without, COLUMNS - without);
    tell_ways(arena, result->trial, table);
    if (result->pair_count || !without) add_rows(result, table, without);
    tell_plan(arena, result, table);
    if (!result->count.line) table_note(table, "it has not been counted");
    for (size_t i = 0; i < result->pair_count; i++) tell_pair(arena, result, &result->pairs[i], table);
    if (result->count.line) tell_peeking(arena, result, table);
    if (result->count.line) tell_limits(arena, result, table);
    table_note(table, arena_print(arena,
                                  "from .. to: score intervals, which hold the true share 95 times in 100 "
                                  "(Wilson 1927), and made of "
                                  "two of them for a difference, %.3g times (Newcombe 1998); by chance: "
                                  "Fisher's exact test, two-sided",
                                  100 * (1 - trial_error(result->trial))));
    return table;
}

void trial_result_write_text(Buffer *out, Arena *arena, const TrialResult *result)
{
    table_write_text(out, table_of(arena, result, COLUMNS_OF_TITLE));
}

void trial_result_write_csv(Buffer *out, Arena *arena, const TrialResult *result)
{
    table_write_csv(out, table_of(arena, result, 0));
}

void trial_result_write_json(Buffer *out, Arena *arena, const TrialResult *result)
{
    table_write_json(out, table_of(arena, result, 0));
}
