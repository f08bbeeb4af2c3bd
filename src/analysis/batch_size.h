/* How many cuttings a batch is and in how many containers: what is stated, else what follows from the other.
 */
#ifndef ANALYSIS_BATCH_SIZE_H
#define ANALYSIS_BATCH_SIZE_H

#include "analysis/subject.h"

typedef struct BatchSize {
    bool has_count, has_trays;
    int64_t count; /* cuttings */
    int64_t trays; /* containers, whole */
    int64_t cells; /* of one container; 0: it has none, or nobody says */
    int64_t each;  /* cuttings that one container takes: its cells, by how many go into a cell */
} BatchSize;

/* Cells of a container; 0 where it has none. */
int64_t container_cells(const Block *container);
BatchSize batch_size(const Subject *batch);

#endif
