/* What a batch states against what its protocol allows. The tables are in docs/language.md, "How a clause is
 * judged". */
#include "analysis/limits.h"

#include "analysis/context.h"
#include "analysis/fact_derived.h"
#include "analysis/judge.h"
#include "base/vec.h"
#include "model/record.h"

/* ------------------------------------------------------------------ making checks */

static Severity severity_of(const Clause *clause)
{
    bool hearsay = citations_are_hearsay(clause->item->citations);
    switch (clause->strength) {
    case STRENGTH_MUST: return SEVERITY_ERROR;
    case STRENGTH_NEVER: return hearsay ? SEVERITY_WARNING : SEVERITY_ERROR;
    case STRENGTH_PREFER: return SEVERITY_NOTE;
    case STRENGTH_PLAIN: break;
    }
    return SEVERITY_WARNING;
}

static FaultRank rank_of(const Clause *clause)
{
    static const FaultRank ranks[] = {[STRENGTH_PLAIN] = RANK_PLAIN,
                                      [STRENGTH_MUST] = RANK_MUST,
                                      [STRENGTH_PREFER] = RANK_PREFER,
                                      [STRENGTH_NEVER] = RANK_NEVER};
    return ranks[clause->strength];
}

typedef VEC(LimitCheck) CheckList;

static bool is_first_of_slot(const Block *block, const Clause *clause)
{
    for (const Clause *other = block->clauses; other != clause; other = other->next)
        if (other->field == clause->field && other->strength == clause->strength) return false;
    return true;
}

/* Windows of one field and strength in a block are one list. */
static void take_windows(Arena *arena, const Block *block, LimitCheck *check)
{
    VEC(Window) windows = {0};
    for (const Clause *clause = block->clauses; clause; clause = clause->next) {
        if (clause->field != check->clause->field || rank_of(clause) != check->rank || !clause->reading)
            continue;
        for (size_t i = 0; i < clause->reading->window_count; i++)
            VEC_PUSH(arena, &windows, clause->reading->windows[i]);
    }
    check->windows = windows.at;
    check->window_count = windows.count;
}

static void add_checks(Arena *arena, const Block *block, CheckList *list)
{
    for (const Clause *clause = block->clauses; clause; clause = clause->next) {
        if (!role_judges(clause->field->role) || !clause->reading || clause->field->type == TYPE_FIELDS)
            continue;
        bool windows = clause->field->type == TYPE_WINDOW;
        if (windows && !is_first_of_slot(block, clause)) continue;
        LimitCheck check = {
            .clause = clause, .block = block, .rank = rank_of(clause), .severity = severity_of(clause)};
        check.statement = field_against(clause->field, block->type->kind, &check.derived);
        if (!check.statement && check.derived == DERIVED_NONE) continue; /* a batch cannot say it */
        if (windows) take_windows(arena, block, &check);
        for (size_t i = 0; i < list->count; i++) {
            const LimitCheck *other = &list->at[i];
            if (block->type->kind == BLOCK_STAGE && other->block != block &&
                other->clause->field == clause->field)
                check.of_place = true;
        }
        VEC_PUSH(arena, list, check);
    }
}

static void add_asks(Arena *arena, const Block *block, LimitChecks *checks)
{
    VEC(const Clause *) asks = {0};
    for (const Clause *clause = block->clauses; clause; clause = clause->next)
        if (clause->field->type == TYPE_FIELDS && clause->reading && clause->reading->fields)
            VEC_PUSH(arena, &asks, clause);
    checks->asks = asks.at;
    checks->ask_count = asks.count;
}

LimitChecks limits_of(Arena *arena, const Protocol *protocol)
{
    CheckList list = {0};
    LimitChecks checks = {0};
    add_checks(arena, protocol->effective, &list);
    for (const Block *child = protocol->effective->blocks; child; child = child->next)
        if (!child->latent) add_checks(arena, child, &list);
    checks.at = list.at;
    checks.count = list.count;
    add_asks(arena, protocol->effective, &checks);
    return checks;
}

/* ------------------------------------------------------------------ what the batch says */

typedef struct Statement {
    const Reading *reading; /* NULL: nothing is said */
    const Clause *clause;   /* of a place, variety or container that says it; NULL: the batch itself */
    bool capability;        /* a place's range is what it can be set to, not what will be */
} Statement;

static int stage_index(const Protocol *protocol, Name name)
{
    for (size_t i = 0; i < protocol->stage_count; i++)
        if (protocol->stages[i]->name == name) return (int)i;
    return -1;
}

/* A task that moves the batch before the end of a stage: after it nobody said where it stands. */
static bool is_moved_by(const Protocol *protocol, int stage)
{
    for (size_t i = 0; i < protocol->task_count; i++) {
        int at = protocol->schedule->tasks[i].stage;
        if (at >= 0 && at <= stage && block_clause(protocol->tasks[i], FIELD_ROW(MOVE_OF_TASK))) return true;
    }
    return false;
}

/* Where the batch stands during the section or stage in which a limit stands; NULL when that is not said. */
static const Block *place_during(const FactSource *source, const Block *block, const Subject *subject)
{
    const Protocol *protocol = subject->context->protocol;
    const Reading *stands = plan_cell(subject->plan, subject->row, FIELD_ROW(STANDS_OF_BATCH));
    if (block->type->kind != BLOCK_STAGE || !stands || stands == &reading_spoiled)
        return block->type->kind == BLOCK_HOLD ? NULL : subject->context->place;
    int stage = stage_index(protocol, block->name), since = -2;
    Name place = NULL;
    for (size_t i = 0; i < stands->standing_count; i++) {
        Name from = stands->standings[i].from;
        int begin = from ? stage_index(protocol, from) : -1;
        bool named = from && begin < 0 && !slice_is(name_slice(from), "stick");
        if (named || begin > stage || begin < since) continue;
        since = begin;
        place = stands->standings[i].place;
    }
    if (!place || (since < stage && is_moved_by(protocol, stage))) return NULL;
    return nursery_find(source->nursery, BLOCK_PLACE, place);
}

static Statement statement_of(const FactSource *source, const LimitCheck *check, const Subject *subject)
{
    Statement statement = {0};
    statement.reading = plan_cell(subject->plan, subject->row, batch_field_given(subject, check->statement));
    if (statement.reading && check->of_place) return (Statement){0};
    if (statement.reading || (check->statement->flags & FIELD_UNASSUMED)) return statement;
    const Block *blocks[] = {place_during(source, check->block, subject), subject->context->variety};
    for (size_t i = 0; i < sizeof blocks / sizeof *blocks; i++) {
        if (!blocks[i] || !field_stands_in(check->statement, blocks[i]->type->kind)) continue;
        const Clause *clause = block_clause(blocks[i], check->statement);
        if (!clause || !clause->reading) continue;
        return (Statement){clause->reading, clause, i == 0 && clause->reading->numbers.count > 0};
    }
    return statement;
}

/* ------------------------------------------------------------------ judging */

static Truth by_sets(FactClass class, bool within, bool disjoint, unsigned *reasons)
{
    if (within) return TRUTH_TRUE;
    if (class != FACT_UNCERTAIN) return TRUTH_FALSE;
    if (disjoint) return TRUTH_FALSE;
    *reasons |= REASON_UNCERTAIN;
    return TRUTH_UNSURE;
}

/* `depth 1/3 .. 1/2 of length`: the stated depth as a share of the stated length. */
static Truth judge_relative(const FactSource *source, const LimitCheck *check, const Subject *subject,
                            const Reading *said, unsigned *reasons)
{
    const Reading *limit = check->clause->reading;
    Ref ref = {.level = SCOPE_BATCH, .field = limit->of};
    Fact of = fact_of(source, subject, &ref);
    Interval value = intervals_hull(said->numbers), base, share;
    if (of.class >= FACT_NOTHING || !of.numbers.count) {
        *reasons |= REASON_UNSTATED;
        return TRUTH_UNSURE;
    }
    base = intervals_hull(of.numbers);
    if (base.low.unbounded || base.high.unbounded || value.low.unbounded || value.high.unbounded ||
        base.low.at.num <= 0 || !number_divide(value.low.at, base.high.at, &share.low.at) ||
        !number_divide(value.high.at, base.low.at, &share.high.at)) {
        *reasons |= REASON_UNSTATED;
        return TRUTH_UNSURE;
    }
    share.low.open = share.high.open = share.low.unbounded = share.high.unbounded = false;
    IntervalSet shares = {&share, 1};
    bool within = intervals_within(shares, limit->numbers),
         disjoint = intervals_disjoint(shares, limit->numbers);
    if (of.class != FACT_PERMITTED) return within ? TRUTH_TRUE : TRUTH_FALSE;
    if (!within && !disjoint) *reasons |= REASON_PERMITTED;
    return within ? TRUTH_TRUE : disjoint ? TRUTH_FALSE : TRUTH_UNSURE;
}

static bool day_in(const LimitCheck *check, const Calendar *calendar, Day day)
{
    for (size_t i = 0; i < check->window_count; i++)
        if (window_has(&check->windows[i], calendar, day, RUN_PLANNED)) return true;
    return false;
}

/* A sign that a record confirms beats the window it belongs to. */
static bool sign_was_seen(const Subject *subject, const Block *section)
{
    for (const RecordLine *line = subject->record ? subject->record->lines : NULL; line; line = line->next)
        if (line->verb == VERB_SIGN && slice_is(name_slice(line->thing), section->type->spelling))
            return true;
    return false;
}

static Truth judge_days(const LimitCheck *check, const Subject *subject, const Reading *said,
                        unsigned *reasons)
{
    if (sign_was_seen(subject, check->block)) return TRUTH_TRUE;
    bool within = true, disjoint = true;
    for (Day day = said->first; day <= said->last; day++) {
        if (day_in(check, subject->context->calendar, day))
            disjoint = false;
        else
            within = false;
    }
    return by_sets(said->part_of_month ? FACT_UNCERTAIN : FACT_SPREAD, within, disjoint, reasons);
}

static Truth judge_allowed_value(const FactSource *source, const LimitCheck *check, const Subject *subject,
                                 const Statement *statement, unsigned *reasons)
{
    const Reading *limit = check->clause->reading, *said = statement->reading;
    if (check->window_count) return judge_days(check, subject, said, reasons);
    if (limit->relative && !said->relative) return judge_relative(source, check, subject, said, reasons);
    if (check->clause->field->role == ROLE_DUTY) return limit_within(check->clause->field, limit, said);
    if (statement->capability) return truth_not(limit_disjoint(check->clause->field, said, limit));
    Truth within = limit_within(check->clause->field, said, limit);
    if (within == TRUTH_UNSURE) *reasons |= REASON_UNSTATED;
    return within;
}

static Truth judge_never(const LimitCheck *check, const Statement *statement, unsigned *reasons)
{
    if (statement->capability) return TRUTH_TRUE;
    Truth apart = limit_disjoint(check->clause->field, statement->reading, check->clause->reading);
    if (apart == TRUTH_UNSURE) *reasons |= REASON_UNSTATED;
    return apart;
}

static Truth judge_held(const LimitCheck *check, const Subject *subject, bool *stated, unsigned *reasons)
{
    const Reading *taken = plan_cell(subject->plan, subject->row, FIELD_ROW(TAKE));
    const Reading *stuck = plan_cell(subject->plan, subject->row, FIELD_ROW(STICK));
    if (!taken) taken = plan_cell(subject->plan, subject->row, FIELD_ROW(ARRIVE));
    Interval held;
    FactClass class;
    *stated =
        taken != &reading_spoiled && stuck != &reading_spoiled && held_between(taken, stuck, &held, &class);
    if (!*stated) return TRUTH_TRUE;
    IntervalSet set = {&held, 1};
    bool within = intervals_within(set, check->clause->reading->numbers),
         disjoint = intervals_disjoint(set, check->clause->reading->numbers);
    if (check->clause->strength == STRENGTH_NEVER) return by_sets(class, disjoint, within, reasons);
    return by_sets(class, within, disjoint, reasons);
}

static bool some_place_states(const FactSource *source, const Field *field)
{
    const BlockList *places = &source->nursery->lists[BLOCK_PLACE];
    for (size_t i = 0; i < places->count; i++)
        if (block_clause(places->at[i], field)) return true;
    return false;
}

bool limit_can_be_stated(const FactSource *source, LimitCheck *check, const Subject *subject)
{
    if (check->seen == subject->plan) return !check->silent;
    check->seen = subject->plan;
    check->silent = false;
    if (check->derived != DERIVED_NONE || check->statement->type == TYPE_DATE) return true;
    bool column = !check->of_place && subject->plan->column_of[check->statement->number] >= 0;
    bool place =
        field_stands_in(check->statement, BLOCK_PLACE) && some_place_states(source, check->statement);
    bool variety = subject->context->variety && block_clause(subject->context->variety, check->statement);
    check->silent = !column && !place && !variety;
    return !check->silent;
}

static Truth judge_statement(const FactSource *source, const LimitCheck *check, const Subject *subject,
                             bool *stated, unsigned *reasons)
{
    Statement statement = statement_of(source, check, subject);
    *stated = statement.reading != NULL && statement.reading != &reading_spoiled;
    if (!*stated) return TRUTH_TRUE;
    return check->clause->strength == STRENGTH_NEVER
               ? judge_never(check, &statement, reasons)
               : judge_allowed_value(source, check, subject, &statement, reasons);
}

/* The check belongs to one context, so a verdict hangs on the batch's own cell and on where it stands alone,
 * unless it is a share of another value or a record has its say. */
Truth limit_judge(const FactSource *source, LimitCheck *check, const Subject *subject, bool *stated,
                  unsigned *reasons)
{
    *reasons = 0;
    if (check->derived != DERIVED_NONE) return judge_held(check, subject, stated, reasons);
    if (check->clause->reading->relative || subject->record)
        return judge_statement(source, check, subject, stated, reasons);
    const Reading *cell =
        plan_cell(subject->plan, subject->row, batch_field_given(subject, check->statement));
    const Reading *stands = plan_cell(subject->plan, subject->row, FIELD_ROW(STANDS_OF_BATCH));
    if (check->last.known && check->last.cell == cell && check->last.stands == stands &&
        check->last.generation == subject->plan->generation) {
        *stated = check->last.stated;
        *reasons = check->last.reasons;
        return check->last.truth;
    }
    check->last.truth = judge_statement(source, check, subject, stated, reasons);
    check->last.cell = cell;
    check->last.stands = stands;
    check->last.generation = subject->plan->generation;
    check->last.known = true;
    check->last.stated = *stated;
    check->last.reasons = *reasons;
    return check->last.truth;
}

/* ------------------------------------------------------------------ telling */

static const char *allowed_text(Arena *arena, const LimitCheck *check, const Unit *unit)
{
    const Clause *clause = check->clause;
    const char *text = NULL;
    if (!check->window_count)
        return reading_print(arena, clause->field, clause->reading, clause->reading->relative ? NULL : unit);
    for (const Clause *other = clause; other; other = other->next) {
        if (other->field != clause->field || other->strength != clause->strength || !other->reading) continue;
        const char *one = reading_print(arena, other->field, other->reading, NULL);
        text = text ? arena_print(arena, "%s, %s", text, one) : one;
    }
    return text;
}

static const char *held_text(Arena *arena, const Subject *subject)
{
    const Reading *taken = plan_cell(subject->plan, subject->row, FIELD_ROW(TAKE));
    const Reading *stuck = plan_cell(subject->plan, subject->row, FIELD_ROW(STICK));
    if (!taken) taken = plan_cell(subject->plan, subject->row, FIELD_ROW(ARRIVE));
    Interval held;
    FactClass class;
    if (!held_between(taken, stuck, &held, &class)) return NULL;
    Interval *kept = ARENA_NEW(arena, Interval);
    *kept = held;
    bool days = number_compare(held.high.at, NUMBER(2 * 86400)) >= 0 || held.high.at.num % 86400 == 0;
    const Unit *unit = unit_find(days ? SLICE("days") : SLICE("h"), DIM_DURATION);
    return interval_print(arena, (IntervalSet){kept, 1}, DIM_DURATION, unit);
}

static const char *message_of(Arena *arena, const LimitCheck *check, Truth truth, const char *said,
                              const char *allowed)
{
    const char *field =
        check->derived != DERIVED_NONE ? derived_types[check->derived].spelling : check->statement->spelling;
    const char *may = truth == TRUTH_UNSURE ? "may be " : "is ";
    if (check->clause->strength == STRENGTH_NEVER)
        return arena_print(arena, "%s %s %sruled out", field, said, may);
    if (check->clause->field->role == ROLE_DUTY)
        return arena_print(arena, "%s %s leaves something out: %s", field, said, allowed);
    const char *what =
        check->clause->strength == STRENGTH_PREFER ? "not what is preferred" : "outside what is allowed";
    return arena_print(arena, "%s %s %s%s: %s", field, said, may, what, allowed);
}

static const char *whose_is(const Nursery *nursery, const Clause *clause)
{
    const Block *top = nursery_top_of(nursery, clause->home);
    return top ? arena_print(nursery->arena, "what %s says", top->name->text) : "what it inherits";
}

/* Who says it: the protocol that the batch follows, or one whose text it inherits. */
static const char *whose(const Nursery *nursery, const Clause *clause, const Protocol *protocol)
{
    const Block *top = nursery_top_of(nursery, clause->home);
    if (!top || top == protocol->written) return "the protocol says";
    return arena_print(nursery->arena, "the %s %s says",
                       top->type->kind == BLOCK_PROTOCOL ? "base" : top->type->spelling, top->name->text);
}

static void point(const Nursery *nursery, Fault *fault, LimitCheck *check, const Subject *subject,
                  const Statement *statement)
{
    const Field *reference =
        statement->clause ? context_reference(subject->context, statement->clause->home) : NULL;
    const Field *field = reference;
    if (!field)
        field =
            check->derived != DERIVED_NONE ? FIELD_ROW(STICK) : batch_field_given(subject, check->statement);
    fault->field = field;
    fault->place = plan_place(subject->plan, subject->row, field);
    fault->second = clause_place(check->clause);
    if (!check->whose) check->whose = whose(nursery, check->clause, subject->protocol);
    fault->second_label = check->whose;
    const Clause *below = check->clause->replaced;
    if (!statement->clause && below &&
        below->strength == STRENGTH_MUST) { /* it is its must that makes this one */
        fault->third = clause_place(below);
        fault->third_label =
            arena_print(nursery->arena, "and over %s, which is a must", whose_is(nursery, below));
    } else if (!statement->clause && check->clause->agreed) { /* what is left of two practices */
        fault->third = clause_place(check->clause->agreed);
        fault->third_label = whose(nursery, check->clause->agreed, subject->protocol);
    }
    if (!statement->clause) return;
    fault->third = clause_place(statement->clause);
    fault->third_label =
        statement->clause->home->type->kind == BLOCK_PLACE ? "the place says" : "the variety says";
}

void limit_fault(const FactSource *source, Faults *faults, LimitCheck *check, const Subject *subject,
                 Truth truth, const char *id)
{
    Arena *arena = source->passing;
    Statement statement =
        check->derived == DERIVED_NONE ? statement_of(source, check, subject) : (Statement){0};
    const Unit *unit = statement.reading && statement.reading->numbers.count ? statement.reading->unit : NULL;
    Fault *fault = faults_add(faults);
    fault->row = (uint32_t)subject->row;
    fault->rank = check->rank;
    fault->severity = truth == TRUTH_UNSURE ? severity_below(check->severity) : check->severity;
    fault->name = check->clause->field->spelling;
    fault->subject = id;
    fault->found = statement.reading ? reading_print(arena, check->statement, statement.reading, NULL)
                                     : held_text(arena, subject);
    fault->allowed = allowed_text(arena, check, unit);
    fault->value = statement.reading ? reading_key(arena, statement.reading) : fault->found;
    fault->message = message_of(arena, check, truth, fault->found, fault->allowed);
    if (check->clause->strength == STRENGTH_NEVER) fault->allowed = NULL;
    fault->citations = check->clause->item->citations;
    fault->because = check->clause->item->because;
    fault->instead = check->clause->item->instead;
    fault->accepts = subject->plan->blocks ? subject->plan->blocks[subject->row] : NULL;
    fault->unsilenced = (check->clause->field->flags & FIELD_UNSILENCED) != 0;
    point(source->nursery, fault, check, subject, &statement);
}

/* ------------------------------------------------------------------ ask */

static bool is_given(const Subject *subject, const Field *field)
{
    if (plan_cell(subject->plan, subject->row, batch_field_given(subject, field))) return true;
    if (subject->tried && fieldset_has(subject->tried, field)) return true;
    bool arrived = field == FIELD_ROW(TAKE); /* bought-in cuttings come, they are not taken */
    return arrived && plan_cell(subject->plan, subject->row, FIELD_ROW(ARRIVE));
}

size_t limits_asked(const FactSource *source, Faults *faults, const LimitChecks *checks,
                    const Subject *subject, const char *id)
{
    size_t met = 0;
    for (size_t i = 0; i < checks->ask_count; i++) {
        const Clause *ask = checks->asks[i];
        for (size_t k = 0; k < ask->reading->word_count; k++) {
            const Field *field = ask->reading->fields[k];
            if (!field) continue;
            if (is_given(subject, field)) {
                met++;
                continue;
            }
            Fault *fault = faults_add(faults);
            fault->row = (uint32_t)subject->row;
            fault->rank = RANK_MUST;
            fault->severity = SEVERITY_ERROR;
            fault->name = field->spelling;
            fault->subject = id;
            fault->message = arena_print(
                source->passing, "the protocol asks for %s, and the batch does not say it", field->spelling);
            fault->because = ask->item->because;
            fault->instead = ask->item->instead;
            fault->citations = ask->item->citations;
            fault->place = plan_place(subject->plan, subject->row, field);
            fault->second = clause_place(ask);
            fault->second_label = "the protocol asks";
            fault->accepts = subject->plan->blocks ? subject->plan->blocks[subject->row] : NULL;
            fault->unsilenced = (field->flags & FIELD_UNSILENCED) != 0;
        }
    }
    return met;
}
