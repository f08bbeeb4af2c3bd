/* Running checks down columns.
 *
 * For each context that batches of a stretch have, limits and rules are looked at once: what is settled
 * whatever a batch states is only counted, what a batch states nothing for shares one verdict, and only what
 * is left is judged row by row.
 */
#include "analysis/lint.h"

#include "analysis/lint_work.h"
#include "analysis/outlook.h"
#include "analysis/overlap.h"

Lint *lint_new(Nursery *nursery, Day today, ArenaExhausted *exhausted)
{
    Lint *lint = ARENA_NEW(nursery->arena, Lint);
    lint->nursery = nursery;
    lint->today = today;
    lint->source =
        (FactSource){nursery, nursery->arena, arena_new(exhausted), outlooks_new(nursery->arena), false};
    lint->faults = faults_new(nursery, &lint->summary);
    lint->contexts = contexts_new(&lint->source);
    lint->timelines = timelines_new(&lint->source, today, exhausted);
    lint->records = record_check_new(nursery, today, &lint->summary);
    lint->passing = arena_mark(lint->source.passing);
    trials_begin(lint);
    lint->states = ARENA_ARRAY(nursery->arena, RuleState, nursery->rule_count);
    return lint;
}

void lint_free(Lint *lint)
{
    timelines_free(lint->timelines);
    arena_free(lint->source.passing);
}

/* ------------------------------------------------------------------ before any batch */

typedef VEC(const Code *) CodeList;

static void collect_mixed(Lint *lint, const Code *code, CodeList *codes)
{
    if (!code) return;
    if (code->kind == CODE_MIXED) VEC_PUSH(lint->nursery->arena, codes, code);
    for (const Code *member = code->first; member; member = member->next) collect_mixed(lint, member, codes);
}

static void collect_rules(Lint *lint)
{
    CodeList codes = {0};
    for (size_t i = 0; i < lint->nursery->rule_count; i++) {
        const Rule *rule = &lint->nursery->rules[i];
        bool off = nursery_judged(lint->nursery, rule->name->text, rule->severity) == SEVERITY_OFF;
        if (rule->refused) lint->summary.refused++;
        if (off && !rule->refused) lint->summary.judged_off++;
        if (rule->refused || off) continue;
        lint->summary.rules++;
        lint->states[i].in_force = true;
        if (rule->bodies[SCOPE_BATCH]) VEC_PUSH(lint->nursery->arena, &lint->batch_rules, rule);
        const RuleBody *body = rule->bodies[SCOPE_PLACE];
        if (!body) continue;
        collect_mixed(lint, body->where, &codes);
        collect_mixed(lint, body->when, &codes);
    }
    lint->asks_mixed = codes.count > 0;
    if (lint->asks_mixed) lint->gathering = gathering_new(&lint->source, codes.at, codes.count);
}

/* Every rule about batches on the one that states nothing, on no day and on each. */
static void on_silent_batch(Lint *lint, const Protocol *protocol)
{
    Subject silent = {.scope = SCOPE_BATCH,
                      .context = contexts_of_protocol(lint->contexts, protocol),
                      .protocol = protocol};
    lint->waiting.count = 0;
    for (size_t i = 0; i < lint->batch_rules.count; i++) {
        const Rule *rule = lint->batch_rules.at[i];
        Judging judging = {.source = &lint->source};
        bool about;
        Truth truth = judge_rule(&judging, rule->bodies[SCOPE_BATCH], &silent, &about);
        bool told = truth == TRUTH_TRUE || (truth == TRUTH_UNSURE && judging.reasons == REASON_PERMITTED);
        if (told)
            rule_told(lint, rule, rule->bodies[SCOPE_BATCH], &silent, (uint32_t)i, truth, about,
                      judging.reasons, &judging.missing);
        if (truth == TRUTH_UNSURE && fieldset_has(&rule->bodies[SCOPE_BATCH]->reads, FIELD_ROW(STICK)))
            VEC_PUSH(lint->nursery->arena, &lint->waiting, rule); /* dates of all sorts follow from it */
    }
    faults_flush(lint->faults);
    lint_days(lint, &silent);
}

static bool places_hold(const Nursery *nursery)
{
    const BlockList *places = &nursery->lists[BLOCK_PLACE];
    for (size_t i = 0; i < places->count; i++)
        if (place_can_be_filled(places->at[i])) return true;
    return false;
}

void lint_protocols(Lint *lint)
{
    examples_run(lint);
    overlap_report(lint->nursery, lint->source.passing);
    arena_release(lint->source.passing, lint->passing);
    collect_rules(lint);
    if (places_hold(lint->nursery)) lint->occupancy = occupancy_new(&lint->source);
    lint->summary.files = lint->nursery->file_count;
    for (size_t i = 0; i < lint->nursery->protocol_count; i++) {
        const Protocol *protocol = &lint->nursery->protocols[i];
        if (!protocol->effective) continue;
        contradict(lint, protocol);
        if (protocol->base) continue;
        lint->summary.protocols++;
        rules_on_protocol(lint, protocol);
        on_silent_batch(lint, protocol);
        arena_release(lint->source.passing, lint->passing);
    }
    words_report(lint);
}

/* ------------------------------------------------------------------ one context */

enum { CONTEXT_BLOCKS = 4 + CONTEXT_SPECIES };

static void blocks_of(const Context *context, const Block *blocks[CONTEXT_BLOCKS])
{
    blocks[0] = context->container;
    blocks[1] = context->place;
    blocks[2] = context->site;
    blocks[3] = context->variety;
    for (size_t i = 0; i < CONTEXT_SPECIES; i++) blocks[4 + i] = context->species[i];
}

/* A block that the batch refers to, and its protocol by itself does not, says something that the rule reads.
 */
static bool context_says(const Context *context, const Context *silent, const RuleBody *body)
{
    const Block *blocks[CONTEXT_BLOCKS], *known[CONTEXT_BLOCKS];
    blocks_of(context, blocks);
    blocks_of(silent, known);
    for (size_t i = 0; i < CONTEXT_BLOCKS; i++) {
        bool is_known = false;
        for (size_t k = 0; k < CONTEXT_BLOCKS; k++) is_known = is_known || blocks[i] == known[k];
        for (const Clause *clause = blocks[i] && !is_known ? blocks[i]->clauses : NULL; clause;
             clause = clause->next)
            if (fieldset_has(&body->reads, clause->field)) return true;
    }
    return false;
}

static RuleCheck rule_check_of(Lint *lint, const Rule *rule, Context *context)
{
    RuleCheck check = {.rule = rule, .body = rule->bodies[SCOPE_BATCH]};
    Subject subject = {.scope = SCOPE_BATCH, .context = context, .protocol = context->protocol, .open = true};
    Judging judging = {.source = &lint->source};
    bool about;
    Truth truth = judge_rule(&judging, check.body, &subject, &about);
    check.settled = truth == TRUTH_FALSE && !check.body->asks_dates && !check.body->asks_records;
    check.about = about;
    if (check.settled && about) rule_state(lint, rule)->met = true;
    check.by_context =
        context_says(context, contexts_of_protocol(lint->contexts, context->protocol), check.body);
    subject.open = false;
    check.silent = judge_rule(&judging, check.body, &subject, &check.silent_about);
    check.silent_reasons = judging.reasons;
    check.silent_missing = judging.missing;
    for (size_t i = 0; i < lint->on_all_days.count && !check.on_all_days; i++)
        check.on_all_days =
            lint->on_all_days.at[i].rule == rule && lint->on_all_days.at[i].protocol == context->protocol;
    return check;
}

static ContextCheck *check_of(Lint *lint, Context *context)
{
    if (context->attached) return context->attached;
    ContextCheck *check = ARENA_NEW(lint->nursery->arena, ContextCheck);
    check->limits = limits_of(lint->nursery->arena, context->protocol);
    check->rules = ARENA_ARRAY(lint->nursery->arena, RuleCheck, lint->batch_rules.count);
    check->rule_count = lint->batch_rules.count;
    for (size_t i = 0; i < check->rule_count; i++)
        check->rules[i] = rule_check_of(lint, lint->batch_rules.at[i], context);
    context->attached = check;
    return check;
}

/* ------------------------------------------------------------------ rows */

/* A trial does it in several ways: no one value is the batch's. */
static bool is_tried(const Subject *subject, const Field *statement)
{
    return subject->tried && statement && fieldset_has(subject->tried, statement);
}

static void limits_on_row(Lint *lint, ContextCheck *check, const Subject *subject)
{
    const char *id = NULL;
    for (size_t i = 0; i < check->limits.count; i++) {
        bool stated;
        unsigned reasons;
        LimitCheck *limit = &check->limits.at[i];
        if (!limit_can_be_stated(&lint->source, limit, subject)) continue;
        if (is_tried(subject, limit->statement)) continue;
        Truth truth = limit_judge(&lint->source, limit, subject, &stated, &reasons);
        if (!stated) continue;
        if (truth == TRUTH_TRUE) {
            lint->summary.held++;
            continue;
        }
        bool told = truth == TRUTH_FALSE ||
                    (reasons == REASON_UNCERTAIN && severity_below(limit->severity) != SEVERITY_OFF);
        if (truth == TRUTH_FALSE)
            lint->summary.broken++;
        else
            lint->summary.undecided++;
        if (!told) continue;
        if (!id) id = subject_id(lint, subject);
        limit_fault(&lint->source, lint->faults, limit, subject, truth, id);
    }
    if (check->limits.ask_count)
        lint->summary.held +=
            limits_asked(&lint->source, lint->faults, &check->limits, subject, subject_id(lint, subject));
}

/* Whether a rule holds, or is about nothing, whatever batches state in the columns that a plan has. */
static void settle_plan(Lint *lint, RuleCheck *rule, const Subject *row)
{
    Subject any = *row;
    any.open = true;
    any.timeline = NULL;
    any.record = NULL;
    Judging judging = {.source = &lint->source};
    rule->settled_here = !rule->body->asks_dates && !rule->body->asks_records &&
                         judge_rule(&judging, rule->body, &any, &rule->about_here) == TRUTH_FALSE;
    if (rule->settled_here && rule->about_here) rule_state(lint, rule->rule)->met = true;
}

/* Which columns of a plan a rule reads. */
static void look_at_plan(Lint *lint, RuleCheck *rule, const Subject *row)
{
    const Plan *plan = row->plan;
    rule->seen = plan;
    settle_plan(lint, rule, row);
    rule->read_count = 0;
    for (size_t i = 0; i < plan->column_count; i++) {
        if (!fieldset_has(&rule->body->reads, plan->columns[i])) continue;
        if (rule->read_count < MEMO_FIELDS) rule->reads[rule->read_count] = plan->columns[i];
        rule->read_count++;
    }
}

static bool row_says(const RuleCheck *rule, const Plan *plan, size_t row, const Reading *cells[MEMO_FIELDS])
{
    bool says = false;
    if (rule->read_count <= MEMO_FIELDS) {
        for (unsigned i = 0; i < rule->read_count; i++) {
            cells[i] = plan_cell(plan, row, rule->reads[i]);
            says = says || cells[i];
        }
        return says;
    }
    for (size_t i = 0; i < plan->column_count && !says; i++)
        says = fieldset_has(&rule->body->reads, plan->columns[i]) && plan->cells[i][row];
    return says;
}

/* A task that was moved by hand: the batch's dates are its own, whatever its cells say. */
static bool has_moves(const Subject *subject)
{
    const Block *block = subject->plan->blocks ? subject->plan->blocks[subject->row] : NULL;
    for (const Clause *clause = block ? block->clauses : NULL; clause; clause = clause->next)
        if (clause->field->type == TYPE_MOVE) return true;
    return false;
}

static Memo *memo_of(Lint *lint, RuleCheck *rule, const Subject *subject,
                     const Reading *const cells[MEMO_FIELDS])
{
    bool by_cells = !subject->record && !subject->tried && !(rule->body->asks_dates && has_moves(subject));
    if (!by_cells || rule->read_count > MEMO_FIELDS) return NULL; /* more than the cells decides */
    if (!rule->memo) rule->memo = ARENA_ARRAY(lint->nursery->arena, Memo, MEMO_SLOTS);
    uintptr_t mixed = 0;
    for (unsigned i = 0; i < rule->read_count; i++) mixed = mixed * 1000003U + ((uintptr_t)cells[i] >> 4);
    return &rule->memo[(mixed ^ mixed >> 13) % MEMO_SLOTS];
}

static bool remembers(const Memo *memo, const RuleCheck *rule, uint32_t generation,
                      const Reading *const cells[MEMO_FIELDS])
{
    return memo->generation == generation && !memcmp(memo->cells, cells, rule->read_count * sizeof *cells);
}

/* The batch adds nothing but its day to what was told of the protocol. */
static bool told_on_all_days(const RuleCheck *rule, const Subject *subject)
{
    const Plan *plan = subject->plan;
    bool told = rule->on_all_days && !rule->by_context && !subject->record && !subject->tried;
    for (size_t i = 0; i < plan->column_count && told; i++) {
        const Field *field = plan->columns[i];
        bool is_day = field->type == TYPE_DATE || field->type == TYPE_WANT;
        told = is_day || !fieldset_has(&rule->body->reads, field) || !plan->cells[i][subject->row];
    }
    return told;
}

static void verdict_on_row(Lint *lint, const RuleCheck *rule, const Subject *subject, const Verdict *verdict)
{
    if (verdict->truth == TRUTH_TRUE && told_on_all_days(rule, subject))
        lint->summary.broken++;
    else
        rule_told(lint, rule->rule, rule->body, subject, (uint32_t)subject->row, verdict->truth,
                  verdict->about, verdict->reasons, &verdict->missing);
}

static void remember(Memo *memo, const RuleCheck *rule, const Plan *plan,
                     const Reading *const cells[MEMO_FIELDS], bool about)
{
    memcpy(memo->cells, cells, rule->read_count * sizeof *cells);
    memo->generation = plan->generation;
    memo->about = about;
}

/* The rule on what the batch itself, or what it refers to, says. */
static void rule_on_row(Lint *lint, RuleCheck *rule, const Subject *subject,
                        const Reading *const cells[MEMO_FIELDS])
{
    Memo *memo = memo_of(lint, rule, subject, cells);
    if (memo && remembers(memo, rule, subject->plan->generation, cells)) {
        lint->summary.held += memo->about;
        return;
    }
    if (memo && remembers(&rule->last_told, rule, subject->plan->generation, cells)) {
        verdict_on_row(lint, rule, subject, &rule->last_verdict);
        return;
    }
    Judging judging = {.source = &lint->source};
    Verdict verdict = {0};
    verdict.truth = judge_rule(&judging, rule->body, subject, &verdict.about);
    verdict.reasons = judging.reasons;
    verdict.missing = judging.missing;
    if (judging.overflowed) {
        rule_verdict(lint, rule->rule, rule->body, subject, (uint32_t)subject->row);
        return;
    }
    verdict_on_row(lint, rule, subject, &verdict);
    if (!memo) return;
    if (verdict.truth != TRUTH_FALSE) rule->last_verdict = verdict;
    remember(verdict.truth == TRUTH_FALSE ? memo : &rule->last_told, rule, subject->plan, cells,
             verdict.about);
}

static void silent_on_row(Lint *lint, const RuleCheck *rule, const Subject *subject)
{
    bool told_before = rule->silent == TRUTH_TRUE ||
                       (rule->silent == TRUTH_UNSURE && rule->silent_reasons == REASON_PERMITTED);
    if (!told_before)
        rule_told(lint, rule->rule, rule->body, subject, (uint32_t)subject->row, rule->silent,
                  rule->silent_about, rule->silent_reasons, &rule->silent_missing);
    else if (rule->silent == TRUTH_TRUE) /* told once, at the protocol */
        lint->summary.broken++;
    else
        lint->summary.undecided++;
}

static void rules_on_row(Lint *lint, ContextCheck *check, const Subject *subject)
{
    for (size_t i = 0; i < check->rule_count; i++) {
        RuleCheck *rule = &check->rules[i];
        if (rule->settled) {
            lint->summary.held += rule->about;
            continue;
        }
        if (rule->seen != subject->plan) look_at_plan(lint, rule, subject);
        if (rule->settled_here) {
            lint->summary.held += rule->about_here;
            continue;
        }
        const Reading *cells[MEMO_FIELDS] = {NULL};
        bool says = row_says(rule, subject->plan, subject->row, cells);
        bool tried = subject->tried && fieldset_meets(&rule->body->reads, subject->tried);
        if (says || tried || rule->by_context || (rule->body->asks_records && subject->record))
            rule_on_row(lint, rule, subject, cells);
        else
            silent_on_row(lint, rule, subject);
    }
}

/* A base has no dates and judges nothing: a batch that follows one would pass unseen. */
static void refuse_base(Lint *lint, const Plan *plan, size_t row)
{
    const Reading *follow = plan_cell(plan, row, FIELD_ROW(FOLLOW));
    if (!follow || follow == &reading_spoiled || !follow->word_count) return;
    const Protocol *protocol = nursery_protocol(lint->nursery, follow->words[0].name);
    if (!protocol || !protocol->base) return;
    Note *note =
        notes_add(lint->nursery->notes, SEVERITY_ERROR, "misplaced", plan_place(plan, row, FIELD_ROW(FOLLOW)),
                  "%s is only to build on: no batch can follow it", protocol->name->text);
    note->instead = "follow a protocol that is based on it";
    note_place(note, protocol->written->name_span, "it is written here");
}

static void check_row(Lint *lint, const Plan *plan, size_t row)
{
    lint->summary.batches++;
    record_check_seen(lint->records, plan->ids[row], plan->records ? plan->records[row] : NULL);
    trials_see(lint, plan->ids[row]);
    Context *context = contexts_of_row(lint->contexts, plan, row);
    if (!context) {
        refuse_base(lint, plan, row); /* whatever else is not known about what it follows was reported */
        return;
    }
    Subject subject = subject_of_batch(context, plan, row);
    subject.tried = trials_tried(&lint->trials, plan->ids[row]);
    ContextCheck *check = check_of(lint, context);
    limits_on_row(lint, check, &subject);
    subject.timeline = timelines_of(lint->timelines, &subject);
    rules_on_row(lint, check, &subject);
    dates_take(lint, &subject);
    record_check_batch(lint->records, &subject);
    yield_take(lint, &subject);
    trials_take(lint, &subject);
    if (lint->asks_mixed) gathering_add(lint->gathering, &subject);
    if (lint->occupancy) occupancy_add(lint->occupancy, &subject);
}

void lint_plan(Lint *lint, const Plan *plan)
{
    for (size_t row = 0; row < plan->rows; row++) {
        check_row(lint, plan, row);
        if (row % 64 == 63 || row + 1 == plan->rows) {
            faults_flush(lint->faults);
            arena_release(lint->source.passing, lint->passing);
        }
    }
}

void lint_batch(Lint *lint, const Plan *plan, size_t row)
{
    check_row(lint, plan, row);
    faults_flush(lint->faults);
    arena_release(lint->source.passing, lint->passing);
}

/* ------------------------------------------------------------------ after all batches */

void lint_finish_batches(Lint *lint)
{
    dates_report(lint);
    faults_finish(lint->faults);
}

static void report_idle_judgements(Lint *lint)
{
    for (size_t i = 0; i < lint->nursery->judgement_count; i++) {
        const Judgement *judgement = &lint->nursery->judgements[i];
        if (judgement->used || !nursery_knows_finding(lint->nursery, name_slice(judgement->name))) continue;
        Note *note =
            notes_add(lint->nursery->notes, SEVERITY_NOTE, "idle-accept", judgement->clause->item->span,
                      "judge %s changes nothing in this run", judgement->name->text);
        note->subject = lint->nursery->self->id;
    }
}

static size_t rules_without_subject(const Lint *lint)
{
    size_t count = 0;
    for (size_t i = 0; i < lint->nursery->rule_count; i++)
        count += lint->states[i].in_force && !lint->states[i].met;
    return count;
}

const Summary *lint_finish(Lint *lint)
{
    rules_on_places(lint);
    if (lint->occupancy) places_report(lint);
    undecided_report(lint);
    dates_report(lint);
    days_report(lint);
    record_check_finish(lint->records);
    trials_finish(lint);
    faults_finish(lint->faults);
    report_idle_judgements(lint);
    lint->summary.no_subject = rules_without_subject(lint);
    return &lint->summary;
}
