/* When a rule is broken, as terms for each of its scopes, and whether what breaks one breaks another: of one
 * nursery, or of two when both are worked out with one maker.
 */
#ifndef ANALYSIS_RULE_TERMS_H
#define ANALYSIS_RULE_TERMS_H

#include "analysis/terms.h"

typedef struct RuleTerms {
    const Rule *rule;
    Terms terms[SCOPES]; /* of the scopes that it has */
} RuleTerms;

RuleTerms rule_terms_of(const TermMaker *maker, const Rule *rule);
/* Whatever breaks the one breaks the other. False, too, where that is not known. */
bool rule_terms_lie_in(const TermMaker *maker, const RuleTerms *inner, const RuleTerms *outer);
/* It is broken by what is not stated as well. */
bool rule_has_needs(const Rule *rule);

#endif
