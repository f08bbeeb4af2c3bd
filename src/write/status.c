/* How batches stand: see status.h. */
#include "write/status.h"

#include "write/table.h"

static const char *const urgencies[URGENCIES] = {
    [URGENCY_FAILING] = "failing", [URGENCY_OVERDUE] = "overdue", [URGENCY_DUE] = "due",
    [URGENCY_WAITING] = "waiting", [URGENCY_PLANNED] = "planned", [URGENCY_OVER] = "over"};

static const char *const bases[] = {[LEDGER_UNKNOWN] = "unknown",
                                    [LEDGER_STUCK] = "stuck",
                                    [LEDGER_CAME] = "came",
                                    [LEDGER_COUNTED] = "counted",
                                    [LEDGER_CORRECTED] = "corrected"};

/* ------------------------------------------------------------------ for people */

/* Without the year where it is this one. */
static const char *near_day(const StatusReport *report, Day day)
{
    char text[DAY_TEXT];
    size_t length = day_write(text, day);
    enum { YEAR = 5 }; /* " 2027" */
    if (day_year(report->today) == day_year(day)) length -= YEAR;
    return arena_copy(report->arena, text, length);
}

static const char *stage_text(const StatusReport *report, const Status *row)
{
    if (row->since == DAY_NONE) return row->phase;
    const char *since = row->alive.basis == LEDGER_UNKNOWN && !row->ended ? "for" : "since";
    return arena_print(report->arena, "%s %s %s", row->phase, since, near_day(report, row->since));
}

static const char *alive_text(const StatusReport *report, const Status *row)
{
    const LedgerAlive *alive = &row->alive;
    if (alive->basis == LEDGER_UNKNOWN) return "";
    const char *text =
        arena_print(report->arena, "%s %s", bases[alive->basis], near_day(report, alive->since));
    return alive->less ? arena_print(report->arena, "%s, less %lld", text, (long long)alive->less) : text;
}

static const char *rooted_text(const StatusReport *report, const Status *row)
{
    const LedgerRooted *counted = &row->rooted, *sampled = &row->sampled;
    if (sampled->line)
        return arena_print(report->arena, "%lld of %lld in a sample", (long long)sampled->count,
                           (long long)sampled->of);
    if (counted->line)
        return arena_print(report->arena, "%lld of %lld", (long long)counted->count, (long long)counted->of);
    return row->has_expected ? arena_print(report->arena, "%.0f expected", row->expected) : "";
}

static const char *with(const StatusReport *report, const char *text, const char *more)
{
    return *text ? arena_print(report->arena, "%s; %s", text, more) : more;
}

static const char *work_text(const StatusReport *report, const Status *row)
{
    Arena *arena = report->arena;
    const char *text = "";
    if (row->failing)
        text = arena_print(arena, "failing since %s: %.*s", near_day(report, row->failing->day),
                           SLICE_ARG(row->failing->text));
    if (row->over_since != DAY_NONE)
        text = with(report, text,
                    arena_print(arena,
                                row->alive.basis == LEDGER_UNKNOWN ? "to be stuck by %s"
                                                                   : "its sign was expected by %s",
                                near_day(report, row->over_since)));
    if (row->overdue.name)
        text = with(
            report, text,
            arena_print(arena, "%s since %s", row->overdue.name->text, near_day(report, row->overdue.day)));
    if (row->overdue_count > 1) text = arena_print(arena, "%s and %zu more", text, row->overdue_count - 1);
    if (row->next.name)
        text = with(report, text,
                    arena_print(arena, "%s %s%s", row->next.name->text,
                                row->next.day < report->today ? "due since " : "",
                                near_day(report, row->next.day)));
    return text;
}

/* "2 failing, 5 overdue, 12 due, 3 planned" */
static const char *totals(const StatusReport *report)
{
    size_t counts[URGENCIES] = {0};
    for (size_t i = 0; i < report->count; i++) counts[report->rows[i].urgency]++;
    const char *text = "";
    for (int urgency = 0; urgency < URGENCIES; urgency++)
        if (counts[urgency])
            text = arena_print(report->arena, "%s%s%zu %s", text, *text ? ", " : "", counts[urgency],
                               urgencies[urgency]);
    return text;
}

/* Places that nobody may enter yet, before all else. */
static void add_shut(const StatusReport *report, Table *table)
{
    for (size_t i = 0; i < report->shut_count; i++) {
        const StatusShut *shut = &report->shuts[i];
        const RecordLine *line = shut->line;
        table_line(table,
                   arena_print(report->arena, "shut until %s %02d:%02d: %s, %s was treated on %s",
                               near_day(report, line->day_open), line->minutes / 60, line->minutes % 60,
                               shut->place ? shut->place->name->text : "where it stood", shut->batch,
                               near_day(report, line->day)));
    }
}

void status_write_text(Buffer *out, const StatusReport *report)
{
    static const TableColumn columns[] = {
        {"state", "", false},        {"batch", "batch", false},      {"plant", "plant", false},
        {"stage", "stage", false},   {"alive", "alive", true},       {"known", "known from", false},
        {"rooted", "rooted", false}, {"looked", "last look", false}, {"work", "what is to do", false}};
    char today[DAY_TEXT];
    today[day_write(today, report->today)] = '\0';
    Table *table = table_new(report->arena, "status",
                             arena_print(report->arena, "How batches stand on %s: %s", today,
                                         report->count ? totals(report) : "there are none"),
                             columns, sizeof columns / sizeof *columns);
    add_shut(report, table);
    for (size_t i = 0; i < report->count; i++) {
        const Status *row = &report->rows[i];
        const TableFigure cells[] = {figure_text(urgencies[row->urgency]),
                                     figure_text(row->batch),
                                     figure_text(row->plant),
                                     figure_text(stage_text(report, row)),
                                     row->alive.basis == LEDGER_UNKNOWN ? figure_none()
                                                                        : figure_integer(row->alive.count),
                                     figure_text(alive_text(report, row)),
                                     figure_text(rooted_text(report, row)),
                                     figure_text(row->last_look ? near_day(report, row->last_look->day) : ""),
                                     figure_text(work_text(report, row))};
        table_row(table, cells);
    }
    table_write_text(out, table);
}

/* ------------------------------------------------------------------ for programs */

static TableFigure name_if(Name name)
{
    return name ? figure_text(name->text) : figure_none();
}

static TableFigure count_if(bool known, int64_t count)
{
    return known ? figure_integer(count) : figure_none();
}

static TableFigure moment_of(const StatusReport *report, const RecordLine *shut)
{
    if (!shut) return figure_none();
    char text[DAY_TEXT];
    text[day_write_iso(text, shut->day_open)] = '\0';
    return figure_text(
        arena_print(report->arena, "%sT%02d:%02d", text, shut->minutes / 60, shut->minutes % 60));
}

static Table *data_table(const StatusReport *report)
{
    static const TableColumn columns[] = {
        {"batch", "", false},         {"plant", "", false},        {"protocol", "", false},
        {"state", "", false},         {"stage", "", false},        {"since", "", false},
        {"over_since", "", false},    {"place", "", false},        {"alive", "", true},
        {"alive_known", "", false},   {"alive_since", "", false},  {"alive_less", "", true},
        {"rooted", "", true},         {"rooted_of", "", true},     {"rooted_known", "", false},
        {"rooted_on", "", false},     {"looked", "", false},       {"overdue", "", false},
        {"overdue_since", "", false}, {"overdue_tasks", "", true}, {"next", "", false},
        {"next_on", "", false},       {"failing", "", false},      {"shut_until", "", false},
        {"shut_at", "", false}};
    Table *table =
        table_new(report->arena, "status", "How batches stand", columns, sizeof columns / sizeof *columns);
    for (size_t i = 0; i < report->count; i++) {
        const Status *row = &report->rows[i];
        const LedgerRooted *rooted = row->sampled.line ? &row->sampled : &row->rooted;
        bool known = row->alive.basis != LEDGER_UNKNOWN;
        const TableFigure cells[] = {
            figure_text(row->batch),
            figure_text(row->plant),
            figure_text(row->protocol->text),
            figure_text(urgencies[row->urgency]),
            figure_text(row->phase),
            figure_day(row->since),
            figure_day(row->over_since),
            name_if(row->place ? row->place->name : NULL),
            count_if(known, row->alive.count),
            figure_text(bases[row->alive.basis]),
            figure_day(known ? row->alive.since : DAY_NONE),
            count_if(known, row->alive.less),
            rooted->line ? figure_integer(rooted->count)
                         : (row->has_expected ? figure_real(row->expected, 1) : figure_none()),
            count_if(rooted->line, rooted->of),
            figure_text(row->sampled.line   ? "sampled"
                        : rooted->line      ? "counted"
                        : row->has_expected ? "expected"
                                            : "unknown"),
            figure_day(rooted->line ? rooted->line->day : DAY_NONE),
            figure_day(row->last_look ? row->last_look->day : DAY_NONE),
            name_if(row->overdue.name),
            figure_day(row->overdue.name ? row->overdue.day : DAY_NONE),
            figure_integer((int64_t)row->overdue_count),
            name_if(row->next.name),
            figure_day(row->next.name ? row->next.day : DAY_NONE),
            row->failing ? figure_slice(row->failing->text) : figure_none(),
            moment_of(report, row->shut.line),
            name_if(row->shut.place ? row->shut.place->name : NULL)};
        table_row(table, cells);
    }
    return table;
}

void status_write_csv(Buffer *out, const StatusReport *report)
{
    table_write_csv(out, data_table(report));
}

void status_write_json(Buffer *out, const StatusReport *report)
{
    table_write_json(out, data_table(report));
}
