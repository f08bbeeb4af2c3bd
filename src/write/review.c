/* What records teach: see review.h. */
#include "write/review.h"

#include "write/odds.h"
#include "write/table.h"

static const char *const measures[REVIEW_MEASURES] = {
    [REVIEW_ROOTED] = "rooted", [REVIEW_FINISHED] = "finished"};

static const char *const verdicts[] = {[PROMISE_UNTRIED] = "too few",
                                       [PROMISE_KEPT] = "kept",
                                       [PROMISE_TOO_HIGH] = "promised too much",
                                       [PROMISE_TOO_LOW] = "promised too little",
                                       [PROMISE_TOO_NARROW] = "promised too narrowly"};

static TableFigure percent(bool known, double share)
{
    return known ? figure_real(share * 100, 1) : figure_none();
}

static TableFigure count_if(bool known, int64_t count)
{
    return known ? figure_integer(count) : figure_none();
}

static const char *verdict_of(const ReviewFigure *figure)
{
    return figure->judged ? verdicts[figure->verdict] : "no promise known";
}

/* ------------------------------------------------------------------ sentences */

static const char *name_of(const ReviewReport *report, const ReviewGroup *group)
{
    const char *protocol = group->protocol->name->text;
    return *group->value ? arena_print(report->arena, "%s, %s", protocol, group->value) : protocol;
}

/* "losses 20 .. 41 %" up to there: what a range of shares says as the protocol writes it. */
static const char *losses(const ReviewReport *report, double low, double high)
{
    return arena_print(report->arena, "%.0f .. %.0f %%", (1 - high) * 100, (1 - low) * 100);
}

static void add_verdict(const ReviewReport *report, const ReviewGroup *group, ReviewMeasure measure,
                        Table *table)
{
    static const char *const what[] = {[PROMISE_TOO_HIGH] = "come to less than was promised",
                                       [PROMISE_TOO_LOW] = "come to more than was promised",
                                       [PROMISE_TOO_NARROW] = "lie further apart than was promised"};
    const ReviewFigure *figure = &group->figures[measure];
    Arena *arena = report->arena;
    if (!figure->judged || figure->verdict <= PROMISE_KEPT) return;
    table_note(
        table,
        arena_print(arena,
                    "%s, %s: %zu batches %s; were the promise kept, chance would bring them so far off %s",
                    name_of(report, group), measures[measure], figure->held, what[figure->verdict],
                    odds_text(arena, figure->chance)));
    const char *says = figure->promised
                           ? arena_print(arena, "the protocol says %s",
                                         losses(report, figure->promised_low, figure->promised_high))
                           : "what is promised is another thing for each variety";
    if (figure->supported)
        table_note(
            table,
            arena_print(arena,
                        "%s, %s: of all stages up to there the records support losses of %s; %s. Nothing is "
                        "changed: that is for whoever answers for the protocol",
                        name_of(report, group), measures[measure],
                        losses(report, figure->range.low, figure->range.high), says));
    else
        table_note(table,
                   arena_print(arena, "%s, %s: too few batches for a range of their own (%d are the least)",
                               name_of(report, group), measures[measure], SPREAD_FEW));
}

static void add_spread(const ReviewReport *report, const ReviewGroup *group, ReviewMeasure measure,
                       Table *table)
{
    const Spread *spread = &group->figures[measure].spread;
    if (spread->batches < SPREAD_FEW || !spread->fitted) return;
    table_note(table, arena_print(report->arena, "%s, %s: %s (chance alone would do so %s)",
                                  name_of(report, group), measures[measure],
                                  spread->chance < 0.05
                                      ? "batches differ more than chance within a batch lets them"
                                      : "batches differ no more than chance within a batch may bring",
                                  odds_text(report->arena, spread->chance)));
}

static void add_comparison(const ReviewReport *report, const ReviewGroup *group, ReviewMeasure measure,
                           Table *table)
{
    const ReviewFigure *figure = &group->figures[measure];
    if (!figure->compared) return;
    bool settled = figure->difference.low > 0 || figure->difference.high < 0;
    Arena *arena = report->arena;
    table_note(
        table,
        arena_print(arena,
                    "%s, %s beside %s: %s of 100; the true difference lies, as far as these counts can tell, "
                    "between %s and %s%s",
                    name_of(report, group), measures[measure], group->beside,
                    odds_points(arena, figure->points), odds_points(arena, figure->difference.low),
                    odds_points(arena, figure->difference.high), settled ? "" : ": they may be the same"));
}

/* What was given up early hangs in neither share as it should: without a count it is in none, and of what has
 * ended it is too much while the others grow. */
static void add_bias(const ReviewReport *report, const ReviewGroup *group, ReviewMeasure measure,
                     Table *table)
{
    const ReviewFigure *figure = &group->figures[measure];
    const Tally *total = &figure->spread.total;
    if (!figure->spread.batches) return;
    const char *head = arena_print(report->arena, "%s, %s", name_of(report, group), measures[measure]);
    if (figure->lost)
        table_note(table,
                   arena_print(report->arena,
                               "%s: %zu left out %s given up before a count; as nothing they would make "
                               "it %.1f %%",
                               head, figure->lost, figure->lost == 1 ? "was" : "were",
                               100 * (double)total->hits / (double)(total->of + figure->lost_stuck)));
    if (figure->given_up && figure->left_out)
        table_note(table, arena_print(report->arena,
                                      "%s: %zu of %zu %s given up, and %zu more %s not over; what fails ends "
                                      "first, so the share is lower than it will be",
                                      head, figure->given_up, figure->spread.batches,
                                      figure->given_up == 1 ? "was" : "were", figure->left_out,
                                      figure->left_out == 1 ? "is" : "are"));
}

/* "not in rooted: 3 batches without a full count …" */
static void add_left_out(const ReviewReport *report, const char *what, size_t count, const char *why,
                         Table *table)
{
    if (count)
        table_note(table, arena_print(report->arena, "not in %s: %zu %s %s", what, count,
                                      count == 1 ? "batch" : "batches", why));
}

static void add_notes(const ReviewReport *report, Table *table)
{
    size_t left_out[REVIEW_MEASURES] = {0};
    size_t held = 0;
    bool compared = false, few = false;
    for (size_t i = 0; i < report->count; i++)
        for (int measure = 0; measure < REVIEW_MEASURES; measure++) {
            const ReviewGroup *group = &report->groups[i];
            left_out[measure] += group->figures[measure].left_out;
            size_t batches = group->figures[measure].spread.batches;
            few |= batches > 0 && batches < SPREAD_FEW;
            compared |= group->figures[measure].compared;
            held += group->figures[measure].judged && group->figures[measure].verdict != PROMISE_UNTRIED;
            add_verdict(report, group, (ReviewMeasure)measure, table);
            add_spread(report, group, (ReviewMeasure)measure, table);
            add_comparison(report, group, (ReviewMeasure)measure, table);
            add_bias(report, group, (ReviewMeasure)measure, table);
        }
    add_left_out(report, "rooted", left_out[REVIEW_ROOTED], "without a full count that names rooted ones",
                 table);
    add_left_out(report, "finished", left_out[REVIEW_FINISHED], "not recorded as ended", table);
    add_left_out(report, "either", report->unrecorded, "that nobody recorded as stuck", table);
    if (few)
        table_note(table, arena_print(report->arena,
                                      "of fewer than %d batches little is known of how they differ, of one "
                                      "nothing: from .. to is too narrow there",
                                      SPREAD_FEW));
    if (held > 1)
        table_note(table, arena_print(report->arena,
                                      "%zu promises are held against records here: of twenty that are kept "
                                      "about one looks broken by chance",
                                      held));
    if (compared)
        table_note(
            table,
            "what stands beside each other was not shared out by lot: weather, hands, stock plants and "
            "benches differ too, and look like the difference. A trial tells more");
    table_note(
        table,
        "%: total over total; from .. to: the score interval (Wilson 1927) that holds the true share 95 "
        "times in 100, with the effect of batches (Rao and Scott 1992); differences by Newcombe (1998); "
        "ranges by a beta-binomial fit (Griffiths 1973)");
}

/* ------------------------------------------------------------------ rows */

enum { TEXT_COLUMNS = 12 };

static void text_row(const ReviewReport *report, const ReviewGroup *group, ReviewMeasure measure,
                     Table *table)
{
    const ReviewFigure *figure = &group->figures[measure];
    Tally total = figure->spread.total;
    bool known = figure->spread.batches > 0;
    const TableFigure cells[TEXT_COLUMNS] = {figure_text(name_of(report, group)),
                                             figure_text(measures[measure]),
                                             figure_integer((int64_t)figure->spread.batches),
                                             count_if(known, total.hits),
                                             count_if(known, total.of),
                                             percent(known, known ? tally_share(total) : 0),
                                             percent(known, figure->bounds.low),
                                             percent(known, figure->bounds.high),
                                             percent(figure->promised, figure->promised_mean),
                                             percent(figure->promised, figure->promised_low),
                                             percent(figure->promised, figure->promised_high),
                                             figure_text(known ? verdict_of(figure) : "")};
    table_row(table, cells);
}

void review_write_text(Buffer *out, const ReviewReport *report)
{
    static const TableColumn columns[TEXT_COLUMNS] = {{"protocol", "protocol", false},
                                                      {"measure", "", false},
                                                      {"batches", "batches", true},
                                                      {"counted", "counted", true},
                                                      {"of", "of", true},
                                                      {"share_pct", "%", true},
                                                      {"low_pct", "from", true},
                                                      {"high_pct", "to", true},
                                                      {"promised_pct", "promised %", true},
                                                      {"promised_low", "from", true},
                                                      {"promised_high", "to", true},
                                                      {"verdict", "", false}};
    Table *table = table_new(report->arena, "review",
                             report->count ? "What batches came to, of those stuck"
                                           : "Nothing is recorded yet that could be reviewed",
                             columns, TEXT_COLUMNS);
    for (size_t i = 0; i < report->count; i++)
        for (int measure = 0; measure < REVIEW_MEASURES; measure++)
            text_row(report, &report->groups[i], (ReviewMeasure)measure, table);
    if (report->count || report->unrecorded) add_notes(report, table);
    table_write_text(out, table);
}

static Table *data_table(const ReviewReport *report)
{
    static const TableColumn columns[] = {{"protocol", "", false},
                                          {"by", "", false},
                                          {"value", "", false},
                                          {"measure", "", false},
                                          {"batches", "", true},
                                          {"left_out", "", true},
                                          {"counted", "", true},
                                          {"of", "", true},
                                          {"share_pct", "", true},
                                          {"low_pct", "", true},
                                          {"high_pct", "", true},
                                          {"promised_pct", "", true},
                                          {"promised_low_pct", "", true},
                                          {"promised_high_pct", "", true},
                                          {"verdict", "", false},
                                          {"chance", "", true},
                                          {"spread_chance", "", true},
                                          {"supported_low_pct", "", true},
                                          {"supported_high_pct", "", true},
                                          {"beside", "", false},
                                          {"difference_points", "", true},
                                          {"difference_low_points", "", true},
                                          {"difference_high_points", "", true}};
    Table *table =
        table_new(report->arena, "review", "What batches came to", columns, sizeof columns / sizeof *columns);
    for (size_t i = 0; i < report->count * REVIEW_MEASURES; i++) {
        const ReviewGroup *group = &report->groups[i / REVIEW_MEASURES];
        size_t measure = i % REVIEW_MEASURES;
        const ReviewFigure *figure = &group->figures[measure];
        bool known = figure->spread.batches > 0, judged = known && figure->judged;
        const TableFigure cells[] = {
            figure_text(group->protocol->name->text),
            report->by == REVIEW_BY_PROTOCOL ? figure_none() : figure_text(report->by_word),
            report->by == REVIEW_BY_PROTOCOL ? figure_none() : figure_text(group->value),
            figure_text(measures[measure]),
            figure_integer((int64_t)figure->spread.batches),
            figure_integer((int64_t)figure->left_out),
            count_if(known, figure->spread.total.hits),
            count_if(known, figure->spread.total.of),
            percent(known, known ? tally_share(figure->spread.total) : 0),
            percent(known, figure->bounds.low),
            percent(known, figure->bounds.high),
            percent(figure->promised, figure->promised_mean),
            percent(figure->promised, figure->promised_low),
            percent(figure->promised, figure->promised_high),
            judged ? figure_text(verdicts[figure->verdict]) : figure_none(),
            judged && figure->verdict != PROMISE_UNTRIED ? figure_real(figure->chance, 6) : figure_none(),
            figure->spread.fitted ? figure_real(figure->spread.chance, 6) : figure_none(),
            percent(figure->supported, figure->range.low),
            percent(figure->supported, figure->range.high),
            figure->compared ? figure_text(group->beside) : figure_none(),
            percent(figure->compared, figure->points),
            percent(figure->compared, figure->difference.low),
            percent(figure->compared, figure->difference.high)};
        table_row(table, cells);
    }
    add_notes(report, table);
    return table;
}

void review_write_csv(Buffer *out, const ReviewReport *report)
{
    table_write_csv(out, data_table(report));
}

void review_write_json(Buffer *out, const ReviewReport *report)
{
    table_write_json(out, data_table(report));
}
