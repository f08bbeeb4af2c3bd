/* What records teach, as a table with a row for each measure of each group, and sentences below it. */
#ifndef WRITE_REVIEW_H
#define WRITE_REVIEW_H

#include "analysis/review.h"
#include "base/buffer.h"

typedef struct ReviewReport {
    Arena *arena;
    ReviewBy by;
    const char *by_word; /* "year"; unused by protocol */
    const ReviewGroup *groups;
    size_t count;
    size_t unrecorded;
} ReviewReport;

typedef void ReviewWriter(Buffer *out, const ReviewReport *report);
ReviewWriter review_write_text, review_write_csv, review_write_json;

#endif
