/* Faults on their way to becoming findings: merged where they point at one mistake, accepted, judged
 * otherwise, noted.
 *
 * Checks run down columns and find faults in their own order; here those of one subject come together. Faults
 * that point at one value of one subject are one finding: the nearest cause leads.
 */
#ifndef ANALYSIS_FAULTS_H
#define ANALYSIS_FAULTS_H

#include "analysis/summary.h"
#include "model/nursery.h"

/* From the nearest cause to the farthest. */
typedef enum FaultRank { RANK_NEVER, RANK_MUST, RANK_PLAIN, RANK_PREFER, RANK_RULE } FaultRank;

typedef struct Fault {
    uint32_t row; /* which subject of those that are collected */
    FaultRank rank;
    const Field *field; /* the value it points at; NULL: the subject as a whole, never merged */
    Severity severity;
    const char *name;
    const char *subject; /* id */
    const char *value;   /* key */
    const char *message, *found, *allowed;
    const Citation *citations;
    Slice because, instead;
    Span place;
    Span second;
    const char *second_label;
    Span third;
    const char *third_label;
    const Block *accepts; /* the block whose `accept` clauses count here; NULL */
    bool unsilenced;      /* cannot be accepted away */
    bool as_note;         /* told as a note however the nursery judges it, unless off */
    bool once;            /* not told again by this name at this place */
} Fault;

typedef struct Faults Faults;

Faults *faults_new(Nursery *nursery, Summary *summary);
/* A fault to be completed; what it says is copied when it is noted. */
Fault *faults_add(Faults *faults);
/* An `accept` of this name in a block silences what is not told by a fault; it counts as used. */
bool faults_silenced(Faults *faults, const Block *accepts, const char *name);
/* Turns what was collected into notes, and empties the collection. */
void faults_flush(Faults *faults);
/* Reports accepts of batches, protocols and places that silenced nothing, and judgements of nothing. */
void faults_finish(Faults *faults);

Severity severity_below(Severity severity);

#endif
