/* From rule blocks to rules: scopes, message, severity, what is needed and what is blamed. */
#include "model/rule.h"

#include "model/rule_compile.h"
#include "model/shipped.h"

#include <stdarg.h>
#include <stdio.h>

enum { MESSAGE = 512 };

Note *compile_refuse(Compiler *compiler, Span place, const char *format, ...)
{
    char text[MESSAGE];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(text, sizeof text, format, arguments);
    va_end(arguments);
    Note *note = notes_add(compiler->notes, SEVERITY_ERROR, "rule-refused", place, "%s", text);
    note->subject = compiler->rule->name->text;
    note->fatal = true;
    compiler->failed = true;
    return note;
}

BlockKind scope_block(Scope scope)
{
    static const BlockKind kinds[SCOPES] = {
        [SCOPE_BATCH] = BLOCK_BATCH, [SCOPE_PROTOCOL] = BLOCK_PROTOCOL, [SCOPE_STAGE] = BLOCK_STAGE,
        [SCOPE_TASK] = BLOCK_TASK,   [SCOPE_CLAUSE] = BLOCK_PROTOCOL,   [SCOPE_PLACE] = BLOCK_PLACE};
    return kinds[scope];
}

Scope rule_scope(const Rule *rule)
{
    for (int scope = 0; scope < SCOPES; scope++)
        if (rule->bodies[scope]) return (Scope)scope;
    return SCOPE_BATCH;
}

static const struct {
    FieldNumber field;
    Severity severity;
} messages[] = {{FIELD_NUMBER_ERROR, SEVERITY_ERROR},
                {FIELD_NUMBER_WARNING, SEVERITY_WARNING},
                {FIELD_NUMBER_NOTE, SEVERITY_NOTE}};
enum { MESSAGES = sizeof messages / sizeof *messages };

const Clause *rule_message(const Nursery *nursery, const Rule *rule)
{
    nursery_open(nursery, rule->block);
    const Clause *told = NULL;
    for (size_t i = 0; i < MESSAGES && !told; i++)
        told = block_clause(rule->block, &field_table[messages[i].field]);
    return told;
}

/* The one clause that tells what is wrong gives the severity too. */
static void take_severity(Compiler *compiler, Rule *rule)
{
    const Clause *told = NULL;
    for (size_t i = 0; i < MESSAGES; i++) {
        const Clause *clause = block_clause(rule->block, &field_table[messages[i].field]);
        if (!clause) continue;
        if (told) {
            note_place(compile_refuse(compiler, clause->item->span,
                                      "a rule tells one thing: error, warning or note"),
                       told->item->span, "the other one");
            return;
        }
        told = clause;
        rule->severity = messages[i].severity;
    }
    if (!told)
        compile_refuse(compiler, rule->block->name_span,
                       "a rule says what is wrong: error \"…\", warning \"…\" or note \"…\"");
}

static void set_levels(Compiler *compiler, Scope scope)
{
    static const struct {
        unsigned count;
        Scope levels[3];
    } chains[SCOPES] = {
        [SCOPE_BATCH] = {1, {SCOPE_BATCH}},
        [SCOPE_PROTOCOL] = {1, {SCOPE_PROTOCOL}},
        [SCOPE_STAGE] = {2, {SCOPE_STAGE, SCOPE_PROTOCOL}},
        [SCOPE_TASK] = {3, {SCOPE_TASK, SCOPE_STAGE, SCOPE_PROTOCOL}},
        [SCOPE_CLAUSE] = {2, {SCOPE_CLAUSE, SCOPE_PROTOCOL}},
        [SCOPE_PLACE] = {1, {SCOPE_PLACE}},
    };
    compiler->level_count = chains[scope].count;
    memcpy(compiler->levels, chains[scope].levels, chains[scope].count * sizeof(Scope));
    compiler->in_batch = scope == SCOPE_BATCH;
}

static void compile_body(Compiler *compiler, Rule *rule, Scope scope, const Clause *where, const Clause *when)
{
    RuleBody *body = ARENA_NEW(compiler->arena, RuleBody);
    compiler->body = body;
    set_levels(compiler, scope);
    if (where && where->reading) body->where = compile_condition(compiler, where->reading->condition, false);
    body->where_asks_day = body->asks_dates || body->asks_season;
    if (when->reading) body->when = compile_condition(compiler, when->reading->condition, false);
    for (size_t i = 0; i < sizeof rule->needs.bits / sizeof *rule->needs.bits; i++)
        body->reads.bits[i] |= rule->needs.bits[i];
    if (body->when) rule->bodies[scope] = body;
}

static void compile_scopes(Compiler *compiler, Rule *rule, const Clause *where, const Clause *when)
{
    if (!rule->block->name_count) compile_body(compiler, rule, SCOPE_BATCH, where, when);
    for (size_t i = 0; i < rule->block->name_count; i++) {
        Scope scope;
        if (scope_find(name_slice(rule->block->names[i].name), &scope)) {
            compile_body(compiler, rule, scope, where, when);
            continue;
        }
        Note *note = compile_refuse(
            compiler, rule->block->names[i].span,
            "no rule is about a '%s'; a rule is about batch, protocol, stage, task, clause or place",
            rule->block->names[i].name->text);
        Nearest nearest;
        nearest_start(&nearest, name_slice(rule->block->names[i].name));
        for (int k = 0; k < SCOPES; k++) nearest_try(&nearest, slice_of(scope_name[k]));
        if (nearest_found(&nearest))
            note->instead = arena_print(compiler->arena, "did you mean %.*s?", SLICE_ARG(nearest.best));
    }
}

static void check_own_name(Compiler *compiler, const Rule *rule)
{
    if (field_find_from(name_slice(rule->name), NULL))
        compile_refuse(compiler, rule->block->name_span, "a rule is not called like a field: %s",
                       rule->name->text);
}

/* A line that could not be read was reported where it stands; the rule that it belongs to cannot be trusted.
 */
static bool has_broken_line(const Block *block)
{
    for (const Item *item = block->item->first; item; item = item->next)
        if (item->kind == ITEM_BROKEN || (item->kind == ITEM_BLOCK && !block_find(item->field))) return true;
    for (const Clause *clause = block->clauses; clause; clause = clause->next)
        if (!clause->reading) return true;
    return false;
}

static void take_fields(Rule *rule)
{
    const Clause *needs = block_clause(rule->block, FIELD_ROW(NEEDS_OF_RULE)),
                 *blame = block_clause(rule->block, FIELD_ROW(BLAME));
    for (size_t i = 0; needs && needs->reading->fields && i < needs->reading->word_count; i++)
        if (needs->reading->fields[i]) fieldset_add(&rule->needs, needs->reading->fields[i]);
    if (blame && blame->reading->fields && blame->reading->word_count)
        rule->blame = blame->reading->fields[0];
}

static void make_rule(Nursery *nursery, Rule *rule)
{
    Compiler compiler = {
        .arena = nursery->arena, .names = nursery->names, .notes = nursery->notes, .rule = rule};
    const Clause *when = block_clause(rule->block, FIELD_ROW(WHEN_OF_RULE)),
                 *where = block_clause(rule->block, FIELD_ROW(WHERE));
    if (has_broken_line(rule->block)) {
        notes_set_fatal(nursery->notes);
        rule->refused = true;
        return;
    }
    check_own_name(&compiler, rule);
    take_severity(&compiler, rule);
    take_fields(rule);
    if (!when)
        compile_refuse(&compiler, rule->block->name_span, "a rule has a fault to look for: when CONDITION");
    else
        compile_scopes(&compiler, rule, where, when);
    rule->refused = compiler.failed;
    if (rule->refused) memset(rule->bodies, 0, sizeof rule->bodies);
}

void rules_make(Nursery *nursery)
{
    const BlockList *list = &nursery->lists[BLOCK_RULE];
    nursery->rules = ARENA_ARRAY(nursery->arena, Rule, list->count);
    nursery->rule_count = list->count;
    for (size_t i = 0; i < list->count; i++) {
        Rule *rule = &nursery->rules[i];
        const Rule *shipped = list->at[i]->shipped ? list->at[i]->shipped->rule : NULL;
        if (shipped) *rule = *shipped;
        rule->block = list->at[i];
        rule->name = list->at[i]->name;
        if (!shipped) make_rule(nursery, rule);
    }
}
