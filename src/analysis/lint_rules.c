/* Rules on protocols, stages, tasks, clauses and places; what a verdict becomes. */
#include "analysis/lint_work.h"

/* ------------------------------------------------------------------ who is it about */

const char *subject_id(const Lint *lint, const Subject *subject)
{
    switch (subject->scope) {
    case SCOPE_BATCH: {
        if (!subject->plan) return subject->context->protocol->name->text;
        Slice id = subject->plan->ids[subject->row];
        return arena_copy(lint->source.passing, id.at, id.length);
    }
    case SCOPE_STAGE:
    case SCOPE_TASK: return subject->block->id;
    case SCOPE_PLACE: return subject->place->id;
    case SCOPE_PROTOCOL:
    case SCOPE_CLAUSE:
    case SCOPES: break;
    }
    return subject->protocol->name->text;
}

static const Block *accepting_block(const Subject *subject)
{
    if (subject->scope == SCOPE_BATCH)
        return subject->plan && subject->plan->blocks ? subject->plan->blocks[subject->row]
               : subject->plan                        ? NULL
                                                      : subject->context->protocol->written;
    if (subject->scope == SCOPE_PLACE) return subject->place;
    return subject->protocol ? subject->protocol->written : NULL;
}

static Span place_of_subject(const Subject *subject)
{
    switch (subject->scope) {
    case SCOPE_BATCH:
        return subject->plan ? plan_place(subject->plan, subject->row, NULL)
                             : subject->context->protocol->written->name_span;
    case SCOPE_STAGE:
    case SCOPE_TASK: return subject->block->name_span;
    case SCOPE_PLACE: return subject->place->name_span;
    case SCOPE_CLAUSE: return clause_place(subject->clause);
    case SCOPE_PROTOCOL:
    case SCOPES: break;
    }
    return subject->protocol->written->name_span;
}

/* ------------------------------------------------------------------ undecided */

static void leave_undecided(Lint *lint, const Rule *rule, const Subject *subject, const FieldSet *missing)
{
    Undecided *found = NULL;
    for (size_t i = 0; i < lint->undecided.count && !found; i++)
        if (lint->undecided.at[i].rule == rule &&
            !memcmp(&lint->undecided.at[i].missing, missing, sizeof *missing))
            found = &lint->undecided.at[i];
    if (!found) {
        found = VEC_ADD(lint->nursery->arena, &lint->undecided);
        *found = (Undecided){.rule = rule, .missing = *missing};
    }
    if (found->count < UNDECIDED_PLACES) {
        found->places[found->count] = place_of_subject(subject);
        const char *id = subject_id(lint, subject);
        found->subjects[found->count] = arena_copy(lint->nursery->arena, id, strlen(id));
    }
    found->count++;
}

static const char *missing_text(const Lint *lint, const FieldSet *missing)
{
    const char *text = NULL;
    for (size_t i = 0; i < field_count; i++) {
        if (!fieldset_has(missing, &field_table[i])) continue;
        const char *one = field_table[i].spelling;
        text = text ? arena_print(lint->nursery->arena, "%s, %s", text, one) : one;
    }
    return text ? text : "a value it asks for";
}

/* An error that could not be judged is told as a warning, a warning as a note; what was only a note is
 * counted in the last line alone. */
void undecided_report(Lint *lint)
{
    for (size_t i = 0; i < lint->undecided.count; i++) {
        const Undecided *undecided = &lint->undecided.at[i];
        Severity severity = severity_below(
            nursery_judged(lint->nursery, undecided->rule->name->text, undecided->rule->severity));
        severity =
            severity == SEVERITY_OFF ? SEVERITY_OFF : nursery_judged(lint->nursery, "not-judged", severity);
        if (severity == SEVERITY_OFF) continue;
        Note *note = notes_add(lint->nursery->notes, severity, "not-judged", undecided->places[0],
                               "%s could not be judged %s: nobody states %s", undecided->rule->name->text,
                               undecided->count == 1 ? "here"
                                                     : arena_print(lint->nursery->arena, "%llu times",
                                                                   (unsigned long long)undecided->count),
                               missing_text(lint, &undecided->missing));
        note->subject = undecided->subjects[0];
        note->value = undecided->rule->name->text;
        note->field = missing_text(lint, &undecided->missing);
        for (size_t k = 1; k < UNDECIDED_PLACES && k < undecided->count; k++)
            note_place(note, undecided->places[k], "here too");
    }
}

static void leave_open(Lint *lint, const Rule *rule, const RuleBody *body, const Subject *subject)
{
    const Protocol *protocol = subject->context ? subject->context->protocol : subject->protocol;
    for (size_t i = 0; i < lint->left_open.count; i++)
        if (lint->left_open.at[i].rule == rule && lint->left_open.at[i].protocol == protocol) return;
    VEC_PUSH(lint->nursery->arena, &lint->left_open, ((RuleAt){rule, protocol}));
    Severity severity = nursery_judged(lint->nursery, "left-open", SEVERITY_NOTE);
    if (severity == SEVERITY_OFF ||
        nursery_judged(lint->nursery, rule->name->text, rule->severity) == SEVERITY_OFF)
        return;
    const Block *accepts = protocol ? protocol->written : NULL;
    if (faults_silenced(lint->faults, accepts, rule->name->text) ||
        faults_silenced(lint->faults, accepts, "left-open"))
        return;
    const char *found =
        judge_found(&lint->source, lint->nursery->arena, body->when, subject, lint->nursery->imperial);
    Span place = protocol ? protocol->written->name_span : place_of_subject(subject);
    Note *note = notes_add(lint->nursery->notes, severity, "left-open", place,
                           "%s allows what %s finds fault with, and leaves it open",
                           protocol ? protocol->name->text : "this", rule->name->text);
    note->subject = protocol ? protocol->name->text : "";
    note->value = rule->name->text;
    note->found = found;
    note_place(note, rule->block->name_span, "the rule");
}

/* ------------------------------------------------------------------ verdicts */

static bool needs_missing(const Rule *rule, const FieldSet *missing)
{
    return fieldset_meets(&rule->needs, missing);
}

static const Field *blamed(Lint *lint, const Rule *rule, const RuleBody *body, const Subject *subject,
                           const Clause **clause)
{
    *clause = NULL;
    if (rule->blame && subject->scope == SCOPE_BATCH && subject->plan &&
        plan_cell(subject->plan, subject->row, rule->blame))
        return rule->blame;
    return judge_pointed(&lint->source, body->when, subject, clause);
}

static bool span_holds(Span outer, Span inner)
{
    return outer.text == inner.text && outer.begin <= inner.begin && inner.end <= outer.end;
}

/* What is said in a base or a practice is at fault in the protocol that takes it over; another that does may
 * pass. */
static void point_at_heir(const Lint *lint, Fault *fault, const Subject *subject, const Block *said_in)
{
    const Block *heir = subject->protocol ? subject->protocol->written : NULL;
    if (!heir || !said_in || span_holds(heir->item->span, fault->place)) return;
    const Block *top = nursery_top_of(lint->nursery, said_in);
    if (top && top->type->kind != BLOCK_PROTOCOL && top->type->kind != BLOCK_PRACTICE) return;
    fault->third = heir->name_span;
    fault->third_label = "taken over by";
}

Fault *rule_fault(Lint *lint, const Rule *rule, const RuleBody *body, const Subject *subject, uint32_t row,
                  bool unsure)
{
    const Clause *clause;
    const Field *field = blamed(lint, rule, body, subject, &clause);
    Fault *fault = faults_add(lint->faults);
    fault->row = row;
    fault->rank = RANK_RULE;
    fault->severity = unsure ? severity_below(rule->severity) : rule->severity;
    fault->name = rule->name->text;
    fault->subject = subject_id(lint, subject);
    const Clause *told = rule_message(lint->nursery, rule);
    fault->message =
        arena_print(lint->source.passing, "%s%.*s", unsure ? "may be: " : "", SLICE_ARG(told->reading->text));
    fault->found =
        judge_found(&lint->source, lint->source.passing, body->when, subject, lint->nursery->imperial);
    fault->allowed = judge_allowed(lint->source.passing, body->when);
    fault->citations = told->item->citations;
    fault->because = told->item->because;
    fault->instead = told->item->instead;
    fault->accepts = accepting_block(subject);
    fault->unsilenced = body->unsilenced;
    fault->field = subject->scope == SCOPE_BATCH && subject->plan ? field : NULL;
    fault->value = fault->found;
    fault->second = rule->block->name_span;
    fault->second_label = "the rule";
    fault->once =
        subject->scope != SCOPE_BATCH; /* what a base says is told once, not with each of its heirs */
    if (subject->scope == SCOPE_BATCH && subject->plan) {
        fault->place = plan_place(subject->plan, subject->row, field);
        if (clause) {
            fault->third = clause_place(clause);
            fault->third_label = "it says";
        }
    } else {
        fault->place = clause ? clause_place(clause) : place_of_subject(subject);
        point_at_heir(lint, fault, subject, clause ? clause->home : subject->block);
    }
    return fault;
}

void rule_told(Lint *lint, const Rule *rule, const RuleBody *body, const Subject *subject, uint32_t row,
               Truth truth, bool about, unsigned reasons, const FieldSet *missing)
{
    if (!about) return;
    rule_state(lint, rule)->met = true;
    if (truth == TRUTH_FALSE) {
        lint->summary.held++;
        return;
    }
    if (truth == TRUTH_TRUE || (truth == TRUTH_UNSURE && needs_missing(rule, missing))) {
        lint->summary.broken++;
        rule_fault(lint, rule, body, subject, row, false);
        return;
    }
    if (reasons & REASON_SPOILED) return;
    lint->summary.undecided++;
    if (reasons & REASON_UNSTATED)
        leave_undecided(lint, rule, subject, missing);
    else if (reasons & REASON_PERMITTED)
        leave_open(lint, rule, body, subject);
    else if (severity_below(rule->severity) != SEVERITY_OFF)
        rule_fault(lint, rule, body, subject, row, true);
}

void rule_verdict(Lint *lint, const Rule *rule, const RuleBody *body, const Subject *subject, uint32_t row)
{
    Judging judging = {.source = &lint->source};
    bool about;
    Truth truth = judge_rule(&judging, body, subject, &about);
    if (judging.overflowed) {
        notes_add(lint->nursery->notes, SEVERITY_ERROR, "not-computed", place_of_subject(subject),
                  "%s: a number does not fit, or a figure does not come out", rule->name->text);
        return;
    }
    rule_told(lint, rule, body, subject, row, truth, about, judging.reasons, &judging.missing);
}

/* ------------------------------------------------------------------ protocols */

/* A protocol while rules are asked of it and of what stands in it. */
typedef struct Asking {
    Lint *lint;
    const Protocol *protocol;
    const Rule *rule;
    Subject whole;
    Context **plants; /* one for each plant that it is for */
    size_t plant_count;
    uint32_t row;
} Asking;

static int badness(Truth truth, bool about)
{
    return about ? 1 + (int)truth : 0;
}

/* One verdict for all plants together: that of the plant for which it comes out worst. */
static void ask(Asking *asking, Scope scope, Subject *subject)
{
    const RuleBody *body = asking->rule->bodies[scope];
    Context *worst = asking->plants[0];
    int worst_yet = -1;
    for (size_t i = 0; i < asking->plant_count && asking->plant_count > 1; i++) {
        Judging judging = {.source = &asking->lint->source};
        bool about;
        asking->whole.context = subject->context = asking->plants[i];
        Truth truth = judge_rule(&judging, body, subject, &about);
        if (badness(truth, about) <= worst_yet) continue;
        worst_yet = badness(truth, about);
        worst = asking->plants[i];
    }
    asking->whole.context = subject->context = worst;
    rule_verdict(asking->lint, asking->rule, body, subject, asking->row++);
}

static void ask_stages(Asking *asking)
{
    for (size_t i = 0; i < asking->protocol->stage_count; i++) {
        Subject stage = {.scope = SCOPE_STAGE,
                         .outer = &asking->whole,
                         .block = asking->protocol->stages[i],
                         .index = (int)i,
                         .protocol = asking->protocol};
        ask(asking, SCOPE_STAGE, &stage);
    }
}

static void ask_tasks(Asking *asking)
{
    const Protocol *protocol = asking->protocol;
    for (size_t i = 0; i < protocol->task_count; i++) {
        int index = protocol->schedule->tasks[i].stage;
        Subject stage = {.scope = SCOPE_STAGE,
                         .outer = &asking->whole,
                         .index = index,
                         .context = asking->plants[0],
                         .protocol = protocol};
        if (index >= 0) stage.block = protocol->stages[index];
        Subject task = {.scope = SCOPE_TASK,
                        .outer = &stage,
                        .block = protocol->tasks[i],
                        .index = (int)i,
                        .protocol = protocol};
        ask(asking, SCOPE_TASK, &task);
    }
}

/* Clauses with a figure, where they are written: not those of a base or practice, which are judged with their
 * own protocol. */
static void ask_clauses(Asking *asking, const Block *block)
{
    for (const Clause *clause = block->clauses; clause; clause = clause->next) {
        bool figure =
            clause->reading && (clause->reading->numbers.count || clause->field->type == TYPE_LASTS ||
                                clause->field->type == TYPE_DOSE);
        if (!figure || clause->home->built_in) continue;
        Subject one = {
            .scope = SCOPE_CLAUSE, .outer = &asking->whole, .clause = clause, .protocol = asking->protocol};
        ask(asking, SCOPE_CLAUSE, &one);
    }
    for (const Block *child = block->blocks; child; child = child->next)
        if (!child->latent) ask_clauses(asking, child);
}

static void list_plants(Asking *asking)
{
    const Protocol *protocol = asking->protocol;
    size_t room = 1;
    for (const Clause *clause = protocol->effective->clauses; clause; clause = clause->next) room++;
    asking->plants = ARENA_ARRAY(asking->lint->nursery->arena, Context *, room);
    for (const Clause *clause = protocol->effective->clauses; clause; clause = clause->next)
        if (clause->field == FIELD_ROW(FOR) && clause->reading)
            asking->plants[asking->plant_count++] =
                contexts_of_plant(asking->lint->contexts, protocol, clause->reading);
    if (!asking->plant_count)
        asking->plants[asking->plant_count++] = contexts_of_plant(asking->lint->contexts, protocol, NULL);
}

void rules_on_protocol(Lint *lint, const Protocol *protocol)
{
    Asking asking = {
        .lint = lint, .protocol = protocol, .whole = {.scope = SCOPE_PROTOCOL, .protocol = protocol}};
    list_plants(&asking);
    for (size_t i = 0; i < lint->nursery->rule_count; i++) {
        asking.rule = &lint->nursery->rules[i];
        if (!rule_state(lint, asking.rule)->in_force) continue;
        Subject whole = asking.whole;
        if (asking.rule->bodies[SCOPE_PROTOCOL]) ask(&asking, SCOPE_PROTOCOL, &whole);
        if (asking.rule->bodies[SCOPE_STAGE]) ask_stages(&asking);
        if (asking.rule->bodies[SCOPE_TASK]) ask_tasks(&asking);
        if (asking.rule->bodies[SCOPE_CLAUSE]) ask_clauses(&asking, protocol->effective);
    }
    faults_flush(lint->faults);
}

static const PlaceOccupancy *occupancy_of(const Lint *lint, const Block *place)
{
    size_t count = 0;
    const PlaceOccupancy *all = lint->occupancy ? occupancy_places(lint->occupancy, &count) : NULL;
    for (size_t i = 0; i < count; i++)
        if (all[i].place == place) return &all[i];
    return NULL;
}

void rules_on_places(Lint *lint)
{
    const BlockList *places = &lint->nursery->lists[BLOCK_PLACE];
    for (size_t i = 0; i < places->count; i++) {
        Subject place = {.scope = SCOPE_PLACE,
                         .place = places->at[i],
                         .site = site_of_place(lint->nursery, places->at[i]),
                         .together = lint->gathering,
                         .occupancy = occupancy_of(lint, places->at[i])};
        for (size_t k = 0; k < lint->nursery->rule_count; k++) {
            const Rule *rule = &lint->nursery->rules[k];
            if (rule_state(lint, rule)->in_force && rule->bodies[SCOPE_PLACE])
                rule_verdict(lint, rule, rule->bodies[SCOPE_PLACE], &place, (uint32_t)i);
        }
        faults_flush(lint->faults);
    }
}
