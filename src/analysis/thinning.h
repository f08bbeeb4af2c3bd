/* When containers of a batch come free before it leaves: with each task after which what is left is put
 * together (`closes-up yes`).
 *
 * As many containers stay as those alive then fill: by the record, where the task is recorded and the number
 * known; else by what the losses of the stages up to the task's own let expect, on average as planned, in one
 * of twenty batches fewer for what is surely taken, in one of twenty more for what may be. Where no losses
 * are stated nothing comes free.
 */
#ifndef ANALYSIS_THINNING_H
#define ANALYSIS_THINNING_H

#include "analysis/batch_size.h"
#include "analysis/ledger.h"

typedef struct Thinning {
    Dates from;                 /* the first day on which the others are gone: early, planned, late */
    int64_t fewest, mean, most; /* containers that stay */
} Thinning;

/* Of a dated batch, in the order of planned days; *count of them, 0 where its size is not known. In the
 * passing arena. */
const Thinning *thinnings_of(const FactSource *source, const Ledgers *ledgers, const Subject *batch,
                             const BatchSize *size, size_t *count);

#endif
