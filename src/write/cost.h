/* What plants cost, to bytes. */
#ifndef WRITE_COST_H
#define WRITE_COST_H

#include "analysis/cost.h"
#include "base/buffer.h"

typedef struct CostReport {
    Arena *arena;
    const char *currency; /* a label; "" without one */
    const Cost *list;
    size_t count;
    bool explain;
} CostReport;

typedef void CostWriter(Buffer *out, const CostReport *report);
CostWriter cost_write_text;
CostWriter cost_write_csv;
CostWriter cost_write_json;

#endif
