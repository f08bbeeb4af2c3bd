/* Explanations to bytes. */
#ifndef WRITE_REASONS_H
#define WRITE_REASONS_H

#include "analysis/why.h"
#include "base/buffer.h"

typedef void ReasonsWriter(Buffer *out, const Nursery *nursery, const Why *why);

ReasonsWriter reasons_write_text;
ReasonsWriter reasons_write_json; /* version 1 */

#endif
