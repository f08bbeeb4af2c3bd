/* What a check is about, and what is known of it.
 *
 * A subject answers one question: what is the value of this field? The answer is a fact, with its class: a
 * point, a spread that all occurs, something uncertain of which one will happen, something permitted of which
 * one will be chosen, or nothing.
 */
#ifndef ANALYSIS_SUBJECT_H
#define ANALYSIS_SUBJECT_H

#include "analysis/timeline.h"
#include "model/limit.h"
#include "model/plan.h"
#include "model/protocol.h"
#include "model/rule.h"

/* From certain to unknown: of two operands the later class counts. */
typedef enum FactClass {
    FACT_POINT,
    FACT_SPREAD,
    FACT_UNCERTAIN,
    FACT_PERMITTED,
    FACT_NOTHING,
    FACT_SPOILED
} FactClass;

typedef struct Fact {
    FactClass class;
    bool stated;         /* as `is stated` asks */
    IntervalSet numbers; /* of a quantity; empty without */
    Dates days;          /* of a date, in three runs; on[0] is DAY_NONE without */
    const Word *words;   /* of words and lists */
    size_t word_count;
    const Reading *reading; /* where it comes from one */
    const Clause *clause;   /* the clause it stands in; NULL for a cell of a batch */
    const Field *field;     /* of a derived value the one to point at; NULL */
    const Field
        *missing;     /* of nothing: what somebody would have to state, where that is not the field asked */
    bool uncomputed;  /* of nothing: all is stated, and the figure cannot be worked out */
    const char *with; /* what is told behind the value; NULL */
} Fact;

/* What a batch refers to, resolved once for all batches that refer to the same. */
enum { CONTEXT_SPECIES = 4 };
typedef struct Context {
    const Protocol *protocol;
    const Block *container, *place, *site, *variety;
    const Block *species[CONTEXT_SPECIES]; /* the nearest first; NULL behind the last */
    const Word *taxon;                     /* words of the plant's botanical name */
    size_t taxon_count;
    const Calendar *calendar;
    const Fact **facts; /* by Field.number, made when first asked for */
    void *attached;     /* what a check or an expansion keeps for this context */
} Context;

typedef struct Subject Subject;
struct Subject {
    Scope scope;
    const Subject *outer; /* the next thing outwards; NULL */
    /* SCOPE_BATCH */
    const Plan *plan; /* NULL: the abstract batch of a protocol, which states nothing */
    size_t row;
    Context *context;
    const Block *record;
    const FieldSet *tried;    /* fields that a trial in it does in several ways; NULL: none */
    const Timeline *timeline; /* NULL: it has no dates */
    bool open; /* whatever a batch could state, with a plan in a column that it has, counts as unknown: to
                  find out what is settled anyway */
    /* SCOPE_PROTOCOL, and outside stages and tasks */
    const Protocol *protocol;
    /* SCOPE_STAGE, SCOPE_TASK */
    const Block *block;
    int index;            /* of the stage or task in the schedule; a section's number for a section */
    const TaskDate *date; /* SCOPE_TASK in a batch */
    /* SCOPE_CLAUSE */
    const Clause *clause;
    /* SCOPE_PLACE */
    const Block *place, *site;
    const struct Gathering *together;       /* what stands where, for `mixed` */
    const struct PlaceOccupancy *occupancy; /* how full it is; NULL: nothing stands there */
};

/* What facts are made with. */
typedef struct FactSource {
    Nursery *nursery;
    Arena *lasting;            /* facts of a context */
    Arena *passing;            /* facts of one subject */
    struct Outlooks *outlooks; /* remembers figures of yield; NULL: nothing does */
    bool roughly; /* of a share that takes long to work out a range around it will do, if that decides */
} FactSource;

Fact fact_of(const FactSource *source, const Subject *subject, const Ref *ref);
/* The limit or statement of a context for a field, without the batch's own cell. */
const Fact *fact_of_context(const FactSource *source, Context *context, const Field *field);
/* A statement's reading as a fact: point or spread. */
Fact fact_of_statement(const FactSource *source, const Field *field, const Reading *reading,
                       const Clause *clause);
/* Where the protocol allows no night between taking and sticking, one date stands for both: the field that a
 * batch gives for the one that is asked; else the field itself. */
const Field *batch_field_given(const Subject *batch, const Field *field);
/* It is not known whether the batch states the field, nor what. */
bool subject_leaves_open(const Subject *batch, const Field *field);
/* The subject at a level of the chain; NULL. */
const Subject *subject_at(const Subject *subject, Scope level);

#endif
