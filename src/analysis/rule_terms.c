/* The terms of rules: see rule_terms.h. What `where` asks and what `when` asks are true together. */
#include "analysis/rule_terms.h"

#include "analysis/condition_text.h"

bool rule_has_needs(const Rule *rule)
{
    return !fieldset_within(&rule->needs, &(FieldSet){{0}});
}

RuleTerms rule_terms_of(const TermMaker *maker, const Rule *rule)
{
    RuleTerms found = {.rule = rule};
    for (int scope = 0; scope < SCOPES; scope++) {
        const RuleBody *body = rule->bodies[scope];
        if (body)
            found.terms[scope] = terms_both(maker, terms_of(maker, body->where, TRUTH_TRUE),
                                            terms_of(maker, body->when, TRUTH_TRUE));
    }
    return found;
}

static bool same_condition(Arena *passing, const Code *a, const Code *b)
{
    return slice_equal(condition_text(passing, a), condition_text(passing, b));
}

/* What is missing for a rule hangs on how it asks, so with `needs` only the same condition will do. */
static bool breaks_for_want(Arena *passing, const Rule *inner, const Rule *outer)
{
    if (!fieldset_within(&inner->needs, &outer->needs)) return false;
    for (int scope = 0; scope < SCOPES; scope++) {
        const RuleBody *a = inner->bodies[scope], *b = outer->bodies[scope];
        if (a && !(same_condition(passing, a->where, b->where) && same_condition(passing, a->when, b->when)))
            return false;
    }
    return true;
}

bool rule_terms_lie_in(const TermMaker *maker, const RuleTerms *inner, const RuleTerms *outer)
{
    for (int scope = 0; scope < SCOPES; scope++)
        if (inner->rule->bodies[scope] &&
            (!outer->rule->bodies[scope] || !terms_lie_in(&inner->terms[scope], &outer->terms[scope])))
            return false;
    return !rule_has_needs(inner->rule) || breaks_for_want(maker->passing, inner->rule, outer->rule);
}
