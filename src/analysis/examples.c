/* Rules prove themselves: every example that a rule of the house carries is judged by that rule alone, in a
 * nursery that holds nothing but the example. A rule that fails one is refused. The rules that ship come
 * without their examples: the tests prove them. */
#include "analysis/lint_work.h"

typedef struct Example {
    const Rule *rule;
    const Item *item;
    Truth expected;
    Scope scope;
    Subject subject;      /* what the rule is asked about … */
    Subject outer[2];     /* … and what stands around it */
    VEC(Subject) clauses; /* SCOPE_CLAUSE: each clause in turn */
    Nursery *nursery;     /* sees only what stands in the example */
    FactSource source;
} Example;

typedef VEC(Example) ExampleList;

/* ------------------------------------------------------------------ a nursery of its own */

static Nursery *small_nursery(Lint *lint, const Block *subject)
{
    Nursery *small = ARENA_NEW(lint->nursery->arena, Nursery);
    small->arena = lint->nursery->arena;
    small->names = lint->nursery->names;
    small->notes = notes_new(small->arena, 0); /* an example need not be complete */
    for (const Block *child = subject->blocks; child; child = child->next) {
        if (child->type->kind != BLOCK_SOURCE) continue;
        BlockList *sources = &small->lists[BLOCK_SOURCE];
        Block **grown = ARENA_ARRAY(small->arena, Block *, sources->count + 1);
        for (size_t i = 0; i < sources->count; i++) grown[i] = sources->at[i];
        Block *copy = ARENA_NEW(small->arena, Block);
        *copy = *child;
        grown[sources->count++] = copy;
        sources->at = grown;
    }
    return small;
}

static Block *empty_block(Lint *lint, BlockKind kind, const Item *item)
{
    Block *block = ARENA_NEW(lint->nursery->arena, Block);
    block->type = &block_types[kind];
    block->item = item;
    block->name = names_intern(lint->nursery->names, SLICE("example"));
    block->id = "example";
    block->name_span = item->field_span;
    return block;
}

/* The protocol of an example, with a stage of its own where the rule is about stages. */
static Protocol *small_protocol(Lint *lint, Example *example, const Block *written, Block *stage)
{
    Protocol *protocol = ARENA_NEW(lint->nursery->arena, Protocol);
    Block *block = empty_block(lint, BLOCK_PROTOCOL, example->item);
    if (written) {
        block->clauses = written->clauses;
        block->blocks = written->blocks;
    }
    if (stage) {
        Block *copy = ARENA_NEW(lint->nursery->arena, Block);
        *copy = *stage;
        Word *word = ARENA_NEW(lint->nursery->arena, Word);
        word->name = block->name;
        copy->name = block->name;
        copy->names = word;
        copy->name_count = 1;
        copy->next = block->blocks;
        block->blocks = copy;
    }
    protocol->name = block->name;
    protocol->written = block;
    inheritance_alone(example->nursery, protocol);
    return protocol;
}

static Context *small_context(Example *example, const Block *subject, const Protocol *protocol)
{
    Context *context = ARENA_NEW(example->nursery->arena, Context);
    context->protocol = protocol;
    context->container = block_child(subject, BLOCK_CONTAINER, NULL);
    context->place = block_child(subject, BLOCK_PLACE, NULL);
    context->site = block_child(subject, BLOCK_SITE, NULL);
    context->variety = block_child(subject, BLOCK_VARIETY, NULL);
    context->species[0] = block_child(subject, BLOCK_SPECIES, NULL);
    const Clause *plant =
        subject->type->kind == BLOCK_BATCH ? block_clause(subject, FIELD_ROW(PLANT_OF_BATCH)) : NULL;
    if (plant && plant->reading) {
        context->taxon = plant->reading->words;
        context->taxon_count = plant->reading->word_count;
    }
    context_complete(&example->source, context);
    return context;
}

/* One batch as a plan of one row. */
static const Plan *small_plan(Nursery *nursery, const Block *batch)
{
    Plan *plan = ARENA_NEW(nursery->arena, Plan);
    VEC(const Field *) columns = {0};
    VEC(const Reading **) cells = {0};
    for (size_t i = 0; i < FIELD_COUNT_LIMIT; i++) plan->column_of[i] = -1;
    for (const Clause *clause = batch->clauses; clause; clause = clause->next) {
        if (plan->column_of[clause->field->number] >= 0) continue;
        const Reading **cell = ARENA_NEW(nursery->arena, const Reading *);
        *cell = (clause->field->flags & FIELD_REPEATS) ? block_reading(nursery->arena, batch, clause->field)
                                                       : clause->reading;
        plan->column_of[clause->field->number] = (int16_t)columns.count;
        VEC_PUSH(nursery->arena, &columns, clause->field);
        VEC_PUSH(nursery->arena, &cells, cell);
    }
    const Block **record = ARENA_NEW(nursery->arena, const Block *);
    Slice *id = ARENA_NEW(nursery->arena, Slice);
    *record = block_child(batch, BLOCK_RECORD, NULL);
    *id = SLICE("example");
    plan->rows = 1;
    plan->columns = columns.at;
    plan->column_count = columns.count;
    plan->cells = cells.at;
    plan->records = record;
    plan->ids = id;
    return plan;
}

/* ------------------------------------------------------------------ subjects */

static void batch_subject(Lint *lint, Example *example, const Block *block, Subject *subject)
{
    const Protocol *protocol = small_protocol(lint, example, block_child(block, BLOCK_PROTOCOL, NULL), NULL);
    const Plan *plan = small_plan(example->nursery, block);
    *subject = (Subject){.scope = SCOPE_BATCH,
                         .plan = plan,
                         .context = small_context(example, block, protocol),
                         .protocol = protocol,
                         .record = plan->records[0]};
    Timeline *timeline = ARENA_NEW(example->nursery->arena, Timeline);
    *timeline = timeline_of_batch(&example->source, subject, DAY_NONE);
    subject->timeline = timeline;
}

static void protocol_subject(Lint *lint, Example *example, const Block *block)
{
    const Protocol *protocol = small_protocol(lint, example, block, NULL);
    example->subject = (Subject){
        .scope = SCOPE_PROTOCOL, .protocol = protocol, .context = small_context(example, block, protocol)};
}

static void stage_subject(Lint *lint, Example *example, Block *block)
{
    const Protocol *protocol = small_protocol(lint, example, block_child(block, BLOCK_PROTOCOL, NULL), block);
    Context *context = small_context(example, block, protocol);
    example->outer[0] = (Subject){.scope = SCOPE_PROTOCOL, .protocol = protocol, .context = context};
    size_t index = 0;
    while (index < protocol->stage_count && protocol->stages[index]->name != protocol->name) index++;
    example->subject = (Subject){.scope = SCOPE_STAGE,
                                 .block = protocol->stages[index],
                                 .index = (int)index,
                                 .protocol = protocol,
                                 .context = context};
}

static void task_subject(Lint *lint, Example *example, Block *block)
{
    Block *stage = empty_block(lint, BLOCK_STAGE, example->item);
    Block *task = ARENA_NEW(lint->nursery->arena, Block);
    *task = *block;
    task->name = stage->name;
    stage->blocks = task;
    stage_subject(lint, example, stage);
    const Protocol *protocol = example->subject.protocol;
    example->outer[1] = example->subject;
    example->subject = (Subject){.scope = SCOPE_TASK,
                                 .block = protocol->tasks[0],
                                 .index = 0,
                                 .protocol = protocol,
                                 .context = example->outer[1].context};
}

static void clause_subjects(Lint *lint, Example *example, const Block *block)
{
    for (const Clause *clause = block->clauses; clause; clause = clause->next)
        if (clause->reading)
            VEC_PUSH(lint->nursery->arena, &example->clauses,
                     ((Subject){.scope = SCOPE_CLAUSE,
                                .clause = clause,
                                .protocol = example->subject.protocol,
                                .context = example->subject.context}));
    for (const Block *child = block->blocks; child; child = child->next)
        if (child->type->kind != BLOCK_SOURCE) clause_subjects(lint, example, child);
}

static void collect_codes(Lint *lint, const Code *code, const Code **codes, size_t *count)
{
    (void)lint;
    if (!code) return;
    if (code->kind == CODE_MIXED) codes[(*count)++] = code;
    for (const Code *member = code->first; member; member = member->next)
        collect_codes(lint, member, codes, count);
}

static void place_subject(Lint *lint, Example *example, const Block *block)
{
    const RuleBody *body = example->rule->bodies[SCOPE_PLACE];
    const Code **codes = ARENA_ARRAY(lint->nursery->arena, const Code *, body->atoms);
    size_t count = 0;
    collect_codes(lint, body->where, codes, &count);
    collect_codes(lint, body->when, codes, &count);
    Gathering *gathering = gathering_new(&example->source, codes, count);
    Occupancy *occupancy = occupancy_new(&example->source);
    for (const Block *child = block->blocks; child; child = child->next) {
        if (child->type->kind != BLOCK_BATCH) continue;
        Subject batch;
        batch_subject(lint, example, child, &batch);
        batch.context->place = block;
        gathering_add(gathering, &batch);
        occupancy_add(occupancy, &batch);
    }
    size_t filled;
    const PlaceOccupancy *places = occupancy_places(occupancy, &filled);
    example->subject = (Subject){.scope = SCOPE_PLACE,
                                 .place = block,
                                 .site = block_child(block, BLOCK_SITE, NULL),
                                 .together = gathering,
                                 .occupancy = filled ? places : NULL};
}

/* ------------------------------------------------------------------ making and judging */

/* Lists are made last: pointers between a subject and what stands around it are set when nothing moves any
 * more. */
static void link_up(Example *example)
{
    if (example->scope == SCOPE_STAGE) example->subject.outer = &example->outer[0];
    if (example->scope == SCOPE_TASK) {
        example->outer[1].outer = &example->outer[0];
        example->subject.outer = &example->outer[1];
    }
    for (size_t i = 0; i < example->clauses.count; i++) example->clauses.at[i].outer = &example->subject;
}

static void make_example(Lint *lint, Example *example)
{
    BuildContext build = {.arena = lint->nursery->arena,
                          .names = lint->nursery->names,
                          .notes = lint->nursery->notes,
                          .example = true};
    Block *block = block_of_example(&build, example->item, scope_block(example->scope));
    example->nursery = small_nursery(lint, block);
    example->source = (FactSource){example->nursery, lint->nursery->arena, lint->nursery->arena, NULL, false};
    switch (example->scope) {
    case SCOPE_BATCH: batch_subject(lint, example, block, &example->subject); break;
    case SCOPE_PROTOCOL: protocol_subject(lint, example, block); break;
    case SCOPE_STAGE: stage_subject(lint, example, block); break;
    case SCOPE_TASK: task_subject(lint, example, block); break;
    case SCOPE_CLAUSE:
        protocol_subject(lint, example, block);
        clause_subjects(lint, example, block);
        break;
    case SCOPE_PLACE: place_subject(lint, example, block); break;
    case SCOPES: break;
    }
}

static Truth judge_example(const Example *example, unsigned turned)
{
    const RuleBody *body = example->rule->bodies[example->scope];
    Judging judging = {.source = &example->source, .turned = turned};
    bool about;
    if (example->scope != SCOPE_CLAUSE) return judge_rule(&judging, body, &example->subject, &about);
    Truth found = TRUTH_FALSE;
    for (size_t i = 0; i < example->clauses.count; i++)
        found = truth_or(found, judge_rule(&judging, body, &example->clauses.at[i], &about));
    return found;
}

static const char *truth_text(Truth truth)
{
    return truth == TRUTH_TRUE ? "breaks the rule" : truth == TRUTH_FALSE ? "keeps it" : "cannot be decided";
}

static void refuse_example(Lint *lint, Rule *rule, const Item *item, const char *message)
{
    Note *note = notes_add(lint->nursery->notes, SEVERITY_ERROR, "rule-example", item->field_span, "%s: %s",
                           rule->name->text, message);
    note->subject = rule->name->text;
    note->fatal = true;
    rule->refused = true;
}

static void add_examples(Lint *lint, Rule *rule, ExampleList *list)
{
    static const struct {
        BlockKind kind;
        Truth expected;
    } kinds[] = {{BLOCK_BREAKS, TRUTH_TRUE}, {BLOCK_PASSES, TRUTH_FALSE}, {BLOCK_UNDECIDED, TRUTH_UNSURE}};
    for (const Block *child = rule->block->blocks; child; child = child->next)
        for (size_t k = 0; k < sizeof kinds / sizeof *kinds; k++)
            for (int scope = 0; scope < SCOPES && child->type->kind == kinds[k].kind; scope++)
                if (rule->bodies[scope])
                    VEC_PUSH(lint->nursery->arena, list,
                             ((Example){.rule = rule,
                                        .item = child->item,
                                        .expected = kinds[k].expected,
                                        .scope = (Scope)scope}));
}

/* Atoms on one value may have become one: the number of the other is then in no code. */
static bool has_atom(const Code *code, unsigned atom)
{
    if (!code) return false;
    if (code->atom == atom) return true;
    for (const Code *member = code->first; member; member = member->next)
        if (has_atom(member, atom)) return true;
    return false;
}

static void check_proof(Lint *lint, const Rule *rule, const ExampleList *list)
{
    for (int scope = 0; scope < SCOPES; scope++)
        for (unsigned atom = 1; rule->bodies[scope] && atom <= rule->bodies[scope]->atoms; atom++) {
            bool noticed =
                !has_atom(rule->bodies[scope]->where, atom) && !has_atom(rule->bodies[scope]->when, atom);
            for (size_t i = 0; i < list->count && !noticed; i++)
                noticed = list->at[i].scope == (Scope)scope &&
                          judge_example(&list->at[i], atom) != list->at[i].expected;
            if (noticed) continue;
            Severity severity = nursery_judged(lint->nursery, "rule-unproved", SEVERITY_NOTE);
            if (severity == SEVERITY_OFF) return;
            Note *note =
                notes_add(lint->nursery->notes, severity, "rule-unproved", rule->block->name_span,
                          "%s: part of its condition could be turned round and no example would notice",
                          rule->name->text);
            note->subject = rule->name->text;
            note->instead = "add an example that hangs on it";
            return;
        }
}

static void prove(Lint *lint, Rule *rule)
{
    ExampleList list = {0};
    add_examples(lint, rule, &list);
    bool breaks = false, passes = false;
    for (size_t i = 0; i < list.count; i++) {
        breaks = breaks || list.at[i].expected == TRUTH_TRUE;
        passes = passes || list.at[i].expected == TRUTH_FALSE;
    }
    if (!breaks || !passes) {
        refuse_example(lint, rule, rule->block->item,
                       breaks ? "no example passes it: passes { … }" : "no example breaks it: breaks { … }");
        return;
    }
    for (size_t i = 0; i < list.count; i++) {
        Example *example = &list.at[i];
        size_t before = notes_count(lint->nursery->notes, SEVERITY_ERROR);
        make_example(lint, example);
        link_up(example);
        if (notes_count(lint->nursery->notes, SEVERITY_ERROR) > before) {
            notes_set_fatal(lint->nursery->notes);
            rule->refused = true;
            return;
        }
        Truth truth = judge_example(example, 0);
        if (truth == example->expected) continue;
        refuse_example(lint, rule, example->item,
                       arena_print(lint->nursery->arena, "this example was to show what %s, and it %s",
                                   truth_text(example->expected), truth_text(truth)));
        return;
    }
    check_proof(lint, rule, &list);
}

void examples_run(Lint *lint)
{
    for (size_t i = 0; i < lint->nursery->rule_count; i++)
        if (!lint->nursery->rules[i].refused && !lint->nursery->rules[i].block->built_in)
            prove(lint, &lint->nursery->rules[i]);
}
