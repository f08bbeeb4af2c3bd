/* Rules by the terms of their conditions: void ones, equal ones, one inside another. */
#include "analysis/overlap.h"

#include "analysis/condition_text.h"
#include "analysis/terms.h"
#include "base/vec.h"

/* A rule and when it is broken, for each scope that it has. */
typedef struct Extent {
    const Rule *rule;
    Severity severity; /* as the nursery judges it */
    Terms terms[SCOPES];
} Extent;

typedef struct Overlap {
    Nursery *nursery;
    TermMaker maker;
    VEC(Extent) extents; /* of rules that are asked */
} Overlap;

static bool is_of_house(const Rule *rule)
{
    return !rule->block->built_in;
}

static bool has_needs(const Rule *rule)
{
    return !fieldset_within(&rule->needs, &(FieldSet){{0}});
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
static bool told_void(Overlap *overlap, const Extent *extent, int scope)
{
    Arena *arena = overlap->nursery->arena;
    const Rule *rule = extent->rule;
    if (terms_are_void(&extent->terms[scope]) && !has_needs(rule)) {
        tell_void(
            overlap, "rule-dead", rule, &extent->terms[scope],
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

static void check_alone(Overlap *overlap, const Extent *extent)
{
    const Rule *rule = extent->rule;
    bool too_many = false;
    for (int scope = 0; scope < SCOPES; scope++) {
        if (!rule->bodies[scope]) continue;
        too_many = too_many || extent->terms[scope].too_many;
        if (told_void(overlap, extent, scope)) return;
    }
    if (!too_many) return;
    Note *note = tell(
        overlap, SEVERITY_NOTE, "too-complex", rule, rule->block->name_span,
        arena_print(overlap->nursery->arena,
                    "%s: its condition falls into more than %d cases and is not held against other rules",
                    rule->name->text, TERM_LIMIT));
    if (note) note->instead = "it is judged all the same; several rules would say it more plainly";
}

static Extent extent_of(Overlap *overlap, const Rule *rule)
{
    Extent extent = {.rule = rule,
                     .severity = nursery_judged(overlap->nursery, rule->name->text, rule->severity)};
    for (int scope = 0; scope < SCOPES; scope++) {
        const RuleBody *body = rule->bodies[scope];
        if (body)
            extent.terms[scope] =
                terms_both(&overlap->maker, terms_of(&overlap->maker, body->where, TRUTH_TRUE),
                           terms_of(&overlap->maker, body->when, TRUTH_TRUE));
    }
    return extent;
}

/* ------------------------------------------------------------------ two rules */

static bool same_condition(Arena *passing, const Code *a, const Code *b)
{
    return slice_equal(condition_text(passing, a), condition_text(passing, b));
}

/* What is missing for a rule hangs on how it asks, so with `needs` only the same condition will do. */
static bool breaks_for_want(const Overlap *overlap, const Rule *inner, const Rule *outer)
{
    if (!fieldset_within(&inner->needs, &outer->needs)) return false;
    for (int scope = 0; scope < SCOPES; scope++) {
        const RuleBody *a = inner->bodies[scope], *b = outer->bodies[scope];
        if (a && !(same_condition(overlap->maker.passing, a->where, b->where) &&
                   same_condition(overlap->maker.passing, a->when, b->when)))
            return false;
    }
    return true;
}

/* Whatever breaks the one breaks the other. */
static bool lies_in(const Overlap *overlap, const Extent *inner, const Extent *outer)
{
    for (int scope = 0; scope < SCOPES; scope++)
        if (inner->rule->bodies[scope] &&
            (!outer->rule->bodies[scope] || !terms_lie_in(&inner->terms[scope], &outer->terms[scope])))
            return false;
    return !has_needs(inner->rule) || breaks_for_want(overlap, inner->rule, outer->rule);
}

static void tell_duplicate(Overlap *overlap, const Extent *extent, const Extent *other)
{
    Arena *arena = overlap->nursery->arena;
    const char *name = other->rule->name->text;
    Note *note =
        tell(overlap, SEVERITY_WARNING, "rule-duplicate", extent->rule, extent->rule->block->name_span,
             arena_print(arena, "%s finds fault with just what %s finds fault with", extent->rule->name->text,
                         name));
    if (!note) return;
    note_place(note, other->rule->block->name_span, "the other rule");
    note->instead =
        is_of_house(other->rule)
            ? "keep one of the two"
            : arena_print(arena, "a rule of the house called %s takes the place of that one", name);
}

static void tell_shadowed(Overlap *overlap, const Extent *extent, const Extent *other)
{
    Note *note =
        tell(overlap, SEVERITY_NOTE, "rule-shadowed", extent->rule, extent->rule->block->name_span,
             arena_print(overlap->nursery->arena, "whatever breaks %s breaks %s too, %s",
                         extent->rule->name->text, other->rule->name->text,
                         other->severity > extent->severity ? "which is graver" : "which is as grave"));
    if (note) note->instead = "strike it, or make it graver than the other";
    if (note) note_place(note, other->rule->block->name_span, "the other rule");
}

/* Of two equal rules one is told of: the house's, the less grave, the later by name. */
static bool yields(const Extent *extent, const Extent *other)
{
    if (is_of_house(extent->rule) != is_of_house(other->rule)) return is_of_house(extent->rule);
    if (extent->severity != other->severity) return extent->severity < other->severity;
    return extent > other;
}

/* The first rule to which a rule of the house adds nothing. That a rule which ships lies in one of the
 * house's is no fault: a house may be stricter. */
static void check_pairs(Overlap *overlap, const Extent *extent)
{
    const Extent *shadow = NULL;
    for (size_t i = 0; i < overlap->extents.count; i++) {
        const Extent *other = &overlap->extents.at[i];
        if (other == extent || !lies_in(overlap, extent, other)) continue;
        bool equal = lies_in(overlap, other, extent);
        if (equal && yields(extent, other)) {
            tell_duplicate(overlap, extent, other);
            return;
        }
        if (!equal && !shadow && other->severity >= extent->severity) shadow = other;
    }
    if (shadow) tell_shadowed(overlap, extent, shadow);
}

/* ------------------------------------------------------------------ all */

static bool house_has_rules(const Nursery *nursery)
{
    for (size_t i = 0; i < nursery->rule_count; i++)
        if (is_of_house(&nursery->rules[i])) return true;
    return false;
}

static bool is_void(const Extent *extent)
{
    for (int scope = 0; scope < SCOPES; scope++)
        if (extent->rule->bodies[scope] && terms_are_void(&extent->terms[scope]))
            return !has_needs(extent->rule);
    return false;
}

void overlap_report(Nursery *nursery, Arena *passing)
{
    if (!house_has_rules(nursery)) return;
    Overlap overlap = {.nursery = nursery, .maker = {passing, nursery->names}};
    for (size_t i = 0; i < nursery->rule_count; i++) {
        const Rule *rule = &nursery->rules[i];
        Extent extent = extent_of(&overlap, rule);
        if (is_of_house(rule)) check_alone(&overlap, &extent);
        if (!rule->refused && extent.severity != SEVERITY_OFF && !is_void(&extent))
            VEC_PUSH(passing, &overlap.extents, extent);
    }
    for (size_t i = 0; i < overlap.extents.count; i++)
        if (is_of_house(overlap.extents.at[i].rule)) check_pairs(&overlap, &overlap.extents.at[i]);
    overlap_idle(nursery, passing);
}
