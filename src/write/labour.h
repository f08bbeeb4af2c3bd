/* Hours of work by week, to bytes. */
#ifndef WRITE_LABOUR_H
#define WRITE_LABOUR_H

#include "analysis/labour.h"
#include "base/buffer.h"

typedef struct LabourReport {
    Arena *arena;
    const LabourWeek *weeks;
    size_t count;
    bool explain;
} LabourReport;

typedef void LabourWriter(Buffer *out, const LabourReport *report);
LabourWriter labour_write_text; /* a row a week */
LabourWriter labour_write_csv;  /* a row for each week and task */
LabourWriter labour_write_json;

#endif
