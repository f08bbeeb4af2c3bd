/* Rules by the terms of their conditions: void ones, equal ones, one inside another. */
#include "analysis/overlap.h"

#include "analysis/rule_terms.h"
#include "base/vec.h"

/* A rule and when it is broken. */
typedef struct Asked {
    RuleTerms broken;
    Severity severity; /* as the nursery judges it */
} Asked;

typedef struct Overlap {
    Nursery *nursery;
    TermMaker maker;
    VEC(Asked) asked; /* of rules that are asked */
} Overlap;

static bool is_of_house(const Rule *rule)
{
    return !rule->block->built_in;
}

/* NULL: judged off. */
static Note *tell(Overlap *overlap, Severity severity, const char *name, const Rule *rule, Span place,
                  const char *message)
{
    severity = nursery_judged(overlap->nursery, name, severity);
    if (severity == SEVERITY_OFF) return NULL;
    Note *note = notes_add(overlap->nursery->notes, severity, name, place, "%s", message);
    note->subject = rule->name->text;
    return note;
}

/* ------------------------------------------------------------------ one rule by itself */

static void tell_void(Overlap *overlap, const char *name, const Rule *rule, const Terms *terms,
                      const char *message, const char *against)
{
    Note *note = tell(overlap, SEVERITY_WARNING, name, rule, terms->clash[0], message);
    if (note && terms->clash[1].begin != terms->clash[0].begin) note_place(note, terms->clash[1], against);
}

/* What is told of the rule for one scope. A rule with `needs` is broken by what is not stated, too. */
static bool told_void(Overlap *overlap, const Asked *asked, int scope)
{
    Arena *arena = overlap->nursery->arena;
    const Rule *rule = asked->broken.rule;
    if (terms_are_void(&asked->broken.terms[scope]) && !rule_has_needs(rule)) {
        tell_void(
            overlap, "rule-dead", rule, &asked->broken.terms[scope],
            arena_print(arena, "%s: no %s can ever break this rule", rule->name->text, scope_name[scope]),
            "where that is true, this is not");
        return true;
    }
    Terms kept = terms_of(&overlap->maker, rule->bodies[scope]->when, TRUTH_FALSE);
    if (!terms_are_void(&kept)) return false;
    tell_void(overlap, "rule-always", rule, &kept,
              arena_print(arena, "%s: no %s that it is about can keep this rule", rule->name->text,
                          scope_name[scope]),
              "where that is false, this is true");
    return true;
}

static void check_alone(Overlap *overlap, const Asked *asked)
{
    const Rule *rule = asked->broken.rule;
    bool too_many = false;
    for (int scope = 0; scope < SCOPES; scope++) {
        if (!rule->bodies[scope]) continue;
        too_many = too_many || asked->broken.terms[scope].too_many;
        if (told_void(overlap, asked, scope)) return;
    }
    if (!too_many) return;
    Note *note = tell(
        overlap, SEVERITY_NOTE, "too-complex", rule, rule->block->name_span,
        arena_print(overlap->nursery->arena,
                    "%s: its condition falls into more than %d cases and is not held against other rules",
                    rule->name->text, TERM_LIMIT));
    if (note) note->instead = "it is judged all the same; several rules would say it more plainly";
}

static Asked asked_of(Overlap *overlap, const Rule *rule)
{
    return (Asked){.broken = rule_terms_of(&overlap->maker, rule),
                   .severity = nursery_judged(overlap->nursery, rule->name->text, rule->severity)};
}

/* ------------------------------------------------------------------ two rules */

static void tell_duplicate(Overlap *overlap, const Asked *asked, const Asked *other)
{
    Arena *arena = overlap->nursery->arena;
    const char *name = other->broken.rule->name->text;
    Note *note = tell(overlap, SEVERITY_WARNING, "rule-duplicate", asked->broken.rule,
                      asked->broken.rule->block->name_span,
                      arena_print(arena, "%s finds fault with just what %s finds fault with",
                                  asked->broken.rule->name->text, name));
    if (!note) return;
    note_place(note, other->broken.rule->block->name_span, "the other rule");
    note->instead =
        is_of_house(other->broken.rule)
            ? "keep one of the two"
            : arena_print(arena, "a rule of the house called %s takes the place of that one", name);
}

static void tell_shadowed(Overlap *overlap, const Asked *asked, const Asked *other)
{
    Note *note = tell(
        overlap, SEVERITY_NOTE, "rule-shadowed", asked->broken.rule, asked->broken.rule->block->name_span,
        arena_print(overlap->nursery->arena, "whatever breaks %s breaks %s too, %s",
                    asked->broken.rule->name->text, other->broken.rule->name->text,
                    other->severity > asked->severity ? "which is graver" : "which is as grave"));
    if (note) note->instead = "strike it, or make it graver than the other";
    if (note) note_place(note, other->broken.rule->block->name_span, "the other rule");
}

/* Of two equal rules one is told of: the house's, the less grave, the later by name. */
static bool yields(const Asked *asked, const Asked *other)
{
    if (is_of_house(asked->broken.rule) != is_of_house(other->broken.rule))
        return is_of_house(asked->broken.rule);
    if (asked->severity != other->severity) return asked->severity < other->severity;
    return asked > other;
}

/* The first rule to which a rule of the house adds nothing. That a rule which ships lies in one of the
 * house's is no fault: a house may be stricter. */
static void check_pairs(Overlap *overlap, const Asked *asked)
{
    const Asked *shadow = NULL;
    for (size_t i = 0; i < overlap->asked.count; i++) {
        const Asked *other = &overlap->asked.at[i];
        if (other == asked || !rule_terms_lie_in(&overlap->maker, &asked->broken, &other->broken)) continue;
        bool equal = rule_terms_lie_in(&overlap->maker, &other->broken, &asked->broken);
        if (equal && yields(asked, other)) {
            tell_duplicate(overlap, asked, other);
            return;
        }
        if (!equal && !shadow && other->severity >= asked->severity) shadow = other;
    }
    if (shadow) tell_shadowed(overlap, asked, shadow);
}

/* ------------------------------------------------------------------ all */

static bool house_has_rules(const Nursery *nursery)
{
    for (size_t i = 0; i < nursery->rule_count; i++)
        if (is_of_house(&nursery->rules[i])) return true;
    return false;
}

static bool is_void(const Asked *asked)
{
    for (int scope = 0; scope < SCOPES; scope++)
        if (asked->broken.rule->bodies[scope] && terms_are_void(&asked->broken.terms[scope]))
            return !rule_has_needs(asked->broken.rule);
    return false;
}

void overlap_report(Nursery *nursery, Arena *passing)
{
    if (!house_has_rules(nursery)) return;
    Overlap overlap = {.nursery = nursery, .maker = {passing, nursery->names}};
    for (size_t i = 0; i < nursery->rule_count; i++) {
        const Rule *rule = &nursery->rules[i];
        Asked asked = asked_of(&overlap, rule);
        if (is_of_house(rule)) check_alone(&overlap, &asked);
        if (!rule->refused && asked.severity != SEVERITY_OFF && !is_void(&asked))
            VEC_PUSH(passing, &overlap.asked, asked);
    }
    for (size_t i = 0; i < overlap.asked.count; i++)
        if (is_of_house(overlap.asked.at[i].broken.rule)) check_pairs(&overlap, &overlap.asked.at[i]);
    overlap_idle(nursery, passing);
}
