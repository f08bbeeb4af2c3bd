/* Names that a rule of the house asks for and nothing in the nursery has: most often a slip of the finger, by
 * which `no task …` is always true and `has task …` never.
 *
 * Words of closed lists are not meant: they were checked when the rule was read, and a rule may well forbid
 * what nobody does yet. Of plants, and of words that stand in a table of batches, the nursery does not know
 * all; nor is anything idle where there is nothing to look at.
 */
#include "analysis/overlap.h"

#include "base/near.h"
#include "base/vec.h"
#include "model/protocol.h"
#include "model/rule.h"

typedef struct Idle {
    Nursery *nursery;
    Arena *passing;
    Names *said; /* all names that occur … */
    VEC(Name) list;
    const Rule *rule;
    VEC(Name) told; /* … and those that this rule was told of */
} Idle;

/* ------------------------------------------------------------------ what occurs */

static void say(Idle *idle, Name name)
{
    if (!name || names_find(idle->said, name_slice(name))) return;
    names_intern(idle->said, name_slice(name));
    VEC_PUSH(idle->passing, &idle->list, name);
}

static void say_words(Idle *idle, const Word *words, size_t count)
{
    for (size_t i = 0; i < count; i++) say(idle, words[i].name);
}

static void say_reading(Idle *idle, const Reading *reading)
{
    if (!reading || reading == &reading_spoiled) return;
    say_words(idle, reading->words, reading->word_count);
    for (size_t i = 0; i < reading->mix_count; i++) say(idle, reading->mix[i].component);
    for (size_t i = 0; i < reading->standing_count; i++) say(idle, reading->standings[i].place);
}

static void say_block(Idle *idle, const Block *block)
{
    say(idle, block->name);
    say_words(idle, block->names, block->name_count);
    for (const Clause *clause = block->clauses; clause; clause = clause->next)
        say_reading(idle, clause->reading);
    for (const RecordLine *line = block->lines; line; line = line->next)
        for (size_t i = 0; i < line->class_count; i++) say(idle, line->classes[i].name);
    for (const Block *child = block->blocks; child; child = child->next) say_block(idle, child);
}

static void say_all(Idle *idle)
{
    idle->said = names_new(idle->passing);
    for (int kind = 0; kind < BLOCK_KINDS; kind++)
        for (size_t i = 0; kind != BLOCK_RULE && i < idle->nursery->lists[kind].count; i++)
            say_block(idle, idle->nursery->lists[kind].at[i]);
}

/* ------------------------------------------------------------------ what is asked for */

static void ask(Idle *idle, Name name, Span place)
{
    if (!name) return;
    if (!idle->said) say_all(idle);
    if (names_find(idle->said, name_slice(name))) return;
    for (size_t i = 0; i < idle->told.count; i++)
        if (idle->told.at[i] == name) return;
    VEC_PUSH(idle->passing, &idle->told, name);
    Severity severity = nursery_judged(idle->nursery, "rule-idle", SEVERITY_NOTE);
    if (severity == SEVERITY_OFF) return;
    Note *note =
        notes_add(idle->nursery->notes, severity, "rule-idle", place,
                  "%s asks for %s, and nothing here is called that", idle->rule->name->text, name->text);
    note->subject = idle->rule->name->text;
    Nearest nearest;
    nearest_start(&nearest, name_slice(name));
    for (size_t i = 0; i < idle->list.count; i++) nearest_try(&nearest, name_slice(idle->list.at[i]));
    if (nearest_found(&nearest))
        note->instead = arena_print(idle->nursery->arena, "did you mean %.*s?", SLICE_ARG(nearest.best));
}

static void ask_thing(Idle *idle, ThingKind thing, Name role, Span place)
{
    bool is_sticking = thing == THING_TASK && role && slice_is(name_slice(role), "stick");
    bool is_verb = thing == THING_RECORD && role && record_kind_known(name_slice(role));
    if (!is_sticking && !is_verb) ask(idle, role, place);
}

static void ask_sum(Idle *idle, const Sum *sum)
{
    if (!sum) return;
    if (sum->kind == SUM_MOMENT) ask(idle, sum->role, sum->span);
    ask_sum(idle, sum->a);
    ask_sum(idle, sum->b);
}

static bool is_known_here(const Field *field)
{
    switch (field->type) {
    case TYPE_FREE: return !(field->flags & FIELD_COLUMN);
    case TYPE_COUNTS:
    case TYPE_NAME:
    case TYPE_STANDS:
    case TYPE_MIX: return true;
    default: return false;
    }
}

static void ask_words(Idle *idle, const Code *code)
{
    const Field *field = code->ref.field;
    for (size_t i = 0; field && is_known_here(field) && i < code->word_count; i++)
        if (!field_has_word(field, name_slice(code->words[i].name)))
            ask(idle, code->words[i].name, code->words[i].span);
}

static void ask_condition(Idle *idle, const Code *code)
{
    if (!code) return;
    if (code->kind == CODE_HAS) {
        ask_thing(idle, code->thing, code->role, code->span);
        if (code->relation != RELATION_NONE) ask_thing(idle, code->other_thing, code->other_role, code->span);
    }
    if (code->kind == CODE_IS || code->kind == CODE_INCLUDES) ask_words(idle, code);
    ask_sum(idle, code->a);
    ask_sum(idle, code->b);
    ask_sum(idle, code->c);
    for (const Code *member = code->first; member; member = member->next) ask_condition(idle, member);
}

void overlap_idle(Nursery *nursery, Arena *passing)
{
    if (!nursery->protocol_count && !nursery->lists[BLOCK_BATCH].count) return;
    Idle idle = {.nursery = nursery, .passing = passing};
    for (size_t i = 0; i < nursery->rule_count; i++) {
        idle.rule = &nursery->rules[i];
        if (idle.rule->refused || idle.rule->block->built_in) continue;
        idle.told.count = 0;
        for (int scope = 0; scope < SCOPES; scope++) {
            const RuleBody *body = idle.rule->bodies[scope];
            ask_condition(&idle, body ? body->where : NULL);
            ask_condition(&idle, body ? body->when : NULL);
        }
    }
}
