/* A protocol tried on every day on which it may be stuck, before there is any batch.
 *
 * Given a protocol, the day it is today and the rules that wait for a day, dates the protocol for each day of
 * its next sticking window, without a window for a year from today, and tells what goes wrong: on all days as
 * gravely as at a batch, on some as a note with the first and the last of them. Only what hangs on the day is
 * dated more than once (analysis/season.c). Where an event is not known nothing is told of the dates.
 */
#include "analysis/lint_work.h"
#include "analysis/season.h"

enum { YEAR_DAYS = 366, DAY_SECONDS = 86400 };

/* On how many days something is so. */
typedef struct Tally {
    size_t days;
    Day first, last;
} Tally;

typedef struct DayFault {
    TimelineNote note;
    Tally tally;
} DayFault;

typedef struct DayRule {
    const Rule *rule;
    const RuleBody *body;
    bool every_day; /* its verdict may differ from day to day */
    Tally tally;
} DayRule;

typedef struct DaySpread {
    Day first, last;
} DaySpread;

typedef struct Trying {
    Lint *lint;
    const Protocol *protocol;
    const Calendar *calendar;
    const Subject *silent; /* the batch that states nothing … */
    Subject batch;         /* … and the one that is stuck on the day */
    Reading day;
    VEC(DaySpread) spreads;
    Tally days;
    Season season;
    bool every_day; /* dates are needed on more than the first */
    bool unknown;   /* they hang on an event that no site declares */
    VEC(DayFault) faults;
    VEC(DayRule) rules;
} Trying;

static void tally_add(Tally *tally, Day day)
{
    if (!tally->days || day < tally->first) tally->first = day;
    if (!tally->days || day > tally->last) tally->last = day;
    tally->days++;
}

/* ------------------------------------------------------------------ which days */

static const Reading *said_in(Trying *trying, BlockKind section, const Field *field)
{
    const Block *block = protocol_section(trying->protocol, section);
    return block ? block_reading(trying->lint->nursery->arena, block, field) : NULL;
}

static int32_t whole_days(Number seconds)
{
    Number days;
    return number_divide(seconds, NUMBER(DAY_SECONDS), &days) ? (int32_t)number_floor(days) : 0;
}

/* What was taken in one window and held is stuck in another. An open end of the hold says nothing. */
static bool take_held_windows(Trying *trying, const Reading *taken)
{
    const Reading *lasts = said_in(trying, BLOCK_HOLD, FIELD_ROW(LASTS_OF_HOLD));
    if (!taken || !lasts || !lasts->numbers.count) return false;
    Interval hold = intervals_hull(lasts->numbers);
    if (hold.high.unbounded) return false;
    int32_t least = hold.low.unbounded ? 0 : whole_days(hold.low.at), most = whole_days(hold.high.at);
    if (least < 0 || most > YEAR_DAYS) return false;
    Day today = trying->lint->today;
    for (size_t i = 0; i < taken->window_count; i++) {
        if (taken->windows[i].all_year) return false;
        Occurrence next = window_next(&taken->windows[i], trying->calendar, today - most, RUN_PLANNED);
        if (next.first == DAY_NONE) trying->unknown = true;
        if (next.first == DAY_NONE) continue;
        DaySpread spread = {next.first + least, next.last + most};
        VEC_PUSH(trying->lint->nursery->arena, &trying->spreads, spread);
    }
    return true;
}

static bool take_windows(Trying *trying)
{
    const Schedule *schedule = trying->protocol->schedule;
    if (!schedule->stick_window_count)
        return !schedule->take_with_stick &&
               take_held_windows(trying, said_in(trying, BLOCK_TAKE, FIELD_ROW(WINDOW_OF_TAKE)));
    for (size_t i = 0; i < schedule->stick_window_count; i++) {
        const Window *window = &schedule->stick_windows[i];
        if (window->all_year) return false;
        Occurrence next = window_next(window, trying->calendar, trying->lint->today, RUN_PLANNED);
        if (next.first == DAY_NONE) trying->unknown = true;
        if (next.first == DAY_NONE) continue;
        DaySpread spread = {next.first, next.last};
        VEC_PUSH(trying->lint->nursery->arena, &trying->spreads, spread);
    }
    return true;
}

/* The whole of the window that is open or opens next, so that a verdict does not change while it passes. */
static void find_days(Trying *trying)
{
    Day today = trying->lint->today;
    if (take_windows(trying)) return;
    trying->spreads.count = 0;
    trying->unknown = false;
    DaySpread year = {today, today + YEAR_DAYS - 1};
    VEC_PUSH(trying->lint->nursery->arena, &trying->spreads, year);
}

/* ------------------------------------------------------------------ what hangs on the day */

/* Tasks that a rule asks about are dated for it. */
static void mark_asked(const Schedule *schedule, const Code *code, bool *asked)
{
    if (!code) return;
    for (size_t i = 0; code->kind == CODE_HAS && code->thing == THING_TASK && i < schedule->task_count; i++)
        asked[i] = asked[i] ||
                   (!schedule->tasks[i].setting && (!code->role || schedule->tasks[i].role == code->role));
    for (const Code *member = code->first; member; member = member->next) mark_asked(schedule, member, asked);
}

static void find_season(Trying *trying)
{
    const Schedule *schedule = trying->protocol->schedule;
    Arena *passing = trying->lint->source.passing;
    bool *asked = ARENA_ARRAY(passing, bool, schedule->task_count);
    for (size_t i = 0; i < trying->lint->waiting.count; i++) {
        const RuleBody *body = trying->lint->waiting.at[i]->bodies[SCOPE_BATCH];
        if (!body->asks_dates) continue;
        mark_asked(schedule, body->where, asked);
        mark_asked(schedule, body->when, asked);
    }
    trying->season = season_of(passing, schedule, asked);
    trying->every_day = trying->season.any;
    for (size_t i = 0; i < trying->lint->waiting.count; i++) {
        DayRule one = {.rule = trying->lint->waiting.at[i]};
        one.body = one.rule->bodies[SCOPE_BATCH];
        one.every_day = one.body->asks_season || (one.body->asks_dates && trying->season.any);
        trying->every_day = trying->every_day || (one.every_day && one.body->asks_dates);
        VEC_PUSH(passing, &trying->rules, one);
    }
}

/* ------------------------------------------------------------------ one day */

/* Whether it is told of protocols at all; work of a hold that may be too short for it is not. */
static bool is_told(const TimelineNote *note)
{
    return date_fault_text(note->fault)->without_batch &&
           !(note->fault == FAULT_TASK_NEVER && note->stage == SECTION_HOLD);
}

static DayFault *fault_at(Trying *trying, const TimelineNote *note)
{
    for (size_t i = 0; i < trying->faults.count; i++) {
        const TimelineNote *known = &trying->faults.at[i].note;
        if (known->fault == note->fault && known->stage == note->stage && known->task == note->task)
            return &trying->faults.at[i];
    }
    DayFault *fault = VEC_ADD(trying->lint->nursery->arena, &trying->faults);
    fault->note = *note;
    return fault;
}

static void take_faults(Trying *trying, const Timeline *timeline, Day day)
{
    for (size_t i = 0; i < timeline->note_count; i++)
        trying->unknown = trying->unknown || timeline->notes[i].fault == FAULT_NO_EVENT;
    for (size_t i = 0; i < timeline->note_count && !trying->unknown; i++)
        if (is_told(&timeline->notes[i])) tally_add(&fault_at(trying, &timeline->notes[i])->tally, day);
}

/* On the first day all is dated, on the others what may differ. */
static void date_day(Trying *trying, Timeline *timeline, Day day)
{
    const TimelineInput input = {.take = {{DAY_NONE, DAY_NONE, DAY_NONE}},
                                 .stick = {{day, day, day}},
                                 .stuck = DAY_NONE,
                                 .wanted_by = DAY_NONE,
                                 .ended = DAY_NONE,
                                 .today = DAY_NONE};
    const Schedule *schedule = trying->days.days > 1 ? &trying->season.part : &trying->season.whole;
    *timeline = timeline_make(trying->lint->source.passing, schedule, trying->calendar, &input);
    take_faults(trying, timeline, day);
    trying->batch.timeline = timeline;
}

/* What a rule is about is the same on all days, and this is not it, or nobody can say: no day breaks the
 * rule. */
static bool is_aside(const Trying *trying, const RuleBody *body)
{
    Judging judging = {.source = &trying->lint->source};
    return body->where && !body->where_asks_day &&
           judge_condition(&judging, body->where, &trying->batch) != TRUTH_TRUE && !judging.overflowed;
}

static void judge_day(Trying *trying, DayRule *rule, Day day)
{
    bool first = trying->days.days == 1, about;
    if (first && rule->every_day) rule->every_day = !is_aside(trying, rule->body);
    if (!(first || rule->every_day) || (trying->unknown && rule->body->asks_dates)) return;
    Judging judging = {.source = &trying->lint->source};
    Truth truth = judge_rule(&judging, rule->body, &trying->batch, &about);
    if (truth == TRUTH_TRUE && !judging.overflowed) tally_add(&rule->tally, day);
}

static void try_day(Trying *trying, Day day)
{
    tally_add(&trying->days, day);
    bool first = trying->days.days == 1;
    bool dated = first || (trying->every_day && !trying->unknown);
    if (!dated && !trying->rules.count) return;
    Arena *passing = trying->lint->source.passing;
    ArenaMark mark = arena_mark(passing);
    Timeline timeline;
    trying->day.first = trying->day.last = day;
    trying->batch.timeline = NULL;
    if (dated) date_day(trying, &timeline, day);
    for (size_t i = 0; i < trying->rules.count; i++) judge_day(trying, &trying->rules.at[i], day);
    arena_release(passing, mark);
}

/* Windows may overlap: a day is tried with the first that has it. */
static void try_days(Trying *trying)
{
    const Field *const columns[] = {FIELD_ROW(STICK), FIELD_ROW(TAKE)};
    const Reading *cell = &trying->day, **cells[] = {&cell, &cell};
    Slice id = name_slice(trying->protocol->name);
    Plan plan = {.rows = 1, .columns = columns, .cells = cells, .ids = &id};
    plan.column_count = trying->protocol->schedule->take_with_stick ? 2 : 1;
    for (size_t i = 0; i < FIELD_COUNT_LIMIT; i++) plan.column_of[i] = -1;
    for (size_t i = 0; i < plan.column_count; i++) plan.column_of[columns[i]->number] = (int16_t)i;
    trying->day = (Reading){.type = TYPE_DATE, .minutes = -1};
    trying->batch = *trying->silent;
    trying->batch.plan = &plan;
    for (size_t i = 0; i < trying->spreads.count; i++)
        for (Day day = trying->spreads.at[i].first; day <= trying->spreads.at[i].last; day++) {
            bool tried = !day_in_range(day);
            for (size_t k = 0; k < i && !tried; k++)
                tried = trying->spreads.at[k].first <= day && day <= trying->spreads.at[k].last;
            if (!tried) try_day(trying, day);
        }
    trying->batch.plan = NULL; /* it lived for these days */
}

/* ------------------------------------------------------------------ telling */

static const char *days_text(const Trying *trying, const Tally *tally)
{
    char first[DAY_TEXT], last[DAY_TEXT];
    day_write(first, tally->first);
    day_write(last, tally->last);
    Arena *passing = trying->lint->source.passing;
    if (tally->days == trying->days.days) return arena_print(passing, "on any day, %s .. %s", first, last);
    if (tally->days == 1) return arena_print(passing, "on %s, one day of %zu", first, trying->days.days);
    return arena_print(passing, "on %s .. %s, %zu days of %zu", first, last, tally->days, trying->days.days);
}

/* On all days as grave as at a batch, on some a note: most batches will not have it. */
static void weigh(const Trying *trying, Fault *fault, const Tally *tally)
{
    bool always = tally->days == trying->days.days;
    fault->as_note = !always;
    if (fault->as_note) fault->severity = SEVERITY_NOTE;
    if (always)
        trying->lint->summary.broken++;
    else
        trying->lint->summary.undecided++;
}

static void tell_fault(const Trying *trying, const DayFault *found, uint32_t row)
{
    Lint *lint = trying->lint;
    const Protocol *protocol = trying->protocol;
    const TimelineNote *note = &found->note;
    const DateFaultText *text = date_fault_text(note->fault);
    const char *what = note->task >= 0 ? text->of_task : text->of_stage;
    if (!what) return;
    DateFaultBearer bearer = date_fault_bearer(lint->source.passing, protocol, note);
    Fault *fault = faults_add(lint->faults);
    fault->row = row;
    fault->rank = RANK_RULE;
    fault->severity = text->severity;
    fault->name = text->name;
    fault->subject = protocol->name->text;
    fault->value = bearer.id;
    fault->message = arena_print(lint->source.passing, "%s of %s: %s (stuck %s)", bearer.name,
                                 protocol->name->text, what, days_text(trying, &found->tally));
    if (text->instead) fault->instead = slice_of(text->instead);
    fault->place = protocol->written->name_span;
    fault->second = bearer.span;
    fault->second_label = bearer.label;
    fault->accepts = protocol->written;
    weigh(trying, fault, &found->tally);
    if (!fault->as_note) dates_told(lint, protocol, note);
}

static void tell_rule(const Trying *trying, const DayRule *found, uint32_t row)
{
    Lint *lint = trying->lint;
    Fault *fault = rule_fault(lint, found->rule, found->body, trying->silent, row, false);
    const char *days = days_text(trying, &found->tally);
    fault->found = fault->found ? arena_print(lint->source.passing, "%s; stuck %s", fault->found, days)
                                : arena_print(lint->source.passing, "stuck %s", days);
    weigh(trying, fault, &found->tally);
    rule_state(lint, found->rule)->met = true;
    if (!fault->as_note)
        VEC_PUSH(lint->nursery->arena, &lint->on_all_days, ((RuleAt){found->rule, trying->protocol}));
}

/* What was dated once is so on all days. */
static void spread_over_all(Trying *trying)
{
    for (size_t i = 0; i < trying->faults.count; i++) {
        int task = trying->faults.at[i].note.task;
        bool once = !trying->season.any || (task >= 0 && !trying->season.hangs[task]);
        if (once) trying->faults.at[i].tally = trying->days;
    }
    for (size_t i = 0; i < trying->rules.count; i++)
        if (!trying->rules.at[i].every_day && trying->rules.at[i].tally.days)
            trying->rules.at[i].tally = trying->days;
}

static void tell(Trying *trying)
{
    uint32_t row = 0;
    spread_over_all(trying);
    for (size_t i = 0; i < trying->faults.count; i++) tell_fault(trying, &trying->faults.at[i], row++);
    for (size_t i = 0; i < trying->rules.count; i++)
        if (trying->rules.at[i].tally.days) tell_rule(trying, &trying->rules.at[i], row++);
    faults_flush(trying->lint->faults);
}

/* Told once, and only where the nursery could say it: of several sites each batch has its own. */
static void leave_unknown(Lint *lint, const Protocol *protocol)
{
    lint->summary.undecided++;
    if (lint->nursery->lists[BLOCK_SITE].count > 1) return;
    if (!lint->without_event) lint->without_event = protocol;
    lint->without_event_count++;
}

static bool has_spoiled(const Block *block, const Field *field)
{
    for (const Clause *clause = block ? block->clauses : NULL; clause; clause = clause->next)
        if (clause->field == field && !clause->reading) return true;
    return false;
}

/* Without a length, or with a window that could not be read, it would only be told again what was told. */
static bool can_be_tried(const Protocol *protocol)
{
    if (!protocol->schedule) return false;
    for (size_t i = 0; i < protocol->schedule->stage_count; i++)
        if (protocol->schedule->stages[i].length == LENGTH_NONE) return false;
    return !has_spoiled(protocol_section(protocol, BLOCK_TAKE), FIELD_ROW(WINDOW_OF_TAKE)) &&
           !has_spoiled(protocol_section(protocol, BLOCK_STICK), FIELD_ROW(WINDOW_OF_STICK));
}

void lint_days(Lint *lint, const Subject *silent)
{
    if (!can_be_tried(silent->protocol)) return;
    Trying trying = {.lint = lint, .silent = silent, .protocol = silent->protocol};
    trying.calendar = silent->context->calendar;
    find_days(&trying);
    find_season(&trying);
    try_days(&trying);
    tell(&trying);
    if (trying.unknown) leave_unknown(lint, trying.protocol);
}

void days_report(Lint *lint)
{
    const Protocol *protocol = lint->without_event;
    if (!protocol || dates_have(lint, FAULT_NO_EVENT)) return; /* told at a batch */
    if (nursery_judged(lint->nursery, "no-event", SEVERITY_NOTE) == SEVERITY_OFF) return;
    const char *others =
        lint->without_event_count == 1
            ? ""
            : arena_print(lint->nursery->arena, ", and of %zu more,", lint->without_event_count - 1);
    Note *note = notes_add(lint->nursery->notes, SEVERITY_NOTE, "no-event", protocol->written->name_span,
                           "dates of %s%s hang on an event that no site declares, and were not tried",
                           protocol->name->text, others);
    note->subject = protocol->name->text;
    note->instead = date_fault_text(FAULT_NO_EVENT)->instead;
}
