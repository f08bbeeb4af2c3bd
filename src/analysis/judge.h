/* Judging a compiled condition on a subject, with three values.
 *
 * The tables are in docs/language.md, "Three values". Nothing passes because it was not understood: what
 * cannot be decided says why.
 */
#ifndef ANALYSIS_JUDGE_H
#define ANALYSIS_JUDGE_H

#include "analysis/subject.h"

enum {
    REASON_UNSTATED = 1,  /* somebody would have to say it */
    REASON_PERMITTED = 2, /* the protocol leaves it open */
    REASON_UNCERTAIN = 4, /* only time will tell */
    REASON_SPOILED = 8    /* what was written could not be read, and that was reported */
};

typedef struct Judging {
    const FactSource *source;
    unsigned turned;  /* number of an atom that is turned round, to see whether an example notices; 0: none */
    unsigned reasons; /* why it is unsure; REASON_ bits */
    FieldSet missing; /* unstated fields that could still change it */
    bool overflowed;  /* a number did not fit, or a figure did not come out */
} Judging;

Truth judge_condition(Judging *judging, const Code *code, const Subject *subject);
/* Where and when together: true is broken; false holds. *about is false when it is not about this subject. */
Truth judge_rule(Judging *judging, const RuleBody *body, const Subject *subject, bool *about);

/* What was found, as "leaf-length 12 cm, enclosure mist", from the atoms of a condition that came out true;
 * NULL: nothing to tell. */
const char *judge_found(const FactSource *source, Arena *arena, const Code *code, const Subject *subject,
                        bool imperial);
/* What would hold, where one atom on a number decides; NULL. */
const char *judge_allowed(Arena *arena, const Code *code);
/* The first name in a condition that the subject states; NULL. Gives the clause too, where there is one. */
const Field *judge_pointed(const FactSource *source, const Code *code, const Subject *subject,
                           const Clause **clause);

#endif
