/* A condition as terms: it is true when one of them is, and a term is true when all that it asks is.
 *
 * Each atom becomes a literal: a value, known by its normal text, lies in a set of numbers. Words are
 * numbered by their names, of two values that are compared the difference is asked, and what is only there or
 * not lies in {1} or outside it; so one algebra of sets serves them all.
 *
 * What is said of terms is true of every subject, whatever the class of its facts (analysis/subject.h), but
 * not everything that is true is said. Private to src/analysis.
 */
#ifndef ANALYSIS_TERMS_H
#define ANALYSIS_TERMS_H

#include "model/limit.h"
#include "model/rule.h"

enum { TERM_LIMIT = 64 };

typedef struct Literal {
    Name value;
    IntervalSet set;
    bool joined; /* two literals on the value are both true only if one on the intersection is */
    Span span;
} Literal;

typedef struct Term {
    const Literal *at;
    size_t count;
    uint64_t values; /* one bit each, several may share one: a quick no to whether it lies in another */
} Term;

typedef struct Terms {
    Term *at; /* none lies in one before it, none is void */
    size_t count;
    bool too_many; /* more than TERM_LIMIT: nothing is known */
    Span clash[2]; /* the first two literals, or the one, for which a term was void; no text: none was */
} Terms;

typedef struct TermMaker {
    Arena *passing;
    Names *names; /* of the nursery or of any other table; only compared */
} TermMaker;

/* When the condition is true, or when it is false; NULL is true always. */
Terms terms_of(const TermMaker *maker, const Code *code, Truth truth);
Terms terms_both(const TermMaker *maker, Terms a, Terms b);
/* Whatever makes `inner` true makes `outer` true. */
bool terms_lie_in(const Terms *inner, const Terms *outer);
/* Known, and never true. */
static inline bool terms_are_void(const Terms *terms)
{
    return !terms->too_many && terms->count == 0;
}

#endif
