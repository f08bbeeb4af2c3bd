/* What is to be prepared, to bytes. */
#ifndef WRITE_AMOUNTS_H
#define WRITE_AMOUNTS_H

#include "analysis/amounts.h"
#include "base/buffer.h"

typedef enum AmountsBy { BY_BATCH, BY_WEEK, BY_SEASON } AmountsBy;

typedef struct AmountsReport {
    Nursery *nursery;
    Arena *arena;
    const Amounts *amounts;
    AmountsBy by; /* what is added up; solutions never are, they are made by the litre */
    bool explain;
} AmountsReport;

typedef void AmountsWriter(Buffer *out, const AmountsReport *report);
AmountsWriter amounts_write_text;
AmountsWriter amounts_write_csv;
AmountsWriter amounts_write_json;

#endif
