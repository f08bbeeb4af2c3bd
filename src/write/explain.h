/* Pages about names to bytes. Each form is one function; none of them computes anything. */
#ifndef WRITE_EXPLAIN_H
#define WRITE_EXPLAIN_H

#include "analysis/explain.h"
#include "base/buffer.h"

typedef struct Explanation {
    Slice name; /* as it was asked; "" for the list of all */
    const Topics *topics;
    Page *const *pages;
    size_t page_count;
    size_t left_out; /* pages that are not made: a nursery may have a hundred tasks of one name */
} Explanation;

typedef void ExplanationWriter(Buffer *out, const Explanation *explanation);

ExplanationWriter explanation_write_text;
ExplanationWriter explanation_write_json; /* version 1; schema in docs/explain.schema.json */

#endif
