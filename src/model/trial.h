/* Trials: ways side by side in one batch, and what was counted of each.
 *
 * Given the trial blocks of a nursery, takes out of each what others ask for, and says for a batch which of
 * its fields are done in more than one way: of these no one value holds. Whether ways, batches and counts fit
 * together is asked elsewhere (analysis/trial_check.h), when batches are known.
 */
#ifndef MODEL_TRIAL_H
#define MODEL_TRIAL_H

#include "model/nursery.h"
#include "model/rule.h"

typedef struct Trial {
    const Block *block;
    Name batch;          /* NULL: not said, or not readable */
    Name measure;        /* what is counted; NULL: not said */
    const Reading *read; /* when; NULL: not said */
    int64_t needs;       /* cuttings of each way at least; 0: not said */
    Number difference;   /* in shares, that is worth knowing; 0: not said */
    const Block **ways;
    size_t way_count;
    FieldSet fields; /* that one of its ways sets */
} Trial;

/* Fields that the trials of one batch set in their ways. */
typedef struct TriedFields {
    Name batch;
    FieldSet fields;
} TriedFields;

typedef struct Trials {
    const Names *names;
    const Trial *at; /* in the order of their names */
    size_t count;
    const TriedFields *tried; /* a row for each batch with a trial */
    size_t tried_count;
} Trials;

/* All trials of a nursery that is finished. */
Trials trials_of(const Nursery *nursery);
const Trial *trials_called(const Trials *trials, Name name); /* NULL */
/* The fields that trials in a batch do in several ways; NULL: there are none. Quick for a batch without a
 * trial, wherever it was written. */
const FieldSet *trials_tried(const Trials *trials, Slice batch);
const Block *trial_way(const Trial *trial, Name name); /* NULL */

#endif
