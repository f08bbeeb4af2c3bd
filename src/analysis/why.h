/* Why something is as it is: the chain from a value back to what was written.
 *
 * For a field of a protocol or a batch: who states it, which clauses limit it, whose they are, what they
 * stand over, with reasons and sources. For a stage, a task, a date: what it follows from, step by step, and
 * how far a closed day moved it. For a finding: what was found, and the clause or the rule behind it.
 */
#ifndef ANALYSIS_WHY_H
#define ANALYSIS_WHY_H

#include "analysis/subject.h"

/* One link of the chain. */
typedef struct WhyStep {
    unsigned depth;    /* how far it lies behind the step before: what a clause stands over is one deeper */
    const char *text;  /* "must depth 12 .. 30 mm", "callus ends 2 Jul .. 9 Jul 2027, planned 6 Jul" */
    const char *owner; /* "protocol shrub-softwood, stick"; "" */
    const Item *item;  /* its citations, because, instead; NULL without a clause */
    Span place;        /* nowhere for what follows from other steps */
} WhyStep;

/* An answer to one meaning of what was asked. */
typedef struct WhyAnswer {
    const char *title; /* "depth of batch H27-04" */
    const WhyStep *steps;
    size_t count;
} WhyAnswer;

typedef struct Why {
    const WhyAnswer *answers;
    size_t count;        /* 0: nothing is called so; `nearest` says what is */
    const char *nearest; /* a note's "did you mean", or NULL */
} Why;

/* What is asked about: a protocol alone, or a batch in a plan. */
typedef struct WhySubject {
    Nursery *nursery;
    const Protocol *protocol; /* NULL: a batch that follows none */
    const Plan *plan;         /* NULL: the protocol itself */
    size_t row;
    Day today;
} WhySubject;

/* `what`: a field ("depth", "stick/depth"), a stage or task ("root", "root/look", "look"), stick, finish, or
 * the name of a finding. Findings about the batch are among the nursery's notes already. All texts live in
 * the nursery's arena. */
Why why_is(const WhySubject *subject, const char *what);

#endif
