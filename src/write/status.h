/* How batches stand, as a table: a line a batch for people, all that is known of it for programs. */
#ifndef WRITE_STATUS_H
#define WRITE_STATUS_H

#include "analysis/status.h"
#include "base/buffer.h"

typedef struct StatusReport {
    Arena *arena;
    Day today;
    const Status *rows; /* in the order in which they are to be told */
    size_t count;
    const StatusShut *shuts; /* told before all rows */
    size_t shut_count;
} StatusReport;

typedef void StatusWriter(Buffer *out, const StatusReport *report);
StatusWriter status_write_text, status_write_csv, status_write_json;

#endif
