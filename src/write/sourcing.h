/* What figures rest on, as a table: a row for each protocol and practice, and what has no source below. */
#ifndef WRITE_SOURCING_H
#define WRITE_SOURCING_H

#include "analysis/sourcing.h"
#include "base/buffer.h"

typedef struct SourcingReport {
    Arena *arena;
    Sourcing sourcing;
} SourcingReport;

typedef void SourcingWriter(Buffer *out, const SourcingReport *report);
SourcingWriter sourcing_write_text, sourcing_write_csv, sourcing_write_json;

#endif
